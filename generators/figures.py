"""Figures for people: lengths, limits and plain numbers as every output prints them.

One rounding for all of them (:func:`fixed`). Text of a user is read in ``units``.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from generators.units import MM_PER_INCH, UnitSystem

__all__ = [
    "fixed",
    "format_length",
    "format_limits",
    "format_opening",
    "format_short",
    "height_words",
    "nearest_64th",
    "signed",
]

_HALF_NOISE = 1e-9
_EXACT = 1e-6
"""Of the last digit printed: what is nearer to a digit than this lies on it."""


def nearest_64th(inches: float) -> str:
    """The nearest 1/64 in, in lowest terms: ``1.5`` is ``1 1/2``, ``0.47`` is ``15/32``.

    Raises ``ValueError`` or ``OverflowError`` for a length that is not finite.
    """
    sixty_fourths = round(inches * 64)
    sign = "-" if sixty_fourths < 0 else ""
    whole, rest = divmod(abs(sixty_fourths), 64)
    if rest == 0:
        return f"{sign}{whole}"
    part = str(Fraction(rest, 64))
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def fixed(value: float, places: int) -> str:
    """A number for people with ``places`` decimals: the one rounding of every figure that is printed.

    To the nearest, a half away from zero (ISO 80000-1 annex B, rule B), and a half within 1e-9 as well, so
    that noise of the last bit prints no other figure. Raises ``ValueError`` or ``OverflowError`` for what is
    not finite.
    """
    scale = 10**places
    whole = math.floor(abs(value) * scale + 0.5 + _HALF_NOISE * scale)
    # adding 0.0 turns the "-0.00" of a tiny negative length into "0.00"
    return f"{math.copysign(whole, value) / scale + 0.0:.{places}f}"


def signed(value: float, places: int) -> str:
    """A deviation for people: ``fixed`` with its sign, ``+0.018``, ``-0.014``; nothing is ``+0.000``."""
    text = fixed(value, places)
    return text if text.startswith("-") else f"+{text}"


def format_length(mm: float, units: UnitSystem = "metric") -> str:
    """A length in mm for people: ``38.10 mm (1.500 in, 1 1/2)``, or ``1.500 in (1 1/2, 38.10 mm)``.

    A ``~`` marks a fraction more than 0.0005 in from the length: half of the last decimal shown.
    Raises ``ValueError`` or ``OverflowError`` for a length that is not finite.
    """
    inches = mm / float(MM_PER_INCH)
    about = "~" if abs(inches - round(inches * 64) / 64) > 0.0005 else ""
    metric, inch, fraction = (
        f"{fixed(mm, 2)} mm",
        f"{fixed(inches, 3)} in",
        f"{about}{nearest_64th(inches)}",
    )
    return f"{inch} ({fraction}, {metric})" if units == "inch" else f"{metric} ({inch}, {fraction})"


def format_opening(mm: float, units: UnitSystem = "metric") -> str:
    """A hole's size for people: as a length, but a fraction only where it is the size.

    One near it may name a drill that leaves the hole under its lower limit. Raises as ``format_length``.
    """
    return re.sub(r"~[^,)]*, |, ~[^)]*", "", format_length(mm, units))


def format_short(mm: float, units: UnitSystem = "metric", places: int = 2) -> str:
    """A length in one unit only: ``12 mm``; inches as ``15/32 in``, between the 64ths as ``0.446 in``.

    ``places`` are the decimals of a millimetre; trailing zeros are left out.

    Raises ``ValueError`` or ``OverflowError`` for a length that is not finite.
    """
    if units == "metric":
        text = fixed(mm, places)
        return f"{text.rstrip('0').rstrip('.') if '.' in text else text} mm"
    inches = mm / float(MM_PER_INCH)
    near = abs(inches - round(inches * 64) / 64) <= 0.0005
    return f"{nearest_64th(inches) if near else fixed(inches, 3)} in"


def format_limits(least_mm: float, most_mm: float, units: UnitSystem = "metric") -> str:
    """Two limits in mm for people, rounded inward: ``11.31 to 12.11 mm``, ``0.446 to 0.476 in``.

    Empty where nothing is said (``most_mm`` 0). Raises ``OverflowError`` for a length that is not finite.
    """
    if not most_mm:
        return ""
    places, one = (2, 1.0) if units == "metric" else (3, float(MM_PER_INCH))
    scale = 10.0**places
    low = math.ceil(least_mm / one * scale - _EXACT) / scale
    high = math.floor(most_mm / one * scale + _EXACT) / scale
    low, high = min(low, high), max(low, high)
    return f"{low:.{places}f} to {high:.{places}f} {'mm' if units == 'metric' else 'in'}"


def height_words(up_mm: float, thing: str) -> str:
    """``72 mm above the floor``, ``20 mm below the floor`` or ``level with the floor``; up is positive."""
    if abs(up_mm) < 0.005:
        return f"level with {thing}"
    return f"{abs(up_mm):g} mm {'above' if up_mm > 0 else 'below'} {thing}"
