"""Exact measures of outlines made of lines and arcs, and ways to build them.

A segment with bulge ``b`` sweeps ``4 atan b``; for chord ``c`` its radius is
``c (1 + b²) / (4 |b|)`` (DXF reference, LWPOLYLINE).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.contour import Contour, Vertex

Point = tuple[float, float]
MIN_SEGMENT_MM = 1e-6
QUARTER_BULGE = math.tan(math.pi / 8)


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc: centre, radius (mm), start angle and signed sweep (rad)."""

    cu: float
    cv: float
    radius: float
    start: float
    sweep: float


def segments(contour: Contour) -> Iterable[tuple[Vertex, Vertex]]:
    """Each vertex with the next one, closing the loop."""
    vertices = contour.vertices
    return zip(vertices, (*vertices[1:], vertices[0]), strict=True)


def arc_of(a: Vertex, b: Vertex) -> Arc:
    """The arc from ``a`` to ``b``; ``a.bulge`` must not be 0."""
    chord = math.hypot(b.u - a.u, b.v - a.v)
    radius = chord * (1 + a.bulge**2) / (4 * abs(a.bulge))
    # distance of the centre to the left of the chord's middle
    offset = chord * (1 - a.bulge**2) / (4 * a.bulge)
    du, dv = (b.u - a.u) / chord, (b.v - a.v) / chord
    cu = (a.u + b.u) / 2 - dv * offset
    cv = (a.v + b.v) / 2 + du * offset
    return Arc(cu, cv, radius, math.atan2(a.v - cv, a.u - cu), 4 * math.atan(a.bulge))


def arc_middle(a: Vertex, b: Vertex) -> Point:
    """The point half-way along the arc from ``a`` to ``b``."""
    arc = arc_of(a, b)
    middle = arc.start + arc.sweep / 2
    return arc.cu + arc.radius * math.cos(middle), arc.cv + arc.radius * math.sin(middle)


def area(contour: Contour) -> float:
    """Signed area in mm², positive counter-clockwise: shoelace plus the arcs' segments."""
    total = 0.0
    for a, b in segments(contour):
        total += (a.u * b.v - b.u * a.v) / 2
        if a.bulge:
            arc = arc_of(a, b)
            total += arc.radius**2 * (arc.sweep - math.sin(arc.sweep)) / 2
    return total


def perimeter(contour: Contour) -> float:
    """Length of the outline in mm."""
    total = 0.0
    for a, b in segments(contour):
        if a.bulge:
            arc = arc_of(a, b)
            total += arc.radius * abs(arc.sweep)
        else:
            total += math.hypot(b.u - a.u, b.v - a.v)
    return total


def polyline(contour: Contour, tolerance: float = 0.01) -> list[Point]:
    """Corners of a polygon whose sides stay within ``tolerance`` mm of the outline."""
    out: list[Point] = []
    for a, b in segments(contour):
        out.append((a.u, a.v))
        if a.bulge:
            arc = arc_of(a, b)
            step = (
                2 * math.acos(max(0.0, 1 - tolerance / arc.radius)) if tolerance < arc.radius else math.pi / 2
            )
            count = max(2, math.ceil(abs(arc.sweep) / step))
            for i in range(1, count):
                t = arc.start + arc.sweep * i / count
                out.append((arc.cu + arc.radius * math.cos(t), arc.cv + arc.radius * math.sin(t)))
    return out


def bounds(contour: Contour) -> tuple[float, float, float, float]:
    """``(u_min, v_min, u_max, v_max)``, arcs included exactly."""
    us = [p.u for p in contour.vertices]
    vs = [p.v for p in contour.vertices]
    for a, b in segments(contour):
        if not a.bulge:
            continue
        arc = arc_of(a, b)
        for quarter in range(4):
            angle = quarter * math.pi / 2
            turn = (
                (angle - arc.start) % (2 * math.pi)
                if arc.sweep > 0
                else -((arc.start - angle) % (2 * math.pi))
            )
            if abs(turn) <= abs(arc.sweep):
                us.append(arc.cu + arc.radius * math.cos(angle))
                vs.append(arc.cv + arc.radius * math.sin(angle))
    return min(us), min(vs), max(us), max(vs)


def transformed(contour: Contour, move: Placement) -> Contour:
    """The outline placed elsewhere; a mirror reverses it so that it stays counter-clockwise."""
    moved = [(*move.apply(p.u, p.v), p.bulge) for p in contour.vertices]
    if not move.mirror:
        return Contour(tuple(Vertex(*m) for m in moved))
    # walking backwards, each segment starts where it ended, and a reversed mirrored arc keeps its turn
    count = len(moved)
    back = []
    for i in range(count - 1, -1, -1):
        u, v, _ = moved[i]
        back.append(Vertex(u, v, moved[i - 1][2]))
    return Contour(tuple(back))


