"""Which measured distances fix a new point best, and which few show that a pattern is the one meant."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from shapely.geometry import MultiPoint, Point

Place = tuple[float, float]

CROSS = 0.5
"""Sine of the least angle, 30 degrees, at which two distances cross well.

An error in one of them then moves the point by no more than twice as much: 1 / sin of the angle, closed form.
"""

MOST_POINTS = 4
"""Points measured from each other: their six distances are one more than holds them in a plane, so that a
slip in one shows in the others."""


def crossing(at: Place, a: Place, b: Place) -> float:
    """Sine of the angle between ``a`` and ``b`` seen from ``at``; 0 where that lies on one of them."""
    ax, ay, bx, by = a[0] - at[0], a[1] - at[1], b[0] - at[0], b[1] - at[1]
    far = math.hypot(ax, ay) * math.hypot(bx, by)
    return abs(ax * by - ay * bx) / far if far > 0 else 0.0


def determining_pair(at: Place, known: Sequence[Place]) -> tuple[int, int] | None:
    """Indices of the two of ``known`` whose distances fix ``at`` best; None for fewer than two.

    An error d of one measured distance moves the point by d / sin of the angle between the two. Of pairs that
    cross well the nearest is taken, which a rule reads best; of none such, the one that crosses best.
    """

    def rank(pair: tuple[int, int]) -> tuple[float, float]:
        a, b = known[pair[0]], known[pair[1]]
        sine = crossing(at, a, b)
        return (0.0 if sine >= CROSS else 1.0 - sine), math.dist(at, a) + math.dist(at, b)

    return min(combinations(range(len(known)), 2), key=rank, default=None)


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
