"""Quantities as text outside, plain floats inside. The only module that uses pint.

Inside the program a length is a ``float`` in mm, an angle in rad, a force in N, a pressure in
MPa, a volume in mm3, a mass in kg, a stiffness in N/mm, a hose's swell (volume per length) in
mm3/mm, a flex in mm/N, a time in s and a speed in mm/s. Outside, a quantity is text with its
unit: ``"38 mm"``, ``"7/8 in"``, ``"1 1/2 in"``, ``"12 deg"``, ``"90 lbf"``.

The text of a user is split here, by one regular expression, into a number and a unit from a fixed
list. pint is asked only for the factor of a unit on that list and never sees what the user
wrote, so no expression is ever evaluated. Numbers and factors are exact fractions until the last
step, so ``"1 1/2 in"`` is 38.1 and not nearly 38.1.

Importing this module is cheap: pint loads at the first parse.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from enum import StrEnum
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, get_args

from generators.errors import UnitError

if TYPE_CHECKING:
    import pint

__all__ = [
    "DASH_MM",
    "INCH_MM",
    "MAX_TEXT",
    "MM_PER_INCH",
    "UNITS_BY_KIND",
    "UNIT_SYSTEMS",
    "Kind",
    "UnitSystem",
    "exact",
    "inch_rounding_mm",
    "kind_of_unit",
    "parse",
    "parse_angle_rad",
    "parse_force_n",
    "parse_length_mm",
    "parse_pressure_mpa",
    "pattern",
]

MAX_TEXT = 64
"""Longest quantity text read, in characters: bounds the work a hostile file can ask for."""

MM_PER_INCH = Fraction(254, 10)
"""Millimetres in one inch, exact (international inch of 1959)."""

INCH_UNITS = frozenset({"in", "inch", "ft", "thou"})
HALF_THOUSANDTH = Fraction(1, 2000)
"""Half of the last decimal ``format_length`` prints of an inch: what is read off its text is no finer."""

INCH_MM = float(MM_PER_INCH)
"""The same for plain floats."""

DASH_MM = INCH_MM / 16
"""One dash size, mm: dash sizes count sixteenths of an inch of tube (SAE J514, from memory)."""

UnitSystem = Literal["metric", "inch"]
"""What a country measures in: which unit people get first, and which drills its shops sell."""

UNIT_SYSTEMS: tuple[UnitSystem, ...] = get_args(UnitSystem)

_SHOWN = 40
"""Longest piece of user text repeated in an error message, in characters."""


class Kind(StrEnum):
    """What a text may be a quantity of."""

    LENGTH = "length"
    ANGLE = "angle"
    FORCE = "force"
    PRESSURE = "pressure"
    VOLUME = "volume"
    MASS = "mass"
    STIFFNESS = "stiffness"
    SWELL = "swell"
    FLEX = "flex"
    TIME = "time"
    SPEED = "speed"


UNITS_BY_KIND: Mapping[Kind, tuple[str, ...]] = MappingProxyType(
    {
        Kind.LENGTH: ("mm", "cm", "m", "in", "inch", "ft", "thou"),
        Kind.ANGLE: ("deg", "°", "rad", "mrad"),
        Kind.FORCE: ("N", "kN", "lbf", "kgf"),
        Kind.PRESSURE: ("MPa", "kPa", "Pa", "bar", "psi"),
        Kind.VOLUME: ("mm3", "cm3", "cc", "ml", "mL", "l", "L", "in3"),
        Kind.MASS: ("kg", "g", "lb", "oz"),
        Kind.STIFFNESS: ("N/mm", "N/m", "kN/mm", "lbf/in"),
        Kind.SWELL: ("cc/ft", "cc/m", "cm3/m", "ml/m", "mL/m", "mm3/mm", "in3/ft"),
        Kind.FLEX: ("mm/kN", "mm/N", "in/lbf"),
        Kind.TIME: ("s", "min", "h"),
        Kind.SPEED: ("m/min", "mm/min", "mm/s", "in/min"),
    }
)
"""Every unit accepted, by kind. Case matters: ``mm`` is a length, ``MM`` is nothing."""

_PINT_NAMES: Mapping[str, str] = MappingProxyType(
    {
        # Only where our spelling is not pint's, or would read as something else there.
        "in": "inch",
        "thou": "thou",
        "deg": "degree",
        "°": "degree",
        "mrad": "milliradian",
        "lbf": "force_pound",
        "kgf": "kilogram_force",
        "mm3": "millimeter ** 3",
        "cm3": "centimeter ** 3",
        "cc": "centimeter ** 3",
        "in3": "inch ** 3",
        "N/mm": "newton / millimeter",
        "N/m": "newton / meter",
        "kN/mm": "kilonewton / millimeter",
        "lbf/in": "force_pound / inch",
        "cc/ft": "centimeter ** 3 / foot",
        "cc/m": "centimeter ** 3 / meter",
        "cm3/m": "centimeter ** 3 / meter",
        "ml/m": "centimeter ** 3 / meter",
        "mL/m": "centimeter ** 3 / meter",
        "mm3/mm": "millimeter ** 2",
        "in3/ft": "inch ** 3 / foot",
        "mm/kN": "millimeter / kilonewton",
        "mm/N": "millimeter / newton",
        "in/lbf": "inch / force_pound",
        "s": "second",
        "min": "minute",
        "h": "hour",
        "m/min": "meter / minute",
        "mm/min": "millimeter / minute",
        "mm/s": "millimeter / second",
        "in/min": "inch / minute",
    }
)

_BASE: Mapping[Kind, str] = MappingProxyType(
    {
        Kind.LENGTH: "millimeter",
        Kind.ANGLE: "radian",
        Kind.FORCE: "newton",
        Kind.PRESSURE: "megapascal",
        Kind.VOLUME: "millimeter ** 3",
        Kind.MASS: "kilogram",
        Kind.STIFFNESS: "newton / millimeter",
        Kind.SWELL: "millimeter ** 2",
        Kind.FLEX: "millimeter / newton",
        Kind.TIME: "second",
        Kind.SPEED: "millimeter / second",
    }
)

_EXPECTED: Mapping[Kind, str] = MappingProxyType(
    {
        Kind.LENGTH: 'a length with its unit, like "38 mm" or "1 1/2 in"',
        Kind.ANGLE: 'an angle with its unit, like "12 deg" or "0.2 rad"',
        Kind.FORCE: 'a force with its unit, like "400 N" or "90 lbf"',
        Kind.PRESSURE: 'a pressure with its unit, like "7 MPa" or "1000 psi"',
        Kind.VOLUME: 'a volume with its unit, like "10 cc" or "0.62 in3"',
        Kind.MASS: 'a mass with its unit, like "1.2 kg" or "8 oz"',
        Kind.STIFFNESS: 'a stiffness with its unit, like "50 N/mm" or "280 lbf/in"',
        Kind.SWELL: 'a volume per length with its unit, like "0.33 cc/ft" or "1.1 cc/m"',
        Kind.FLEX: 'a length per force with its unit, like "0.4 mm/kN"',
        Kind.TIME: 'a time with its unit, like "1.5 s" or "12 min"',
        Kind.SPEED: 'a speed with its unit, like "3.2 m/min" or "120 in/min"',
    }
)

# Spelled with [0-9] because \d also takes digits of other scripts, and because the same pieces
# must mean the same to an ECMA engine.
_TEXT = re.compile(
    r" *(?P<sign>[+-])?"
    r"(?:(?:(?P<whole>[0-9]+)(?: +|-))?(?P<num>[0-9]+)/(?P<den>[0-9]+)"
    r"|(?P<dec>[0-9]+(?:\.[0-9]+)?|\.[0-9]+))"
    r" *(?P<unit>[A-Za-z°]\S*)? *"
)

_COMMA = re.compile(r" *[+-]?[0-9]+,[0-9]+ *[A-Za-z°]?[^ ,]* *")


def parse(text: str, kind: Kind) -> float:
    """Read ``text`` as a quantity of ``kind``: mm, rad, N, MPa, mm3, kg, N/mm, mm3/mm,
    mm/N, s or mm/s.

    The number is a plain decimal (``38``, ``1.5``, ``.5``), a fraction (``7/8``) or a whole number
    and a fraction (``1 1/2``, ``1-1/2``), with an optional sign before all of it. The result is
    the correctly rounded value of the exact quantity.

    Raises:
        UnitError: no unit, unknown unit, a unit of another kind, division by zero, or not a
            number of one of these forms.
    """
    expected = _EXPECTED[kind]
    shown = _shown(text)
    if len(text) > MAX_TEXT:
        raise UnitError(f"{shown}, {len(text)} characters long", f"{expected}, at most {MAX_TEXT} characters")
    match = _TEXT.fullmatch(text)
    if match is None:
        advice = " (write the decimal point as a point)" if _COMMA.fullmatch(text) else ""
        if kind is Kind.LENGTH and text.rstrip().endswith(("'", '"', "\u2032", "\u2033")):
            advice = " (write ft or in instead of the mark)"
        raise UnitError(f"{shown}{advice}", expected)
    unit = match["unit"]
    if unit is None:
        raise UnitError(f"{shown}, a number without a unit", expected)
    _require_unit(unit, kind, shown)
    return float(_number(match, shown, expected) * _factor(unit, kind))


def kind_of_unit(unit: str) -> Kind | None:
    """What a unit is a unit of; None for a word that is none."""
    return next((kind for kind, units in UNITS_BY_KIND.items() if unit in units), None)


def exact(number: str, unit: str) -> Fraction:
    """``number`` of ``unit`` in base units, exact; a number without a unit (``""``) as it is.

    The number is written as for :func:`parse`. Raises ``UnitError`` for a division by zero or a whole number
    with a fraction of one or more, ``KeyError`` for an unknown unit.
    """
    kind = kind_of_unit(unit)
    match = _TEXT.fullmatch(f"{number} {unit}".rstrip())
    if match is None or (unit and kind is None):
        raise KeyError(unit)
    value = _number(match, _shown(f"{number} {unit}".rstrip()), "a number")
    return value if kind is None else value * _factor(unit, kind)


def parse_length_mm(text: str) -> float:
    """Read a length, in mm. Raises ``UnitError``; see :func:`parse` for the forms accepted."""
    return parse(text, Kind.LENGTH)


def parse_angle_rad(text: str) -> float:
    """Read an angle, in rad. Raises ``UnitError``; see :func:`parse` for the forms accepted."""
    return parse(text, Kind.ANGLE)


def parse_force_n(text: str) -> float:
    """Read a force, in N. Raises ``UnitError``; see :func:`parse` for the forms accepted."""
    return parse(text, Kind.FORCE)


def parse_pressure_mpa(text: str) -> float:
    """Read a pressure, in MPa. Raises ``UnitError``; see :func:`parse` for the forms accepted."""
    return parse(text, Kind.PRESSURE)


def inch_rounding_mm(text: str) -> float:
    """By how much a length written in decimals of an inch may be rounded, in mm: half its last digit.

    At most half a thousandth of an inch, so that ``"1 in"`` stands for nothing but 1 in. 0 for a fraction,
    which is exact, for a metric unit and for a text that is no length. Raises nothing.
    """
    match = _TEXT.fullmatch(text) if len(text) <= MAX_TEXT else None
    if match is None or match["dec"] is None or match["unit"] not in INCH_UNITS:
        return 0.0
    digit = Fraction(1, 10 ** len(match["dec"].partition(".")[2]))
    half = digit / 2 * _factor(match["unit"], Kind.LENGTH)
    return float(min(half, HALF_THOUSANDTH * MM_PER_INCH))


def pattern(kind: Kind) -> str:
    """Regular expression of the texts :func:`parse` accepts, for a JSON Schema (ECMA, Draft-4).

    An editor's help, not a second parser: a text outside it is always refused, but a mixed
    number with a top-heavy fraction (``1 5/4 in``) or a text over ``MAX_TEXT`` characters passes
    here and is refused by :func:`parse`. Raises nothing.
    """
    units = "|".join(re.escape(unit) for unit in UNITS_BY_KIND[kind])
    fraction = r"(?:[0-9]+(?: +|-))?[0-9]+/0*[1-9][0-9]*"
    decimal = r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+"
    return rf"^ *[+-]?(?:{fraction}|{decimal}) *(?:{units}) *$"


def _shown(text: str) -> str:
    return repr(text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…")


def _with_article(kind: Kind) -> str:
    return f"an {kind}" if kind is Kind.ANGLE else f"a {kind}"


def _require_unit(unit: str, kind: Kind, shown: str) -> None:
    if unit in UNITS_BY_KIND[kind]:
        return
    for other, units in UNITS_BY_KIND.items():
        if unit in units:
            raise UnitError(f"{shown}, {_with_article(other)}", _EXPECTED[kind])
    known = ", ".join(UNITS_BY_KIND[kind])
    raise UnitError(f"{shown}, unknown unit {_shown(unit)}", f"{_with_article(kind)} in one of: {known}")


def _number(match: re.Match[str], shown: str, expected: str) -> Fraction:
    sign = -1 if match["sign"] == "-" else 1
    if match["dec"] is not None:
        return sign * Fraction(match["dec"])
    numerator, denominator = int(match["num"]), int(match["den"])
    if denominator == 0:
        raise UnitError(f"{shown}, a division by zero", expected)
    if match["whole"] is None:
        return sign * Fraction(numerator, denominator)
    if numerator >= denominator:
        # "1 5/4" is far more often a slip for "1 5/8" than a way to write 2 1/4.
        raise UnitError(f"{shown}, a whole number with a fraction of one or more", expected)
    return sign * (int(match["whole"]) + Fraction(numerator, denominator))


_DEFINED = (
    *(
        "mega- = 1e6 = M-",
        "kilo- = 1e3 = k-",
        "deci- = 1e-1 = d-",
        "centi- = 1e-2 = c-",
        "milli- = 1e-3 = m-",
    ),
    *("meter = [length] = m", "gram = [mass] = g", "second = [time] = s", "radian = [] = rad"),
    *("minute = 60 * second", "hour = 60 * minute"),
    "degree = 3.1415926535897932384626433832795028841971693993751 / 180 * radian = deg",
    *("inch = 0.0254 * meter = in", "foot = 0.3048 * meter = ft", "thou = 1e-3 * inch"),
    *("liter = decimeter ** 3 = l = L", "pound = 453.59237 * gram = lb", "ounce = pound / 16 = oz"),
    "newton = kilogram * meter / second ** 2 = N",
    "kilogram_force = 9.80665 * newton",
    "force_pound = 0.45359237 * kilogram_force",
    *("pascal = newton / meter ** 2 = Pa", "bar = 1e5 * pascal", "psi = force_pound / inch ** 2"),
)
"""What pint is told: the units of the list and no others, for its own text of all units takes longer to read
than a job. The SI Brochure; the yard and pound agreement of 1959; standard gravity (3rd CGPM 1901)."""


@contextmanager
def _unseen(library: str) -> Iterator[None]:
    """As if a library were not installed, unless it is loaded already."""
    if library in sys.modules:
        yield
        return
    sys.modules[library] = None  # type: ignore[assignment]  # how the import system is told so
    try:
        yield
    finally:
        del sys.modules[library]


@cache
def _registry() -> pint.UnitRegistry[Any]:
    # pint loads dask where it finds it, to know its arrays: of no use to numbers, and a twelfth of a `check`
    with _unseen("dask"):
        import pint  # noqa: PLC0415  (slow: paid at the first parse, not at import)

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(None, non_int_type=Fraction)
    for line in _DEFINED:
        registry.define(line)
    return registry


@cache
def _factor(unit: str, kind: Kind) -> Fraction:
    """How many base units of ``kind`` one ``unit`` is, exact (an angle: to pint's digits of pi)."""
    quantity = _registry().Quantity(Fraction(1), _PINT_NAMES.get(unit, unit))
    return Fraction(quantity.to(_BASE[kind]).magnitude)
