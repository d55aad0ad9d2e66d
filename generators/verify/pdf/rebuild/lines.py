"""The middle line of a bend from what its row says: off a side, along a side, or between two places."""

from __future__ import annotations

import re
from collections.abc import Sequence

from generators.verify.pdf.rebuild.outline import NotDeterminedError, Point, Row, Side, sides
from generators.verify.pdf.rebuild.printed import BendLine

NUMBER = r"(-?\d+(?:\.\d+)?)"
FROM = re.compile(rf"{NUMBER} (from|along) ([a-z]+)–([a-z]+)(?:, {NUMBER} along ([a-z]+)–([a-z]+))?")
RUNS = re.compile(rf"([XY]) {NUMBER} to {NUMBER}")
PLACE = re.compile(rf"(?:to )?\({NUMBER}, {NUMBER}\)")
LEVEL, ONE_LINE_MM = 1e-6, 0.04
"""So far the second point may be off a line: each has a corner and a distance printed to 0.01 mm, and a side
that slopes is off by as much from end to end."""


def bend_line(bend: BendLine, rows: Sequence[Row]) -> tuple[Point, Point]:
    """Both ends of a bend's middle line. Raises ``NotDeterminedError`` for words it does not follow from."""
    first, second = PLACE.fullmatch(bend.place), PLACE.fullmatch(bend.runs)
    if first and second:
        return (float(first[1]), float(first[2])), (float(second[1]), float(second[2]))
    place, runs = FROM.fullmatch(bend.place), RUNS.fullmatch(bend.runs)
    if not place or not runs:
        raise NotDeterminedError(f"line {bend.place!r}, which runs {bend.runs!r}")
    far = float(place[1])
    if place[2] == "from":
        side = _side(rows, place[3], place[4])
        eu, ev = side.along
        point = side.start[0] - ev * far, side.start[1] + eu * far
        along = eu, ev
    else:
        point, (eu, ev) = _counted(rows, far, place[3], place[4])
        along = -ev, eu
        if place[5]:
            (x, y), _ = _counted(rows, float(place[5]), place[6], place[7])
            if abs((x - point[0]) * eu + (y - point[1]) * ev) > ONE_LINE_MM:
                raise NotDeterminedError(f"line {bend.place!r}, whose second point lies off it")
    axis = 0 if runs[1] == "X" else 1
    if abs(along[axis]) < LEVEL:
        raise NotDeterminedError(f"line {bend.place!r} does not run along {runs[1]}")
    ends = []
    for text in (runs[2], runs[3]):
        reach = (float(text) - point[axis]) / along[axis]
        ends.append((point[0] + along[0] * reach, point[1] + along[1] * reach))
    return ends[0], ends[1]


def _counted(rows: Sequence[Row], far: float, first: str, second: str) -> tuple[Point, Point]:
    """So far along a side from the first corner named, whichever way it runs; and which way it runs."""
    try:
        side, sign = _side(rows, first, second), 1.0
    except NotDeterminedError:
        side, sign = _side(rows, second, first), -1.0
    eu, ev = side.along
    corner = next(r for r in rows if r.letter == first)
    return (corner.x + sign * far * eu, corner.y + sign * far * ev), (eu, ev)


def _side(rows: Sequence[Row], first: str, second: str) -> Side:
    for side in sides(rows):
        if (side.first.letter, side.second.letter) == (first, second):
            return side
    raise NotDeterminedError(f"no side runs from corner {first} to {second}")
