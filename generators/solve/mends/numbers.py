"""Numbers as the user writes them: in the unit that stands there, to a step that can be measured."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from types import MappingProxyType

from generators.model.changes import BaseUnit, Rounding
from generators.units import Kind, parse

_QUANTITY = re.compile(r"(?P<number>.*?[0-9])\s*(?P<unit>[A-Za-z°]\S*)\s*")
_KINDS: Mapping[str, tuple[Kind, float]] = MappingProxyType(
    {
        "mm": (Kind.LENGTH, 1.0),
        "deg": (Kind.ANGLE, math.pi / 180),
        "N": (Kind.FORCE, 1.0),
        "MPa": (Kind.PRESSURE, 1.0),
        "cc": (Kind.VOLUME, 1000.0),
        "mm/kN": (Kind.FLEX, 0.001),
    }
)
"""What a unit of a change is a quantity of, and how many base units of ``units.parse`` it is."""

_PLACES: Mapping[str, int] = MappingProxyType(
    {"mm": 1, "cm": 2, "m": 4, "in": 2, "inch": 2, "ft": 3, "thou": 0, "deg": 1, "°": 1, "rad": 3, "mrad": 0}
)
"""Decimals by unit, about 0.1 mm or 0.1 deg: finer is not set by hand. Other units have two."""

INCHES = frozenset({"in", "inch"})
FRACTION = 32
COARSE_FRACTION = 16
"""Of an inch: to the nearest, and where a rule says up or down, what a tape shows."""

EXACT_PLACES = 4
EXACT_FRACTION = 64
_SLACK = 1e-7


def quantity(text: str, unit: BaseUnit) -> float:
    """A text of the spec in ``unit``. Raises ``UnitError`` for what is no such quantity."""
    kind, factor = _KINDS[unit]
    return parse(text, kind) / factor


def written(value: float, unit: BaseUnit, was: str, rounding: Rounding) -> str:
    """``value``, in ``unit``, as text in the unit of ``was``; in ``unit`` itself where nothing was.

    An inch that was whole or a fraction stays one, of 1/16 or 1/32. Raises ``UnitError`` for a text in no
    such unit.
    """
    kind, factor = _KINDS[unit]
    match = _QUANTITY.fullmatch(was)
    theirs = match["unit"] if match else unit
    in_theirs = value * factor / parse(f"1 {theirs}", kind)
    number = match["number"] if match else ""
    if theirs in INCHES and "." not in number:
        return f"{_fraction(in_theirs, rounding)} {theirs}"
    decimals = number.partition(".")[2]
    places = EXACT_PLACES if rounding == "exact" else max(len(decimals), _PLACES.get(theirs, 2))
    scale = 10**places
    text = f"{_whole(in_theirs * scale, rounding) / scale + 0.0:.{places}f}"
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {theirs}"


def _whole(value: float, rounding: Rounding) -> int:
    slack = _SLACK * max(1.0, abs(value))
    if rounding == "up":
        return math.ceil(value - slack)
    return math.floor(value + slack) if rounding == "down" else round(value)


def _fraction(inches: float, rounding: Rounding) -> str:
    """``1 3/32``: a whole number and a fraction in lowest terms."""
    steps = {"exact": EXACT_FRACTION, "near": FRACTION}.get(rounding, COARSE_FRACTION)
    count = _whole(inches * steps, rounding)
    whole, rest = divmod(abs(count), steps)
    sign = "-" if count < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    common = math.gcd(rest, steps)
    part = f"{rest // common}/{steps // common}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"
