"""The outline of a blank from the rows of its corner table, with plane geometry of its own.

A row is a theoretical sharp corner with the radius it is rounded to, or the middle of an arc that both
neighbours' straight sides touch. Between two rows the outline is straight.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float]

CHORD_MM = 0.002
TINY_MM = 1e-9


class NotDeterminedError(Exception):
    """What is printed gives no outline; the text says where."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One corner as printed, mm. ``turn`` is 1 about a centre in the sheet, -1 outside it, 0 for a corner."""

    letter: str
    x: float
    y: float
    radius: float
    turn: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """A straight side from one row to the next: ``start`` and ``end`` of the line both rows fix."""

    first: Row
    second: Row
    start: Point
    end: Point

    @property
    def along(self) -> Point:
        """Unit vector from the first row to the second."""
        length = math.dist(self.start, self.end)
        if length < TINY_MM:
            raise NotDeterminedError(f"corners {self.first.letter} and {self.second.letter} are one place")
        return (self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length


def sides(rows: Sequence[Row]) -> list[Side]:
    """The lines between rows, in turn; of a single round row there is none."""
    if len(rows) < 2:
        return []
    return [_side(a, b) for a, b in zip(rows, [*rows[1:], *rows[:1]], strict=True)]


def _side(a: Row, b: Row) -> Side:
    """The line that leaves ``a`` and comes to ``b``.

    A line that goes round a centre counter-clockwise has it its radius to the left: with ``n`` the line's
    left normal and ``c`` its unit vector, n·(B - A) = r_b t_b - r_a t_a for the turns t.
    """
    r_a, r_b = a.radius * a.turn, b.radius * b.turn
    du, dv = b.x - a.x, b.y - a.y
    apart = math.hypot(du, dv)
    lift = r_b - r_a
    if apart < TINY_MM or abs(lift) > apart + 0.02:
        raise NotDeterminedError(f"no straight side touches both {a.letter} and {b.letter}")
    # the line's heading: the heading from A to B turned back by the angle whose sine is lift / apart
    heading = math.atan2(dv, du) - math.asin(max(-1.0, min(1.0, lift / apart)))
    normal = -math.sin(heading), math.cos(heading)
    return Side(
        first=a,
        second=b,
        start=(a.x - normal[0] * r_a, a.y - normal[1] * r_a),
        end=(b.x - normal[0] * r_b, b.y - normal[1] * r_b),
    )


def outline(rows: Sequence[Row]) -> list[Point]:
    """The closed outline as points whose chords stay within 0.002 mm of it.

    Raises ``NotDeterminedError`` where the rows do not determine it.
    """
    if not rows:
        raise NotDeterminedError("no corner is printed")
    if len(rows) == 1:
        (only,) = rows
        if only.turn != 1 or only.radius <= 0:
            raise NotDeterminedError("a single corner is no outline")
        return _arc((only.x, only.y), only.radius, 0.0, 2 * math.pi)[:-1]
    lines = sides(rows)
    points: list[Point] = []
    for row, before, after in zip(rows, [lines[-1], *lines], lines, strict=False):
        into, out = (math.atan2(s.along[1], s.along[0]) for s in (before, after))
        turn = math.remainder(out - into, 2 * math.pi)
        if row.turn:
            # it may go round by more than half a turn, always its own way
            turn = turn % (2 * math.pi) if row.turn > 0 else -((-turn) % (2 * math.pi))
            side = float(row.turn)
            points += _arc((row.x, row.y), row.radius, into - side * math.pi / 2, turn)
        elif row.radius <= 0 or abs(turn) < TINY_MM:
            points.append((row.x, row.y))
        else:
            if abs(turn) > math.pi - 1e-3:
                raise NotDeterminedError(f"corner {row.letter} turns back on itself")
            side = math.copysign(1.0, turn)
            back = row.radius * math.tan(abs(turn) / 2)
            foot = row.x - before.along[0] * back, row.y - before.along[1] * back
            normal = -before.along[1] * side, before.along[0] * side
            centre = foot[0] + normal[0] * row.radius, foot[1] + normal[1] * row.radius
            points += _arc(centre, row.radius, into - side * math.pi / 2, turn)
    return points


def _arc(centre: Point, radius: float, start: float, sweep: float) -> list[Point]:
    step = 2 * math.acos(max(0.0, 1 - CHORD_MM / radius)) if radius > CHORD_MM else math.pi / 2
    count = max(2, math.ceil(abs(sweep) / step))
    return [
        (
            centre[0] + radius * math.cos(start + sweep * i / count),
            centre[1] + radius * math.sin(start + sweep * i / count),
        )
        for i in range(count + 1)
    ]
