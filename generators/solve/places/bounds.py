"""The rules for holes of a panel as regions: where one more hole may be, and how far along a line."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

import shapely
from shapely.geometry import LineString, Point, Polygon

from generators.geometry.contours import polyline
from generators.model.hose_path import Point2
from generators.model.hose_results import Ring
from generators.model.limits import Limits
from generators.model.plan import PanelHole, PanelLayout
from generators.routing.regions import Bound, polygon, rings

OUTLINE_MM = 0.5


def hole_bounds(
    layout: PanelLayout, hole: PanelHole, limits: Limits, own: Collection[str] = ()
) -> Iterator[Bound]:
    """The panel's rules for one more hole, as regions it must stay in or out of.

    ``own`` are numbers of holes that move with it and so do not hold it.
    """
    across = hole.final_dia_mm
    outline = Polygon(polyline(layout.contour, OUTLINE_MM))
    edge = max(limits.hole_edge_ratio * across, across / 2 + limits.fold_clearance_mm)
    room = max(hole.nut_circle_mm, hole.spanner_circle_mm, across) / 2
    for ring in rings(outline.buffer(-max(edge, room), join_style="mitre")):
        yield Bound(name="edge of the panel", ring=ring)
    for other in layout.holes:
        if other.number == hole.number or other.number in own:
            continue
        apart = max(
            limits.hole_spacing_ratio * max(across, other.final_dia_mm),
            room + max(other.nut_circle_mm, other.final_dia_mm) / 2,
        )
        for ring in rings(Point(other.u_mm, other.v_mm).buffer(apart)):
            yield Bound(name=f"hole {other.number}", ring=ring, inside=False)
    for keepout in layout.keepouts:
        grown = Polygon(polyline(keepout.contour, OUTLINE_MM)).buffer(room + 1.0)
        for ring in rings(grown):
            yield Bound(name=keepout.name, ring=ring, inside=False)
    for footprint in layout.footprints:
        grown = Polygon(polyline(footprint.contour, OUTLINE_MM)).buffer(room + 1.0)
        for ring in rings(grown):
            yield Bound(name=footprint.part, ring=ring, inside=False)


def forbidden(bounds: Sequence[Bound], start: Point2, end: Point2) -> Iterator[tuple[str, float, float]]:
    """Stretches of a line that the bounds of a hole rule out: name, and from where to where, mm along."""
    line = LineString([start, end])
    kept: dict[str, list[Polygon]] = {}
    for bound in bounds:
        if bound.inside:
            kept.setdefault(bound.name, []).append(polygon(bound.ring))
        else:
            yield from _stretches(bound.name, line.intersection(polygon(bound.ring)), start)
    for name, shapes in kept.items():
        yield from _stretches(name, line.difference(shapely.union_all(shapes)), start)


def _stretches(name: str, shape: shapely.Geometry, start: Point2) -> Iterator[tuple[str, float, float]]:
    for piece in shapely.get_parts(shape):
        if isinstance(piece, LineString) and piece.length > 0:
            along = [math.dist(start, point) for point in piece.coords]
            yield name, min(along), max(along)


def strip(name: str, share: float, low_mm: float, high_mm: float, big_mm: float) -> Bound:
    """Places (first, last) of a row whose clamp at ``share`` lies between ``low`` and ``high``: ruled out.

    The clamp is at (1 - share) first + share last. ``big_mm`` is longer than any line.
    """
    a, b = 1.0 - share, share
    size = a * a + b * b
    corners = [
        (value * a / size + way * big_mm * b, value * b / size - way * big_mm * a)
        for value, way in ((low_mm, -1.0), (low_mm, 1.0), (high_mm, 1.0), (high_mm, -1.0))
    ]
    return Bound(name=name, ring=Ring(outer=tuple(corners)), inside=False)
