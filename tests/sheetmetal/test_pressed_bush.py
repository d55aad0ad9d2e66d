"""Bushes pressed into pivot bores: bore, interference and what goes through, by hand from public tables."""

from __future__ import annotations

from dataclasses import replace

import pytest
from parts.plans_in_space import plan_of

from generators.checks.part.pivots import check_pivots
from generators.drawing.part.tables.callouts import deviations
from generators.errors import GeometryFault
from generators.model.findings import Severity
from generators.model.plan import PartPlan
from generators.parts.building.pivots.pressed import with_bush
from generators.parts.pedal_hanger import PedalHanger
from generators.sheetmetal.in_line import passing, pivot_note, pivot_pairs
from generators.standards import press_tolerance, wrapped_bush, wrapped_bush_rows


def bushed(**keys: object) -> PartPlan:
    parameters = {"pivot_bore_mm": 18.0, "pivot_bush_mm": 16.0, **keys}
    made = plan_of("pedal_hanger", pivot_bore_mm=parameters["pivot_bore_mm"])
    return with_bush(made, PedalHanger(**parameters))  # type: ignore[arg-type]


# a maker's table of wrapped bushes: bore, outside, housing H7 at most, bore once mounted (least, most), mm
MOUNTED = (
    (8.0, 10.0, 10.015, 7.990, 8.055),
    (12.0, 14.0, 14.018, 11.990, 12.058),
    (16.0, 18.0, 18.018, 15.990, 16.058),
    (18.0, 20.0, 20.021, 17.990, 18.061),
    (20.0, 23.0, 23.021, 19.990, 20.071),
)


@pytest.mark.parametrize(("inside", "outside", "housing", "least", "most"), MOUNTED)
def test_a_bush_mounted_in_its_bore(
    inside: float, outside: float, housing: float, least: float, most: float
) -> None:
    row = wrapped_bush(inside)
    assert row.outside_mm == outside
    assert press_tolerance(outside).limits_mm(outside) == pytest.approx((outside, housing))
    assert row.bore_mm == pytest.approx(least)
    assert housing - 2 * row.wall_least_mm == pytest.approx(most)


# another maker: outside over 10 to 18 mm +0.065/+0.030, over 18 to 30 +0.075/+0.035
@pytest.mark.parametrize(
    ("inside", "lower", "upper"), [(12.0, 0.030, 0.065), (16.0, 0.030, 0.065), (20.0, 0.035, 0.075)]
)
def test_outside_before_it_is_pressed_in(inside: float, lower: float, upper: float) -> None:
    row = wrapped_bush(inside)
    assert (row.least_mm - row.outside_mm, row.most_mm - row.outside_mm) == pytest.approx((lower, upper))


def test_every_bush_of_the_table_holds_in_h7() -> None:
    for row in wrapped_bush_rows():
        assert row.least_mm > press_tolerance(row.outside_mm).limits_mm(row.outside_mm)[1]


def test_interference_of_16_in_18_by_hand() -> None:
    """18 H7 is 18.000 to 18.018 mm, the bush 18.030 to 18.065: 0.012 to 0.065 mm."""
    plan = bushed()
    assert plan.bush is not None
    assert plan.bush.interference_mm(18.0) == pytest.approx((0.012, 0.065))
    holes = [h for f in plan.flanges for h in f.holes if h.name.startswith("pivot")]
    assert len(holes) == 2
    assert {deviations(h) for h in holes} == {"H7 0/+0.018"}
    note = pivot_note(plan)
    assert "18 H7 (+0.018/0 mm)" in note
    assert "0.012 to 0.065 mm of interference" in note


@pytest.mark.parametrize(("least", "holds"), [(18.017, False), (18.018, True)])
def test_a_bush_that_is_no_larger_than_the_largest_bore_fails(least: float, holds: bool) -> None:
    found = list(check_pivots(bushed(pivot_bush_outside_mm=(least, 18.065))))
    assert (found == []) == holds
    assert {(f.code, f.severity) for f in found} <= {("press-fit", Severity.FAIL)}
    assert all("-0.001 to +0.065 mm of interference" in f.found for f in found)


def test_what_goes_through_two_bushes() -> None:
    """A bush of 10 mm leans as its bore does: its mounted bore and its length decide."""
    plan = bushed(pivot_bush_length_mm=10.0)
    (pair,) = pivot_pairs(plan)
    assert pair.passes_mm == pytest.approx(passing(15.99, 10.0, pair.lean_rad))
    # a shaft that goes by the bush's name is a note, to ream in line; a thicker one cannot go in
    for shaft, severity in ((16.0, Severity.NOTE), (16.1, Severity.FAIL)):
        (found,) = check_pivots(replace(plan, shaft_mm=shaft))
        assert (found.code, found.severity) == ("pivot-in-line", severity)


@pytest.mark.parametrize(
    ("keys", "at"),
    [
        ({"pivot_bore_mm": 17.0}, "pivot_bore"),
        ({"pivot_bush_mm": 16.5}, "pivot_bush"),
        ({"pivot_bush_outside_mm": (18.1, 18.0)}, "pivot_bush_outside"),
    ],
)
def test_sizes_that_do_not_go_together(keys: dict[str, object], at: str) -> None:
    with pytest.raises(GeometryFault) as caught:
        bushed(**keys)
    assert caught.value.parameter == at
