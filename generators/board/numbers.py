"""Numbers of a spec as they are typed and stepped: their unit stays, fractions stay fractions."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Literal, TypeAlias

from generators.errors import PedalplateError, UnitError
from generators.model.words import STOP_WORDS
from generators.reading.sizes.terms import PLAIN, POWERS, Amount, Find, Powers, worked_out
from generators.reading.sizes.tokens import LONGEST as LONGEST_WORKED
from generators.reading.sizes.tokens import Piece, Slip, is_worked_out, pieces
from generators.units import UNITS_BY_KIND, Kind, parse

Size: TypeAlias = Literal["fine", "usual", "coarse"]
SIZES: tuple[Size, ...] = ("fine", "usual", "coarse")

LONGEST = 300
"""Letters of a value that is typed."""

_QUANTITY = re.compile(r"\s*(?P<number>[+-]?\s*[0-9./\s-]*[0-9.])\s*(?P<unit>[A-Za-z°%µ]\S*)\s*")
_PLAIN = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)")
_BARE = re.compile(r"\s*[+-]?\s*[0-9][0-9./\s-]*\s*|\s*[+-]?\.[0-9]+\s*")
_MIXED = re.compile(r"(?P<sign>[+-]?)\s*(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<top>[0-9]+)/(?P<under>[0-9]+)")
_STEP_UNITS: Mapping[Powers, str] = MappingProxyType(
    {(1, 0, 0): "mm", (0, 1, 0): "deg", (0, 0, 1): "N", (-2, 0, 1): "MPa"}
)
"""What is added to a worked-out value, by what it is."""
_WHOLE = re.compile(r"[+-]?\s*[0-9]+")

STEPS: Mapping[str, tuple[str, str, str]] = MappingProxyType(
    {
        "mm": ("0.1", "1", "10"),
        "cm": ("0.01", "0.1", "1"),
        "m": ("0.0001", "0.001", "0.01"),
        "in": ("0.01", "0.1", "1"),
        "inch": ("0.01", "0.1", "1"),
        "ft": ("0.01", "0.1", "1"),
        "thou": ("1", "5", "100"),
        "deg": ("0.1", "1", "5"),
        "°": ("0.1", "1", "5"),
        "N": ("1", "10", "100"),
        "lbf": ("1", "5", "20"),
        "bar": ("1", "5", "20"),
        "MPa": ("0.1", "1", "10"),
        "psi": ("10", "50", "200"),
        "ga": ("1", "1", "2"),
    }
)
"""By how much a number goes up, by unit: what is set by hand in it. Ours."""

FRACTIONS: tuple[Fraction, ...] = (Fraction(1, 32), Fraction(1, 16), Fraction(1, 2))
"""The same of an inch that is written as a fraction or whole."""

FINEST = 128
"""Of an inch: a fraction finer than that becomes a decimal number."""


class Refused(PedalplateError):
    """What was typed or asked for cannot stand in the spec; says why, for the person who asked."""


def no_sizes(piece: Piece) -> Amount:
    """Finds no size: that of a spec without any. Raises ``Slip``."""
    raise Slip(piece.at, f"the unknown name {quoted(piece.name)}", "a unit")


def _amount(text: str, find: Find) -> Amount | None:
    try:
        return worked_out(text, find)
    except (Slip, UnitError):
        return None


def _arithmetic(text: str) -> bool:
    """True for sums, products and counted sizes. A lone word may be a size, but also a thing's name."""
    return is_worked_out(text, sizes=True) and not text.strip().isidentifier()


def stepped(value: Any, ups: int, size: Size, find: Find = no_sizes) -> str:
    """TOML text of a value that many steps further; what is worked out from sizes stays so.

    ``find`` knows the sizes of the spec. Raises ``Refused`` for what has no steps.
    """
    if isinstance(value, bool):
        return "false" if value else "true"
    if isinstance(value, int):
        return str(value + ups * (10 if size == "coarse" else 1))
    if isinstance(value, float):
        step = {"fine": "0.01", "usual": "0.1", "coarse": "1"}[size]
        return _decimal(Decimal(repr(value)) + ups * Decimal(step), point=True)
    if isinstance(value, str) and _arithmetic(value):
        amount = _amount(value, find)
        if amount is None or amount.powers not in _STEP_UNITS:
            raise Refused("this value is worked out: type it")
        unit = _STEP_UNITS[amount.powers]
        return quoted(added(value, ups * Decimal(STEPS[unit][SIZES.index(size)]), unit))
    match = _QUANTITY.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise Refused("this value is no number: type it")
    number, unit = " ".join(match["number"].split()), match["unit"]
    at = SIZES.index(size)
    if unit in ("in", "inch") and "." not in number:
        return quoted(f"{_mixed(_fraction(number) + ups * FRACTIONS[at])} {unit}")
    if not _PLAIN.fullmatch(number):
        raise Refused("this value is no plain number: type it")
    by = Decimal(STEPS.get(unit, ("0.1", "1", "10"))[at])
    return quoted(f"{_decimal(Decimal(number) + ups * by)} {unit}")


@lru_cache(maxsize=4096, typed=True)
def has_plain_steps(value: str | float) -> bool:
    """``has_steps`` of a spec without sizes, where a value says all: most stay from one save to the next."""
    return has_steps(value)


def has_steps(value: Any, find: Find = no_sizes) -> bool:
    """True for what ``stepped`` takes further."""
    try:
        stepped(value, 1, "usual", find)
    except Refused:
        return False
    return True


