"""Rounding the corners of an outline that is there already."""

from __future__ import annotations

import math
from collections.abc import Container

from generators.errors import GeometryFault
from generators.geometry.contours import tidy
from generators.model.contour import Contour, Vertex

STRAIGHT_RAD = math.radians(0.5)
ROUNDING_MM = 1e-9


def convex_corners(contour: Contour) -> list[int]:
    """Indices of the vertices where two straight sides meet and the outline turns left."""
    found = []
    v = contour.vertices
    for i, b in enumerate(v):
        a, c = v[i - 1], v[(i + 1) % len(v)]
        if a.bulge == 0 and b.bulge == 0 and _turn(a, b, c) > STRAIGHT_RAD:
            found.append(i)
    return found


def _turn(a: Vertex, b: Vertex, c: Vertex) -> float:
    return math.remainder(math.atan2(c.v - b.v, c.u - b.u) - math.atan2(b.v - a.v, b.u - a.u), 2 * math.pi)


def round_corners(contour: Contour, corners: Container[int], radius_mm: float) -> Contour:
    """The outline with the vertices at these indices (of ``convex_corners``) rounded.

    Raises ``GeometryFault`` saying the largest radius, when a side is too short for it.
    """
    v = contour.vertices
    count = len(v)
    # a corner of turn a takes r tan(a/2) of both its sides
    per_mm = [
        math.tan(_turn(v[i - 1], p, v[(i + 1) % count]) / 2) if i in corners else 0.0 for i, p in enumerate(v)
    ]
    largest = math.inf
    for i, p in enumerate(v):
        after = (i + 1) % count
        need = per_mm[i] + per_mm[after]
        if need:
            largest = min(largest, math.hypot(v[after].u - p.u, v[after].v - p.v) / need)
    if radius_mm > largest + ROUNDING_MM:
        raise GeometryFault(
            f"a side is too short for corners of {radius_mm:g} mm; {_down(largest):g} mm is the most"
        )
    out: list[Vertex] = []
    for i, p in enumerate(v):
        if not per_mm[i]:
            out.append(p)
            continue
        a, c = v[i - 1], v[(i + 1) % count]
        back = per_mm[i] * radius_mm
        into, away = math.hypot(p.u - a.u, p.v - a.v), math.hypot(c.u - p.u, c.v - p.v)
        bulge = math.tan(_turn(a, p, c) / 4)
        out.append(Vertex(p.u - (p.u - a.u) / into * back, p.v - (p.v - a.v) / into * back, bulge))
        out.append(Vertex(p.u + (c.u - p.u) / away * back, p.v + (c.v - p.v) / away * back))
    return tidy(out)


def _down(value: float) -> float:
    """To two decimals, never more than it is."""
    return math.floor(value * 100 + 1e-6) / 100
