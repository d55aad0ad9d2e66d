"""Is a list of corners the outline of something? Plane geometry without faults or files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

Point = tuple[float, float]

# Square millimetres: far below anything measured, far above rounding at ±10 m.
_FLAT_MM2 = 1e-6
_REPORTED = 3


@dataclass(frozen=True, slots=True)
class OutlineFault:
    """What is wrong at the corner of that index (from 0); wording counts corners from 1."""

    corner: int
    found: str
    expected: str
    hint: str = ""


def outline_faults(corners: tuple[Point, ...]) -> list[OutlineFault]:
    """What keeps ``corners`` from being a simple outline; empty when nothing does.

    Either sense of turning is fine. Sides are numbered from 1, side 1 from corner 1 to corner 2.
    At most three crossings are named: a scrambled list has hundreds.
    """
    if len(set(corners)) < 3:
        found = f"{len(set(corners))} distinct corners"
        return [OutlineFault(0, found, "at least 3 distinct corners")]
    repeated = list(_repeated(corners))
    if repeated:
        return repeated
    if _on_one_line(corners):
        return [OutlineFault(0, "corners that all lie on one line", "an outline with an area")]
    crossings = []
    for fault in _crossings(corners):
        crossings.append(fault)
        if len(crossings) == _REPORTED:
            break
    return crossings


def _repeated(corners: tuple[Point, ...]) -> Iterator[OutlineFault]:
    for index, corner in enumerate(corners):
        if corner == corners[index - 1]:
            if index == 0:
                hint = "leave the last corner out: it joins the first by itself"
                again = "the first corner again at the end"
                yield OutlineFault(len(corners) - 1, again, "each corner once", hint)
            else:
                yield OutlineFault(index, f"corner {index} again", "each corner once")


def _cross(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def _dot(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[0] - o[0]) + (a[1] - o[1]) * (b[1] - o[1])


def _on_one_line(corners: tuple[Point, ...]) -> bool:
    first = corners[0]
    far = max(corners, key=lambda c: (c[0] - first[0]) ** 2 + (c[1] - first[1]) ** 2)
    return all(abs(_cross(first, far, corner)) <= _FLAT_MM2 for corner in corners)


def _side_of(o: Point, a: Point, b: Point) -> int:
    cross = _cross(o, a, b)
    return 0 if abs(cross) <= _FLAT_MM2 else (1 if cross > 0 else -1)


def _within(a: Point, b: Point, p: Point) -> bool:
    return min(a[0], b[0]) <= p[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= p[1] <= max(a[1], b[1])


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """True when the segments ab and cd share a point."""
    c_side, d_side = _side_of(a, b, c), _side_of(a, b, d)
    a_side, b_side = _side_of(c, d, a), _side_of(c, d, b)
    if c_side * d_side < 0 and a_side * b_side < 0:
        return True
    touching = ((c_side, a, b, c), (d_side, a, b, d), (a_side, c, d, a), (b_side, c, d, b))
    return any(side == 0 and _within(p, q, r) for side, p, q, r in touching)


def _crossings(corners: tuple[Point, ...]) -> Iterator[OutlineFault]:
    count = len(corners)
    expected = "an outline that does not cross or touch itself"
    for i in range(count):
        a, b = corners[i], corners[(i + 1) % count]
        after = corners[(i + 2) % count]
        if _side_of(a, b, after) == 0 and _dot(b, a, after) > 0:
            sides = f"side {(i + 1) % count + 1} running back over side {i + 1}"
            yield OutlineFault((i + 1) % count, sides, expected)
        for j in range(i + 2, count):
            if (j + 1) % count != i and _meet(a, b, corners[j], corners[(j + 1) % count]):
                sides = f"side {i + 1} (corner {i + 1} to {i + 2}) crossing side {j + 1} "
                yield OutlineFault(i, f"{sides}(corner {j + 1} to {(j + 1) % count + 1})", expected)
