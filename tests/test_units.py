"""Quantities as text: exact where the text is exact, and refused otherwise."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from fractions import Fraction
from typing import Any

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from generators import figures, units
from generators.errors import UnitError
from generators.figures import format_length, format_limits, format_short, nearest_64th
from generators.units import (
    MAX_TEXT,
    UNITS_BY_KIND,
    Kind,
    parse,
    parse_angle_rad,
    parse_force_n,
    parse_length_mm,
    parse_pressure_mpa,
    pattern,
)

kinds = st.sampled_from(list(Kind))


@pytest.fixture(scope="module", autouse=True)
def _warm_registry() -> None:
    # The first parse pays for loading pint, which would break Hypothesis's deadline.
    parse_length_mm("1 mm")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("38 mm", 38.0),
        ("1.5 in", 38.1),
        ("7/8 in", 22.225),
        ("1 1/2 in", 38.1),
        ("1-1/2 in", 38.1),
        ("-1 1/2 in", -38.1),
        ("-1-1/2 in", -38.1),
        ("+3 mm", 3.0),
        ("-12 mm", -12.0),
        (".5in", 12.7),
        ("0 mm", 0.0),
        ("2 ft", 609.6),
        ("3 cm", 30.0),
        ("1.2 m", 1200.0),
        ("62.5 thou", 1.5875),
        ("1 inch", 25.4),
        ("  38 mm  ", 38.0),
    ],
)
def test_lengths_are_exact(text: str, mm: float) -> None:
    assert parse_length_mm(text) == mm


# Definitions: 1 lbf = 0.45359237 kg x 9.80665 m/s2; 1 psi = 1 lbf/in2; 1 in = 25.4 mm (international
# pound and inch of 1959).
LBF = 0.45359237 * 9.80665


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("90 lbf", Kind.FORCE, 90 * LBF),
        ("1 kN", Kind.FORCE, 1000.0),
        ("10 kgf", Kind.FORCE, 98.0665),
        ("1000 psi", Kind.PRESSURE, 1000 * LBF / 25.4**2),
        ("7 MPa", Kind.PRESSURE, 7.0),
        ("250 kPa", Kind.PRESSURE, 0.25),
        ("5 Pa", Kind.PRESSURE, 5e-6),
        ("1 bar", Kind.PRESSURE, 0.1),
        ("10 cc", Kind.VOLUME, 10_000.0),
        ("2 cm3", Kind.VOLUME, 2000.0),
        ("5 mm3", Kind.VOLUME, 5.0),
        ("3 ml", Kind.VOLUME, 3000.0),
        ("3 mL", Kind.VOLUME, 3000.0),
        ("0.5 l", Kind.VOLUME, 500_000.0),
        ("0.5 L", Kind.VOLUME, 500_000.0),
        ("1 in3", Kind.VOLUME, 16387.064),
        ("250 g", Kind.MASS, 0.25),
        ("2 kg", Kind.MASS, 2.0),
        ("1 lb", Kind.MASS, 0.45359237),
        ("8 oz", Kind.MASS, 0.45359237 / 2),
        ("50 N/mm", Kind.STIFFNESS, 50.0),
        ("50 N/m", Kind.STIFFNESS, 0.05),
        ("2 kN/mm", Kind.STIFFNESS, 2000.0),
        ("100 lbf/in", Kind.STIFFNESS, 100 * LBF / 25.4),
        ("12 deg", Kind.ANGLE, math.radians(12)),
        ("12°", Kind.ANGLE, math.radians(12)),
        ("0.2 rad", Kind.ANGLE, 0.2),
        ("5 mrad", Kind.ANGLE, 0.005),
    ],
)
def test_other_kinds(text: str, kind: Kind, value: float) -> None:
    assert parse(text, kind) == pytest.approx(value, rel=1e-14)


def test_named_readers() -> None:
    assert parse_angle_rad("180 deg") == math.pi
    assert parse_force_n("400 N") == 400.0
    assert parse_pressure_mpa("7 MPa") == 7.0


@pytest.mark.parametrize("kind", Kind)
def test_every_unit_on_the_list_reads(kind: Kind) -> None:
    for unit in UNITS_BY_KIND[kind]:
        assert parse(f"1 {unit}", kind) > 0


def test_no_unit_means_two_things() -> None:
    listed = [unit for names in UNITS_BY_KIND.values() for unit in names]
    assert len(listed) == len(set(listed))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("38", "'38', a number without a unit"),
        ("1 1/2", "'1 1/2', a number without a unit"),
        ("12 deg", "'12 deg', an angle"),
        ("12 kg", "'12 kg', a mass"),
        ("38 MM", "'38 MM', unknown unit 'MM'"),
        ("38 parsec", "'38 parsec', unknown unit 'parsec'"),
        ("1/0 in", "'1/0 in', a division by zero"),
        ("1 1/00 in", "'1 1/00 in', a division by zero"),
        ("1 5/4 in", "'1 5/4 in', a whole number with a fraction of one or more"),
        ("1,5 mm", "'1,5 mm' (write the decimal point as a point)"),
        ("nan mm", "'nan mm'"),
        ("inf mm", "'inf mm'"),
        ("-inf mm", "'-inf mm'"),
        ("1.2e1 mm", "'1.2e1 mm'"),
        ("2*3 mm", "'2*3 mm'"),
        ("3 mm + 2 mm", "'3 mm + 2 mm'"),
        ("1/2/3 in", "'1/2/3 in'"),
        ("1.5/2 in", "'1.5/2 in'"),
        ("--5 mm", "'--5 mm'"),
        ("5. mm", "'5. mm'"),
        ("mm", "'mm'"),
        ("mm 5", "'mm 5'"),
        ("", "''"),
        (" ", "' '"),
        ("38 mm\n", "'38 mm\\n'"),
        ("38\tmm", "'38\\tmm'"),
        ("٣ mm", "'٣ mm'"),
        ("__import__('os')", "\"__import__('os')\""),
    ],
)
def test_refused(text: str, found: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_length_mm(text)
    assert caught.value.found == found
    assert caught.value.expected.startswith("a length")


def test_message_for_a_stranger() -> None:
    with pytest.raises(UnitError) as caught:
        parse_length_mm("38")
    assert caught.value.expected == 'a length with its unit, like "38 mm" or "1 1/2 in"'
    with pytest.raises(UnitError, match="expected an angle in one of: deg, °, rad, mrad"):
        parse_angle_rad("3 turns")


def test_overlong_text_is_cut_in_the_message() -> None:
    assert parse_length_mm("0" * (MAX_TEXT - 3) + " mm") == 0.0
    with pytest.raises(UnitError, match="at most 64 characters") as caught:
        parse_length_mm("9" * 100_000 + " mm")
    assert len(str(caught.value)) < 250


near_misses = st.text(alphabet="0123456789 .,/-+eE_mincftdegNrad°", max_size=20)


@given(st.text(max_size=80) | near_misses, kinds)
@example("1 µm", Kind.LENGTH)
@example("1/0 in", Kind.LENGTH)
@example("9" * 60 + " ft", Kind.LENGTH)
def test_any_text_gives_a_finite_number_or_a_unit_error(text: str, kind: Kind) -> None:
    try:
        value = parse(text, kind)
    except UnitError:
        return
    assert math.isfinite(value)


@given(st.text(alphabet="0123456789 ./-+mincft", max_size=14))
def test_pattern_agrees_with_the_parser(text: str) -> None:
    try:
        parse_length_mm(text)
    except UnitError as error:
        matches = "fraction of one or more" in error.found
        assert bool(re.search(pattern(Kind.LENGTH), text)) == matches
    else:
        assert re.search(pattern(Kind.LENGTH), text)


@pytest.mark.parametrize("kind", Kind)
def test_pattern_is_plain_ecma(kind: Kind) -> None:
    for unit in UNITS_BY_KIND[kind]:
        assert re.search(pattern(kind), f"1-1/2 {unit}")
    assert not re.search(pattern(kind), "38")
    # Constructs that ECMA 262 of Draft-4's day does not have.
    assert not re.search(r"\(\?[P<#]|\\[AZz]|\(\?[aiLmsux]", pattern(kind))


@given(st.integers(0, 500), st.integers(0, 1000), st.integers(1, 1000))
def test_fractions_are_exact(whole: int, numerator: int, denominator: int) -> None:
    exact = Fraction(numerator % denominator, denominator)
    text = f"{whole} {numerator % denominator}/{denominator} in"
    assert parse_length_mm(text) == float((whole + exact) * Fraction(254, 10))
    assert parse_length_mm(text) == parse_length_mm(text.replace(" ", "-", 1))
    assert parse_length_mm(f"-{text}") == -parse_length_mm(text)


@given(st.decimals(min_value=-10_000, max_value=10_000, places=4))
def test_inch_to_mm_and_back(inches) -> None:
    mm = parse_length_mm(f"{inches:f} in")
    assert mm == float(Fraction(inches) * Fraction(254, 10))
    assert mm / 25.4 == pytest.approx(float(inches), rel=1e-15, abs=1e-300)


@given(st.integers(-64 * 200, 64 * 200))
def test_64ths_read_back(sixty_fourths: int) -> None:
    text = nearest_64th(sixty_fourths / 64)
    assert parse_length_mm(f"{text} in") == float(Fraction(sixty_fourths, 64) * Fraction(254, 10))


@given(st.floats(-500, 500))
def test_nearest_64th_is_nearest(inches: float) -> None:
    read = parse_length_mm(f"{nearest_64th(inches)} in") / 25.4
    assert abs(read - inches) <= 1 / 128 + 1e-9


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (38.1, "38.10 mm (1.500 in, 1 1/2)"),
        (12.0, "12.00 mm (0.472 in, ~15/32)"),
        (-12.0, "-12.00 mm (-0.472 in, ~-15/32)"),
        (25.4, "25.40 mm (1.000 in, 1)"),
        (0.0, "0.00 mm (0.000 in, 0)"),
        (-0.001, "0.00 mm (0.000 in, 0)"),
        (0.2, "0.20 mm (0.008 in, ~1/64)"),
        (25.4 * (0.5 + 0.0004), "12.71 mm (0.500 in, 1/2)"),
        (25.4 * (0.5 + 0.0006), "12.72 mm (0.501 in, ~1/2)"),
    ],
)
def test_format_length(mm: float, text: str) -> None:
    assert format_length(mm) == text


@pytest.mark.parametrize(
    ("value", "text"),
    # halves of a thousandth that binary numbers miss go away from zero, on either side of it
    [(0.018, "+0.018"), (-0.0145, "-0.015"), (0.0145, "+0.015"), (-0.0004, "+0.000"), (0.0, "+0.000")],
)
def test_a_deviation_has_its_sign(value: float, text: str) -> None:
    assert figures.signed(value, 3) == text


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_nothing_to_format(value: float) -> None:
    with pytest.raises((ValueError, OverflowError)):
        format_length(value)


def test_every_factor_is_that_of_pints_own_text() -> None:
    """The library's definitions, which name their sources, against the few given here: equal to the last digit."""
    own: pint.UnitRegistry[Any] = pint.UnitRegistry(non_int_type=Fraction)
    for kind, names in units.UNITS_BY_KIND.items():
        for unit in names:
            theirs = own.Quantity(Fraction(1), units._PINT_NAMES.get(unit, unit)).to(units._BASE[kind])
            assert units._factor(unit, kind) == theirs.magnitude, unit


