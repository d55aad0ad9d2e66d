"""Fasteners along the rim of a plate: at its corners and evenly between, clear of what is there."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

Point = tuple[float, float]
STEP_MM = 1.0


def anchors(corners: Sequence[Point], least_mm: float) -> list[Point]:
    """The corners of a rim, two nearer than ``least_mm`` drawn together to the middle between them."""
    out = list(corners)
    while len(out) > 2:
        gaps = [math.dist(p, out[(i + 1) % len(out)]) for i, p in enumerate(out)]
        i = min(range(len(out)), key=lambda k: (round(gaps[k], 6), k))
        if gaps[i] >= least_mm:
            break
        j = (i + 1) % len(out)
        middle = ((out[i][0] + out[j][0]) / 2, (out[i][1] + out[j][1]) / 2)
        out[i] = middle
        del out[j]
    return out


def evenly(points: Sequence[Point], pitch_mm: float, least_mm: float) -> list[Point]:
    """The points and others between them, no more than ``pitch_mm`` and no less than ``least_mm`` apart."""
    out: list[Point] = []
    for i, a in enumerate(points):
        b = points[(i + 1) % len(points)]
        side = math.dist(a, b)
        count = max(1, min(math.ceil(side / pitch_mm - 1e-9), math.floor(side / least_mm + 1e-9)))
        out += [(a[0] + (b[0] - a[0]) * k / count, a[1] + (b[1] - a[1]) * k / count) for k in range(count)]
    return out


def _along(points: Sequence[Point], at: int, most_mm: float) -> Iterator[Point]:
    """Places on the rim beside point ``at``, nearer ones first, forward before back."""
    here = points[at]
    for k in range(1, math.floor(most_mm / STEP_MM) + 1):
        for step in (1, -1):
            other = points[(at + step) % len(points)]
            side = math.dist(here, other)
            if side > k * STEP_MM:
                part = k * STEP_MM / side
                yield here[0] + (other[0] - here[0]) * part, here[1] + (other[1] - here[1]) * part


def moved_clear(
    points: Sequence[Point], free: Callable[[Point], bool], most_mm: float, least_mm: float
) -> tuple[list[Point], int | None]:
    """The points, those that are not free moved along the rim as little as it takes.

    Points stay ``least_mm`` apart. The second result is the first that finds no place, or None.
    """
    out = list(points)
    for i in range(len(out)):
        others = [p for k, p in enumerate(out) if k != i]
        spots = (p for p in (out[i], *_along(points, i, most_mm)) if free(p))
        found = next((p for p in spots if all(math.dist(p, o) >= least_mm - 1e-9 for o in others)), None)
        if found is None:
            return out, i
        out[i] = found
    return out, None
