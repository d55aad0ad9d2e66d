"""Drill sizes against ASME B94.11M and the DIN 338 series."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generators.errors import LookupFault
from generators.standards import DrillSystem, Trust, drill, drills, nearest_drill

# ASME B94.11M, inch; one transcription read (#5, #10, #18, #25: standard value from memory, sure).
NUMBER = {
    1: 0.228, 2: 0.221, 3: 0.213, 5: 0.2055, 7: 0.201, 9: 0.196, 10: 0.1935, 16: 0.177, 18: 0.1695,
    21: 0.159, 25: 0.1495, 29: 0.136, 30: 0.1285, 36: 0.1065, 40: 0.098,
}  # fmt: skip
LETTER = {
    "A": 0.234, "B": 0.238, "E": 0.250, "F": 0.257, "H": 0.266, "I": 0.272, "J": 0.277, "O": 0.316,
    "P": 0.323, "Q": 0.332, "U": 0.368, "V": 0.377, "W": 0.386, "X": 0.397, "Z": 0.413,
}  # fmt: skip


def test_row_counts() -> None:
    # Metric: 1.0 to 14.0 by 0.1 (131), 14.25 to 16.0 by 0.25 (8), 16.5 to 25.0 by 0.5 (18). Fractions: 4/64 to 64/64.
    counts = Counter(row.system for row in drills())
    assert counts == {"metric": 131 + 8 + 18, "fractional": 61, "number": 60, "letter": 26}


def test_the_metric_series_has_its_published_steps() -> None:
    # BS 328 as transcribed in a public table: 0.1 mm steps from 3.0 to 13.9 mm; DIN 338 from memory, sure:
    # 0.1 mm to 14 mm, 0.25 mm to 16 mm, 0.5 mm to 20 mm
    sizes = [round(row.diameter_mm, 2) for row in drills() if row.system is DrillSystem.METRIC]
    assert [d for d in sizes if 3 <= d <= 14] == [k / 10 for k in range(30, 141)]
    assert [d for d in sizes if 14 < d <= 16] == [14 + k / 4 for k in range(1, 9)]
    assert [d for d in sizes if 16 < d <= 20] == [16 + k / 2 for k in range(1, 9)]


@pytest.mark.parametrize("number", NUMBER)
def test_number_sizes(number: int) -> None:
    assert drill(f"#{number}").diameter_mm / 25.4 == pytest.approx(NUMBER[number], abs=1e-9)


@pytest.mark.parametrize("letter", LETTER)
def test_letter_sizes(letter: str) -> None:
    assert drill(letter).diameter_mm / 25.4 == pytest.approx(LETTER[letter], abs=1e-9)


def test_fractions_are_exact() -> None:
    for row in drills():
        if row.system is DrillSystem.FRACTIONAL:
            assert row.diameter_mm == float(Fraction(row.name) * Fraction(254, 10))
            assert Fraction(row.name).denominator <= 64


def test_metric_is_its_name() -> None:
    for row in drills():
        if row.system is DrillSystem.METRIC:
            assert float(row.name.removesuffix(" mm")) == row.diameter_mm


def test_number_sizes_fall_and_letter_sizes_rise() -> None:
    number = [row.diameter_mm for row in drills() if row.system is DrillSystem.NUMBER]
    letter = [row.diameter_mm for row in drills() if row.system is DrillSystem.LETTER]
    assert number == sorted(set(number), reverse=True)
    assert letter == sorted(set(letter))
    assert number[0] < letter[0]  # the letters carry on where the numbers end


def test_sizes_from_memory_say_so() -> None:
    for row in drills():
        assert (row.trust is Trust.MEMORY_SURE) == ("from memory" in row.source)


def test_first_letter_above_the_bolt() -> None:
    # AC 43.13-1B par. 7-39, "first-lettered drill size larger than the nominal bolt diameter".
    letters = [row for row in drills() if row.system is DrillSystem.LETTER]
    for bolt, name in ((Fraction(1, 4), "F"), (Fraction(5, 16), "O"), (Fraction(3, 8), "V")):
        larger = (row.name for row in letters if row.diameter_mm > float(bolt * Fraction(254, 10)))
        assert next(larger) == name


def test_against_bd_warehouse(other_table) -> None:
    other = {row["Size"]: float(row["Diameter"]) for row in other_table("drill_sizes.csv")}
    compared = [row for row in drills() if row.system in (DrillSystem.NUMBER, DrillSystem.LETTER)]
    assert len(compared) == 86
    for row in compared:
        # 0.0006 in: some of theirs are rounded to three places.
        assert row.diameter_mm / 25.4 == pytest.approx(other[row.name], abs=0.0006)


@pytest.mark.parametrize(
    ("diameter_mm", "name"), [(6.6, "6.6 mm"), (7.14, "K"), (6.35, "1/4"), (19.4, "49/64"), (25.4, "1")]
)
def test_nearest(diameter_mm: float, name: str) -> None:
    assert nearest_drill(diameter_mm).name == name


def test_nearest_within_systems() -> None:
    assert nearest_drill(7.14, [DrillSystem.FRACTIONAL]).name == "9/32"
    assert nearest_drill(6.53, [DrillSystem.LETTER]).name == "F"
    assert nearest_drill(16.26, [DrillSystem.METRIC]).name == "16.5 mm"
    # Halfway between two: the larger.
    assert nearest_drill(16.25, [DrillSystem.METRIC]).name == "16.5 mm"


@given(st.floats(min_value=1, max_value=25.4))
def test_nearest_is_nearest(diameter_mm: float) -> None:
    found = abs(nearest_drill(diameter_mm).diameter_mm - diameter_mm)
    assert all(found <= abs(row.diameter_mm - diameter_mm) + 2e-9 for row in drills())


@pytest.mark.parametrize("diameter_mm", [0.5, 26.0, -3.0, float("nan"), float("inf")])
def test_nothing_is_near(diameter_mm: float) -> None:
    with pytest.raises(LookupFault, match="drill near"):
        nearest_drill(diameter_mm)


def test_no_system_and_no_name() -> None:
    with pytest.raises(LookupFault, match="drill system"):
        nearest_drill(5.0, [])
    with pytest.raises(LookupFault):
        drill("17/65")