def test_pint_loads_at_the_first_parse_only() -> None:
    script = (
        "import sys, generators.figures as f, generators.units as u\n"
        "u.pattern(u.Kind.LENGTH); f.format_length(3.0); assert 'pint' not in sys.modules\n"
        "assert u.parse_length_mm('1 in') == 25.4; assert 'pint' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True)


def test_public_names() -> None:
    assert set(units.__all__) >= {"parse", "pattern", "Kind", "UNITS_BY_KIND"}
    assert set(figures.__all__) >= {"fixed", "format_length", "format_opening", "format_limits", "signed"}


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (38.1, "1.500 in (1 1/2, 38.10 mm)"),
        (12.0, "0.472 in (~15/32, 12.00 mm)"),
        (25.4 * 29 / 64, "0.453 in (29/64, 11.51 mm)"),
    ],
)
def test_inches_first(mm: float, text: str) -> None:
    assert format_length(mm, "inch") == text


def test_one_unit_only() -> None:
    assert [format_short(mm) for mm in (12.0, 5.7, 0.0, 100.0)] == ["12 mm", "5.7 mm", "0 mm", "100 mm"]
    assert format_short(1.234, "metric", 4) == "1.234 mm"
    # 15/32 in = 11.90625 mm; 12 mm is 0.4724 in, between two 64ths
    assert [format_short(mm, "inch") for mm in (11.90625, 12.0)] == ["15/32 in", "0.472 in"]


