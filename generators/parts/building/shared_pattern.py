"""Holes a part takes from the job's shared patterns, added after its kind has planned it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely.geometry import Point, Polygon

from generators.errors import GeometryFault
from generators.figures import fixed
from generators.geometry.contours import polyline
from generators.geometry.patterns import placed_points
from generators.model.joints.hole_finish import HoleFinish
from generators.model.plan import Fitting, Flange, Hole, PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.pattern import PartPattern, Pattern
from generators.parts.building.openings import bolt_hole, require_inside
from generators.sheetmetal.lying import lying
from generators.standards import fastener, tap_drill_rows


def tapped_hole(name: str, u: float, v: float, *, thread: str, purpose: str) -> Hole:
    """A hole with a thread cut in it, as wide as its tap drill; the drawing says the thread."""
    row = fastener(thread)
    cut = next(t for t in tap_drill_rows() if t.thread == row.thread and t.diameter_mm == row.tap_drill_mm)
    finish = HoleFinish(
        kind="tapped",
        cut_mm=cut.diameter_mm,
        words=f"tap {cut.designation} through, after drilling or cutting Ø {fixed(cut.diameter_mm, 2)}",
        thread=cut.designation,
    )
    return Hole(
        name=name,
        u_mm=u,
        v_mm=v,
        diameter_mm=row.tap_drill_mm,
        purpose=f"tap {thread}, {purpose}",
        fitting=Fitting(kind="tapped", label=f"{thread} tapped", shank_mm=row.major_mm),
        finish=finish,
    )


def _holes(use: PartPattern, pattern: Pattern) -> tuple[Hole, ...]:
    label = use.label or use.name
    out = []
    for i, (u, v) in enumerate(placed_points(pattern, use.at, use.rotate_rad, flip=use.flip)):
        name = f"{label}_{i + 1}"
        if use.holes == "tapped":
            out.append(tapped_hole(name, u, v, thread=pattern.thread, purpose=pattern.what))
        else:
            purpose = f"{pattern.thread} bolt, {pattern.what}"
            out.append(
                bolt_hole(
                    name,
                    u,
                    v,
                    thread=pattern.thread,
                    fit=pattern.fit,
                    purpose=purpose,
                    mates=use.drill,
                    nut_face="both",
                )
            )
    return tuple(out)


def with_patterns(plan: PartPlan, spec: PartSpec[object], patterns: Sequence[Pattern]) -> PartPlan:
    """The plan with the holes of every ``[[part.pattern]]``.

    Raises ``GeometryFault`` whose ``parameter`` begins with a dot: a key of the part itself.
    """
    known = {p.name: p for p in patterns}
    for index, use in enumerate(spec.pattern):
        here = f".pattern[{index}]"
        root = plan.flanges[0].name
        target = use.flange or root
        flange = next((f for f in plan.flanges if f.name == target), None)
        if flange is None:
            names = ", ".join(f.name for f in plan.flanges)
            raise GeometryFault(f"no flange {target!r}; this part has {names}", f"{here}.flange")
        holes = _holes(use, known[use.name])
        if use.drill and (target != root or spec.mount is None or use.holes == "tapped"):
            raise GeometryFault(
                "only clearance holes of a mounted part's root flange can be", f"{here}.drill"
            )
        if target == root:
            for beside, own in _shared_out(plan, holes):
                plan = _added(plan, plan.flange(beside), own, here)
        else:
            plan = _added(plan, flange, holes, here)
    return plan


def _shared_out(plan: PartPlan, holes: tuple[Hole, ...]) -> list[tuple[str, tuple[Hole, ...]]]:
    """Holes given in the root's frame, each with the flange on the panel it falls on; the root by default."""
    flat = lying(plan)
    shapes = [Polygon(polyline(f.contour)) for f, _ in flat]
    out: dict[str, list[Hole]] = {}
    for hole in holes:
        spots = [(f.name, place.inverse().apply(hole.u_mm, hole.v_mm)) for f, place in flat]
        on = (s for s, shape in zip(spots, shapes, strict=True) if shape.contains(Point(s[1])))
        name, (u, v) = next(on, spots[0])
        out.setdefault(name, []).append(replace(hole, u_mm=u, v_mm=v))
    return [(name, tuple(own)) for name, own in out.items()]


def _added(plan: PartPlan, flange: Flange, holes: tuple[Hole, ...], here: str) -> PartPlan:
    taken = {o.name for f in plan.flanges for o in f.openings}
    twice = sorted(taken & {h.name for h in holes})
    if twice:
        raise GeometryFault(f"the part has a hole {twice[0]!r} already: give a label", f"{here}.label")
    wider = replace(flange, holes=(*flange.holes, *holes))
    try:
        return require_inside(
            replace(plan, flanges=tuple(wider if f.name == flange.name else f for f in plan.flanges))
        )
    except GeometryFault as fault:
        raise GeometryFault(str(fault), f"{here}.at") from fault
