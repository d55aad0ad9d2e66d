"""The bolts of a loaded bracket: what each carries, and what it, the part and the panel bear."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from generators.checks.joint.bolt_loads import check_bolt_loads
from generators.checks.joint.panel_give import check_panel_give
from generators.errors import GeometryFault
from generators.geometry.contours import bounds, polyline, transformed
from generators.layout.mounting import PlacedPart, placement
from generators.layout.openings import REUSE_MM
from generators.layout.spots import part_opening
from generators.model.contour import Contour
from generators.model.findings import Finding
from generators.model.joints.fasteners import FastenerSet, Side2
from generators.model.plan import Flange, Footprint, Hole, PanelHole, PanelLayout, PartPlan, Slot
from generators.model.spec.job import Panel
from generators.reading import JobFile
from generators.sheetmetal.lying import lying, on_panel
from generators.solve.bodies.fixings.stacks import covering
from generators.solve.brackets.braces import brace_findings, brace_loads
from generators.solve.brackets.cases import Bracket, BracketCase, openings
from generators.solve.brackets.spread import spreading
from generators.solve.fasteners.joint import sheet_metal, sheet_tensile
from generators.solve.fasteners.of_parts import Bolted, Key
from generators.standards import default_class, stress_area
from generators.strength.bores import Bore
from generators.strength.joint.bearing import LEVER, proof_load_n
from generators.strength.joint.group import Acting
from generators.strength.joint.loads import HAND_RANGE, SOFT_HAND_RANGE, BoltForce, HeldBolt, by_hand
from generators.strength.joint.sheets import Sheet, Under
from generators.strength.joint.uses import JointSheet, JudgedBolt, JudgedLoad, worst_uses

if TYPE_CHECKING:
    from generators.strength.result import BracketResult

SIDE: Mapping[str, Side2] = {"cab": "high", "engine": "low"}
OTHER: Mapping[str, str] = {"cab": "engine", "engine": "cab"}
SAME_HOLE_MM = 0.5
"""A doubler's opening so little wider than the panel's bears on the bolt with it. Ours."""
PAST_MM = 1.0
"""How far a washer has to reach past an opening to bear on its rim. Ours."""


def held_bolts(bracket: Bracket) -> tuple[HeldBolt, ...]:
    """The bolts that hold a bracket, with how its load reaches them."""
    plan = bracket.part.plan
    flat = {flange.name for flange, _ in lying(plan)}
    names = {hold.bore for hold in bracket.holds}
    out = []
    for hold in bracket.holds:
        name, hole = part_opening(plan, hold.bore)
        flange = plan.flange(name)
        others = [h for h in openings(flange) if h.name in names and h.name != hole.name]
        reach = _reach(plan, flange, (hole.u_mm, hole.v_mm))
        edge = _free_edge(plan, flange, (hole.u_mm, hole.v_mm))
        apart = min((math.dist((h.u_mm, h.v_mm), (hole.u_mm, hole.v_mm)) for h in others), default=math.inf)
        out.append(
            HeldBolt(
                hole=hold.bore,
                at=_middle(bracket.bore(hold.bore)),
                axis=bracket.bore(hold.bore).axis,
                lies=flange.name in flat and hole.mates,
                reach_mm=reach,
                lever_mm=max(min(edge, apart / 2, LEVER * reach), bracket.bore(hold.bore).radius_mm),
            )
        )
    return tuple(out)


def _middle(bore: Bore) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in np.array(bore.centre) + np.array(bore.axis) * bore.length_mm / 2)
    return x, y, z


def _bend_lines(plan: PartPlan, flange: Flange) -> list[LineString]:
    """Where a flange is bent: from its parent, and its children from it."""
    lines = [LineString((b.start, b.end)) for b in plan.bends if b.parent == flange.name]
    return lines + [
        LineString(((0.0, 0.0), (math.dist(b.start, b.end), 0.0)))
        for b in plan.bends
        if b.child == flange.name
    ]


def _free_edge(plan: PartPlan, flange: Flange, at: tuple[float, float]) -> float:
    """From a bolt to the nearest edge that no bend holds: there a bent sheet presses on what it lies on."""
    rim: BaseGeometry = Polygon(polyline(flange.contour)).exterior
    for line in _bend_lines(plan, flange):
        rim = rim.difference(line.buffer(SAME_HOLE_MM))
    return math.inf if rim.is_empty else float(rim.distance(Point(*at)))


def _reach(plan: PartPlan, flange: Flange, at: tuple[float, float]) -> float:
    """From a bolt to the nearest bend of its flange, where the load comes into it; to the farthest edge of a
    flange without one."""
    lines = _bend_lines(plan, flange)
    if lines:
        return float(min(line.distance(Point(*at)) for line in lines))
    return float(max(math.dist(at, corner) for corner in polyline(flange.contour)))


def _edge_mm(contour: Contour, at: tuple[float, float]) -> float:
    return float(Polygon(polyline(contour)).exterior.distance(Point(*at)))


def acting_of(bracket: Bracket, case: BracketCase) -> tuple[Acting, ...]:
    """A case's forces with where they act."""
    return tuple(Acting(at=_middle(bracket.bore(f.bore)), force=f.force) for f in case.forces)