def test_limits_are_rounded_inward() -> None:
    # 11.3125 mm = 0.445374 in, 12.1125 mm = 0.476870 in
    assert format_limits(11.3125, 12.1125) == "11.32 to 12.11 mm"
    assert format_limits(11.3125, 12.1125, "inch") == "0.446 to 0.476 in"
    # what is exact is not moved by the last bit of a float
    assert format_limits(5.5, 5.5 + 0.18) == "5.50 to 5.68 mm"
    assert format_limits(0.0, 0.0) == ""


@pytest.mark.parametrize(
    ("mm", "metric", "inch"),
    [
        # 5.7 mm is 0.2244 in; 7/32 is 0.21875, a drill whose hole is under the least of 5.62 mm
        (5.7, "5.70 mm (0.224 in)", "0.224 in (5.70 mm)"),
        (12.7, "12.70 mm (0.500 in, 1/2)", "0.500 in (1/2, 12.70 mm)"),
        (25.4, "25.40 mm (1.000 in, 1)", "1.000 in (1, 25.40 mm)"),
    ],
)
def test_a_hole_has_a_fraction_only_where_that_is_its_size(mm: float, metric: str, inch: str) -> None:
    assert figures.format_opening(mm) == metric
    assert figures.format_opening(mm, "inch") == inch


def test_units_do_not_load_a_library_for_arrays():
    """pint loads dask where it is installed: numbers have no use for it, and every command would wait."""
    told = "import sys; from generators.units import parse_length_mm as mm; print(mm('1 in'), 'dask' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert found.stdout.split() == ["25.4", "False"]
