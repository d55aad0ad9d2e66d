"""Quantities as text outside, plain floats inside.

Inside the program a length is a ``float`` in mm, an angle in rad, a force in N, a pressure in
MPa, a volume in mm3, a mass in kg, a stiffness in N/mm, a hose's swell (volume per length) in
mm3/mm, a flex in mm/N, a time in s and a speed in mm/s. Outside, a quantity is text with its
unit: ``"38 mm"``, ``"7/8 in"``, ``"1 1/2 in"``, ``"12 deg"``, ``"90 lbf"``.

The text of a user is split here, by one regular expression, into a number and a unit from a fixed
list, so no expression is ever evaluated. Numbers and factors are exact fractions until the last
step, so ``"1 1/2 in"`` is 38.1 and not nearly 38.1.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Literal, get_args

from generators.errors import UnitError

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


_PI = Fraction("3.1415926535897932384626433832795028841971693993751")
_THOUSAND = Fraction(1000)
_FOOT_MM = 12 * MM_PER_INCH
_POUND_KG = Fraction("0.45359237")
_KGF_N = Fraction("9.80665")
_LBF_N = _POUND_KG * _KGF_N

_FACTORS: Mapping[Kind, Mapping[str, Fraction]] = MappingProxyType(
    {
        Kind.LENGTH: {
            **{"mm": Fraction(1), "cm": Fraction(10), "m": _THOUSAND},
            **{"in": MM_PER_INCH, "inch": MM_PER_INCH, "ft": _FOOT_MM, "thou": MM_PER_INCH / 1000},
        },
        Kind.ANGLE: {"deg": _PI / 180, "°": _PI / 180, "rad": Fraction(1), "mrad": 1 / _THOUSAND},
        Kind.FORCE: {"N": Fraction(1), "kN": _THOUSAND, "lbf": _LBF_N, "kgf": _KGF_N},
        Kind.PRESSURE: {
            **{"MPa": Fraction(1), "kPa": 1 / _THOUSAND, "Pa": 1 / _THOUSAND**2},
            **{"bar": Fraction(1, 10), "psi": _LBF_N / MM_PER_INCH**2},
        },
        Kind.VOLUME: {
            **{"mm3": Fraction(1), "cm3": _THOUSAND, "cc": _THOUSAND, "ml": _THOUSAND, "mL": _THOUSAND},
            **{"l": _THOUSAND**2, "L": _THOUSAND**2, "in3": MM_PER_INCH**3},
        },
        Kind.MASS: {"kg": Fraction(1), "g": 1 / _THOUSAND, "lb": _POUND_KG, "oz": _POUND_KG / 16},
        Kind.STIFFNESS: {
            **{"N/mm": Fraction(1), "N/m": 1 / _THOUSAND, "kN/mm": _THOUSAND},
            "lbf/in": _LBF_N / MM_PER_INCH,
        },
        Kind.SWELL: {
            "cc/ft": _THOUSAND / _FOOT_MM,
            **dict.fromkeys(("cc/m", "cm3/m", "ml/m", "mL/m", "mm3/mm"), Fraction(1)),
            "in3/ft": MM_PER_INCH**3 / _FOOT_MM,
        },
        Kind.FLEX: {"mm/kN": 1 / _THOUSAND, "mm/N": Fraction(1), "in/lbf": MM_PER_INCH / _LBF_N},
        Kind.TIME: {"s": Fraction(1), "min": Fraction(60), "h": Fraction(3600)},
        Kind.SPEED: {
            **{"m/min": _THOUSAND / 60, "mm/min": Fraction(1, 60), "mm/s": Fraction(1)},
            "in/min": MM_PER_INCH / 60,
        },
    }
)
"""How many base units of its kind one unit is, exact; an angle to 50 digits of pi. The SI Brochure; the yard
and pound agreement of 1959; standard gravity (3rd CGPM 1901). A library of all units would take longer
to load than a job to read; a test holds these against one."""

UNITS_BY_KIND: Mapping[Kind, tuple[str, ...]] = MappingProxyType(
    {kind: tuple(factors) for kind, factors in _FACTORS.items()}
)
"""Every unit accepted, by kind. Case matters: ``mm`` is a length, ``MM`` is nothing."""

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
    return float(_number(match, shown, expected) * _FACTORS[kind][unit])


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
    return value if kind is None else value * _FACTORS[kind][unit]


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
    half = digit / 2 * _FACTORS[Kind.LENGTH][match["unit"]]
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
