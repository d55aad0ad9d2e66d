"""Few distances that pin a pattern of points. Patterns are drawn so that the answer can be read off the drawing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from generators.geometry.determining import pinning_pairs


@pytest.mark.parametrize(("count", "pairs"), [(0, 0), (1, 0), (2, 1), (3, 3), (4, 6), (10, 6), (30, 6)])
def test_never_more_than_six(count: int, pairs: int) -> None:
    points = [(100.0 * math.cos(k), 60.0 * math.sin(3 * k)) for k in range(count)]
    assert len(pinning_pairs(points)) == pairs


def test_of_many_the_corners_are_taken_and_the_longest_comes_first() -> None:
    """A plate 400 by 300 with holes at its corners and a cluster in the middle: six distances of the corners."""
    cluster = [(200.0 + du, 150.0 + dv) for du in (-10, 0, 10) for dv in (-10, 0, 10)]
    points = [*cluster, (0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)]
    pairs = pinning_pairs(points)
    assert {k for pair in pairs for k in pair} == {9, 10, 11, 12}
    lengths = [math.dist(points[i], points[j]) for i, j in pairs]
    assert lengths == sorted(lengths, reverse=True)
    # by hand: two diagonals, two long sides, two short ones
    assert lengths == pytest.approx([500, 500, 400, 400, 300, 300])


coordinates = st.tuples(st.integers(-900, 900), st.integers(-500, 500))


@given(st.lists(coordinates, min_size=4, max_size=12, unique=True))
def test_the_distances_hold_the_points_they_join(points: list[tuple[int, int]]) -> None:
    """A net of distances holds its points in a plane when its rigidity matrix has the rank 2n - 3 (Laman 1970):

    true of four points that are not in one line, and of no line, whose points can leave it.
    """
    pairs = pinning_pairs([(float(u), float(v)) for u, v in points])
    ends = sorted({k for pair in pairs for k in pair})
    matrix = np.zeros((len(pairs), 2 * len(ends)))
    for row, (i, j) in enumerate(pairs):
        away = np.subtract(points[i], points[j]) / math.dist(points[i], points[j])
        a, b = ends.index(i), ends.index(j)
        matrix[row, 2 * a : 2 * a + 2], matrix[row, 2 * b : 2 * b + 2] = away, -away
    spread = np.linalg.svd(np.subtract([points[k] for k in ends], points[ends[0]]))[1]
    if spread[-1] > 1.0:
        assert np.linalg.matrix_rank(matrix, tol=1e-6) == 2 * len(ends) - 3