def hand_loads(bracket: Bracket, bolts: Sequence[HeldBolt], case: BracketCase) -> tuple[BoltForce, ...]:
    """What each bolt carries in a case by hand; nothing where no hand calculation holds the part."""
    boxes = [bounds(transformed(f.contour, place)) for f, place in lying(bracket.part.plan)]
    foot = (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
    try:
        return by_hand(bolts, acting_of(bracket, case), foot)
    except GeometryFault:
        return ()


def judged_bolts(
    file: JobFile,
    bracket: Bracket,
    parts: Sequence[PlacedPart],
    layouts: Sequence[PanelLayout],
    bolted: Mapping[Key, Bolted],
) -> tuple[JudgedBolt, ...]:
    """Each bolt that holds a bracket with its sheets and what bears on them."""
    part = bracket.part
    known = {p.spec.name: p for p in parts}
    out = []
    for held in held_bolts(bracket):
        found = bolted.get((part.spec.name, held.hole), Bolted(made=None))
        flange, opening = part_opening(part.plan, held.hole)
        own = Sheet(
            words=f"the {part.plan.thickness_mm:g} mm of {part.plan.title or part.spec.name}",
            thickness_mm=part.plan.thickness_mm,
            tensile_mpa=sheet_tensile(part.plan.material),
            soft=_soft(part.plan.material),
            hole_mm=_wide(opening),
            edge_mm=_edge_mm(part.plan.flange(flange).contour, (opening.u_mm, opening.v_mm)),
            slotted=isinstance(opening, Slot),
        )
        made = found.made
        face = part.mount.face if part.mount is not None else "cab"
        near = _under(made, SIDE[face])
        bolt = JudgedBolt(
            hole=held.hole,
            words=_words(found, made),
            thread=made.thread if made is not None else "",
            bolt_mm=made.diameter_mm if made is not None else _wide(opening),
            proof_n=_proof(made),
            grade=made.grade if made is not None else "",
            lever_mm=held.lever_mm,
            own=own,
            near=near,
            far=_under(made, SIDE[OTHER[face]]),
            unknown="" if made is not None else "no bolt of the job goes there",
        )
        if found.hole is not None and part.mount is not None:
            panel = next(p for p in file.job.panel if p.name == found.panel)
            layout = next(x for x in layouts if x.panel == found.panel)
            bolt = _on_panel(file, bolt, part, panel, layout, found.hole, made, known)
        out.append(bolt)
    return tuple(out)


def _words(found: Bolted, made: FastenerSet | None) -> str:
    where = (
        f"hole {found.hole.number} of {found.panel.replace('_', ' ')}"
        if found.hole is not None
        else "its hole"
    )
    thread = f"the {made.thread} bolt" if made is not None else "what goes"
    return f"{thread} in {where}"


def _soft(words: str) -> bool:
    row = sheet_metal(words)
    return "alumin" in words.lower() if row is None else row.kind == "aluminium"


def _wide(opening: Hole | Slot) -> float:
    """Diameter of a round hole, width of a slot."""
    return opening.diameter_mm if isinstance(opening, Hole) else opening.width_mm


def _proof(made: FastenerSet | None) -> float | None:
    kind = None if made is None or not made.grade else default_class(made.thread)
    if made is None or kind is None:
        return None
    return proof_load_n(kind.proof_mpa, stress_area(made.designation).area_mm2)


def _under(made: FastenerSet | None, side: Side2) -> Under:
    """What bears on a side: the smaller face of head and nut, on that side's washer."""
    if made is None:
        return Under(head_mm=0.0)
    head = min((d for d in (made.head_af_mm, made.nut_bearing_mm) if d > 0), default=0.0)
    flats = min((d for d in (made.head_af_mm, made.nut_af_mm) if d > 0), default=0.0)
    use = next((w for w in made.washers if w.side == side), None)
    if use is None:
        return Under(head_mm=head, flats_mm=flats)
    return Under(head_mm=head, flats_mm=flats, washer_mm=use.thickest_mm, outside_mm=use.outside_mm)


def _on_panel(
    file: JobFile,
    bolt: JudgedBolt,
    part: PlacedPart,
    panel: Panel,
    layout: PanelLayout,
    hole: PanelHole,
    made: FastenerSet | None,
    known: Mapping[str, PlacedPart],
) -> JudgedBolt:
    """With the panel, and the doublers beside it, at its far end."""
    mount = part.spec.mount
    face = mount.face if mount is not None else "cab"
    at = (hole.u_mm, hole.v_mm)
    edge = _edge_mm(layout.contour, at)
    sheet = Sheet(
        words=f"the {panel.thickness_mm:g} mm {panel.title.lower()}",
        thickness_mm=panel.thickness_mm,
        tensile_mpa=sheet_tensile(panel.material),
        soft=_soft(panel.material),
        hole_mm=hole.final_dia_mm,
        edge_mm=edge,
        slotted=hole.travel_mm > 0,
    )
    # outermost last: that one is under the head
    beyond = sorted(covering(layout, OTHER[face], at), key=lambda f: f.lift_mm)
    far = [_plate(f, known, panel, at) for f in beyond]
    near = [_plate(f, known, panel, at) for f in covering(layout, face, at) if f.doubler]
    through = [
        s for s in far if s is not None and s.hole_mm + 2 * PAST_MM <= bolt.far.diameter_mm(s.thickness_mm)
    ]
    beside = [s for s in (*far, *near) if s is not None and s.hole_mm <= hole.final_dia_mm + SAME_HOLE_MM]
    unknown = bolt.unknown
    if made is not None and made.into != "locking nut":
        unknown = f"what a {made.into} holds is its maker's figure"
    elif made is not None and made.form != "bolt":
        unknown = f"what a {made.form} holds is not in the tables"
    out = replace(bolt, pulled=(sheet, *through), bears=(sheet, *beside), unknown=unknown)
    if unknown:
        return out
    return replace(out, proposals=spreading(file, part, panel, layout, at))


def _plate(
    foot: Footprint, known: Mapping[str, PlacedPart], panel: Panel, at: tuple[float, float]
) -> Sheet | None:
    """A part's sheet over a hole of the panel; None where it has no round hole there."""
    part = known[foot.part]
    if part.spec.mount is None:
        return None
    place = placement(panel, part.spec.mount)
    for hole in on_panel(part.plan).holes:
        u, v = place.apply(hole.u_mm, hole.v_mm)
        if math.hypot(u - at[0], v - at[1]) <= REUSE_MM:
            return Sheet(
                words=f"the {part.plan.thickness_mm:g} mm of {foot.words}",
                thickness_mm=part.plan.thickness_mm,
                tensile_mpa=sheet_tensile(part.plan.material),
                soft=_soft(part.plan.material),
                hole_mm=hole.diameter_mm,
                edge_mm=_edge_mm(foot.contour, at),
            )
    return None


def hand_cases(bracket: Bracket) -> tuple[JudgedLoad, ...]:
    """Every case of a bracket with what its bolts carry by hand."""
    bolts = held_bolts(bracket)
    return tuple(
        JudgedLoad(name=c.name, kind=c.kind, what=c.what, forces=hand_loads(bracket, bolts, c))
        for c in bracket.cases
    )


def solved_cases(result: BracketResult) -> tuple[JudgedLoad, ...]:
    """Every case of a solved bracket with what its bolts carry by finite elements."""
    return tuple(JudgedLoad(name=c.name, kind=c.kind, what=c.what, forces=c.bolts) for c in result.cases)


def joint_loads(
    found: Sequence[Bracket], results: Sequence[BracketResult]
) -> dict[str, tuple[JudgedLoad, ...]]:
    """Every case of every loaded bracket with what its bolts carry: as solved, else by hand."""
    solved = {r.part: r for r in results}
    named = {bracket.part.spec.name: bracket for bracket in found}
    return {n: solved_cases(solved[n]) if n in solved else hand_cases(b) for n, b in named.items()}


def hand_range(bracket: Bracket) -> float:
    """By what factor the loads of a bracket's bolts may be below the real ones by hand."""
    return SOFT_HAND_RANGE if any(h.flex_mm_per_n for h in bracket.holds) else HAND_RANGE


def joint_findings(
    file: JobFile,
    found: Sequence[Bracket],
    bolts: Mapping[str, Sequence[JudgedBolt]],
    carried: Mapping[str, Sequence[JudgedLoad]],
    results: Sequence[BracketResult],
) -> Iterator[Finding]:
    """What the rules say of the bolts of every loaded bracket, by their ``joint_loads``."""
    solved = {r.part for r in results}
    for bracket in found:
        name = bracket.part.spec.name
        loads = carried[name]
        if bracket.give is not None:
            yield from check_panel_give(bracket.give)
        low = 1.0 if name in solved else hand_range(bracket)
        yield from brace_findings(bracket, brace_loads(bracket, loads, low), file.job.limits)
        yield from check_bolt_loads(name, loads, bolts[name], file.job.limits, low=low)


def joint_sheets(
    file: JobFile,
    found: Sequence[Bracket],
    bolts: Mapping[str, Sequence[JudgedBolt]],
    carried: Mapping[str, Sequence[JudgedLoad]],
    results: Sequence[BracketResult],
) -> tuple[JointSheet, ...]:
    """What the report says of the bolts of every loaded bracket, by the same."""
    solved = {r.part for r in results}
    out = []
    for bracket in found:
        name = bracket.part.spec.name
        loads = carried[name]
        low = 1.0 if name in solved else hand_range(bracket)
        give = bracket.give
        out.append(
            JointSheet(
                part=name,
                title=bracket.part.plan.title,
                low=low,
                limit=file.job.limits.joint_factor,
                uses=worst_uses([x for x in loads if x.kind != "structure"], bolts[name]),
                structure=worst_uses([x for x in loads if x.kind == "structure"], bolts[name]),
                give="" if give is None else give.said,
                braces=brace_loads(bracket, loads, low),
            )
        )
    return tuple(out)
