"""Plain arithmetic on quantities: sums, products and shares of lengths, angles and forces, exact.

A size is used as a unit is: ``"gap"``, ``"2 gap"``, ``"edge + 2 gap - 3 mm"``, ``"(width - gap) / 2"``. A
text is cut into pieces and worked from left to right here; nothing is handed to any interpreter. What things
are is counted in powers of length, angle and force, so that a length times a length is never taken for one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from generators.errors import UnitError
from generators.reading.sizes.tokens import Piece, Slip, pieces
from generators.units import Kind, exact, kind_of_unit

DEEPEST = 12
"""Brackets within brackets."""
MOST_BITS = 2048
"""Of a numerator or denominator: sizes multiplied by each other would double theirs at every step."""
HIGHEST = 10**300
"""Of an amount in base units: a float holds it, in whatever unit it is written."""
HIGHEST_POWER = 4

Powers = tuple[int, int, int]
"""Of length, angle and force."""

PLAIN: Powers = (0, 0, 0)
POWERS: Mapping[Kind, Powers] = MappingProxyType(
    {
        Kind.LENGTH: (1, 0, 0),
        Kind.ANGLE: (0, 1, 0),
        Kind.FORCE: (0, 0, 1),
        Kind.PRESSURE: (-2, 0, 1),
        Kind.VOLUME: (3, 0, 0),
        Kind.SWELL: (2, 0, 0),
        Kind.FLEX: (1, 0, -1),
        Kind.STIFFNESS: (-1, 0, 1),
    }
)
SHOWN: Mapping[Powers, tuple[str, str]] = MappingProxyType(
    {
        PLAIN: ("", "a bare number"),
        (1, 0, 0): ("mm", "a length"),
        (0, 1, 0): ("deg", "an angle"),
        (0, 0, 1): ("N", "a force"),
        (-2, 0, 1): ("MPa", "a pressure"),
        (3, 0, 0): ("mm3", "a volume"),
        (2, 0, 0): ("mm3/mm", "a length times a length"),
        (1, 0, -1): ("mm/N", "a length per force"),
        (-1, 0, 1): ("N/mm", "a force per length"),
    }
)
"""The unit a result is written in, and what it is in words."""


@dataclass(frozen=True, slots=True)
class Amount:
    """An exact value in base units (mm, rad, N) and what it is a quantity of."""

    value: Fraction
    powers: Powers

    @property
    def what(self) -> str:
        """In words: ``a length``."""
        return SHOWN[self.powers][1] if self.powers in SHOWN else "a quantity no key takes"

    @property
    def text(self) -> str:
        """As a spec writes it: ``26.35 mm``; the nearest number a float holds, without an exponent.

        What no unit is known for is said in words.
        """
        if self.powers not in SHOWN:
            return self.what
        unit = SHOWN[self.powers][0]
        value = self.value / exact("1", unit) if unit else self.value
        number = format(Decimal(repr(float(value))), "f")
        return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}".rstrip()


Find = Callable[[Piece], Amount]
"""What a name stands for. Raises ``Slip`` for an unknown one."""


def worked_out(text: str, find: Find) -> Amount:
    """What a text comes to. Raises ``Slip`` at the piece that is wrong."""
    reader = _Reader(pieces(text), len(text), find)
    if not reader.rest:
        raise Slip(0, "nothing", "a quantity or the name of a size")
    amount = reader.sum()
    if reader.rest:
        piece = reader.rest[0]
        wanted = "one of + - * / before it" if piece.sign in ("", "(") else "the bracket it closes"
        raise Slip(piece.at, _shown(piece), wanted)
    return amount


class _Reader:
    """Works pieces off from the front."""

    def __init__(self, found: list[Piece], length: int, find: Find) -> None:
        self.rest, self.length, self.find, self.depth = found, length, find, 0

    def _next(self, signs: str) -> Piece | None:
        return self.rest.pop(0) if self.rest and self.rest[0].sign and self.rest[0].sign in signs else None

    def sum(self) -> Amount:
        total = self._product()
        while (sign := self._next("+-")) is not None:
            other = self._product()
            if other.powers != total.powers:
                found = f"{other.what} {'added to' if sign.sign == '+' else 'taken from'} {total.what}"
                raise Slip(sign.at, found, "two quantities of one kind")
            value = total.value + other.value if sign.sign == "+" else total.value - other.value
            total = _bounded(Amount(value, total.powers), sign.at)
        return total

    def _product(self) -> Amount:
        total = self._factor()
        while (sign := self._next("*/")) is not None:
            other, way = self._factor(), 1 if sign.sign == "*" else -1
            if way < 0 and other.value == 0:
                raise Slip(sign.at, "a division by zero", "something to divide by")
            value = total.value * other.value if way > 0 else total.value / other.value
            a, b, c = (p + way * q for p, q in zip(total.powers, other.powers, strict=True))
            total = _bounded(Amount(value, (a, b, c)), sign.at)
        return total

    def _factor(self) -> Amount:
        minus = False
        while (sign := self._next("+-")) is not None:
            minus ^= sign.sign == "-"
        if not self.rest:
            raise Slip(self.length, "nothing", "a quantity or the name of a size")
        piece = self.rest.pop(0)
        amount = self._bracket(piece) if piece.sign == "(" else self._single(piece)
        return Amount(-amount.value, amount.powers) if minus else amount

    def _bracket(self, opening: Piece) -> Amount:
        self.depth += 1
        if self.depth > DEEPEST:
            raise Slip(opening.at, f"more than {DEEPEST} brackets within each other", f"at most {DEEPEST}")
        inside = self.sum()
        if self._next(")") is None:
            raise Slip(opening.at, "a bracket that is not closed", "its )")
        self.depth -= 1
        return inside

    def _single(self, piece: Piece) -> Amount:
        if piece.sign:
            raise Slip(piece.at, _shown(piece), "a quantity or the name of a size")
        try:
            count = exact(piece.number, piece.unit) if piece.number else Fraction(1)
        except UnitError as error:
            raise Slip(piece.at, error.found, error.expected) from None
        if not piece.name:
            kind = kind_of_unit(piece.unit)
            if kind is not None and kind not in POWERS:
                raise Slip(piece.at, f"a {kind}", "a quantity that keys of a spec take")
            return _bounded(Amount(count, POWERS[kind] if kind is not None else PLAIN), piece.at)
        named = self.find(piece)
        return _bounded(Amount(count * named.value, named.powers), piece.at)


def _bounded(amount: Amount, at: int) -> Amount:
    long = max(amount.value.numerator.bit_length(), amount.value.denominator.bit_length()) > MOST_BITS
    if long or abs(amount.value) >= HIGHEST or max(map(abs, amount.powers)) > HIGHEST_POWER:
        raise Slip(at, "numbers that grow out of all measure", "a size of this job")
    return amount


def _shown(piece: Piece) -> str:
    return f'"{piece.sign or " ".join(filter(None, (piece.number, piece.unit, piece.name)))[:40]}"'
