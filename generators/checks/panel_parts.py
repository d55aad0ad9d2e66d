"""PanelView rules about the parts that lie on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import shapely
from shapely.geometry import Polygon

from generators.checks.measure import area_of
from generators.checks.panel_view import BEAD, SAME_PLACE_MM, PanelView, on_face
from generators.checks.rule import SAME_MM, finding, mm, mm_up, more
from generators.checks.rules_panel import (
    FOOTPRINT_CLASH,
    HOLE_UNDER_PART,
    NUT_ON_FOOTPRINT,
    PART_OFF_PANEL,
    PART_ON_OBSTACLE,
)
from generators.model.findings import Finding, Severity
from generators.model.plan import PanelLayout

OVERLAP_MM2 = 0.05
"""Overlaps smaller than this come from arcs drawn as polygons and from edges that only touch."""

ASSUMED_SHEET_MM = 3.0


def holes_and_parts(panel: PanelView) -> Iterator[Finding]:
    """Nuts on the edge of a part, and holes a part covers."""
    served = _served(panel)
    for footprint, region in zip(panel.layout.footprints, panel.footprints, strict=True):
        part = footprint.part
        for i, depth in zip(region.index.tolist(), region.depth.tolist(), strict=True):
            if part in panel.sources[i]:
                continue
            where = f"{panel.hole(i)} and part {part}"
            nut = float(panel.nut[footprint.face][i]) if footprint.face in panel.nut else 0.0
            if abs(depth) < nut - SAME_MM:
                yield finding(
                    NUT_ON_FOOTPRINT,
                    Severity.WARN,
                    f"{where}, {footprint.face} face",
                    value=mm(abs(depth)),
                    limit=mm_up(nut),
                    advice=f"move hole {panel.number(i)} at least {more(nut - abs(depth))} "
                    f"away from the edge of {part}",
                )
            open_hole = panel.layout.holes[i].status != "blank"
            if open_hole and -depth < panel.radius[i] - SAME_MM and (i, part) not in served:
                yield finding(
                    HOLE_UNDER_PART,
                    Severity.FAIL if panel.used[i] else Severity.WARN,
                    f"{where}, {footprint.face} face",
                    value=f"{mm(depth)} inside",
                    limit=f"{mm_up(panel.radius[i])} outside",
                    advice=f"move hole {panel.number(i)} or {part} at least {more(panel.radius[i] + depth)} "
                    f"apart, or give {part} that hole",
                )


def _served(panel: PanelView) -> set[tuple[int, str]]:
    """(hole, part) where the hole lies within a hole of that part."""
    i, j = panel.first, panel.second
    slack = SAME_PLACE_MM
    out: set[tuple[int, str]] = set()
    for inner, outer in ((i, j), (j, i)):
        within = panel.apart + panel.radius[inner] <= panel.radius[outer] + slack
        for a, b in zip(inner[within].tolist(), outer[within].tolist(), strict=True):
            out |= {(a, part) for part in panel.sources[b]}
    return out


def footprints(panel: PanelView) -> Iterator[Finding]:
    """Parts that overlap on one face without sharing every hole of the overlap."""
    parts = panel.layout.footprints
    if len(parts) < 2:
        return
    shapes = [r.shape for r in panel.footprints]
    served: set[tuple[int, str]] | None = None
    for a, b in shapely.STRtree(shapes).query(shapes, predicate="intersects").T.tolist():
        one, two = parts[a], parts[b]
        if a >= b or not (on_face(one, two.face) or on_face(two, one.face)):
            continue
        common = shapes[a].intersection(shapes[b])
        if common.area < OVERLAP_MM2:
            continue
        served = _served(panel) if served is None else served
        if _all_shared(panel, a, b, served):
            continue
        yield finding(
            FOOTPRINT_CLASH,
            Severity.WARN,
            f"panel:{panel.layout.panel} parts {one.part} and {two.part}, {one.face} face",
            value=f"{common.area:.0f} mm² overlap",
            limit="no overlap, or all its holes shared",
            advice=f"move {one.part} and {two.part} about {more(_overlap_width(common))} apart, or give "
            "them the same holes",
        )


def _overlap_width(common: Polygon) -> float:
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


def parts_on_panel(panel: PanelView, thickness_mm: Mapping[str, float]) -> Iterator[Finding]:
    """Parts that reach past the outline or lie on an obstacle or a bead."""
    layout: PanelLayout = panel.layout
    outline = area_of(layout.contour)
    for footprint, region in zip(layout.footprints, panel.footprints, strict=True):
        outside = region.shape.difference(outline)
        if outside.area >= OVERLAP_MM2:
            reach = float(shapely.distance(outline, shapely.points(shapely.get_coordinates(outside))).max())
            yield finding(
                PART_OFF_PANEL,
                Severity.WARN,
                f"panel:{layout.panel} part {footprint.part}",
                value=mm(reach),
                limit=mm_up(0.0),
                advice=f"move {footprint.part} at least {more(reach)} into the panel",
            )
    if not (layout.footprints and layout.keepouts):
        return
    tree = shapely.STRtree([r.shape for r in panel.keepouts])
    shapes = [r.shape for r in panel.footprints]
    for f, k in tree.query(shapes, predicate="intersects").T.tolist():
        footprint, keepout = layout.footprints[f], layout.keepouts[k]
        known = footprint.part in thickness_mm
        sheet = thickness_mm.get(footprint.part, ASSUMED_SHEET_MM)
        bead = keepout.reason == BEAD
        if not on_face(keepout, footprint.face) or (keepout.gap_mm >= sheet - SAME_MM and not bead):
            continue
        common = shapes[f].intersection(panel.keepouts[k].shape)
        if common.area < OVERLAP_MM2:
            continue
        # what rests on an assumed thickness alone must not hold back files
        sure = not bead and (known or keepout.gap_mm <= SAME_MM)
        yield finding(
            PART_ON_OBSTACLE,
            Severity.FAIL if sure else Severity.WARN,
            f"panel:{layout.panel} part {footprint.part} and {keepout.name}, {footprint.face} face",
            value=f"{mm(keepout.gap_mm)} of air",
            limit=mm_up(sheet),
            advice=f"move {footprint.part} about {more(_overlap_width(common))} off the {keepout.reason}",
        )