def _fraction(number: str) -> Fraction:
    """The value of ``3``, ``3/8``, ``1 3/8`` or ``1-3/8``. Raises ``Refused``."""
    match = _MIXED.fullmatch(number)
    if match is None:
        if not _WHOLE.fullmatch(number):
            raise Refused("this value is no plain number: type it")
        return Fraction(number.replace(" ", ""))
    if int(match["under"]) == 0:
        raise Refused("this value divides by zero: type it")
    value = int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["under"]))
    return -value if match["sign"] == "-" else value


def _mixed(value: Fraction) -> str:
    """``1 3/8``: a whole number and a fraction in lowest terms; decimals where that is too fine to be one."""
    if value.denominator > FINEST:
        return _decimal(Decimal(round(value * 10000)) / 10000)
    whole, rest = divmod(abs(value.numerator), value.denominator)
    sign = "-" if value < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    part = f"{rest}/{value.denominator}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def _decimal(value: Decimal, *, point: bool = False) -> str:
    with localcontext() as context:
        context.prec = 40
        text = f"{value.normalize():f}"
    if text in ("-0", "0"):
        text = "0"
    return f"{text}.0" if point and "." not in text else text


def typed(value: Any, text: str, find: Find = no_sizes) -> str:
    """TOML text of what was typed in place of ``value``; a bare number takes the unit that stands there.

    ``find`` knows the sizes of the spec. Raises ``Refused`` for what is of another kind than the value, and
    for a bare number in place of what is worked out, where no unit stands.
    """
    text = text.strip()
    if not text or len(text) > LONGEST or not text.isprintable():
        raise Refused(f"type a value of 1 to {LONGEST} letters")
    if isinstance(value, bool | int | float):
        return _plain(value, text)
    if not isinstance(value, str):
        raise Refused("this is a list or a table: change one of its values")
    if is_worked_out(value, sizes=True):
        return _over_arithmetic(value, text, find)
    was = _QUANTITY.fullmatch(value)
    kinds = _kinds(value) if was is not None else []
    if was is None or not kinds or text in STOP_WORDS:
        return quoted(text)
    if _BARE.fullmatch(text):
        text = f"{text} {was['unit']}"
    elif is_worked_out(text, sizes=True) and (amount := _worked(text, find)) is not None:
        if amount.powers not in [POWERS[kind] for kind in kinds if kind in POWERS]:
            raise Refused(f"this comes to {amount.what}, {quoted(value)} does not")
        return quoted(text)
    for kind in kinds:
        try:
            parse(text, kind)
        except UnitError as error:
            fault = error
        else:
            return quoted(text)
    raise Refused(str(fault))


def _over_arithmetic(value: str, text: str, find: Find) -> str:
    """What was typed over arithmetic, or over a lone word that may be a size. Raises ``Refused``."""
    was = _amount(value, find)
    counted = any(piece.unit or piece.number for piece in pieces(value))
    if _BARE.fullmatch(text) and (counted or was is not None) and (was is None or was.powers != PLAIN):
        raise Refused(f"{quoted(value)} is worked out: type the new value with its unit")
    if was is not None and _arithmetic(value):
        amount = _worked(text, find)
        if amount.powers != was.powers:
            raise Refused(f"this comes to {amount.what}, {quoted(value)} to {was.what}")
    return quoted(text)


def _worked(text: str, find: Find) -> Amount:
    """What a typed text comes to. Raises ``Refused``."""
    try:
        return worked_out(text, find)
    except Slip as slip:
        hint = f"; {slip.hint}" if slip.hint else ""
        raise Refused(
            f"found {slip.found or 'a size with a fault'}, expected {slip.expected or 'another'}{hint}"
        ) from None


def _plain(value: float, text: str) -> str:
    """A value without quotes. Raises ``Refused``."""
    if isinstance(value, bool):
        if text not in ("true", "false"):
            raise Refused("type true or false")
        return text
    if isinstance(value, int) and re.fullmatch(r"[+-]?[0-9]{1,15}", text):
        return str(int(text))
    # decimals in place of a whole number, too: the reader knows whether the key takes them
    if not _PLAIN.fullmatch(text) or len(text) > 40:
        raise Refused("type a number like 0.35")
    return _decimal(Decimal(text), point=True)


def _kinds(text: str) -> list[Kind]:
    """What a text is a quantity of; units like N/mm are of one kind each."""
    out = []
    for kind in UNITS_BY_KIND:
        try:
            parse(text, kind)
        except UnitError:
            continue
        out.append(kind)
    return out


def added(arithmetic: str, by: float | Decimal, unit: str = "mm") -> str:
    """A value that is worked out, so much further in its last term of ``unit``, or in a new one.

    A new term at the end is added to all that stands before it. Raises ``Refused`` for a text that would
    be too long, or that is no arithmetic.
    """
    by = Decimal(f"{by:.1f}")
    try:
        *before, last = pieces(arithmetic)
    except (Slip, ValueError):
        raise Refused("this value is no arithmetic: type it") from None
    head = arithmetic.strip()
    # a sign that follows a sign or a bracket that opens is no sum's, but says which way what follows goes
    summed = len(before) > 1 and before[-1].sign in ("+", "-") and before[-2].sign in ("", ")")
    if summed and last.unit == unit and _PLAIN.fullmatch(last.number):
        head = arithmetic[: before[-1].at].strip()
        by += Decimal(last.number) * (-1 if before[-1].sign == "-" else 1)
    text = f"{head} {'-' if by < 0 else '+'} {_decimal(abs(by))} {unit}" if by else head
    if len(text) > LONGEST_WORKED:
        raise Refused("this value is too long to add to: type it")
    return text


def quoted(text: str) -> str:
    """A text as a TOML string."""
    return json.dumps(text, ensure_ascii=False)
