"""Where the line of a bend is scribed on the blank: from a straight side that a rule or a square lies on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generators.drawing.paper.dimensions import number
from generators.drawing.part.tables.corners import Corner, Point
from generators.drawing.part.tables.datums import Datums
from generators.sheetmetal.folding import FlatBend

LEAST_SIDE_MM = 10.0
"""A side shorter than this holds no rule. Ours."""

ACROSS = 0.5
"""Cosine of the least angle, 60 degrees, at which a line may meet a side that finds its other end. Ours."""

BLUNT_RAD = math.radians(15)
"""A corner that turns less cannot be found on metal to half a millimetre. Ours."""

SAME_MM = 1e-6
PARALLEL = 1e-9


@dataclass(frozen=True, slots=True)
class _Side:
    """A straight side between two corners: both ends of it that are there, and its unit vector."""

    first: Corner
    second: Corner
    blunt: frozenset[str] = frozenset()
    """Letters of its corners that hardly turn."""

    @property
    def length(self) -> float:
        return math.dist(self.first.leaves, self.second.enters)

    @property
    def along(self) -> Point:
        (u0, v0), (u1, v1) = self.first.leaves, self.second.enters
        return (u1 - u0) / self.length, (v1 - v0) / self.length

    @property
    def name(self) -> str:
        return f"{self.first.letter}–{self.second.letter}"

    def inside(self, point: Point) -> float:
        """How far a point lies off the side, toward the sheet."""
        (u, v), (eu, ev) = self.first.leaves, self.along
        return eu * (point[1] - v) - ev * (point[0] - u)

    def reached(self, point: Point, start: Point) -> float:
        """How far along the side a point lies, from ``start``."""
        return (point[0] - start[0]) * self.along[0] + (point[1] - start[1]) * self.along[1]


def sides_of(corners: Sequence[Corner]) -> Iterator[_Side]:
    """The straight sides that are long enough for a rule."""
    sides = [_Side(a, b) for a, b in zip(corners, [*corners[1:], *corners[:1]], strict=True)]
    blunt = frozenset(
        after.first.letter
        for before, after in zip([*sides[-1:], *sides], sides, strict=False)
        if min(before.length, after.length) > SAME_MM and _turn(before, after) < BLUNT_RAD
    )
    yield from (replace(side, blunt=blunt) for side in sides if side.length >= LEAST_SIDE_MM)


def _turn(before: _Side, after: _Side) -> float:
    """The angle by which one side turns into the next, rad."""
    (a, b), (c, d) = before.along, after.along
    return abs(math.atan2(a * d - b * c, a * c + b * d))


def scribed(strip: FlatBend, datums: Datums, corners: Sequence[Corner]) -> tuple[str, str]:
    """Two cells: where the bend's middle line lies, and between which X or Y it runs.

    ``57.4 from a–b``: so far inside that side; ``54.49 along a–b``: square to that side, so far from its
    first corner; with ``, 26.83 along b–a`` where another side finds a second point of it, at its other end.
    Where no side serves, both ends: ``(X, Y)``, ``to (X, Y)``.
    """
    start, end = strip.middle
    level = abs(end[0] - start[0]) > abs(end[1] - start[1])
    at = _from_side(strip, corners) or _along_side(strip, corners)
    if not at:
        places = [(p[0] - datums.u_mm, p[1] - datums.v_mm) for p in (start, end)]
        cells = [f"({number(x)}, {number(y)})" for x, y in places]
        return cells[0], f"to {cells[1]}"
    ends = sorted(p[0] - datums.u_mm if level else p[1] - datums.v_mm for p in (start, end))
    return at, f"{'X' if level else 'Y'} {number(ends[0])} to {number(ends[1])}"


def _from_side(strip: FlatBend, corners: Sequence[Corner]) -> str:
    """From the longest side parallel to the line that lies beside it, the nearest of equals."""
    start, end = strip.middle
    span = math.dist(start, end)
    line = (end[0] - start[0]) / span, (end[1] - start[1]) / span
    best: tuple[float, float, str] | None = None
    for side in sides_of(corners):
        across = line[0] * side.along[1] - line[1] * side.along[0]
        far = side.inside(start)
        if abs(across) > PARALLEL or far < SAME_MM:
            continue
        # a rounded place of a short sloping side would throw the far line off
        square = min(map(abs, side.along)) < PARALLEL
        if not square and far > side.length:
            continue
        reach = sorted(side.reached(p, side.first.leaves) for p in (start, end))
        if min(reach[1], side.length) - max(reach[0], 0.0) < LEAST_SIDE_MM:
            continue
        rank = (round(side.length, 6), -round(far, 6), side.name)
        if best is None or rank[:2] > best[:2]:
            best = (*rank[:2], f"{number(far)} from {side.name}")
    return best[2] if best else ""


def _along_side(strip: FlatBend, corners: Sequence[Corner]) -> str:
    """Along the side nearest an end of the line that it meets square, drawn on; from its nearer corner."""
    start, end = strip.middle
    span = math.dist(start, end)
    line = (end[0] - start[0]) / span, (end[1] - start[1]) / span
    best: tuple[float, bool, float, str, float] | None = None
    for side in sides_of(corners):
        if abs(line[0] * side.along[0] + line[1] * side.along[1]) > PARALLEL:
            continue
        if min(map(abs, side.along)) > PARALLEL and span > side.length:
            continue
        if not 0 < side.reached(start, side.first.leaves) < side.length:
            continue
        gap = round(min(abs(side.inside(p)) for p in (start, end)), 6)
        lies = _met(side, start, line)
        for cell, far, blunt in _counted(side, start, line):
            rank = (gap, blunt, round(far, 6), cell, lies)
            best = rank if best is None or rank[:3] < best[:3] else best
    if best is None:
        return ""
    second = _second_point(strip, corners, best[4])
    return f"{best[3]}, {second}" if second else best[3]


def _met(side: _Side, start: Point, line: Point) -> float:
    """How far along a line from its start it meets a side, drawn on."""
    return side.inside(start) / (line[0] * side.along[1] - line[1] * side.along[0])


def _counted(side: _Side, start: Point, line: Point) -> Iterator[tuple[str, float, bool]]:
    """Where a line meets a side, from either corner that is a point of it; how far off, and whether blunt."""
    lies = _met(side, start, line)
    place = start[0] + line[0] * lies, start[1] + line[1] * lies
    for a, b in ((side.first, side.second), (side.second, side.first)):
        if not a.round:
            far = abs(side.reached(place, a.place))
            yield f"{number(far)} along {a.letter}–{b.letter}", far, a.letter in side.blunt


def _second_point(strip: FlatBend, corners: Sequence[Corner], first: float) -> str:
    """Along the side the line meets nearest its other end; ``first``: so far along it is its first point."""
    start, end = strip.middle
    span = math.dist(start, end)
    line = (end[0] - start[0]) / span, (end[1] - start[1]) / span
    other = span if first < span / 2 else 0.0
    found = []
    for side in sides_of(corners):
        if abs(line[0] * side.along[0] + line[1] * side.along[1]) > ACROSS:
            continue
        lies = _met(side, start, line)
        place = start[0] + line[0] * lies, start[1] + line[1] * lies
        within = SAME_MM < side.reached(place, side.first.leaves) < side.length - SAME_MM
        if within and abs(lies - other) < abs(lies - (span - other)) and abs(lies - first) > span / 2:
            gap = round(abs(lies - other), 6)
            found += [(gap, blunt, round(far, 6), cell) for cell, far, blunt in _counted(side, start, line)]
    return min(found)[3] if found else ""
