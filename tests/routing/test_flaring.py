"""Which end of a tube is flared before it is bent, by hand.

A nut does not pass a bend; behind the flare a bar grips about 20 mm, and nut with sleeve wait behind that
(common practice, no source). A -4 nut with its sleeve is taken as 0.75 in = 19.05 mm (from memory, rounded up),
so an end wants 39.05 mm of straight tube to be flared after the bend.
"""

from __future__ import annotations

import math

import pytest

from generators.model.hose_path import Arc, HosePath, Segment, Straight
from generators.routing.flaring import Making, making

NEEDED = 0.75 * 25.4 + 20.0


def path(first: float, last: float, sweep: float = math.pi / 2) -> HosePath:
    """Straight along x, one bend of radius 20 in the plane x, y, straight again; a quarter by default."""
    segments: tuple[Segment, ...] = (
        Straight(start=(0.0, 0.0, 0.0), end=(first, 0.0, 0.0)),
        Arc(centre=(first, 20.0, 0.0), axis=(0.0, 0.0, 1.0), start=(first, 0.0, 0.0), sweep_rad=sweep),
        Straight(start=(first + 20.0, 20.0, 0.0), end=(first + 20.0, 20.0 + last, 0.0)),
    )
    return HosePath(name="line", segments=segments, supports=(), outside_dia_mm=6.35, bend_radius_mm=20.0)


@pytest.mark.parametrize(
    ("first", "last", "early", "spare"),
    [
        (NEEDED + 0.1, NEEDED + 0.1, (False, False), 40.0),
        (NEEDED - 0.1, NEEDED + 0.1, (True, False), 20.0),
        (NEEDED + 0.1, NEEDED - 0.1, (False, True), 20.0),
        (NEEDED - 0.1, NEEDED - 0.1, (True, True), 0.0),
    ],
)
def test_an_end_too_short_for_nut_and_bar_is_flared_first(
    first: float, last: float, early: tuple[bool, bool], spare: float
) -> None:
    made = making(path(first, last), 4)
    assert made.straight_mm == pytest.approx((first, last))
    assert (made.early, made.spare_mm, made.fits) == (early, spare, True)


def test_where_not_even_the_nut_fits_that_is_said() -> None:
    assert making(path(19.1, 100.0), 4).fits
    assert not making(path(19.0, 100.0), 4).fits


def test_a_straight_as_long_as_nut_and_sleeve_is_enough() -> None:
    assert Making(straight_mm=(20.0, 30.0), nut_mm=20.0, early=(True, True)).fits
    assert not Making(straight_mm=(30.0, 19.99), nut_mm=20.0, early=(True, True)).fits


def test_what_hands_pull_in_counts_as_straight_and_one_end_is_flared_first() -> None:
    made = making(path(5.0, 5.0, math.radians(4.9)), 4)
    assert (made.early, made.spare_mm) == ((True, False), 20.0)
    assert making(path(5.0, 5.0, math.radians(5.1)), 4).early == (True, True)
