"""Which two known points fix a new one best: worked by hand on a plane."""

from __future__ import annotations

import math

import pytest

from generators.geometry.determining import CROSS, crossing, determining_pair


def test_the_sine_is_that_of_the_angle_between_the_two() -> None:
    assert crossing((0, 0), (10, 0), (0, 7)) == pytest.approx(1.0)
    assert crossing((0, 0), (10, 0), (5 * math.sqrt(3), 5)) == pytest.approx(0.5)
    assert crossing((0, 0), (10, 0), (-20, 0)) == pytest.approx(0.0)
    assert crossing((0, 0), (0, 0), (1, 1)) == 0.0


def test_of_pairs_that_cross_well_the_nearest_is_taken() -> None:
    # two far ones square to each other, two near ones at 45 degrees
    known = [(500.0, 0.0), (0.0, 500.0), (60.0, 0.0), (60.0, 60.0)]
    assert determining_pair((0, 0), known) == (2, 3)


def test_a_pair_in_line_is_left_for_one_that_crosses() -> None:
    known = [(50.0, 0.0), (90.0, 1.0), (0.0, 400.0)]
    assert determining_pair((0, 0), known) == (0, 2)


def test_where_none_crosses_well_the_best_is_taken() -> None:
    known = [(100.0, 0.0), (100.0, 20.0), (100.0, 50.0)]
    assert crossing((0, 0), known[0], known[2]) < CROSS
    assert determining_pair((0, 0), known) == (0, 2)


def test_one_point_is_not_enough() -> None:
    assert determining_pair((0, 0), [(1, 1)]) is None
