"""How far a flange reaches from its bends, worked out from its outline: for readers of bent parts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generators.geometry.contours import polyline
from generators.model.plan import Bend, Flange

Point = tuple[float, float]

CHORD_MM = 0.001
OPPOSITE = 1e-6


def tangent(flange: Flange, bend: Bend) -> tuple[Point, Point]:
    """Both ends of a bend's tangent line on one of its flanges, the flange on the left."""
    if flange.name == bend.child:
        return (0.0, 0.0), (math.dist(bend.start, bend.end), 0.0)
    return bend.start, bend.end


def reach(flange: Flange, bend: Bend) -> float:
    """From a bend's tangent line to the farthest point of the flange, mm."""
    line = tangent(flange, bend)
    return max(_off(line, point) for point in polyline(flange.contour, CHORD_MM))


def span(flange: Flange, own: Sequence[Bend]) -> float | None:
    """Flat length of a flange from its only bend, or between two on opposite sides; else ``None``."""
    if len(own) == 1:
        return reach(flange, own[0])
    if len(own) != 2:
        return None
    one, other = tangent(flange, own[0]), tangent(flange, own[1])
    first, second = _heading(one), _heading(other)
    if math.dist(first, (-second[0], -second[1])) > OPPOSITE:
        return None
    return _off(one, ((other[0][0] + other[1][0]) / 2, (other[0][1] + other[1][1]) / 2))


def outside(flange: Flange, own: Sequence[Bend], thickness_mm: float) -> float | None:
    """The same to where the outside faces meet: (R + t) tan(A/2) more at each bend (AC 43.13-1B 4-56)."""
    flat = span(flange, own)
    if flat is None:
        return None
    return flat + sum((b.inside_radius_mm + thickness_mm) * math.tan(b.angle_rad / 2) for b in own)


def _heading(line: tuple[Point, Point]) -> Point:
    length = math.dist(*line)
    return (line[1][0] - line[0][0]) / length, (line[1][1] - line[0][1]) / length


def _off(line: tuple[Point, Point], point: Point) -> float:
    (eu, ev), (u, v) = _heading(line), line[0]
    return eu * (point[1] - v) - ev * (point[0] - u)
