"""Tolerances of holes: ISO 286-1 widths against the formula they come from, and each hole's field."""

from __future__ import annotations

import math

import pytest

from generators.errors import LookupFault
from generators.standards import (
    Trust,
    bulkhead,
    clearance_hole,
    general_hole_tolerance,
    hole_tolerance,
    tolerance_grade_rows,
    tolerance_width_mm,
)

# ISO 286-1 table 1, um, from a public transcription: over 6 to 10 and over 10 to 18
IT_6_10 = {6: 9, 7: 15, 8: 22, 11: 90, 12: 150, 13: 220, 14: 360}
IT_10_18 = {6: 11, 7: 18, 8: 27, 11: 110, 12: 180, 13: 270, 14: 430}
# ASME B18.2.8-1999 table 1 as a handbook prints it, in: least and greatest hole
B18_2_8 = {
    ("1/4", "loose"): (0.297, 0.311),
    ("5/16", "loose"): (0.359, 0.373),
    ("3/8", "loose"): (0.422, 0.438),
    ("7/16", "loose"): (0.484, 0.500),
    ("1/2", "loose"): (0.609, 0.625),
}


@pytest.mark.parametrize("row", tolerance_grade_rows(), ids=lambda row: f"{row.up_to_mm:g}")
def test_widths_follow_the_standard_tolerance_unit(row) -> None:
    # ISO 286-1: i = 0.45 D^(1/3) + 0.001 D um with D the geometric mean of the range (1 to 3 for the first);
    # IT6 is 10 i, IT7 16, IT8 25, IT11 100 i, each further grade 10^(1/5) wider: 160, 250, 400 i. The table is
    # rounded, to whole um where it is small.
    low = max(row.over_mm, 1.0)
    middle = math.sqrt(low * row.up_to_mm)
    unit = 0.45 * middle ** (1 / 3) + 0.001 * middle
    for grade, factor in {6: 10, 7: 16, 8: 25, 11: 100, 12: 160, 13: 250, 14: 400}.items():
        assert row.width_mm[grade] * 1000 == pytest.approx(
            factor * unit, rel=0.16 if row.over_mm == 0 else 0.05, abs=0.75
        )


def test_widths_of_two_ranges() -> None:
    assert {g: round(tolerance_width_mm(g, 9.0) * 1000) for g in IT_6_10} == IT_6_10
    assert {g: round(tolerance_width_mm(g, 18.0) * 1000) for g in IT_10_18} == IT_10_18
    # a range ends with its upper figure
    assert tolerance_width_mm(13, 10.0) == 0.22
    assert tolerance_width_mm(13, 10.001) == 0.27


@pytest.mark.parametrize(("grade", "size"), [(10, 8.0), (15, 8.0), (13, 250.1), (13, 0.0)])
def test_beyond_the_table(grade: int, size: float) -> None:
    with pytest.raises(LookupFault, match="standard tolerance"):
        tolerance_width_mm(grade, size)


@pytest.mark.parametrize(("thread", "fit"), B18_2_8)
def test_clearance_holes_have_the_limits_of_asme_b18_2_8(thread: str, fit: str) -> None:
    hole = clearance_hole(thread, fit).diameter_mm
    tolerance = hole_tolerance("bolt", hole, fit=fit)
    assert tolerance is not None
    least, most = B18_2_8[thread, fit]
    found = tolerance.limits_mm(hole)
    # printed to 0.001 in; the upper one is the rounded lower one with a rounded width
    assert found[0] / 25.4 == pytest.approx(least, abs=0.0006)
    assert found[1] / 25.4 == pytest.approx(most, abs=0.0016)


def test_the_three_fits_have_their_fields() -> None:
    # ISO 273: fine H12, medium H13, coarse H14; M8: 8.4, 9.0, 10.0 mm
    found = {}
    for fit in ("fine", "medium", "coarse"):
        hole = clearance_hole("M8", fit).diameter_mm
        tolerance = hole_tolerance("bolt", hole, fit=fit)
        assert tolerance is not None
        found[fit] = (tolerance.name, *(round(x, 3) for x in tolerance.limits_mm(hole)))
    assert found == {
        "fine": ("H12", 8.4, 8.55),
        "medium": ("H13", 9.0, 9.22),
        "coarse": ("H14", 10.0, 10.36),
    }


@pytest.mark.parametrize("dash", [3, 4, 5, 6, 8])
def test_a_fitting_passes_its_least_hole_and_has_one_millimetre_at_most(dash: int) -> None:
    # common practice, no source: the thread's play is 0.2 mm at least and 1 mm, as ISO 273 fine gives M12
    row = bulkhead(dash)
    tolerance = hole_tolerance("bulkhead", row.hole_mm, shank_mm=row.thread_major_mm)
    assert tolerance is not None
    assert tolerance.trust is Trust.COMMON_PRACTICE
    least, most = tolerance.limits_mm(row.hole_mm)
    assert least - row.thread_major_mm == pytest.approx(0.2)
    assert most - row.thread_major_mm == pytest.approx(1.0)
    assert least < row.hole_mm < most


def test_plain_holes_have_the_general_tolerance() -> None:
    # ISO 2768-1 m: +-0.1 to 6, +-0.2 to 30, +-0.3 to 120 mm
    for size, off in ((6.0, 0.1), (6.1, 0.2), (30.0, 0.2), (31.0, 0.3)):
        tolerance = hole_tolerance("plain", size)
        assert tolerance is not None
        assert (tolerance.lower_mm, tolerance.upper_mm) == (-off, off)
    fine = general_hole_tolerance(20.0, "ISO 2768-1 f")
    assert fine is not None
    assert fine.upper_mm == 0.1
    assert general_hole_tolerance(20.0, "as the customer says") is None


def test_what_is_passed_or_held_by_rubber_says_common_practice() -> None:
    for kind, lower, upper in (
        ("insert", 0.0, 0.1),
        ("rivet", 0.0, 0.1),
        ("grommet", -0.5, 0.5),
        ("bore", 0.0, 1.0),
    ):
        tolerance = hole_tolerance(kind, 12.0)
        assert tolerance is not None
        assert (tolerance.lower_mm, tolerance.upper_mm) == (lower, upper)
        assert "no source" in tolerance.source
    assert hole_tolerance("pivot", 12.0) is None
