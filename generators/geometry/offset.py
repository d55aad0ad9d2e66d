"""The path of a cutter beside an outline: the outline moved out by the same distance everywhere.

Straight sides move along their normals, arcs change their radius about the same centre. At a corner that
turns left the path runs round it on an arc, at one that turns right it is cut off where the two moved
pieces meet: the boundary of all points within the distance of the outline's inside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.geometry.contours import MIN_SEGMENT_MM, Arc, Point, arc_of, segments, tidy
from generators.model.contour import Contour, Vertex

SAME_DIRECTION = 1e-9


@dataclass(frozen=True, slots=True)
class _Piece:
    """A moved side: its ends and, for an arc, centre, radius and the sign of its turn."""

    start: Point
    end: Point
    centre: Point | None
    radius: float
    turn: float
    leaving: Point
    arriving: Point


def offset_outward(contour: Contour, distance_mm: float) -> Contour:
    """A counter-clockwise outline moved outward by ``distance_mm`` > 0, exact in lines and arcs.

    Raises ``GeometryFault`` when a notch or an inside corner is too narrow for it.
    """
    sides = list(segments(contour))
    pieces = [_moved(a, b, distance_mm) for a, b in sides]
    count = len(pieces)
    starts = [p.start for p in pieces]
    ends = [p.end for p in pieces]
    joins: list[float] = [0.0] * count
    for i, one in enumerate(pieces):
        j = (i + 1) % count
        two = pieces[j]
        cross = one.arriving[0] * two.leaving[1] - one.arriving[1] * two.leaving[0]
        dot = one.arriving[0] * two.leaving[0] + one.arriving[1] * two.leaving[1]
        if abs(cross) < SAME_DIRECTION and dot > 0:
            continue
        if cross > 0 or (dot < 0 and abs(cross) < SAME_DIRECTION):
            joins[i] = math.tan(math.atan2(cross, dot) / 4)
            continue
        corner = sides[i][1]
        ends[i] = starts[j] = _meeting(one, two, (corner.u, corner.v))
    out: list[Vertex] = []
    for i, piece in enumerate(pieces):
        out.append(Vertex(*starts[i], _bulge(piece, starts[i], ends[i])))
        if joins[i]:
            out.append(Vertex(*ends[i], joins[i]))
    return tidy(out)


def _moved(a: Vertex, b: Vertex, distance: float) -> _Piece:
    if a.bulge == 0:
        length = math.hypot(b.u - a.u, b.v - a.v)
        du, dv = (b.u - a.u) / length, (b.v - a.v) / length
        nu, nv = dv * distance, -du * distance
        along = (du, dv)
        return _Piece((a.u + nu, a.v + nv), (b.u + nu, b.v + nv), None, 0.0, 0.0, along, along)
    arc = arc_of(a, b)
    turn = math.copysign(1.0, arc.sweep)
    radius = arc.radius + turn * distance
    if radius < MIN_SEGMENT_MM:
        raise GeometryFault(
            f"an inside radius of {arc.radius:.3f} mm leaves no path {distance:.3f} mm beside it"
        )
    ends = (arc.start, arc.start + arc.sweep)
    (start, end) = ((arc.cu + radius * math.cos(t), arc.cv + radius * math.sin(t)) for t in ends)
    (leaving, arriving) = ((-turn * math.sin(t), turn * math.cos(t)) for t in ends)
    return _Piece(start, end, (arc.cu, arc.cv), radius, turn, leaving, arriving)


def _meeting(one: _Piece, two: _Piece, corner: Point) -> Point:
    """Where two moved pieces cross nearest to the corner between them. Raises ``GeometryFault``."""
    if one.centre is None and two.centre is None:
        found = [_line_line(one, two)]
    elif one.centre is not None and two.centre is not None:
        found = _circle_circle(one.centre, one.radius, two.centre, two.radius)
    else:
        line, arc = (one, two) if one.centre is None else (two, one)
        found = _line_circle(line, arc)
    if not found:
        raise GeometryFault(f"no path runs past the inside corner at ({corner[0]:.3f}, {corner[1]:.3f})")
    return min(found, key=lambda p: math.dist(p, corner))


def _line_line(one: _Piece, two: _Piece) -> Point:
    (du, dv), (eu, ev) = one.leaving, two.leaving
    cross = du * ev - dv * eu
    wu, wv = two.start[0] - one.start[0], two.start[1] - one.start[1]
    along = (wu * ev - wv * eu) / cross
    return one.start[0] + along * du, one.start[1] + along * dv


def _line_circle(line: _Piece, arc: _Piece) -> list[Point]:
    assert arc.centre is not None
    du, dv = line.leaving
    wu, wv = arc.centre[0] - line.start[0], arc.centre[1] - line.start[1]
    foot = wu * du + wv * dv
    away = wu * dv - wv * du
    square = arc.radius**2 - away**2
    if square < 0:
        return []
    half = math.sqrt(square)
    return [(line.start[0] + s * du, line.start[1] + s * dv) for s in (foot - half, foot + half)]


def _circle_circle(a: Point, ra: float, b: Point, rb: float) -> list[Point]:
    apart = math.dist(a, b)
    if apart < MIN_SEGMENT_MM:
        return []
    along = (apart**2 + ra**2 - rb**2) / (2 * apart)
    square = ra**2 - along**2
    if square < 0:
        return []
    half = math.sqrt(square)
    du, dv = (b[0] - a[0]) / apart, (b[1] - a[1]) / apart
    return [(a[0] + along * du - s * dv, a[1] + along * dv + s * du) for s in (half, -half)]


def _bulge(piece: _Piece, start: Point, end: Point) -> float:
    """Bulge of a piece after its ends were cut off. Raises ``GeometryFault`` when nothing is left."""
    vanished = GeometryFault("a side is too short for the path beside it")
    if piece.centre is None:
        run = (end[0] - start[0]) * piece.leaving[0] + (end[1] - start[1]) * piece.leaving[1]
        if run < -MIN_SEGMENT_MM:
            raise vanished
        return 0.0
    before = _sweep(piece, piece.start, piece.end)
    after = _sweep(piece, start, end)
    if after > before + 1e-6:  # cut off at both ends by more than there was
        raise vanished
    return piece.turn * math.tan(after / 4)


def _sweep(piece: _Piece, start: Point, end: Point) -> float:
    assert piece.centre is not None
    arc = Arc(
        *piece.centre, piece.radius, math.atan2(start[1] - piece.centre[1], start[0] - piece.centre[0]), 0.0
    )
    to = math.atan2(end[1] - piece.centre[1], end[0] - piece.centre[0])
    turn = (to - arc.start) * piece.turn % (2 * math.pi)
    # a whole turn less a rounding error is none at all
    return 0.0 if turn > 2 * math.pi - 1e-9 else turn
