"""Slits of a finished sheet: one to each thing that stands within it, from its edge, through nothing else."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.geometry import Point as Spot

from generators.geometry.contours import polyline
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import Face
from generators.verify.pdf.content import Box, Content, Point
from generators.verify.pdf.template.pose import HOLE_MM, Pose

WORDS = "slit here"
UNDER_MM = 0.5
"""A thing nearer to the panel than this lets no paper under it."""

REACH_MM, WORDS_MM = 0.3, 14.0
MARK_MM = 4.0
"""Half the cross of a registration mark."""

SEEN_MM = 1.0
"""What comes nearer to the edge of a sheet may be cut from the edge."""


def slit_problems(
    page: Content, layout: PanelLayout, face: Face, pose: Pose, rim: Box, marks: Sequence[Point]
) -> Iterator[str]:
    """Things within the frame that nothing is slit to, and slits that cross a hole or a mark."""
    lines = [
        (s.points[0], s.points[1])
        for s in page.shapes
        if s.stroked and s.dashed and not s.filled and not s.curves and len(s.points) == 2
    ]
    said = [word for word in page.words if word.text.strip() == WORDS]
    areas = [a for a in _areas(layout, face, pose) if box(*rim).buffer(-SEEN_MM).contains(a)]
    used = 0
    for area in areas:
        found = next((line for line in lines if _joins(line, area, rim)), None)
        if found is None:
            if any(_clear(line, area, layout, pose, marks) for line in _straight(area, rim)):
                yield "has something standing in it and no slit to it"
            continue
        used += 1
        if not _clear(found, area, layout, pose, marks):
            yield "has a slit through a hole or a mark"
        least = min(math.dist(*line) for line in _straight(area, rim))
        if math.dist(*found) < least - REACH_MM:
            yield "has a slit that does not reach its edge"
        if not any(_near(word.box, found) for word in said):
            yield f"has a slit that does not say {WORDS!r}"
    # what touches the edge may have one as well, and nothing else
    touching = [a for a in _areas(layout, face, pose) if a not in areas and a.intersects(box(*rim))]
    if len(said) > used + len(touching):
        yield f"says {WORDS!r} and has nothing to be slit to"


def _areas(layout: PanelLayout, face: Face, pose: Pose) -> list[Polygon]:
    """What stands in the paper's way on this face, page mm; what touches is one."""
    outlines = [p.contour for p in layout.passing]
    for k in layout.keepouts:
        if k.face == face and not k.bead and not k.movable and k.gap_mm <= UNDER_MM:
            outlines.append(k.contour)
    shapes = [Polygon([pose.page(*p) for p in polyline(c, 0.05)]).buffer(0) for c in outlines]
    whole = shapely.unary_union(shapes)
    return [g for g in getattr(whole, "geoms", [whole]) if isinstance(g, Polygon) and not g.is_empty]


def _joins(line: tuple[Point, Point], area: Polygon, rim: Box) -> bool:
    """True for a line from the edge of the sheet to the outline."""
    edge = box(*rim).exterior
    return any(
        edge.distance(Spot(a)) <= HOLE_MM and area.exterior.distance(Spot(b)) <= REACH_MM
        for a, b in (line, line[::-1])
    )


def _straight(area: Polygon, rim: Box) -> Iterator[tuple[Point, Point]]:
    """The lines square to the edges of the sheet from the outline's corners."""
    for x, y in area.exterior.coords:
        yield (x, rim[1]), (x, y)
        yield (x, rim[3]), (x, y)
        yield (rim[0], y), (x, y)
        yield (rim[2], y), (x, y)


def _clear(
    line: tuple[Point, Point], area: Polygon, layout: PanelLayout, pose: Pose, marks: Sequence[Point]
) -> bool:
    """True where a line keeps off every mark, and off every hole its thing does not stand in."""
    way = LineString(line)
    if any(way.distance(Spot(mark)) < MARK_MM for mark in marks):
        return False
    for hole in layout.holes:
        ring = _ring(hole, pose)
        # one so near to the thing is cut into anyway
        if area.distance(ring) > 2 * UNDER_MM + 1.0 and way.distance(ring) <= 0.0:
            return False
    return True


def _ring(hole: PanelHole, pose: Pose) -> Polygon:
    a, b = (pose.page(*end) for end in hole.ends)
    return LineString([a, (b[0] + 1e-9, b[1])]).buffer(hole.final_dia_mm / 2)


def _near(at: Box, line: tuple[Point, Point]) -> bool:
    return box(*at).distance(LineString(line)) <= WORDS_MM
