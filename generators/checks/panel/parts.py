"""Panel rules about the parts that lie on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import depth_inside
from generators.checks.panel.moves import Moves
from generators.checks.panel.view import SAME_PLACE_MM, PanelView, on_face, share_face
from generators.checks.panel.zones import Thing, Zone
from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up, more
from generators.geometry.contours import bounds
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.plan import Footprint, KeepOut, PanelLayout

ROUND = 2
"""Vertices of a circle's outline: two half turns."""

ASSUMED_SHEET_MM = 3.0
OVERLAP_MM2 = 0.05
"""Overlaps smaller than this come from arcs drawn as polygons and from edges that only touch."""


NUT_ON_FOOTPRINT = Rule(
    code="nut-on-footprint",
    title="Nut half on a part",
    meaning="The nut's circle crosses the edge of a part on that face: it would sit half on, half off.",
    formula="the corner circle does not cross the outline of another part",
    source="geometry",
    trust="C",
    mend="Move the hole or the part, or extend the part under the nut.",
)

HOLE_UNDER_PART = Rule(
    code="hole-under-part",
    title="Part covers a hole",
    meaning=(
        "A part lies over a hole of the panel, wholly or in part, and has no hole there, so nothing can go "
        "through. An existing hole counts unless it is blanked: something goes through what is kept open."
    ),
    formula="each open hole in a part's outline lies within a hole of that part",
    source="geometry",
    trust="C",
    mend='Move one of them, give the part that hole, or blank an existing hole (action = "blank").',
)

FOOTPRINT_CLASH = Rule(
    code="footprint-clash",
    title="Two parts in one place",
    meaning=(
        "Two parts overlap on one face. It is meant only where all holes in the overlap are shared. A part "
        "may lie on a doubler with its whole base; with half of it, it rocks and is bolted crooked."
    ),
    formula="outlines do not overlap, or every hole in the overlap belongs to both; on a doubler all or none",
    source="geometry",
    trust="C",
    mend="Move one part, or stack them on shared holes.",
)

PART_OFF_PANEL = Rule(
    code="part-off-panel",
    title="Part reaches past the panel",
    meaning="Part of the root flange lies outside the panel's outline.",
    formula="the part's outline lies within the panel's",
    source="geometry",
    trust="C",
    mend="Move the part inward, or make it smaller.",
)

PART_ON_OBSTACLE = Rule(
    code="part-on-obstacle",
    title="Part lies where something is",
    meaning=(
        "The part's sheet is thicker than the air under the obstacle, or the part lies on a bead and rocks. "
        "A part whose thickness is not given counts as 3 mm."
    ),
    formula="gap of the obstacle >= sheet thickness of the part, or outlines apart",
    source="geometry",
    trust="C",
    mend="Move the part, or move the obstacle for good.",
)

RULES = (
    NUT_ON_FOOTPRINT,
    HOLE_UNDER_PART,
    FOOTPRINT_CLASH,
    PART_OFF_PANEL,
    PART_ON_OBSTACLE,
)


def under_part_zone(panel: PanelView, k: int) -> Zone:
    """Centres of open holes that a part would cover; its own holes, and those it leaves free, do not mind."""
    return Zone(thing=panel.footprints[k], within=np.where(panel.blank, 0.0, panel.radius))


def nut_rim_zone(panel: PanelView, k: int) -> Zone:
    """Centres whose nut would cross the edge of a part on its face."""
    face = panel.layout.footprints[k].face
    return Zone(thing=panel.footprints[k], within=panel.nut[face], rim=True)


def zones(panel: PanelView) -> Iterator[Zone]:
    """Where these rules let no centre lie."""
    for k in range(len(panel.footprints)):
        yield under_part_zone(panel, k)
        yield nut_rim_zone(panel, k)


