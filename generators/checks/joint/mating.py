"""Rules on joints: every hole a fastener shares with another, and every bolt with the room it goes in."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from generators.checks.joint.folded_room import around, free_height
from generators.checks.joint.part_room import bolt_of, insert_finding, room_for
from generators.checks.measure import area_of
from generators.checks.rule import SAME_MM, Rule, finding, listed, mm
from generators.layout.mounting import PlacedPart, placement
from generators.measure.statistics import ELLIPSE_95
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.plan import Hole, PanelHole, PanelLayout, Slot
from generators.model.spec.job import Panel
from generators.model.spec.shop import Positions
from generators.model.words import OTHER, Face, NutFace
from generators.sheetmetal.lying import lying, on_panel

FIXED = frozenset({"tapped", "insert", "weld_nut", "stud"})
PASSED = frozenset({"bolt", "bulkhead", "rivet", "tapped", "insert", "plain", "bore"})
"""Kinds of openings that a fastener may go through."""


MATING = Rule(
    code="mating",
    title="Bolt does not pass both holes",
    meaning=(
        "Two holes that take one fastener may each lie anywhere in a round zone of their position tolerance. "
        "H is a hole's diameter, F the fastener's, T the diameter of its zone, e how far the two are apart "
        "by plan. A nut floats, so both holes give; in a thread, an insert or a second thread only the "
        "clearance hole does. It fails when the plan itself does not fit, warns when machine-cut holes may "
        "not, and notes what a hand drill may spoil: a drill may wander a quarter of its diameter where it "
        "starts, which is the pilot (common practice). A part of several bolts is then located by two holes "
        "and the rest drilled through it, which takes the wander up, so the note is left for holes that "
        "cannot be drilled so. A hole that is there already lies where somebody measured it: U is the "
        "diameter of the round that holds its true centre with 95 %, and a part that two such holes hold, or "
        "that must meet a third, warns where the clearance does not take U up. Holes of one shared pattern "
        "must agree to 1e-6 mm."
    ),
    formula="floating: 2 e + T1 + T2 + U <= (H1 - F) + (H2 - F); fixed: 2 e + T1 + T2 + U <= H - F; "
    "U = 4.895 times the standard uncertainty each way",
    source=(
        "ASME Y14.5 appendix B, floating and fixed fasteners, from public transcriptions; tolerances are the "
        "shop's ([position] in the shop file)"
    ),
    trust="R2+",
    mend=(
        "Let the drill start on the part's own face, so that it goes through the part; or use a drill guide, "
        "choose a looser fit, or give the shop's own tolerances."
    ),
)

RULES = (MATING,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """One of the holes a fastener goes through: whose, its size, its place and its tolerance zone, mm.

    ``hand_mm`` is what a hand drill adds to the zone, ``unsure_mm`` what a measured place does. A slot gives
    along ``along_rad`` by ``travel_mm``.
    """

    owner: str
    diameter_mm: float
    at: tuple[float, float]
    fixed: bool = False
    zone_mm: float = 0.0
    hand_mm: float = 0.0
    unsure_mm: float = 0.0
    travel_mm: float = 0.0
    along_rad: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """A layout with its outlines as polygons."""

    layout: PanelLayout
    feet: dict[str, BaseGeometry]
    keepouts: list[BaseGeometry]
    bodies: list[BaseGeometry]


def _feet(layout: PanelLayout) -> dict[str, BaseGeometry]:
    """What each part covers of the panel."""
    feet: dict[str, list[BaseGeometry]] = {}
    for footprint in layout.footprints:
        feet.setdefault(footprint.part, []).append(area_of(footprint.contour))
    return {part: shapely.union_all(shapes) for part, shapes in feet.items()}


def check_joints(
    panels: Sequence[Panel], parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout], shop: Positions
) -> Iterator[Finding]:
    """Findings on all joints of the panels. Raises nothing."""
    for panel, layout in zip(panels, layouts, strict=True):
        here = [p for p in parts if p.mount is not None and p.mount.panel == panel.name and not p.plan.tool]
        guides = [p for p in parts if p.plan.tool and p.spec.mount and p.spec.mount.panel == panel.name]
        by_hand: list[PanelHole] = []
        wander = 0.0
        for hole in layout.holes:
            shank = hole.shank_mm
            if hole.status not in ("drill", "weld", "reuse") or shank == 0:
                continue
            first = of_panel(hole, shop, guided=guide_of(panel, guides, hole) is not None)
            members = [first, *of_parts(panel, here, hole, shop)]
            for a, b in itertools.combinations(members, 2):
                where = f"panel:{layout.panel} hole {hole.number} ({hole.name}), {a.owner} and {b.owner}"
                hard = fit_finding(where, a, b, shank, _looser(panel, here, hole))
                if hard is not None:
                    yield hard
                elif _by_hand(hole, a, b):
                    by_hand.append(hole)
                    wander = max(wander, (a.hand_mm + b.hand_mm) / 2)
        if by_hand:
            numbers = list(dict.fromkeys(h.number for h in by_hand))
            yield finding(
                MATING,
                Severity.NOTE,
                f"panel:{layout.panel} hole{'s' if len(numbers) > 1 else ''} {_runs(numbers)}",
                value=wander,
                found=f"a hand drill may start {mm(wander)} off",
                wanted="less than the clearance allows",
                advice="let the drill start on the face the part lies on, so that it goes through the part "
                "(drill_from); or use a drill guide, a slot or a looser fit",
            )
        view = _View(
            layout=layout,
            feet=_feet(layout),
            keepouts=[area_of(k.contour) for k in layout.keepouts],
            bodies=[area_of(b.contour) for b in layout.bodies],
        )
        for part in here:
            yield from _inserted(panel, view, part, here)


def _looser(panel: Panel, here: Sequence[PlacedPart], hole: PanelHole) -> tuple[Proposal, ...]:
    """Looser fits of what brings the hole: the panel's own key, or the mounting bolts of its parts."""
    if any(own.name == hole.name and own.kind == "bolt" for own in panel.hole):
        path = f"panel[{panel.name}].hole[{hole.name}].fit"
        return looser_fits(path, f"hole {hole.name} of {panel.name}")
    return tuple(
        proposal
        for part in here
        if part.spec.name in hole.owners and hasattr(part.spec.parameters, "mount_fit")
        for proposal in looser_fits(
            f"part[{part.spec.name}].parameters.mount_fit", f"the mounting bolts of {part.spec.name}"
        )
    )


