"""What a sweep varies: keys by path, each with its values, on a grid or drawn evenly."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from generators.errors import LookupFault, UnitError
from generators.units import exact, kind_of_unit

MOST_ROWS = 100_000
MOST_KEYS = 12
DIGITS = 6
_RANGE = re.compile(r"^(?P<low>.+?) to (?P<high>.+?)(?:, *(?P<count>[0-9]{1,4}) values)?$")
_AMOUNT = re.compile(r"^(?P<number>[+-]?[0-9. /-]*[0-9])\s*(?P<unit>[A-Za-z°]\S*)?$")

Value = str | int | float | bool
Row = tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class Range:
    """From ``low`` to ``high`` in ``unit``, empty for a bare number; ``count`` values on a grid, 0 unsaid."""

    low: float
    high: float
    unit: str
    count: int

    def at(self, share: float) -> Value:
        """The value that share of the way, 0 to 1, as a spec writes it."""
        number = self.low + (self.high - self.low) * share
        plain = f"{number:.{DIGITS}g}" if abs(number) >= 1e-4 or not number else f"{number:.9f}".rstrip("0")
        return f"{plain} {self.unit}" if self.unit else float(plain)


@dataclass(frozen=True, slots=True)
class Varied:
    """One key and its values: a range, or a list."""

    key: str
    range: Range | None
    values: tuple[Value, ...]

    def at(self, share: float) -> Value:
        """A value for a share of 0 to 1: of a list, each as often."""
        if self.range is not None:
            return self.range.at(share)
        return self.values[min(int(share * len(self.values)), len(self.values) - 1)]

    def grid(self) -> tuple[Value, ...]:
        """All its values. Raises ``LookupFault`` for a range that does not say how many."""
        if self.range is None:
            return self.values
        if self.range.count < 2:
            raise LookupFault("number of values, as in '60 mm to 80 mm, 5 values', or --sample", self.key, [])
        return tuple(self.range.at(k / (self.range.count - 1)) for k in range(self.range.count))


def varied(text: str) -> Varied:
    """``KEY = 60 mm to 80 mm, 5 values`` or ``KEY = 3/4 in, 7/8 in, 1 in``. Raises ``LookupFault``."""
    key, equals, rest = (piece.strip() for piece in text.partition("="))
    if not equals or not key or not rest:
        raise LookupFault("KEY = VALUES", text, ["KEY = 60 mm to 80 mm, 5 values", "KEY = 3/4 in, 7/8 in"])
    match = _RANGE.match(rest)
    if match is None:
        values = tuple(_value(piece.strip()) for piece in rest.split(",") if piece.strip())
        return Varied(key, None, tuple(dict.fromkeys(values)))
    ends = [amount(match[end]) for end in ("low", "high")]
    units = {unit for _, unit in ends}
    if len(units) > 1:
        raise LookupFault("range in one unit", rest, sorted(units))
    count = int(match["count"] or 0)
    return Varied(key, Range(float(ends[0][0]), float(ends[1][0]), units.pop(), count), ())


def amount(text: str) -> tuple[Fraction, str]:
    """A number, also a fraction, and its unit; empty for none. Raises ``LookupFault`` for neither."""
    match = _AMOUNT.match(text.strip())
    unit = match["unit"] or "" if match else ""
    if match is None or (unit and kind_of_unit(unit) is None):
        raise LookupFault("quantity", text, ["60 mm", "7/8 in", "5.5"])
    sign = -1 if match["number"].startswith("-") else 1
    try:
        return sign * exact(match["number"].lstrip("+-").strip(), ""), unit
    except (UnitError, KeyError):
        raise LookupFault("quantity", text, ["60 mm", "7/8 in", "5.5"]) from None


def _value(text: str) -> Value:
    if text in ("true", "false"):
        return text == "true"
    if re.fullmatch(r"[+-]?[0-9]{1,9}", text):
        return int(text)
    if re.fullmatch(r"[+-]?[0-9]*\.[0-9]+", text):
        return float(text)
    return text


def rows_of(keys: Sequence[Varied], sample: int, seed: int) -> list[Row]:
    """Every row of values: the whole grid, or ``sample`` rows of a Latin hypercube (``scipy.stats.qmc``).

    Raises ``LookupFault`` for too many, and for a grid of a range that does not say how many.
    """
    if not sample:
        grids = [key.grid() for key in keys]
        count = 1
        for grid in grids:
            count *= len(grid)
        if count > MOST_ROWS:
            raise LookupFault(f"grid of at most {MOST_ROWS} rows; take --sample", str(count), [])
        return list(itertools.product(*grids))
    from scipy.stats import qmc

    shares = qmc.LatinHypercube(d=len(keys), rng=seed).random(min(sample, MOST_ROWS))
    return [tuple(key.at(float(s)) for key, s in zip(keys, row, strict=True)) for row in shares]
