"""One TOML value into one plain value, by the kind its key declares."""

from __future__ import annotations

import datetime
import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Final, Protocol

from generators.errors import UnitError
from generators.model.spec.fields import FEATURE_PATTERN, NAME_PATTERN, FieldSpec
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.units import Kind, inch_rounding_mm, parse, parse_angle_rad, parse_length_mm

FAILED: Final[Any] = object()
"""Stands for a value that was refused; its fault has been reported."""

CURVE_TRAVEL_MM = 200.0
CURVE_FORCE_N = 100_000.0
ROUNDING = 1e-12
PRINTED: Final = "cp1252"
"""What the standard PDF fonts can print; anything else would come out as a black box."""

COORDINATE_MM = 10_000.0
"""Bound on coordinates of kinds whose ``lo`` and ``hi`` count items."""

# Line and paragraph breaks would leave the line; direction marks make a printed caution read otherwise.
# Cf holds those and the soft hyphen; a blank that is no plain blank reads back as another text.
_REFUSED_CATEGORIES = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})


class Refuse(Protocol):
    """Reports a fault at a path; returns ``FAILED``."""

    def __call__(self, path: Path, found: str, expected: str, hint: str = "") -> Any:
        """Report it."""


def read_value(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    """The plain value of a key of a scalar or list kind, or ``FAILED`` after reporting.

    Table kinds are not read here: asking for one raises ``KeyError``.
    """
    return _READERS[spec.kind](spec, value, path, refuse)


def _quantity(
    spec: FieldSpec,
    value: object,
    path: Path,
    refuse: Refuse,
    parse: Callable[[str], float],
    unit: str,
    show: Callable[[float], str],
) -> Any:
    if isinstance(value, int | float) and not isinstance(value, bool):
        shown = words.found(value)
        plain = isinstance(value, float) and not math.isfinite(value)
        hint = "" if plain else f'write "{shown.removeprefix("the bare number ")} {unit}"'
        return refuse(path, shown, words.expected(spec), hint)
    if not isinstance(value, str):
        return refuse(path, words.found(value), words.expected(spec))
    try:
        number = parse(value)
    except UnitError as error:
        return refuse(path, error.found, error.expected)
    lo, hi = spec.lo, spec.hi
    # "120 deg" is not exactly the same float as the bound of 120 deg; "1.1811 in" is the bound of 30 mm
    slack = max(ROUNDING * abs(number), inch_rounding_mm(value) if unit == "mm" else 0.0)
    if (lo is not None and number < lo - slack) or (hi is not None and number > hi + slack):
        return refuse(path, f"{words.quoted(value)}, which is {show(number)}", words.expected(spec))
    if lo is not None and number < lo:
        return lo
    return hi if hi is not None and number > hi else number


def _length(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    return _quantity(spec, value, path, refuse, parse_length_mm, "mm", words.millimetres)


def _length_or(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if isinstance(value, str) and value.strip()[:1].isalpha():
        return (
            value
            if value in spec.choices
            else refuse(
                path, words.quoted(value), words.expected(spec), words.suggestion(value, spec.choices)
            )
        )
    return _length(spec, value, path, refuse)


def _angle(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    return _quantity(spec, value, path, refuse, parse_angle_rad, "deg", words.degrees)


def _other(kind: Kind) -> Callable[[FieldSpec, object, Path, Refuse], Any]:
    def read(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
        shown = words.QUANTITIES[spec.kind]
        return _quantity(spec, value, path, refuse, lambda text: parse(text, kind), shown.unit, shown.text)

    return read


_force = _other(Kind.FORCE)


def _curve_pair(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if not isinstance(value, list) or len(value) != 2:
        return refuse(path, words.found(value), 'a travel and a force, like ["2 mm", "900 N"]')
    travel = FieldSpec(kind="length", doc=spec.doc, lo=0.0, hi=CURVE_TRAVEL_MM)
    load = FieldSpec(kind="force", doc=spec.doc, lo=0.0, hi=CURVE_FORCE_N)
    read = (_length(travel, value[0], (*path, 0), refuse), _force(load, value[1], (*path, 1), refuse))
    return FAILED if any(item is FAILED for item in read) else read


def _in_bounds(spec: FieldSpec, value: float) -> bool:
    return (spec.lo is None or value >= spec.lo) and (spec.hi is None or value <= spec.hi)


def _integer(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    # A bool is an int to Python and a mistake to everybody else.
    if isinstance(value, bool) or not isinstance(value, int) or not _in_bounds(spec, value):
        plain = re.fullmatch(r"-?([0-9]{1,6})", value) if isinstance(value, str) else None
        hint = f"write {plain[1]}, without quotes" if plain else ""
        return refuse(path, words.found(value), words.expected(spec), hint)
    return value


def _number(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    # Bounds are compared before the conversion: an int may be too large for a float.
    if isinstance(value, bool) or not isinstance(value, int | float) or not _in_bounds(spec, value):
        return refuse(path, words.found(value), words.expected(spec))
    if not math.isfinite(value):
        return refuse(path, words.found(value), words.expected(spec))
    return float(value)


def _text(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if not isinstance(value, str):
        return refuse(path, words.found(value), words.expected(spec))
    for number, character in enumerate(value, start=1):
        category = unicodedata.category(character)
        if category in _REFUSED_CATEGORIES or (category == "Zs" and character != " "):
            code = f"U+{ord(character):04X}"
            return refuse(
                path, f"the control character {code} at character {number}", "a single line of plain text"
            )
    if not _in_bounds(spec, len(value)) or len(value.strip()) < (spec.lo or 0):
        return refuse(path, f"{words.quoted(value)}, {len(value)} characters", words.expected(spec))
    try:
        value.encode(PRINTED)
    except UnicodeEncodeError as error:
        return refuse(
            path,
            f"{value[error.start]!r} at character {error.start + 1}",
            "letters of western European languages",
            "the sheets print with the standard PDF fonts, which have no others",
        )
    return value


def _date(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return refuse(
            path, words.found(value), words.expected(spec), f'write "{value.isoformat()}", in quotes'
        )
    if not isinstance(value, str):
        return refuse(path, words.found(value), words.expected(spec))
    try:
        day = datetime.date.fromisoformat(value)
    except ValueError:
        return refuse(path, words.quoted(value), words.expected(spec))
    # the library reads other spellings of ISO 8601, too: 20260314, 2026-W11-6
    return value if day.isoformat() == value else refuse(path, words.quoted(value), words.expected(spec))


def _name(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    wanted = words.expected(replace(spec, kind="name"))
    if not isinstance(value, str):
        return refuse(path, words.found(value), wanted)
    if re.fullmatch(NAME_PATTERN, value) is None:
        near = re.sub(r"[^a-z0-9]+", "_", value[:80].lower()).strip("_")[:40]
        hint = f'write "{near}"' if re.fullmatch(NAME_PATTERN, near) else ""
        return refuse(path, words.quoted(value), wanted, hint)
    return value


def _feature(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if not isinstance(value, str) or re.fullmatch(FEATURE_PATTERN, value) is None:
        shown = words.quoted(value) if isinstance(value, str) else words.found(value)
        return refuse(path, shown, words.expected(replace(spec, kind="feature")))
    return value


def _flag(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if not isinstance(value, bool):
        hint = f"write {value} without quotes" if value in ("true", "false") else ""
        return refuse(path, words.found(value), words.expected(spec), hint)
    return value


def _choice(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if not isinstance(value, str):
        return refuse(path, words.found(value), words.expected(spec))
    if value not in spec.choices:
        hint = words.suggestion(value, spec.choices)
        return refuse(path, words.quoted(value), words.expected(spec), hint)
    return value


def _coordinates(spec: FieldSpec, value: object, path: Path, refuse: Refuse, count: int) -> Any:
    if not isinstance(value, list) or len(value) != count:
        return refuse(path, words.found(value), words.expected(spec))
    one = FieldSpec(kind="length", doc=spec.doc, lo=spec.lo, hi=spec.hi)
    read = [_length(one, item, (*path, index), refuse) for index, item in enumerate(value)]
    return FAILED if any(item is FAILED for item in read) else tuple(read)


def _point(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    return _coordinates(spec, value, path, refuse, 2)


def _point3(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    return _coordinates(spec, value, path, refuse, 3)


def _list_of(
    one: FieldSpec, read_one: Callable[[FieldSpec, object, Path, Refuse], Any]
) -> Callable[[FieldSpec, object, Path, Refuse], Any]:
    def read(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
        if not isinstance(value, list) or not _in_bounds(spec, len(value)):
            return refuse(path, words.found(value), words.expected(spec))
        items = [read_one(one, item, (*path, index), refuse) for index, item in enumerate(value)]
        return FAILED if any(item is FAILED for item in items) else tuple(items)

    return read


def _file(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if isinstance(value, str) and value.strip():
        return value
    return refuse(path, words.found(value), 'a file as a path from the spec\'s folder, like "cab.toml"')


def _keys(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    # what the values may be depends on what they stand for: it is read there
    return tuple(value) if isinstance(value, dict) else refuse(path, words.found(value), words.expected(spec))


def _picks(spec: FieldSpec, value: object, path: Path, refuse: Refuse) -> Any:
    if not isinstance(value, dict):
        return refuse(path, words.found(value), words.expected(spec))
    one = replace(spec, kind="name")
    read = [_name(one, name, (*path, name), refuse) for name in value]
    read += [_name(one, thing, (*path, name), refuse) for name, thing in value.items()]
    return FAILED if any(item is FAILED for item in read) else tuple(value)


def _coordinate_spec(kind: str) -> FieldSpec:
    return FieldSpec(kind=kind, doc="", lo=-COORDINATE_MM, hi=COORDINATE_MM)


_READERS = MappingProxyType(
    {
        "length": _length,
        "thickness": _length,
        "length_or": _length_or,
        "angle": _angle,
        "force": _force,
        "pressure": _other(Kind.PRESSURE),
        "volume": _other(Kind.VOLUME),
        "swell": _other(Kind.SWELL),
        "flex": _other(Kind.FLEX),
        "time": _other(Kind.TIME),
        "speed": _other(Kind.SPEED),
        "curve": _list_of(FieldSpec(kind="curve", doc=""), _curve_pair),
        "integer": _integer,
        "number": _number,
        "text": _text,
        "date": _date,
        "name": _name,
        "flag": _flag,
        "choice": _choice,
        "point": _point,
        "point3": _point3,
        "points": _list_of(_coordinate_spec("point"), _point),
        "lengths": _list_of(_coordinate_spec("length"), _length),
        "names": _list_of(FieldSpec(kind="name", doc=""), _name),
        "files": _list_of(FieldSpec(kind="file", doc=""), _file),
        "sizes": _keys,
        "overrides": _keys,
        "picks": _picks,
        "features": _list_of(FieldSpec(kind="feature", doc=""), _feature),
    }
)