def _by_hand(hole: PanelHole, a: Opened, b: Opened) -> bool:
    """True where a hand drill may spoil the joint, the way the hole is made notwithstanding.

    Where ways have not been decided on, every hole is taken to go through the paper.
    """
    if hole.decided is not None and not hole.decided.spoiled_mm:
        return False
    return too_far(a, b, hole.shank_mm, a.zone_mm + b.zone_mm + a.hand_mm + b.hand_mm)


def _runs(numbers: Sequence[str]) -> str:
    """``1 to 7, 9 and A``: three or more in a row drawn together."""
    runs: list[list[str]] = []
    for number in numbers:
        last = runs[-1][-1] if runs else ""
        if number.isdecimal() and last.isdecimal() and int(number) == int(last) + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return listed(word for run in runs for word in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else run))


def fit_finding(
    where: str, a: Opened, b: Opened, shank_mm: float, looser: Sequence[Proposal] = ()
) -> Finding | None:
    """A finding where one fastener does not pass two holes by plan (fail) or as machines cut them (warn).

    ``looser`` are changes of the spec that give the fastener more room.
    """
    if a.fixed and b.fixed:
        return finding(
            MATING,
            Severity.FAIL,
            where,
            found="a thread in both",
            wanted="a thread in one of them",
            advice="make one of the two a clearance hole, or the bolt cannot draw them together",
        )
    apart, room = 2 * _apart(a, b), allowed(a, b, shank_mm)
    tolerance = a.zone_mm + b.zone_mm
    for short, severity, advice in (
        (apart > room + SAME_MM, Severity.FAIL, "place them where one fastener passes both, or widen one"),
        (apart + tolerance > room + SAME_MM, Severity.WARN, "choose a looser fit, or a slot in one of them"),
    ):
        if short:
            wanted = apart if severity is Severity.FAIL else apart + tolerance
            kind = "fixed" if a.fixed or b.fixed else "floating"
            return finding(
                MATING,
                severity,
                where,
                value=wanted,
                found=f"{mm(wanted)} of place and tolerance, {kind} fastener {mm(shank_mm)}",
                limit=room,
                wanted=mm(room),
                advice=advice,
                proposals=looser,
            )
    return None