def sheet_mm(footprint: Footprint, thickness_mm: Mapping[str, float]) -> float:
    """How far a part's sheet stands off the face, mm."""
    return thickness_mm.get(footprint.part, ASSUMED_SHEET_MM) + footprint.lift_mm


def lifts(keepout: KeepOut, footprint: Footprint, sheet: float) -> bool:
    """True when a part cannot lie flat on an obstacle: a bead, or too little air for its sheet."""
    return on_face(keepout, footprint.face) and (keepout.bead or keepout.gap_mm < sheet - SAME_MM)


def not_under(panel: PanelView, thickness_mm: Mapping[str, float]) -> tuple[frozenset[Thing], ...]:
    """For each footprint, what its part may not come to lie on: obstacles and other parts of its face."""
    layout = panel.layout
    out = []
    for one in layout.footprints:
        sheet = sheet_mm(one, thickness_mm)
        things = [
            thing
            for thing, keepout in zip(panel.keepouts, layout.keepouts, strict=True)
            if lifts(keepout, one, sheet)
        ]
        things += [
            thing
            for thing, two in zip(panel.footprints, layout.footprints, strict=True)
            if two is not one and share_face(one, two)
        ]
        out.append(frozenset(things))
    return tuple(out)


def holes_and_parts(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Nuts on the edge of a part, and holes a part covers."""
    served = _served(panel)
    for n, footprint in enumerate(panel.layout.footprints):
        part = footprint.part
        nuts = panel.nut[footprint.face]
        rim, under = nut_rim_zone(panel, n).hits(), under_part_zone(panel, n).hits()
        crossed = {i: -away for i, away in rim.items() if part not in panel.sources[i]}
        covered = {
            i: -away for i, away in under.items() if part not in panel.sources[i] and (i, part) not in served
        }
        place = f"part {part}, {footprint.face} face"
        for group in panel.groups(crossed):
            i = max(group, key=lambda k: float(nuts[k]) - abs(crossed[k]))
            away = f"at least {more(nuts[i] - abs(crossed[i]))} away from the edge of"
            yield finding(
                NUT_ON_FOOTPRINT,
                Severity.WARN,
                f"{panel.where(group)} and {place}",
                value=abs(crossed[i]),
                limit=nuts[i],
                advice=mend.hole(i, f"{away} part {part}")
                if panel.new[i]
                else mend.part(
                    part, f"at least {more(nuts[i] - abs(crossed[i]))} away from {panel.holes(group)}"
                ),
                proposals=mend.hole_moves(i) if panel.new[i] else mend.part_moves(part),
            )
        yield from _covered(panel, part, covered, place, mend)


def _covered(
    panel: PanelView, part: str, depths: dict[int, float], place: str, mend: Moves
) -> Iterator[Finding]:
    """Holes under one part: existing ones together, since only the part can move."""
    existing = [i for i in depths if not panel.new[i]]
    for group in [*panel.groups(i for i in depths if panel.new[i]), *([existing] if existing else [])]:
        i = max(group, key=lambda k: float(panel.radius[k]) + depths[k])
        far = more(panel.radius[i] + depths[i])
        if not panel.new[i]:
            advice = mend.part(part, f"at least {far} away from {panel.holes(group)}")
            kept = [k for k in group if not panel.used[k]]
            advice += f', or set action = "blank" for {panel.holes(kept)}' if kept else ""
        elif panel.parts_of(i):
            theirs = panel.parts_text(panel.parts_of(i))
            advice = f"move {theirs} or part {part} at least {far} apart, or give part {part} "
            advice += "those holes" if len(group) > 1 else "that hole"
        else:
            advice = (
                mend.hole(i, f"at least {far} away from part {part}") + f", or give part {part} that hole"
            )
        yield finding(
            HOLE_UNDER_PART,
            Severity.FAIL,
            f"{panel.where(group)} and {place}",
            value=-depths[i],
            found=f"{mm(depths[i])} inside",
            limit=panel.radius[i],
            wanted=f"{mm_up(panel.radius[i])} outside",
            advice=advice,
            proposals=_uncovered(panel, part, group, mend),
        )


def _uncovered(panel: PanelView, part: str, group: list[int], mend: Moves) -> tuple[Proposal, ...]:
    """Moves of the hole or of the part over it; then an existing hole closed, if nothing is to go through."""
    i = group[0]
    moved = (*(mend.hole_moves(i) if panel.new[i] else ()), *mend.part_moves(part))
    kept = [panel.layout.holes[k].name for k in group if not panel.new[k] and not panel.used[k]]
    if not kept or len(kept) < len(group):
        return moved
    close = tuple(
        Change(path=f"panel[{panel.layout.panel}].existing[{name}].action", word="blank") for name in kept
    )
    return (*moved, Proposal(words=f"blank {panel.holes(group)}, if nothing goes through", steps=close))


def _served(panel: PanelView) -> set[tuple[int, str]]:
    """(hole, part) where the hole lies within a hole of that part."""
    i, j = panel.first, panel.second
    slack = SAME_PLACE_MM
    out: set[tuple[int, str]] = set()
    for inner, outer in ((i, j), (j, i)):
        within = panel.apart + panel.radius[inner] <= panel.radius[outer] + slack
        for a, b in zip(inner[within].tolist(), outer[within].tolist(), strict=True):
            out |= {(a, part) for part in panel.sources[b]}
    # openings of a part that ask no hole of the panel: it was there, and the part leaves it free
    for footprint, region in zip(panel.layout.footprints, panel.footprints, strict=True):
        index = region.index
        for opening in footprint.openings:
            free = depth_inside(panel.u[index], panel.v[index], opening) >= panel.radius[index] - slack
            if len(opening.vertices) == ROUND:
                # one fastener goes through both, whichever is tapped; `mating` judges the sizes
                low_u, low_v, high_u, high_v = bounds(opening)
                aside = np.hypot(panel.u[index] - (low_u + high_u) / 2, panel.v[index] - (low_v + high_v) / 2)
                free |= aside <= slack
            out |= {(i, footprint.part) for i in index[free].tolist()}
    return out


def footprints(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Parts that overlap on one face without sharing every hole of the overlap."""
    parts = panel.layout.footprints
    if len(parts) < 2:
        return
    shapes = [r.shape for r in panel.footprints]
    served: set[tuple[int, str]] | None = None
    for a, b in shapely.STRtree(shapes).query(shapes, predicate="intersects").T.tolist():
        one, two = parts[a], parts[b]
        if a >= b or not share_face(one, two):
            continue
        common = shapes[a].intersection(shapes[b])
        if common.area < OVERLAP_MM2:
            continue
        served = _served(panel) if served is None else served
        if one.doubler != two.doubler:
            plate, other = (a, b) if one.doubler else (b, a)
            yield from _half_on(panel, plate, other, shapes[other].difference(shapes[plate]), mend)
            continue  # what it covers and has no opening for is found as a hole under a part
        if _all_shared(panel, a, b, served):
            continue
        yield finding(
            FOOTPRINT_CLASH,
            Severity.WARN,
            f"panel:{panel.layout.panel} parts {one.part} and {two.part}, {one.face} face",
            value=common.area,
            limit=0.0,
            unit="mm2",
            found=f"{common.area:.0f} mm² overlap",
            wanted="no overlap, or all its holes shared",
            advice=mend.part(two.part, f"about {more(_overlap_width(common))} away from part {one.part}")
            + f", or give it and part {one.part} the same holes",
            proposals=(*mend.part_moves(two.part), *mend.part_moves(one.part)),
        )


def _half_on(panel: PanelView, plate: int, other: int, past: BaseGeometry, mend: Moves) -> Iterator[Finding]:
    """A part that lies on a doubler with only some of its base."""
    if past.area < OVERLAP_MM2:
        return
    doubler, part = panel.layout.footprints[plate], panel.layout.footprints[other]
    yield finding(
        FOOTPRINT_CLASH,
        Severity.WARN,
        f"panel:{panel.layout.panel} parts {doubler.part} and {part.part}, {part.face} face",
        value=past.area,
        limit=0.0,
        unit="mm2",
        found=f"{past.area:.0f} mm² of part {part.part} past the doubler",
        wanted="all of its base on the doubler, or none",
        advice=f"give part {doubler.part} about {more(_overlap_width(past))} more margin there, or "
        + mend.part(part.part, f"off part {doubler.part}"),
        proposals=mend.part_moves(part.part),
    )


def _overlap_width(common: BaseGeometry) -> float:
    """Least width of the overlap's convex hull, mm: about how far to move."""
    corners = shapely.get_coordinates(shapely.convex_hull(common))[:-1]
    sides = np.roll(corners, -1, axis=0) - corners
    normals = np.column_stack((-sides[:, 1], sides[:, 0])) / np.hypot(*sides.T)[:, None]
    across = corners @ normals.T
    return float((across.max(axis=0) - across.min(axis=0)).min())


def _all_shared(panel: PanelView, a: int, b: int, served: set[tuple[int, str]]) -> bool:
    one, two = panel.layout.footprints[a].part, panel.layout.footprints[b].part
    in_one, in_two = (r.index[r.depth > SAME_MM] for r in (panel.footprints[a], panel.footprints[b]))
    mine = [i for i in np.intersect1d(in_one, in_two).tolist() if panel.sources[i] & {one, two}]
    return bool(mine) and all(
        all(part in panel.sources[i] or (i, part) in served for part in (one, two)) for i in mine
    )


def parts_on_panel(panel: PanelView, thickness_mm: Mapping[str, float], mend: Moves) -> Iterator[Finding]:
    """Parts that reach past the outline or lie on an obstacle or a bead."""
    layout: PanelLayout = panel.layout
    outline = panel.outline.shape
    for footprint, region in zip(layout.footprints, panel.footprints, strict=True):
        outside = region.shape.difference(outline)
        if outside.area >= OVERLAP_MM2:
            reach = float(shapely.distance(outline, shapely.points(shapely.get_coordinates(outside))).max())
            yield finding(
                PART_OFF_PANEL,
                Severity.WARN,
                f"panel:{layout.panel} part {footprint.part}",
                value=reach,
                limit=0.0,
                advice=mend.part(footprint.part, f"at least {more(reach)} into the panel"),
                proposals=mend.part_moves(footprint.part),
            )
    if not (layout.footprints and layout.keepouts):
        return
    tree = shapely.STRtree([r.shape for r in panel.keepouts])
    shapes = [r.shape for r in panel.footprints]
    for f, k in tree.query(shapes, predicate="intersects").T.tolist():
        footprint, keepout = layout.footprints[f], layout.keepouts[k]
        known = footprint.part in thickness_mm
        sheet = sheet_mm(footprint, thickness_mm)
        if not lifts(keepout, footprint, sheet):
            continue
        common = shapes[f].intersection(panel.keepouts[k].shape)
        if common.area < OVERLAP_MM2:
            continue
        # what rests on an assumed thickness alone must not hold back files
        sure = not keepout.bead and (known or keepout.gap_mm <= SAME_MM)
        yield finding(
            PART_ON_OBSTACLE,
            Severity.FAIL if sure else Severity.WARN,
            f"panel:{layout.panel} part {footprint.part} and {keepout.name}, {footprint.face} face",
            value=keepout.gap_mm,
            found=f"{mm(keepout.gap_mm)} of air",
            limit=sheet,
            advice=mend.part(
                footprint.part, f"about {more(_overlap_width(common))} off the {keepout.reason}"
            ),
            proposals=mend.part_moves(footprint.part),
        )
