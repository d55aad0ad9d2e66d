"""Holes a part takes from the job's shared patterns, added after its kind has planned it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely.geometry import Point, Polygon

from generators.errors import GeometryFault, LookupFault
from generators.geometry.contours import polyline
from generators.geometry.patterns import placed_points
from generators.model.plan import Flange, Hole, PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.pattern import PartPattern, Pattern
from generators.parts.building.finished_holes import (
    countersunk_hole,
    extruded_hole,
    flow_drilled_hole,
    inserted_hole,
    tapped_hole,
    unbent,
)
from generators.parts.building.openings import bolt_hole, require_inside
from generators.sheetmetal.lying import lying

PASSED_BY_BOLTS = ("clearance", "countersunk")
"""Holes of a pattern whose bolts go on into the panel below."""


def _holes(use: PartPattern, pattern: Pattern, thickness_mm: float) -> tuple[Hole, ...]:
    label = use.label or use.name
    points = placed_points(pattern, use.at, use.rotate_rad, flip=use.flip)
    return tuple(
        _hole(use, pattern, f"{label}_{i + 1}", u, v, thickness_mm) for i, (u, v) in enumerate(points)
    )


def _hole(use: PartPattern, pattern: Pattern, name: str, u: float, v: float, thickness_mm: float) -> Hole:
    thread, what, side = pattern.thread, pattern.what, use.side
    match use.holes:
        case "clearance":
            return bolt_hole(
                name,
                u,
                v,
                thread=thread,
                fit=pattern.fit,
                purpose=f"{thread} bolt, {what}",
                mates=use.drill,
                nut_face="both",
            )
        case "countersunk":
            hole = countersunk_hole(
                name, u, v, thread=thread, fit=pattern.fit, side=side, purpose=what, thickness_mm=thickness_mm
            )
            return replace(hole, mates=use.drill)
        case "tapped":
            return tapped_hole(name, u, v, thread=thread, purpose=what)
        case "extruded":
            return extruded_hole(
                name, u, v, thread=thread, side=side, purpose=what, thickness_mm=thickness_mm
            )
        case "flow_drilled":
            return flow_drilled_hole(
                name, u, v, thread=thread, side=side, purpose=what, thickness_mm=thickness_mm
            )
        case "press_nut" | "weld_nut" | "press_stud":
            return inserted_hole(
                name, u, v, holes=use.holes, thread=thread, side=side, purpose=what, stud_mm=use.stud_mm
            )


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
        try:
            holes = _holes(use, known[use.name], plan.thickness_mm)
        except LookupFault as fault:
            there = ", ".join(fault.known)
            raise GeometryFault(
                f"no {fault.table} {fault.key!r}; there is {there}", f"{here}.holes"
            ) from fault
        except GeometryFault as fault:
            raise GeometryFault(str(fault), f"{here}.{fault.parameter}") from fault
        if use.drill and (target != root or spec.mount is None or use.holes not in PASSED_BY_BOLTS):
            raise GeometryFault(
                "only clearance holes of a mounted part's root flange can be", f"{here}.drill"
            )
        if not plan.bends:
            holes = tuple(h if h.finish is None else replace(h, finish=unbent(h.finish)) for h in holes)
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