def looser_fits(path: str, what: str) -> tuple[Proposal, ...]:
    """The next fits of a key ``fit``, tighter ones first, to be tried."""
    return tuple(
        Proposal(words=f"give {what} a {fit} fit", steps=(Change(path=path, word=fit),))
        for fit in ("medium", "coarse")
    )


def allowed(a: Opened, b: Opened, shank_mm: float) -> float:
    """Clearance one fastener leaves two holes, mm on the diameter; negative where it passes not even one.

    Floating: ``(H1 - F) + (H2 - F)``; fixed: ``H - F`` of the clearance hole (ASME Y14.5 appendix B).
    """
    gaps = [h.diameter_mm - shank_mm for h in (a, b) if not h.fixed]
    return min(gaps) if min(gaps) < 0 else sum(gaps)


def _apart(a: Opened, b: Opened) -> float:
    """Distance of two holes by plan, less what a slot gives."""
    du, dv = b.at[0] - a.at[0], b.at[1] - a.at[1]
    slot = a if a.travel_mm else b
    if not slot.travel_mm:
        return math.hypot(du, dv)
    c, s = math.cos(slot.along_rad), math.sin(slot.along_rad)
    along, across = abs(du * c + dv * s), abs(-du * s + dv * c)
    return math.hypot(max(0.0, along - slot.travel_mm / 2), across)


def too_far(a: Opened, b: Opened, shank_mm: float, tolerance_mm: float) -> bool:
    """True where one fastener may not pass two holes whose zones add up to ``tolerance_mm`` (diameter)."""
    return 2 * _apart(a, b) + tolerance_mm > allowed(a, b, shank_mm) + SAME_MM


def guide_of(panel: Panel, guides: Sequence[PlacedPart], hole: PanelHole) -> PlacedPart | None:
    """The drill guide with a bush over the hole, which holds the drill; None for none."""
    for guide in guides:
        if guide.spec.mount is None:
            continue
        place = placement(panel, guide.spec.mount)
        for own in guide.plan.flanges[0].holes:
            if (
                own.bush is not None
                and math.dist(place.apply(own.u_mm, own.v_mm), (hole.u_mm, hole.v_mm)) < 0.01
            ):
                return guide
    return None


def round_zone(sigma_mm: float) -> float:
    """Diameter of the round zone a measured centre lies in with 95 %, mm; ``sigma_mm`` is for each way.

    2 sqrt(chi-square of 2 degrees of freedom at 95 %) = 4.895 times it.
    """
    return 2 * ELLIPSE_95 * sigma_mm


def of_panel(hole: PanelHole, shop: Positions, *, guided: bool) -> Opened:
    """A hole of a panel as a fastener meets it; ``guided`` when a drill guide leads the drill."""
    # an existing hole lies where it was measured, opened or not
    drilled = hole.status == "drill" or bool(hole.tool)
    starts = hole.pilot_dia_mm or hole.final_dia_mm
    hand = 2 * shop.drill_wander_ratio * starts if drilled and hole.status == "drill" and not guided else 0.0
    return Opened(
        owner="the panel",
        diameter_mm=hole.final_dia_mm,
        at=(hole.u_mm, hole.v_mm),
        fixed=hole.kind in FIXED,
        zone_mm=shop.cut_mm if guided else 0.0,
        hand_mm=hand,
        unsure_mm=round_zone(hole.sigma_mm) if hole.status == "reuse" else 0.0,
        travel_mm=hole.travel_mm,
        along_rad=hole.angle_rad,
    )


