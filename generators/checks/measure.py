"""Distances to outlines, exact for straight lines and arcs; only inside or outside is from a polygon.

Many points against one outline are numpy arrays; the few openings of a part are plain floats.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import Arc, arc_of, polyline, segments
from generators.model.contour import Contour, Vertex

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Point = tuple[float, float]
Segment = tuple[Vertex, Vertex]
TOLERANCE_MM = 0.005
"""A polygon stays within this of the outline it stands for."""


@lru_cache(maxsize=1024)
def shape_of(contour: Contour) -> Polygon:
    """The outline as a shapely polygon, arcs within ``TOLERANCE_MM``; kept, since many rules ask for it."""
    return Polygon(np.array(polyline(contour, TOLERANCE_MM)))


def area_of(contour: Contour) -> BaseGeometry:
    """The same, mended where the outline crosses itself, so that areas can be cut and joined."""
    shape = shape_of(contour)
    return shape if shape.is_valid else shapely.make_valid(shape)


def line_distance(u: Floats, v: Floats, a: Point, b: Point) -> Floats:
    """Distance of points from the line piece ``a`` to ``b``, mm."""
    du, dv = b[0] - a[0], b[1] - a[1]
    square = du * du + dv * dv
    along = np.clip(((u - a[0]) * du + (v - a[1]) * dv) / square, 0.0, 1.0) if square else np.zeros_like(u)
    out: Floats = np.hypot(u - a[0] - along * du, v - a[1] - along * dv)
    return out


def _in_sweep(arc: Arc, angle: Floats) -> NDArray[np.bool_]:
    turn = (angle - arc.start) if arc.sweep > 0 else (arc.start - angle)
    inside: NDArray[np.bool_] = np.mod(turn, 2 * math.pi) <= abs(arc.sweep)
    return inside


def boundary_distance(u: Floats, v: Floats, pieces: Iterable[Segment]) -> Floats:
    """Distance of points from the nearest of the outline pieces, mm; infinite when there are none."""
    best: Floats = np.full(u.shape, np.inf)
    for a, b in pieces:
        if a.bulge == 0:
            best = np.minimum(best, line_distance(u, v, (a.u, a.v), (b.u, b.v)))
            continue
        arc = arc_of(a, b)
        ends = np.minimum(np.hypot(u - a.u, v - a.v), np.hypot(u - b.u, v - b.v))
        on = _in_sweep(arc, np.arctan2(v - arc.cv, u - arc.cu))
        rim = np.abs(np.hypot(u - arc.cu, v - arc.cv) - arc.radius)
        best = np.minimum(best, np.where(on, rim, ends))
    return best


def depth_inside(u: Floats, v: Floats, contour: Contour, shape: BaseGeometry | None = None) -> Floats:
    """How deep points lie inside an outline, mm; negative is how far outside."""
    shape = shape_of(contour) if shape is None else shape
    shapely.prepare(shape)
    distance = boundary_distance(u, v, segments(contour))
    return np.where(shapely.contains_xy(shape, u, v), distance, -distance)


def _point_to_line(p: Point, a: Point, b: Point) -> float:
    du, dv = b[0] - a[0], b[1] - a[1]
    square = du * du + dv * dv
    along = min(1.0, max(0.0, ((p[0] - a[0]) * du + (p[1] - a[1]) * dv) / square)) if square else 0.0
    return math.hypot(p[0] - a[0] - along * du, p[1] - a[1] - along * dv)


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def line_to_line(a: Point, b: Point, c: Point, d: Point) -> float:
    """Distance between the line pieces ``ab`` and ``cd``, mm; either may be a point."""
    if _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0:
        return 0.0
    return min(
        _point_to_line(a, c, d), _point_to_line(b, c, d), _point_to_line(c, a, b), _point_to_line(d, a, b)
    )


def _point_to_arc(p: Point, arc: Arc, a: Point, b: Point) -> float:
    angle = np.array(math.atan2(p[1] - arc.cv, p[0] - arc.cu))
    if bool(_in_sweep(arc, angle)):
        return abs(math.hypot(p[0] - arc.cu, p[1] - arc.cv) - arc.radius)
    return min(math.dist(p, a), math.dist(p, b))


def _line_to_arc(p: Point, q: Point, piece: Segment) -> float:
    """The nearest points are ends, or the foot of the centre on the line, or a crossing."""
    a, b = (piece[0].u, piece[0].v), (piece[1].u, piece[1].v)
    arc = arc_of(*piece)
    best = min(_point_to_arc(p, arc, a, b), _point_to_arc(q, arc, a, b))
    length = math.dist(p, q)
    if length == 0:
        return best
    best = min(best, _point_to_line(a, p, q), _point_to_line(b, p, q))
    du, dv = (q[0] - p[0]) / length, (q[1] - p[1]) / length
    foot = (arc.cu - p[0]) * du + (arc.cv - p[1]) * dv
    away = math.hypot(p[0] + foot * du - arc.cu, p[1] + foot * dv - arc.cv)
    half = math.sqrt(max(0.0, arc.radius**2 - away**2))
    for along in (foot, foot - half, foot + half):
        if 0 < along < length:
            best = min(best, _point_to_arc((p[0] + along * du, p[1] + along * dv), arc, a, b))
    return best


def spine_distance(p: Point, q: Point, pieces: Iterable[Segment]) -> float:
    """Distance of the line piece ``pq`` from the nearest outline piece, mm; infinite without any."""
    return min(
        (
            _line_to_arc(p, q, piece)
            if piece[0].bulge
            else line_to_line(p, q, (piece[0].u, piece[0].v), (piece[1].u, piece[1].v))
            for piece in pieces
        ),
        default=math.inf,
    )


def near_pairs(u: Floats, v: Floats, reach: Floats) -> tuple[Ints, Ints, Floats]:
    """Pairs ``i < j`` of points whose reaches may meet, and their distance in mm.

    Every pair nearer than ``reach[i] + reach[j]`` is among them. Boxes in a tree: near-linear
    while each point has few neighbours.
    """
    if len(u) < 2:
        return np.empty(0, dtype=np.intp), np.empty(0, dtype=np.intp), np.empty(0)
    boxes = shapely.box(u - reach, v - reach, u + reach, v + reach)
    first, second = shapely.STRtree(boxes).query(boxes)
    keep = first < second
    first, second = first[keep], second[keep]
    order = np.lexsort((second, first))
    i, j = first[order], second[order]
    return i, j, np.hypot(u[i] - u[j], v[i] - v[j])
