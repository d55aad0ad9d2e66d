"""Where the openings of a blank are read from: an edge it can stand on, else one a caliper closes on.

Edge and far rim look the same way, so no caliper closes on them: the blank stands on that edge under a height
gauge. An edge that is too short to stand on is left for another one, named by the drawing's letters, to whose
outside and the near rim of the hole the jaws of a caliper go.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon

from generators.drawing.part.tables.corners import corners_of
from generators.geometry.contours import bounds, polyline, segments
from generators.sheetmetal.folding import FlatPattern

GAUGES = (
    (300.0, "height gauge, edge down"),
    (600.0, "height gauge 600, on edge"),
    (1000.0, "height gauge 1 m, on edge"),
)
"""How high height gauges read. Common practice, no source."""

CLAMPED = "height gauge, angle plate"
"""Where the edge is too short to stand on and no other can be had: the blank is clamped upright, that edge
level, and both are touched from the plate. Common practice, no source."""

STANDS_SHARE = 1 / 3
"""An edge is stood on that is so long of the blank's size that way, with the middle of the sheet over it.
Else the blank tips, or a burr under one end lifts its other side by more than three times as much. Ours."""

JAW_MM = 3.0
"""So far past a hole's middle an edge goes on either way, for a caliper's jaw. Common practice, no source."""

CHORD_MM, SAME_MM = 0.01, 1e-6
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class NearEdge:
    """An edge beside an opening: the corners at its ends, and how far off the opening's middle it is, mm.

    ``at_mm`` is how far it lies from the side of the blank that places are counted from.
    """

    letters: tuple[str, str]
    off_mm: float
    at_mm: float


def from_the_edge(length_mm: float) -> str:
    """What a far rim is measured with from an edge, mm: a rule does not read tenths."""
    return next((name for reach, name in GAUGES if length_mm <= reach), "square on that edge, tape")


def stood_on(flat: FlatPattern, axis: int) -> bool:
    """Whether the blank stands on its left (``axis`` 0) or lower side (1); feet in one line are one edge."""
    low = bounds(flat.contour)[axis]
    sides = [
        (p[1 - axis], q[1 - axis])
        for p, q in _straight(flat)
        if max(abs(p[axis] - low), abs(q[axis] - low)) < SAME_MM
    ]
    if not sides:
        return False
    first, last = min(min(s) for s in sides), max(max(s) for s in sides)
    middle = Polygon(polyline(flat.contour, CHORD_MM)).centroid
    size = bounds(flat.contour)[3 - axis] - bounds(flat.contour)[1 - axis]
    return first < (middle.y, middle.x)[axis] < last and last - first >= STANDS_SHARE * size


def near_edge(flat: FlatPattern, place: Point, axis: int) -> NearEdge | None:
    """The nearest straight edge square to ``axis`` with nothing but sheet from it to a place; None for none.

    Other openings may lie between: the beam of a caliper goes over them.
    """
    sheet = Polygon(polyline(flat.contour, CHORD_MM)).buffer(CHORD_MM)
    low = bounds(flat.contour)[axis]
    corners = corners_of(flat.contour)
    found: list[tuple[float, NearEdge]] = []
    straight = set(_straight(flat))
    for one, other in zip(corners, (*corners[1:], *corners[:1]), strict=True):
        p, q = one.leaves, other.enters
        if (p, q) not in straight or abs(p[axis] - q[axis]) > SAME_MM:
            continue
        ends = sorted((p[1 - axis], q[1 - axis]))
        if not ends[0] + JAW_MM <= place[1 - axis] <= ends[1] - JAW_MM:
            continue
        foot = (p[0], place[1]) if axis == 0 else (place[0], p[1])
        off = math.dist(foot, place)
        if sheet.covers(LineString([place, foot])):
            letters = (one.letter, other.letter)
            found.append((round(off, 6), NearEdge(letters=letters, off_mm=off, at_mm=p[axis] - low)))
    return min(found, key=lambda f: f[0])[1] if found else None


def _straight(flat: FlatPattern) -> list[tuple[Point, Point]]:
    return [((a.u, a.v), (b.u, b.v)) for a, b in segments(flat.contour) if not a.bulge]
