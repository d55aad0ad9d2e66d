"""Two holes to hold a part by: displacement worked by hand, and by laying a stiff part on random holes."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from generators.geometry.locating import best_pair, displaced_mm

Floats = NDArray[np.float64]
PAIR = ((0.0, 0.0), (100.0, 0.0))


@pytest.mark.parametrize(
    ("at", "most"),
    [
        ((50.0, 0.0), 1.0),  # the middle goes half with either hole
        # at a hole: its own 1 across and half of both along; c/2 + sqrt(1 - 3/4 c^2) is largest at c = 1/sqrt 3
        ((0.0, 0.0), 2 / math.sqrt(3)),
        ((100.0, 0.0), 2 / math.sqrt(3)),
        ((200.0, 0.0), 3.0),  # one span outside: 2 of the near hole and 1 of the far one the other way
        # half a span beside the middle: along, the mean of both and 1/2 of their difference across, in phase
        ((50.0, 50.0), math.sqrt(2)),
    ],
)
def test_by_hand(at: tuple[float, float], most: float) -> None:
    assert displaced_mm([at], PAIR, (1.0, 1.0)) == pytest.approx([most], rel=2e-4)
    assert displaced_mm([at], PAIR, (0.5, 0.5)) == pytest.approx([most / 2], rel=2e-4)


def test_a_hole_that_is_true_is_a_pivot() -> None:
    """Off by 1 across at b alone the part turns about a: nothing but half of what is along moves it there."""
    at_a, out = displaced_mm([(0.0, 0.0), (300.0, 0.0)], PAIR, (0.0, 1.0))
    assert at_a == pytest.approx(0.5, rel=2e-4)
    assert out == pytest.approx(3.0, rel=2e-4)


def laid(pair: Floats, holes: Floats, at: Floats) -> Floats:
    """A stiff part on two holes by least squares (Kabsch), for each of (n, 2, 2): where its points (k, 2) come to lie."""
    middle = holes.mean(axis=1, keepdims=True)
    u, _, vt = np.linalg.svd((pair - pair.mean(axis=0)).T @ (holes - middle))
    flip = np.tile(np.eye(2), (len(holes), 1, 1))
    flip[:, 1, 1] = np.sign(np.linalg.det(u @ vt))
    return np.asarray((at - pair.mean(axis=0)) @ (u @ flip @ vt) + middle)


def moved_mm(pair: Floats, off: Floats, turns: Floats, at: Floats) -> Floats:
    """How far each point is moved (n, k) where the two holes are off in so many pairs of directions (n, 2)."""
    holes = pair + off[:, None] * np.stack([np.cos(turns), np.sin(turns)], axis=-1)
    return np.asarray(np.linalg.norm(laid(pair, holes, at) - at, axis=-1))


@pytest.mark.parametrize("off", [(1.0, 1.0), (1.0, 0.3), (0.0, 0.8)])
def test_no_part_laid_on_random_holes_lies_further_off(off: tuple[float, float]) -> None:
    rng = np.random.default_rng(7)
    pair = np.array([[10.0, -20.0], [400.0, 310.0]])
    for at in rng.uniform(-300, 600, (6, 2)):
        most = displaced_mm([(at[0], at[1])], ((10.0, -20.0), (400.0, 310.0)), off)[0]
        turns = rng.uniform(0, 2 * math.pi, (1500, 2))
        moved = moved_mm(pair, np.array(off), turns, at[None])
        # turns are not quite small: 2 mm in 500 is 1e-5 of what is squared
        assert moved.max() <= most * 1.01
        assert moved.max() >= most * 0.95


def test_the_diagonal_of_a_rectangle_and_the_ends_of_a_row() -> None:
    corners = [(0.0, 0.0), (160.0, 0.0), (0.0, 90.0), (160.0, 90.0)]
    every = list(combinations(range(4), 2))
    assert best_pair(every, corners, [0.75] * 4) == (0, 3)
    row = [(0.0, 0.0), (30.0, 0.0), (45.0, 0.0), (80.0, 0.0)]
    assert best_pair(every, row, [0.75] * 4) == (0, 3)
    # a short pair of true holes hurts less than ends that wander: at 80, 0.1 x (35 + 50) / 15 = 0.57 mm, and
    # of the ends 0.75 x 2 / sqrt 3 = 0.87 mm
    assert best_pair(every, row, [0.75, 0.1, 0.1, 0.75]) == (1, 2)


def worst(pair: tuple[int, int], points: Floats, off: Floats, turns: Floats) -> float:
    """The most any point is moved when the part is laid on the pair, off in many directions."""
    return float(moved_mm(points[list(pair)], off[list(pair)], turns, points).max())


def test_the_chosen_pair_is_the_best_of_all() -> None:
    """Every pair laid on random holes: none leaves the worst placed hole nearer to its plan."""
    rng = np.random.default_rng(3)
    every = list(combinations(range(5), 2))
    for _ in range(3):
        points, off = rng.uniform(0, 200, (5, 2)), rng.choice([0.1, 0.4, 0.75], 5)
        chosen = best_pair(every, [(float(u), float(v)) for u, v in points], [float(x) for x in off])
        turns = rng.uniform(0, 2 * math.pi, (800, 2))
        most = {pair: worst(pair, points, off, turns) for pair in every}
        assert most[chosen] <= min(most.values()) * 1.03


def test_two_holes_in_one_place_locate_nothing() -> None:
    assert best_pair([(0, 1), (0, 2)], [(0.0, 0.0), (0.0, 0.0), (5.0, 0.0)], [0.1] * 3) == (0, 2)
    with pytest.raises(ValueError, match="empty"):
        best_pair([(0, 1)], [(0.0, 0.0), (0.0, 0.0)], [0.1] * 2)
