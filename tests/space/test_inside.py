"""How much of a straight line lies in a box, a rod and a hull, by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from generators.space.inside import inside_shares, length_inside
from generators.space.pieces import Box, Rod, slab

EYE = np.eye(4)
CUBE = Box(pose=EYE, half_mm=(50.0, 50.0, 50.0))
BAR = Rod(start=(0.0, 0.0, -40.0), end=(0.0, 0.0, 60.0), radius_mm=30.0)
# a right prism over the triangle (0, 0), (100, 0), (0, 100), 20 mm high
WEDGE = slab([(0.0, 0.0), (100.0, 0.0), (0.0, 100.0)], 0.0, 20.0, EYE)


def length(piece, start, end) -> float:
    share = inside_shares(piece, np.array([start], dtype=float), np.array([end], dtype=float))
    return float(share[0]) * math.dist(start, end)


@pytest.mark.parametrize(
    ("piece", "start", "end", "mm"),
    [
        # through, from inside, wholly inside, beside it, along its face, across its diagonal
        (CUBE, (-80, 0, 0), (90, 0, 0), 100.0),
        (CUBE, (10, 0, 0), (90, 0, 0), 40.0),
        (CUBE, (-10, 5, 0), (20, 5, 0), 30.0),
        (CUBE, (-80, 50.1, 0), (80, 50.1, 0), 0.0),
        (CUBE, (60, 0, 0), (90, 0, 0), 0.0),
        (CUBE, (-100, -100, 0), (100, 100, 0), 100 * math.sqrt(2)),
        # a chord 18 mm off the axis of a rod of radius 30 is 2 sqrt(900 - 324) = 48 mm long
        (BAR, (-80, 18, 0), (80, 18, 0), 48.0),
        (BAR, (-80, 30.1, 0), (80, 30.1, 0), 0.0),
        (BAR, (10, 10, -100), (10, 10, 100), 100.0),
        (BAR, (40, 10, -100), (40, 10, 100), 0.0),
        (BAR, (0, 0, 61), (0, 90, 61), 0.0),
        # through a side at x = 0, out where x + y = 100
        (WEDGE, (-50, 30, 10), (150, 30, 10), 70.0),
        (WEDGE, (-50, 30, 21), (150, 30, 21), 0.0),
    ],
)
def test_a_straight_line(piece, start, end, mm: float) -> None:
    assert length(piece, start, end) == pytest.approx(mm, abs=1e-9)


def test_a_bent_line_and_two_pieces() -> None:
    # 60 mm in, a corner, 50 mm out through another side; and 10 mm in a box that stands against the first
    beside = Box(
        pose=np.array([[1, 0, 0, 10], [0, 1, 0, 55], [0, 0, 1, 0], [0, 0, 0, 1.0]]), half_mm=(9, 5, 5)
    )
    points = np.array([(-70, 0, 0), (10, 0, 0), (10, 80, 0)], dtype=float)
    assert length_inside([CUBE], np.array([0.0, 80.0, 160.0]), points) == pytest.approx(60 + 50)
    assert length_inside([CUBE, beside], np.array([0.0, 80.0, 160.0]), points) == pytest.approx(60 + 50 + 10)


def test_round_ends_are_refused() -> None:
    ball = Rod(start=(0.0, 0.0, 0.0), end=(1.0, 0.0, 0.0), radius_mm=3.0, round_ends=True)
    with pytest.raises(ValueError, match="round ends"):
        length(ball, (0, 0, 0), (9, 0, 0))