@dataclass(frozen=True, slots=True)
class Placement:
    """A rigid move in the plane: mirror u first (if ``mirror``), turn by ``angle``, then shift."""

    du: float = 0.0
    dv: float = 0.0
    angle: float = 0.0
    mirror: bool = False

    def apply(self, u: float, v: float) -> Point:
        """The image of ``(u, v)``."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        if self.mirror:
            u = -u
        return self.du + c * u - s * v, self.dv + s * u + c * v

    def inverse(self) -> Placement:
        """The move that undoes this one; a mirrored turn is its own reverse."""
        angle = self.angle if self.mirror else -self.angle
        du, dv = Placement(0.0, 0.0, angle, self.mirror).apply(self.du, self.dv)
        return Placement(-du, -dv, angle, self.mirror)


def polygon(points: Sequence[Point], radii: Sequence[float] | float = 0.0) -> Contour:
    """A counter-clockwise outline through ``points`` with corners rounded to ``radii`` mm.

    Raises ``GeometryFault`` when a side is too short for the radii at its ends.
    """
    count = len(points)
    each = [float(radii)] * count if isinstance(radii, int | float) else [float(r) for r in radii]
    setbacks: list[float] = []
    turns: list[float] = []
    for i, (p, r) in enumerate(zip(points, each, strict=True)):
        a, b = points[i - 1], points[(i + 1) % count]
        turn = math.remainder(
            math.atan2(b[1] - p[1], b[0] - p[0]) - math.atan2(p[1] - a[1], p[0] - a[0]), 2 * math.pi
        )
        turns.append(turn)
        setbacks.append(r * abs(math.tan(turn / 2)) if r else 0.0)
    vertices: list[Vertex] = []
    for i, p in enumerate(points):
        a, b = points[i - 1], points[(i + 1) % count]
        side = math.dist(p, b)
        need = setbacks[i] + setbacks[(i + 1) % count]
        if side < MIN_SEGMENT_MM or need > side + 1e-9:
            raise GeometryFault(f"a side of {side:.3f} mm cannot take corner radii that use {need:.3f} mm")
        if setbacks[i] < MIN_SEGMENT_MM:
            vertices.append(Vertex(*p))
            continue
        into, out = math.dist(a, p), side
        t = setbacks[i]
        enter = (p[0] - (p[0] - a[0]) / into * t, p[1] - (p[1] - a[1]) / into * t)
        leave = (p[0] + (b[0] - p[0]) / out * t, p[1] + (b[1] - p[1]) / out * t)
        vertices.append(Vertex(*enter, math.tan(turns[i] / 4)))
        vertices.append(Vertex(*leave))
    return tidy(vertices)


def tidy(vertices: Sequence[Vertex]) -> Contour:
    """Drop vertices that stand on the next one (two full corner radii meeting mid-side)."""
    kept: list[Vertex] = []
    for i, a in enumerate(vertices):
        b = vertices[(i + 1) % len(vertices)]
        if math.hypot(b.u - a.u, b.v - a.v) >= MIN_SEGMENT_MM:
            kept.append(a)
    return Contour(tuple(kept))


def rectangle(u0: float, v0: float, u1: float, v1: float, radius: float = 0.0) -> Contour:
    """A rectangle from corner to corner with all corners rounded."""
    return polygon([(u0, v0), (u1, v0), (u1, v1), (u0, v1)], radius)


def circle(cu: float, cv: float, diameter: float) -> Contour:
    """A circle as two half-turn arcs (bulge 1), the usual closed polyline form."""
    r = diameter / 2
    return Contour((Vertex(cu - r, cv, 1.0), Vertex(cu + r, cv, 1.0)))


def stadium(cu: float, cv: float, width: float, travel: float, angle: float) -> Contour:
    """A round-ended slot: ``travel`` between end centres, turned by ``angle`` (rad)."""
    c, s, h, r = math.cos(angle), math.sin(angle), travel / 2, width / 2
    corners = ((-h, -r, 0.0), (h, -r, 1.0), (h, r, 0.0), (-h, r, 1.0))
    return Contour(tuple(Vertex(cu + c * a - s * b, cv + s * a + c * b, bulge) for a, b, bulge in corners))


def counter_clockwise(contour: Contour) -> Contour:
    """The same outline walked counter-clockwise."""
    if area(contour) >= 0:
        return contour
    v = contour.vertices
    return Contour(tuple(Vertex(v[i].u, v[i].v, -v[i - 1].bulge) for i in range(len(v) - 1, -1, -1)))


FITS_MM = 1e-6


def fits_turned(
    width_mm: float, depth_mm: float, room_width_mm: float, room_depth_mm: float, *, square: bool = False
) -> bool:
    """True where a rectangle fits in another, turned by any angle; ``square``: by right angles only.

    With sides p >= q in a >= b: p <= a and q <= b, or q <= b and
    ``((a + b) / (p + q))² + ((a - b) / (p - q))² >= 2`` for p > a.
    Source: W. B. Carver, American Mathematical Monthly 64 (1957), from memory; tests try all angles.
    """
    p, q = max(width_mm, depth_mm), min(width_mm, depth_mm)
    a, b = max(room_width_mm, room_depth_mm), min(room_width_mm, room_depth_mm)
    if p <= a + FITS_MM and q <= b + FITS_MM:
        return True
    if square or q > b + FITS_MM or p - q < FITS_MM:
        return False
    return ((a + b) / (p + q)) ** 2 + ((a - b) / (p - q)) ** 2 >= 2 - FITS_MM
