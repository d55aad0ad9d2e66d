"""The inside radius a die leaves in air bending, against the one a part asks for."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from small_jobs import STRAIGHT_ONLY, angle_part, codes, part

from generators.bending.force import legs_grow
from generators.bending.setting import sequence_of
from generators.model.findings import Severity
from generators.model.spec.shop import Shop, Stock


# common practice, no source: air bending makes V/8 to V/6. Eight thicknesses of 3 mm are V 24: R 3 to 4.
def test_a_die_makes_a_radius_of_its_own_unless_the_shop_has_seen_another() -> None:
    def notes(radius: float, stock: Stock | None = None) -> list[Severity]:
        found = part(angle_part(radius=radius), shop=Shop(stock=(stock,) if stock else ()))
        return [f.severity for f in found if f.code == "die-radius"]

    assert notes(3.0) == []
    assert notes(4.0) == []
    assert notes(4.02) == [Severity.NOTE]
    seen = Stock(
        material="1008 steel", thickness_mm=3.0, inside_radius_mm=5.0, k_factor=0.42, die_opening_mm=24.0
    )
    assert notes(5.0, seen) == []
    assert notes(5.0, replace(seen, k_factor=None)) == [Severity.NOTE]
    # V 40 makes 5 to 6.67
    assert notes(5.0, replace(seen, die_opening_mm=40.0, k_factor=None)) == []
    assert notes(4.98, replace(seen, die_opening_mm=40.0)) == [Severity.NOTE]


# seen on the shop's strip, R may lie 1.4 times beside V/6 (ours): V 24 makes at most 4 mm, 5.6 with that
@pytest.mark.parametrize(("radius", "severity"), [(5.59, []), (5.61, [Severity.WARN])])
def test_a_radius_said_to_be_seen_that_no_such_die_makes(radius: float, severity: list[Severity]) -> None:
    stock = Stock(
        material="1008 steel", thickness_mm=3.0, inside_radius_mm=radius, k_factor=0.42, die_opening_mm=24.0
    )
    found = [f for f in part(angle_part(radius=radius), shop=Shop(stock=(stock,))) if f.code == "die-radius"]
    assert [f.severity for f in found] == severity
    for f in found:
        # 90 deg: (2 - pi/2) (5.61 - 4) = 0.691, half to each leg
        assert "each leg comes out 0.35 mm or more shorter outside, its holes as much nearer" in f.advice


def test_legs_of_another_radius_by_hand() -> None:
    # setbacks 2 x 24 and arc pi/2 (16 + 0.42 x 8), beside 2 x 18.5 and pi/2 (10.5 + 0.42 x 8): 17.59 and 15.23
    one = 2 * 24 - math.pi / 2 * (16 + 0.42 * 8)
    two = 2 * 18.5 - math.pi / 2 * (10.5 + 0.42 * 8)
    assert legs_grow(math.pi / 2, 16.0, 10.5) == pytest.approx(two - one)
    assert legs_grow(math.pi / 2, 16.0, 10.5) == pytest.approx(-2.361, abs=0.001)


def test_a_punch_whose_tip_makes_the_radius_goes_first() -> None:
    blunt = replace(STRAIGHT_ONLY.brake.punch[0], name="blunt", tip_radius_mm=6.0)
    both = replace(
        STRAIGHT_ONLY, brake=replace(STRAIGHT_ONLY.brake, punch=(*STRAIGHT_ONLY.brake.punch, blunt))
    )
    # V 24 makes 3 to 4: R 6 comes of a tip of 6 alone, R 4 of either
    for radius, name in ((6.0, "blunt"), (4.0, "straight")):
        plan = angle_part(radius=radius)
        (step,) = sequence_of(plan, both)[0].on_brake
        assert step.punch == name
        assert "die-radius" not in codes(part(plan, shop=both))
