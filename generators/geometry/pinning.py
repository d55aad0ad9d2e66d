"""Which few distances between points show that a pattern is the one that was meant."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from shapely.geometry import MultiPoint, Point

Place = tuple[float, float]

MOST_POINTS = 4
"""Points measured from each other: their six distances are one more than holds them in a plane, so that a
slip in one shows in the others."""


def pinning_pairs(points: Sequence[Place]) -> tuple[tuple[int, int], ...]:
    """Index pairs of at most six distances that pin the pattern, the longest first.

    Of four points or fewer all; of more those between the four that spread widest: the widest pair, then
    twice the point farthest from what is spanned so far. Ties go to the earlier point.
    """

    def length(pair: tuple[int, int]) -> float:
        return math.dist(points[pair[0]], points[pair[1]])

    chosen = list(range(len(points)))
    if len(points) > MOST_POINTS:
        widest: tuple[int, int] = max(combinations(chosen, 2), key=length)
        chosen = list(widest)
        while len(chosen) < MOST_POINTS:
            hull = MultiPoint([points[k] for k in chosen]).convex_hull
            rest = [k for k in range(len(points)) if k not in chosen]
            chosen.append(max(rest, key=lambda k: (round(hull.distance(Point(points[k])), 6), -k)))
    return tuple(sorted(combinations(sorted(chosen), 2), key=lambda p: (-round(length(p), 6), p)))
