"""A flange that hangs beside the die's end, on a part that is slid along the punch: by hand, and refused."""

from __future__ import annotations

import math

import pytest
from bent_parts import K, R, T
from shapely.geometry import MultiPolygon, box

from generators.bending.shadow import Shadow
from generators.bending.stroke import Stroke, lifted
from generators.bending.tools import plain_die

SQUARE = math.pi / 2
STROKE = Stroke(angle_rad=SQUARE, radius_mm=R, thickness_mm=T, neutral_mm=R + K * T, die=plain_die(24.0))
"""A V 24 whose outside is 36 wide."""


def foot(from_mm: float, deep_mm: float, *, rear: bool = True) -> Shadow:
    """A plate square across the bend, 40 long, that hangs so deep from so far off the middle on."""
    near, far = sorted((from_mm, from_mm + 40.0) if rear else (-from_mm, -from_mm - 40.0))
    return Shadow(
        flange="foot",
        rear=rear,
        shape=MultiPolygon([box(near, -deep_mm, far, 0.0)]),
        low_x=101.0,
        high_x=104.0,
    )


@pytest.mark.parametrize("rear", [True, False])
def test_how_far_it_is_raised_by_hand(rear: bool) -> None:
    """Its near lower corner is at (10 - h n, -30 - 6) from the axis as laid in; turned by 45°, the axis where it is.

    It comes within 18 + 1 of the middle there: (10 - 3.36) cos 45 = 4.7 at the sheet.
    """
    h = SQUARE / 2
    low = (10.0 - h * (R + K * T)) * math.sin(h) - (30.0 + R + T) * math.cos(h) + STROKE.axis_z(h)
    lift = lifted(STROKE, [foot(10.0, 30.0, rear=rear)], 1.0, SQUARE)
    assert lift is not None
    assert lift.up_mm == pytest.approx(1.0 - low, abs=1e-6)


def test_what_hangs_in_front_of_the_die_or_behind_it_is_not_raised() -> None:
    """From 40 mm off the middle on it is (40 - 3.36) cos 45 = 25.9 mm off at least, the die 18 and 1 of air."""
    assert lifted(STROKE, [foot(40.0, 30.0)], 1.0, SQUARE) is None
