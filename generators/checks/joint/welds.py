"""Rules on weld nuts and weld studs: what may lie where they are welded, and how long a stud is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from generators.checks.joint.part_room import PITCHES
from generators.checks.measure import area_of
from generators.checks.rule import SAME_MM, Rule, finding, mm, more
from generators.layout.mounting import PlacedPart, placement
from generators.layout.openings import REUSE_MM
from generators.model.findings import Finding, Severity
from generators.model.joints.hole_finish import HoleFinish
from generators.model.joints.ways import SheetSide
from generators.model.plan import Footprint, Hole, PanelHole, PanelLayout
from generators.model.spec.job import Panel
from generators.model.words import OTHER, Face
from generators.sheetmetal.lying import on_panel
from generators.standards import Fastener, fastener_rows, locking_nut, washer

WELD_NUT_PER_NUT = 1.1
"""Weld nut over a plain nut, across corners: 11 for 10 mm across flats at M6 (DIN 929, from memory)."""

WELD_FACE = Rule(
    code="weld-face",
    title="Part where a nut is welded, or behind a stud",
    meaning=(
        "A weld nut fills its corners' circle on the face it is welded to: a part that lies there does not "
        "seat. A stud comes out of one face only: a part on the other has nothing to be held by. A weld nut "
        "is taken as a tenth wider than a plain nut."
    ),
    formula="metal of a part to the axis of a weld nut >= 1.1 x across corners / 2",
    source="geometry; size of a weld nut from memory of DIN 929",
    trust="M-med",
    mend="Weld it to the other face, open the part round it, or move the hole.",
)

STUD_LENGTH = Rule(
    code="stud-length",
    title="Weld stud too short",
    meaning=(
        "The stud must go through all that lies on its face, the washer and the whole locking nut (a fail "
        "below that), with two pitches past it (a warning)."
    ),
    formula="length >= sheets on its face + washer + locking nut + 2 P",
    source="geometry; two pitches past the nut are common practice, no source",
    trust="CP",
    mend="Take a longer stud.",
)

STANDS_IN_PANEL = Rule(
    code="stands-in-panel",
    title="Collar, nut or stud of a part stands in its panel",
    meaning=(
        "A part lies on its panel with the lower side of its sheet. A collar, nut or stud that stands on "
        "that side needs a hole in the panel that it goes into, else the part does not seat. A stud needs a "
        "hole for its thread, the rest one for their whole width."
    ),
    formula="panel's hole >= width of what stands there + 2 x how far the two are apart",
    source="geometry",
    trust="C",
    mend="Put it on the other side of the part, or drill the panel there.",
)

WRONG_SIDE = Rule(
    code="finish-side",
    title="Countersink or stud of a part on the wrong side",
    meaning=(
        "A part lies on its panel with the lower side of its sheet. Where the panel has a hole for a bolt, a "
        "countersink on that side hides the screw's head between the two, where nobody drives it and it does "
        "not hold the panel; a stud on the other side fills the hole with its head, and no bolt goes through."
    ),
    formula="at a hole of the panel: countersink on the upper side, stud on the lower",
    source="geometry",
    trust="C",
    mend="Turn it to the other side of the part, or leave the hole out of the panel.",
)

RULES = (WELD_FACE, STUD_LENGTH, STANDS_IN_PANEL, WRONG_SIDE)


def check_stands(
    panels: Sequence[Panel], parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout]
) -> Iterator[Finding]:
    """Findings on what stands or is sunk on the wrong side of a part for its panel. Raises nothing."""
    holes = {layout.panel: layout.holes for layout in layouts}
    known = {panel.name: panel for panel in panels}
    for part in parts:
        if part.mount is None or part.mount.panel not in known:
            continue
        place = placement(known[part.mount.panel], part.mount)
        for own in on_panel(part.plan).holes:
            if own.finish is None:
                continue
            yield from _wrong_side(part, own, own.finish, place.apply(own.u_mm, own.v_mm), holes)
            if own.finish.stands_mm <= 0 or own.finish.side != "lower":
                continue
            wide = own.fitting.shank_mm if own.fitting.kind == "stud" else own.finish.wide_mm
            at = place.apply(own.u_mm, own.v_mm)
            there = [h for h in holes.get(part.mount.panel, ()) if h.status not in ("blank", "weld")]
            room = max((h.final_dia_mm - 2 * math.dist(at, (h.u_mm, h.v_mm)) for h in there), default=0.0)
            if room < wide - SAME_MM:
                yield finding(
                    STANDS_IN_PANEL,
                    Severity.FAIL,
                    f"part:{part.spec.name} hole {own.name} on panel {part.mount.panel}",
                    value=max(room, 0.0),
                    limit=wide,
                    advice=f"turn it to the upper side of {part.spec.name}, or drill the panel there",
                )


def _wrong_side(
    part: PlacedPart,
    own: Hole,
    finish: HoleFinish,
    at: tuple[float, float],
    holes: Mapping[str, Sequence[PanelHole]],
) -> Iterator[Finding]:
    right: SheetSide = "upper" if finish.sink is not None else "lower"
    if part.mount is None or finish.side == right or (finish.sink is None and own.fitting.kind != "stud"):
        return
    # a hole as wide as the head is one the head is reached through
    least, most = own.fitting.shank_mm, finish.wide_mm
    for hole in holes.get(part.mount.panel, ()):
        near = math.dist(at, (hole.u_mm, hole.v_mm)) <= REUSE_MM
        bolt = hole.kind in ("bolt", "existing") and hole.status not in ("blank", "weld")
        if near and bolt and least - SAME_MM <= hole.final_dia_mm < most:
            what = "a countersink" if finish.sink is not None else "a stud"
            yield finding(
                WRONG_SIDE,
                Severity.FAIL,
                f"part:{part.spec.name} hole {own.name} on panel {part.mount.panel}",
                found=f"{what} on the {finish.side} side, over hole {hole.number} of the panel",
                wanted=f"the {right} side",
                advice=f'give side = "{right}", or leave hole {hole.number} out of the panel',
            )


def check_welds(layouts: Sequence[PanelLayout]) -> Iterator[Finding]:
    """Findings on every weld nut and weld stud of the panels. Raises nothing."""
    for layout in layouts:
        metal = [(foot, _metal(foot)) for foot in layout.footprints]
        for hole in layout.holes:
            if hole.kind == "weld_nut":
                yield from _under_nut(layout, hole, metal)
            elif hole.kind == "stud":
                yield from _stud(layout, hole)


def _metal(foot: Footprint) -> BaseGeometry:
    return area_of(foot.contour).difference(shapely.union_all([area_of(o) for o in foot.openings]))


def _where(layout: PanelLayout, hole: PanelHole) -> str:
    return f"panel:{layout.panel} hole {hole.number} ({hole.name})"


def _face(hole: PanelHole) -> Face:
    """The face of the bolt's head or the stud's nut."""
    return "cab" if hole.nut_face == "cab" else "engine"


def _under_nut(
    layout: PanelLayout, hole: PanelHole, metal: Sequence[tuple[Footprint, BaseGeometry]]
) -> Iterator[Finding]:
    welded = OTHER[_face(hole)]
    needed = WELD_NUT_PER_NUT * hole.nut_circle_mm / 2
    for foot, shape in metal:
        away = float(shape.distance(shapely.Point(hole.u_mm, hole.v_mm)))
        if foot.face == welded and away < needed - SAME_MM:
            yield finding(
                WELD_FACE,
                Severity.FAIL,
                f"{_where(layout, hole)} and part {foot.part}",
                value=away,
                limit=needed,
                advice=f"weld the nut of hole {hole.number} to the {OTHER[welded]} face, or open the part "
                f"{more(2 * needed)} wide there",
            )


def _stud(layout: PanelLayout, hole: PanelHole) -> Iterator[Finding]:
    face, at = _face(hole), shapely.Point(hole.u_mm, hole.v_mm)
    over = [foot for foot in layout.footprints if area_of(foot.contour).contains(at)]
    for foot in over:
        if foot.part in hole.owners and foot.face != face:
            yield finding(
                WELD_FACE,
                Severity.FAIL,
                f"{_where(layout, hole)} and part {foot.part}",
                found=f"part on the {foot.face} face",
                wanted=f"the {face} face, where the stud stands",
                advice=f"weld stud {hole.number} to the {foot.face} face",
            )
    stack = math.fsum(foot.thickness_mm for foot in over if foot.face == face)
    length = hole.reach_cab_mm if face == "cab" else hole.reach_engine_mm
    row = _row(hole)
    least = stack + washer(row.thread).thickest_mm + locking_nut(row.thread).height_mm
    whole = least + PITCHES * row.pitch_mm
    if stack > 0 and length < whole - SAME_MM:
        yield finding(
            STUD_LENGTH,
            Severity.FAIL if length < least - SAME_MM else Severity.WARN,
            _where(layout, hole),
            value=length,
            found=f"{mm(length)} of stud",
            limit=whole,
            floor=least,
            advice=f"take a {hole.thread} stud at least {more(whole - length)} longer",
        )


def _row(hole: PanelHole) -> Fastener:
    return next(row for row in fastener_rows() if row.thread == hole.thread)
