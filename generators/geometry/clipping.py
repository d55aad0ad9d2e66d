"""An outline cut off along a straight line of constant u."""

from __future__ import annotations

import itertools
import math

from generators.errors import GeometryFault
from generators.geometry.contours import MIN_SEGMENT_MM, arc_of, segments, tidy
from generators.model.contour import Contour, Vertex


def clipped(contour: Contour, u_mm: float, *, keep_above: bool) -> Contour:
    """The part of a counter-clockwise outline with u above (or below) ``u_mm``, exact in lines and arcs.

    Raises ``GeometryFault`` when the line cuts it into several pieces or leaves nothing.
    """
    side = 1.0 if keep_above else -1.0
    pieces = [piece for a, b in segments(contour) for piece in _split(a, b, u_mm)]
    kept = [side * (_middle(a, b) - u_mm) > -MIN_SEGMENT_MM for a, b in pieces]
    gaps = sum(1 for i, here in enumerate(kept) if here and not kept[i - 1])
    if not any(kept):
        raise GeometryFault("a relief leaves nothing of a flange")
    if gaps > 1:
        raise GeometryFault("a relief cuts a flange in two")
    out: list[Vertex] = []
    for i, (a, b) in enumerate(pieces):
        if not kept[i]:
            continue
        out.append(a)
        if not kept[(i + 1) % len(kept)]:
            out.append(Vertex(b.u, b.v))  # from here straight along the line
    return tidy(out)


def _split(a: Vertex, b: Vertex, u_mm: float) -> list[tuple[Vertex, Vertex]]:
    """A side in pieces that do not cross the line."""
    if a.bulge == 0:
        if (a.u - u_mm) * (b.u - u_mm) >= 0 or min(abs(a.u - u_mm), abs(b.u - u_mm)) < MIN_SEGMENT_MM:
            return [(a, b)]
        share = (u_mm - a.u) / (b.u - a.u)
        cut = Vertex(u_mm, a.v + share * (b.v - a.v))
        return [(a, cut), (cut, b)]
    arc = arc_of(a, b)
    if abs(u_mm - arc.cu) >= arc.radius:
        return [(a, b)]
    turn = math.acos((u_mm - arc.cu) / arc.radius)
    sign = math.copysign(1.0, arc.sweep)
    shares = sorted(((angle - arc.start) * sign) % (2 * math.pi) / abs(arc.sweep) for angle in (turn, -turn))
    ends = [0.0, *(s for s in shares if 1e-9 < s < 1 - 1e-9), 1.0]
    bulges = [math.tan(arc.sweep * (t - s) / 4) for s, t in itertools.pairwise(ends)]
    angles = [arc.start + arc.sweep * s for s in ends[1:-1]]
    middle = [(arc.cu + arc.radius * math.cos(t), arc.cv + arc.radius * math.sin(t)) for t in angles]
    points = [(a.u, a.v), *middle, (b.u, b.v)]
    return [(Vertex(*p, bulge), Vertex(*q)) for p, q, bulge in zip(points, points[1:], bulges, strict=False)]


def _middle(a: Vertex, b: Vertex) -> float:
    """u of the middle of a piece."""
    if a.bulge == 0:
        return (a.u + b.u) / 2
    arc = arc_of(a, b)
    return arc.cu + arc.radius * math.cos(arc.start + arc.sweep / 2)
