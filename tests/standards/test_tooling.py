"""Which tool makes a hole: one of a size sold in that country, within the hole's limits."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generators.standards import (
    Making,
    bulkhead,
    choose_tools,
    clearance_hole,
    hole_tolerance,
    sheet_tool_rows,
    transfer_drill,
)
from generators.units import UnitSystem

THREADS = ("M3", "M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16")
INCH = ("#10", "1/4", "5/16", "3/8", "7/16", "1/2")


def bolt(thread: str, fit: str, sheet_mm: float, units: UnitSystem) -> Making:
    hole = clearance_hole(thread, fit).diameter_mm
    tolerance = hole_tolerance("bolt", hole, fit=fit)
    assert tolerance is not None
    return choose_tools(hole, *tolerance.limits_mm(hole), sheet_mm=sheet_mm, units=units)


def fitting(dash: int, sheet_mm: float, units: UnitSystem) -> Making:
    row = bulkhead(dash)
    tolerance = hole_tolerance("bulkhead", row.hole_mm, shank_mm=row.thread_major_mm)
    assert tolerance is not None
    return choose_tools(row.hole_mm, *tolerance.limits_mm(row.hole_mm), sheet_mm=sheet_mm, units=units)


@pytest.mark.parametrize("thread", THREADS)
def test_in_a_metric_country_a_metric_bolt_takes_the_drill_of_iso_273(thread: str) -> None:
    # ISO 273 medium is made of sizes of the DIN 338 series (3.4 to 17.5 mm): in plate the drill is the hole
    made = bolt(thread, "medium", 5.0, "metric")
    assert made.final_mm == clearance_hole(thread, "medium").diameter_mm
    assert made.tool.kind == "twist drill"
    assert not made.filed


@pytest.mark.parametrize("thread", INCH)
@pytest.mark.parametrize("fit", ["close", "normal", "loose"])
def test_in_an_inch_country_an_inch_bolt_takes_the_drill_of_asme_b18_2_8(thread: str, fit: str) -> None:
    # the standard's own column of drills, as far as a twist drill in a chuck makes them
    row = clearance_hole(thread, fit)
    made = bolt(thread, fit, 5.0, "inch")
    assert made.tool.diameter_mm == pytest.approx(row.diameter_mm, abs=0.4)
    if row.diameter_mm < 13 and (thread, fit) != ("#10", "loose"):
        # #10 loose: B (0.238) and 1/4 are both within 0.238 to 0.250, and a fraction is sooner found
        names = (row.drill, f"{row.drill} in", f"letter {row.drill}")
        assert made.tool.name in names


def test_an_inch_bolt_in_a_metric_country_has_no_5_61() -> None:
    # #10 normal: 0.221 to 0.228 in is 5.61 to 5.79 mm: the only DIN 338 size in it is 5.7
    assert (bolt("#10", "normal", 1.2, "metric").tool.words) == "twist drill 5.7 mm"
    # 5/16 normal: 11/32 in is 8.73 mm, H13 to 8.95
    assert (bolt("5/16", "normal", 1.2, "metric").tool.words) == "twist drill 8.8 mm"


def test_a_metric_bolt_in_an_inch_country() -> None:
    # M8 medium 9.00 to 9.22 mm: 23/64 in is 9.128; M4 medium 4.50 to 4.68: no 64th, #15 is 0.180 in = 4.572
    assert bolt("M8", "medium", 1.2, "inch").tool.name == "23/64 in"
    assert bolt("M4", "medium", 1.2, "inch").tool.name == "#15"


@pytest.mark.parametrize(
    ("dash", "units", "words"),
    [
        # thread 7/16 = 11.11 mm: a 12 mm step leaves 0.89 mm
        (4, "metric", "step drill 12 mm"),
        (4, "inch", "step drill 15/32 in"),
        (6, "metric", "step drill 15 mm"),
        (8, "metric", "step drill 20 mm"),
        (3, "metric", "twist drill 9.9 mm"),
        (3, "inch", "twist drill 25/64 in"),
        # 9/16 in is the thread itself: the step below, and a file to the 64th above it
        (6, "inch", "step drill 9/16 in, then file to 37/64 in"),
    ],
)
def test_a_fittings_hole_in_sheet_says_the_step(dash: int, units: UnitSystem, words: str) -> None:
    assert fitting(dash, 1.2, units).words == words


def test_sheet_ends_at_three_millimetres_and_a_large_hole_begins_over_ten() -> None:
    # common practice, no source
    assert choose_tools(12.0, 12.0, 12.2, sheet_mm=2.99).tool.kind == "step drill"
    assert choose_tools(12.0, 12.0, 12.2, sheet_mm=3.0).tool.kind == "twist drill"
    assert choose_tools(10.0, 10.0, 10.2, sheet_mm=1.2).tool.kind == "twist drill"
    assert choose_tools(10.01, 10.0, 11.2, sheet_mm=1.2).tool.kind == "step drill"
    # stainless blunts a step drill: 2 mm
    stainless = "stainless 304"
    assert choose_tools(12.0, 12.0, 12.2, sheet_mm=1.99, material=stainless).tool.kind == "step drill"
    assert choose_tools(12.0, 12.0, 12.2, sheet_mm=2.0, material=stainless).tool.kind == "twist drill"


def test_over_the_chuck_a_saw_or_a_turned_down_shank() -> None:
    assert choose_tools(13.0, 13.0, 13.1, sheet_mm=5.0).tool.words == "twist drill 13 mm"
    assert choose_tools(13.1, 13.1, 13.2, sheet_mm=5.0).tool.words == "twist drill 13.1 mm (reduced shank)"
    assert choose_tools(14.0, 13.5, 14.5, sheet_mm=5.0).tool.words == "hole saw 14 mm"
    assert choose_tools(36.0, 36.0, 37.0, sheet_mm=5.0).tool.words == "hole saw 37 mm"


def test_a_hole_between_all_sizes_is_drilled_below_and_filed() -> None:
    made = choose_tools(14.5, 14.4, 14.6, sheet_mm=1.2)
    assert made.words == "step drill 14 mm, then file to 14.5 mm"
    assert made.filed
    assert made.final_mm == 14.5
    huge = choose_tools(180.0, 179.5, 180.5, sheet_mm=1.2)
    assert huge.filed
    assert huge.final_mm == 180.0


def test_pilots() -> None:
    # common practice: 3 mm, or 1/8 in, for holes of 5 mm and more
    pilots: tuple[tuple[UnitSystem, float], ...] = (("metric", 3.0), ("inch", 3.175))
    for units, pilot in pilots:
        assert choose_tools(4.9, 4.8, 5.0, sheet_mm=1.0, units=units).pilot_mm == 0.0
        assert choose_tools(5.0, 4.9, 5.1, sheet_mm=1.0, units=units).pilot_mm == pytest.approx(pilot)


@given(
    st.floats(1.5, 60.0),
    st.floats(0.0, 0.5),
    st.floats(0.05, 1.0),
    st.sampled_from([0.8, 1.2, 2.9, 3.0, 8.0]),
    st.sampled_from(["metric", "inch"]),
)
def test_the_made_hole_always_lies_within_its_limits(
    size: float, under: float, over: float, sheet_mm: float, units: UnitSystem
) -> None:
    least, most = size - under, size + over
    made = choose_tools(size, least, most, sheet_mm=sheet_mm, units=units)
    assert least - 1e-6 <= made.final_mm <= most + 1e-6
    if made.filed:
        # what was taken away cannot be put back
        assert made.tool.diameter_mm < made.final_mm
    else:
        assert made.tool.diameter_mm == made.final_mm
    # a size one can buy in that country
    text = made.tool.name.removeprefix("letter ")
    assert text.endswith(" mm") == (units == "metric")
    if text.endswith(" in"):
        inches = sum(Fraction(piece) for piece in text.removesuffix(" in").split())
        assert made.tool.diameter_mm == pytest.approx(float(inches) * 25.4)


def test_sheet_tools_say_that_they_have_no_source() -> None:
    assert {row.kind for row in sheet_tool_rows()} == {"step drill", "sheet punch", "hole saw"}
    for row in sheet_tool_rows():
        assert "no source" in row.source
        short = row.name.removesuffix(" mm" if row.units == "metric" else " in")
        size = float(sum(Fraction(piece) for piece in short.split()))
        assert row.diameter_mm == pytest.approx(size * (1 if row.units == "metric" else 25.4))


def test_the_drill_that_goes_through_a_parts_hole() -> None:
    # 11/32 in is 8.73 mm: 8.7 goes through, 8.8 does not
    cases: tuple[tuple[float, UnitSystem, str], ...] = (
        (8.73125, "metric", "8.7 mm"),
        (8.73125, "inch", "11/32 in"),
        (9.0, "metric", "9 mm"),
    )
    for through, units, name in cases:
        found = transfer_drill(through, units)
        assert found is not None
        assert found.name == name
    assert transfer_drill(30.0) is None
