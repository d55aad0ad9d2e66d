"""Which two holes a part is bolted on with before the rest is drilled through it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Array = NDArray[np.float64]
DIRECTIONS = 180
"""Directions in which the displacement is looked at, over half a turn: the largest is met to 0.02 %."""
FEW = 12
"""A share of them, to look roughly: a divisor of ``DIRECTIONS``."""


def displaced_mm(
    at: Sequence[Point] | Array,
    pair: tuple[Point, Point],
    off_mm: tuple[float, float],
    directions: int = DIRECTIONS,
) -> list[float]:
    """How far a stiff part may lie off its plan at each point when it sits on two holes that are off.

    The holes at a and b may each be off by ``off_mm`` in any direction: p and q, with components t along
    the line from a to b and n square to it. The part turns by (qn - pn) / d, d being the distance of a
    and b, and cannot follow a difference along the line: it goes half of each. So a point s d along that
    line from a and h d beside it moves by

        along: (pt + qt) / 2 - h (qn - pn)        across: (1 - s) pn + s qn

    In the direction f from the line the most of it, with abs(p) <= P and abs(q) <= Q, is

        P hypot(cos f / 2, (1 - s) sin f + h cos f) + Q hypot(cos f / 2, s sin f - h cos f)

    and the displacement is the largest of these over f, looked at in so many ``directions``. Small turns; mm
    throughout. For P = Q = 1: 1 in the
    middle, 2 / sqrt 3 at the holes, 3 on the line at one span outside.
    """
    a, b = pair
    span = math.dist(a, b)
    along = np.array([b[0] - a[0], b[1] - a[1]]) / span
    away = (np.asarray(at, dtype=float).reshape(-1, 2) - np.asarray(a)) / span
    s = (away @ along)[:, None]
    h = (away @ np.array([-along[1], along[0]]))[:, None]
    c, n = _ways(directions)
    first = np.hypot(c / 2, (1 - s) * n + h * c)
    second = np.hypot(c / 2, s * n - h * c)
    worst = np.max(off_mm[0] * first + off_mm[1] * second, axis=1)
    return [float(mm) for mm in worst]


@cache
def _ways(directions: int) -> tuple[Array, Array]:
    turn = np.linspace(0.0, math.pi, directions, endpoint=False)
    return np.cos(turn), np.sin(turn)


def best_pair(
    pairs: Iterable[tuple[int, int]], points: Sequence[Point], off_mm: Sequence[float]
) -> tuple[int, int]:
    """Of ``pairs`` of indices the one that displaces the worst placed of all ``points`` least.

    That displacement falls with the span of the two and rises with how far the rest lies outside it, and
    with how far the two may be off: the pair that spreads widest over the pattern and is least hurt by
    the drill's wander comes first. Of equals (to a micrometre) the one of the wider span, then the first.
    Two holes in one place locate nothing and are passed over. Raises ``ValueError`` when no pair is left.
    """

    places = np.array(points, dtype=float).reshape(-1, 2)

    def rank(pair: tuple[int, int], directions: int = DIRECTIONS) -> tuple[float, float]:
        i, j = pair
        most = max(displaced_mm(places, (points[i], points[j]), (off_mm[i], off_mm[j]), directions))
        return round(most, 3), -round(math.dist(points[i], points[j]), 3)

    far = [p for p in pairs if math.dist(points[p[0]], points[p[1]]) > 0]
    # some of the directions give no more than all of them: what is worse already than the best is left out
    least = {pair: rank(pair, FEW) for pair in far}
    best = rank(min(far, key=least.__getitem__))
    return min((p for p in far if least[p] <= best), key=rank)
