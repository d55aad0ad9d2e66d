"""A bound given in millimetres is met by its value in inches, as far as the text is rounded.

The international inch is 25.4 mm exactly: 30 mm is 1.181102… in, 200 mm is 7.874015… in.
"""

from __future__ import annotations

from typing import Any

import pytest

from generators.model.spec.fields import FieldSpec
from generators.reading.toml.paths import Path
from generators.reading.toml.values import FAILED, read_value
from generators.units import inch_rounding_mm

SPAN = FieldSpec(kind="length", doc="", lo=30.0, hi=200.0)
FROM_NOTHING = FieldSpec(kind="length", doc="", lo=0.0, hi=200.0)
SPANS = FieldSpec(kind="angle", doc="", lo=0.1, hi=0.2)


def _read(text: str, spec: FieldSpec = SPAN) -> Any:
    def refuse(path: Path, found: str, expected: str, hint: str = "") -> Any:
        return FAILED

    return read_value(spec, text, ("spacing",), refuse)


@pytest.mark.parametrize("text", ["1.1811 in", "1.181 in", "1.18110 inch", "1181 thou", "0.0984 ft", "30 mm"])
def test_the_inch_value_of_the_lower_bound_is_that_bound(text: str) -> None:
    assert _read(text) == 30.0


@pytest.mark.parametrize("text", ["7.8740 in", "7.87402 in", "7.874 in", "7874 thou", "200 mm"])
def test_the_inch_value_of_the_upper_bound_is_no_more_than_it(text: str) -> None:
    assert _read(text) == pytest.approx(200.0, abs=25.4 * 0.0005)
    assert _read(text) <= 200.0


@pytest.mark.parametrize(
    "text",
    [
        "1.1810 in",  # says its fourth decimal: 29.9974 mm is 0.0026 mm short, half its digit 0.0013 mm
        "1.18 in",  # 29.972 mm: half its digit would be 0.005 in, but no more than 0.0005 in is forgiven
        "1.180 in",
        "1180 thou",
        "1 in",
        "1 11/64 in",  # a fraction is exact
        "29.999 mm",  # so is a millimetre
        "7.8741 in",  # 200.0021 mm, half its digit 0.0013 mm
        "7.875 in",
        "7 7/8 in",  # 200.025 mm
        "200.001 mm",
    ],
)
def test_what_is_past_the_bound_by_more_than_its_last_digit_is_refused(text: str) -> None:
    assert _read(text) is FAILED


@pytest.mark.parametrize("text", ["-0.001 in", "-0.0001 in", "-1 thou", "-0.00001 in"])
def test_nothing_below_zero_passes_for_zero(text: str) -> None:
    assert _read(text, FROM_NOTHING) is FAILED


def test_other_kinds_forgive_nothing() -> None:
    assert _read("0.0999 rad", SPANS) is FAILED
    assert _read("0.1 rad", SPANS) == 0.1


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1.1811 in", 0.00005),
        ("1.181 in", 0.0005),
        ("1 in", 0.0005),
        ("1.5 thou", 0.00005),
        ("1.00000 ft", 0.00006),
        ("1 3/16 in", 0.0),
        ("30.00 mm", 0.0),
        ("in", 0.0),
        ("9" * 80 + " in", 0.0),
    ],
)
def test_rounding_is_half_the_last_digit(text: str, inches: float) -> None:
    assert inch_rounding_mm(text) == pytest.approx(25.4 * inches, rel=1e-12)