def of_parts(panel: Panel, parts: Sequence[PlacedPart], hole: PanelHole, shop: Positions) -> Iterator[Opened]:
    """Root openings of parts that the hole's fastener goes through as well."""
    spine = shapely.LineString(hole.ends)
    for part in parts:
        if part.mount is None:
            continue
        place = placement(panel, part.mount)
        for own in on_panel(part.plan).openings:
            if own.fitting.kind not in PASSED or own.fitting.kind == hole.kind == "insert":
                continue  # one insert grips both
            wide = own.diameter_mm if isinstance(own, Hole) else own.width_mm
            at = place.apply(own.u_mm, own.v_mm)
            reach = min(wide, hole.final_dia_mm) / 2
            # most lie farther off than any end of the hole's spine
            if math.dist(at, (hole.u_mm, hole.v_mm)) > reach + hole.travel_mm + SAME_MM:
                continue
            if spine.distance(shapely.Point(at)) > reach:
                continue
            turn = own.angle_rad if isinstance(own, Slot) else 0.0
            yield Opened(
                owner=f"part {part.spec.name}",
                diameter_mm=wide,
                at=at,
                fixed=own.fitting.kind in FIXED,
                zone_mm=shop.cut_mm,
                travel_mm=own.travel_mm if isinstance(own, Slot) else 0.0,
                along_rad=place.angle + (math.pi - turn if place.mirror else turn),
            )


def _inserted(panel: Panel, view: _View, part: PlacedPart, here: Sequence[PlacedPart]) -> Iterator[Finding]:
    """Bolts that hold a part to its panel: put in from the part's side or from behind."""
    mount = part.mount
    if mount is None or not mount.holes:
        return
    place = placement(panel, mount)
    flat = [(f, own, opening) for f, own in lying(part.plan) for opening in f.openings if opening.mates]
    above = {flange.name: around(part.plan, flange.name) for flange, _, opening in flat if bolt_of(opening)}
    for flange, own_place, opening in flat:
        bolt = bolt_of(opening)
        if bolt is None:
            continue
        patches = above[flange.name]
        at = place.apply(*own_place.apply(opening.u_mm, opening.v_mm))
        stack = {"cab": 0.0, "engine": 0.0}
        for other in here:
            if other.mount is not None and view.feet[other.spec.name].contains(shapely.Point(at)):
                stack[other.mount.face] += other.plan.thickness_mm
        room = room_for(bolt, opening, panel.thickness_mm + sum(stack.values()))
        head = room.head_radius_mm
        own = free_height(patches, part.plan.thickness_mm, (opening.u_mm, opening.v_mm), head, "upper")
        near = min(own, _air(view, mount.face, part.spec.name, at, head, stack[mount.face]))
        back = OTHER[mount.face]
        far = _air(view, back, part.spec.name, at, head, stack[back])
        hole = f"{part.spec.name}.{opening.name}"
        where = f"panel:{panel.name} part {part.spec.name}, hole {opening.name}"
        way = _only_way(view.layout, part.spec.name, at)
        air = max(near, far) if way is None else near if way == mount.face else far
        over = "on either face" if way is None else f"on the {way} face"
        found = insert_finding(where, hole, air, room, f"what stands over it {over}")
        if found is not None:
            yield found


def _only_way(layout: PanelLayout, part: str, at: tuple[float, float]) -> NutFace | None:
    """The face a part's bolt must come in from, where a thread takes it; None where a nut does."""
    for hole in layout.holes:
        if (
            hole.kind in FIXED
            and part in hole.owners
            and math.dist(at, (hole.u_mm, hole.v_mm)) < hole.final_dia_mm / 2
        ):
            return hole.nut_face
    return None


def _air(
    view: _View, face: Face, part: str, at: tuple[float, float], radius_mm: float, stack_mm: float
) -> float:
    """Air over the sheets on one face up to obstacles and other parts' flanges, mm."""
    disc = shapely.Point(*at).buffer(radius_mm)
    best = math.inf
    for keepout, shape in zip(view.layout.keepouts, view.keepouts, strict=True):
        fast = keepout.face == face and not (keepout.bead or keepout.movable)
        if fast and shape.intersects(disc):
            best = min(best, keepout.gap_mm - stack_mm)
    for body, shape in zip(view.layout.bodies, view.bodies, strict=True):
        if body.face == face and body.part != part and shape.intersects(disc):
            best = min(best, body.near_mm - stack_mm)
    return max(0.0, best)
