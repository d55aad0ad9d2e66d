"""Outlines round circles and points, and what a set of half-planes leaves of an outline."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from generators.errors import GeometryFault
from generators.geometry.contours import MIN_SEGMENT_MM, Point, tidy
from generators.model.contour import Contour, Vertex

DIAGONALS = 4
"""Directions 1, 3, 5 and 7 of the eight at 45 deg."""

SAMPLES = 720
ON_ARC_MM = 1e-7

Circle = tuple[float, float, float]
"""Centre u, v and radius, mm."""


def clipped(corners: Sequence[Point], normal: Point, reach: float) -> list[Point]:
    """The part of a convex outline where ``normal · point <= reach`` (Sutherland and Hodgman)."""
    out: list[Point] = []
    for i, b in enumerate(corners):
        a = corners[i - 1]
        before = normal[0] * a[0] + normal[1] * a[1] - reach
        here = normal[0] * b[0] + normal[1] * b[1] - reach
        if (before < 0 < here) or (here < 0 < before):
            part = before / (before - here)
            out.append((a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])))
        if here <= 0:
            out.append(b)
    return out


def _support(circles: Iterable[Circle], turn: float) -> tuple[Point, float]:
    normal = math.cos(turn), math.sin(turn)
    return normal, max(u * normal[0] + v * normal[1] + r for u, v, r in circles)


def box_round(circles: Sequence[Circle]) -> list[Point]:
    """The smallest rectangle along u and v that holds the circles, counter-clockwise."""
    low_u, high_u = min(u - r for u, _, r in circles), max(u + r for u, _, r in circles)
    low_v, high_v = min(v - r for _, v, r in circles), max(v + r for _, v, r in circles)
    return [(low_u, low_v), (high_u, low_v), (high_u, high_v), (low_u, high_v)]


def cropped_round(circles: Sequence[Circle], least_crop_mm: float) -> list[Point]:
    """The same rectangle with corners cropped at 45 deg to the circles, where a crop is long enough.

    Up to eight sides, all of them tangent to a circle; still convex.
    """
    corners = box_round(circles)
    for quarter in range(DIAGONALS):
        normal, reach = _support(circles, math.pi / 4 + quarter * math.pi / 2)
        cut = clipped(corners, normal, reach)
        # the crop is the one side that lies on the new line
        crop = [p for p in cut if abs(normal[0] * p[0] + normal[1] * p[1] - reach) < 1e-9]
        if len(crop) == 2 and math.dist(*crop) >= least_crop_mm:
            corners = cut
    return corners


def _hull(points: Sequence[Point]) -> BaseGeometry:
    # a MultiPoint of pairs makes an object of each first, which takes longer than the hull
    cloud = shapely.multipoints(np.array(points))
    assert isinstance(cloud, MultiPoint)
    return cloud.convex_hull


def hull_round(points: Sequence[Point], disc: Circle) -> Contour:
    """The convex outline round points and a circle, counter-clockwise: straight sides tangent to its arcs.

    Raises ``GeometryFault`` when nothing but the circle is left of it.
    """
    cu, cv, radius = disc
    samples = [
        (cu + radius * math.cos(math.tau * i / SAMPLES), cv + radius * math.sin(math.tau * i / SAMPLES))
        for i in range(SAMPLES)
    ]
    hull = _hull([*points, *samples])
    if not isinstance(hull, Polygon):
        raise GeometryFault("points in one line make no outline")
    ring = [(float(u), float(v)) for u, v in hull.exterior.coords[:-1]]
    if not hull.exterior.is_ccw:
        ring.reverse()
    on_arc = [abs(math.dist(p, (cu, cv)) - radius) < ON_ARC_MM for p in ring]
    if all(on_arc):
        raise GeometryFault("nothing but the round end is left of the outline")
    first = on_arc.index(False)
    corners: list[Point | None] = []
    for i in range(len(ring)):
        k = (first + i) % len(ring)
        if not on_arc[k]:
            corners.append(ring[k])
        elif corners[-1] is not None:
            corners.append(None)  # a run of samples is one arc
    out: list[Vertex] = []
    for i, corner in enumerate(corners):
        if corner is not None:
            out.append(Vertex(*corner))
            continue
        before, after = corners[i - 1], corners[(i + 1) % len(corners)]
        assert before is not None
        assert after is not None
        start, end = _tangent(before, disc, -1.0), _tangent(after, disc, 1.0)
        sweep = math.atan2(end[1] - cv, end[0] - cu) - math.atan2(start[1] - cv, start[0] - cu)
        sweep %= math.tau
        if sweep < math.pi + 1:  # else the circle only touches the side
            out += [Vertex(*start, math.tan(sweep / 4)), Vertex(*end)]
    return tidy(out)


def _tangent(point: Point, disc: Circle, side: float) -> Point:
    """Where a line from a point touches a circle that it leaves to its left (-1) or right (1)."""
    cu, cv, radius = disc
    away = math.dist(point, (cu, cv))
    heading = math.atan2(cv - point[1], cu - point[0]) + side * math.asin(min(1.0, radius / away))
    run = math.sqrt(max(0.0, away * away - radius * radius))
    return point[0] + run * math.cos(heading), point[1] + run * math.sin(heading)


def hull_of_discs(discs: Sequence[Circle]) -> Contour:
    """The convex outline round circles, counter-clockwise: arcs and the tangents between them.

    The outward normal ``n`` of the tangent from one circle to the next has ``n . (c2 - c1) = r1 - r2``.
    Raises ``GeometryFault`` when one circle holds all others.
    """
    samples = [
        (cu + r * math.cos(math.tau * i / SAMPLES), cv + r * math.sin(math.tau * i / SAMPLES))
        for cu, cv, r in discs
        for i in range(SAMPLES)
    ]
    ring = _hull(samples)
    if not isinstance(ring, Polygon):
        raise GeometryFault("circles in one point make no outline")
    order: list[int] = []
    for u, v in orient(ring).exterior.coords[:-1]:
        own = min(range(len(discs)), key=lambda k: abs(math.dist((u, v), discs[k][:2]) - discs[k][2]))
        if not order or order[-1] != own:
            order.append(own)
    if len(order) > 1 and order[0] == order[-1]:
        order.pop()
    if len(order) == 1:
        raise GeometryFault("one circle holds all others")
    normals = []
    for one, other in zip(order, [*order[1:], order[0]], strict=True):
        (au, av, ar), (bu, bv, br) = discs[one], discs[other]
        along = math.atan2(bv - av, bu - au)
        normals.append(along - math.acos((ar - br) / math.dist((au, av), (bu, bv))))
    out = []
    for k, own in enumerate(order):
        cu, cv, r = discs[own]
        first, last = normals[k - 1], normals[k]
        sweep = (last - first) % math.tau
        if min(sweep, math.tau - sweep) * r < MIN_SEGMENT_MM:
            continue  # the side only touches it: circles in a row
        out.append(Vertex(cu + r * math.cos(first), cv + r * math.sin(first), math.tan(sweep / 4)))
        out.append(Vertex(cu + r * math.cos(last), cv + r * math.sin(last)))
    return Contour(tuple(out))
