"""Every key a file of the user may hold, table by table, from where the keys are declared."""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from generators.model.spec.fields import FieldSpec, SpecField, spec_fields
from generators.reading.toml import words
from generators.reading.toml.values import COORDINATE_MM

NESTED = ("table", "tables")
LENGTHS_MM = (38.0, 12.0, 6.0, 2.0, 120.0, 0.5, 0.2, 0.05, 300.0, 1000.0)
"""What an example of a length is taken from: the first that is allowed."""

PLAIN = (2.0, 1.0, 5.0, 20.0, 0.5, 0.1, 0.01, 100.0, 1000.0, 10_000.0, 0.001)
ANGLES_DEG = (12.0, 45.0, 90.0, 2.0)
BY_KEY: Mapping[str, str] = MappingProxyType(
    {
        "thread": '"M8"',
        "material": '"S235 steel"',
        "tube": '"3/16 in"',
        "etch": '"WH-101 A"',
        "pivot_bearing": '"6003"',
        "mass": '"1.2 kg"',
        "sheet": '"96bb415"',
        "date": '"2024-05-31"',
        "from": '"slave.port"',
        "measured_by": '"vernier caliper"',
        "to": '"reservoir.outlet"',
        "item": '"D3"',
        "currency": '"EUR"',
    }
)
"""Texts that are more than words."""

RANGES: Mapping[str, str] = MappingProxyType(
    {
        "limits": '["8.9 mm", "9.1 mm"]',
        "grip": '["0.5 mm", "3 mm"]',
        "pivot_bush_outside": '["14.03 mm", "14.06 mm"]',
    }
)
"""Pairs of lengths that are a least and a greatest, and no place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key: what may stand there, in words, what counts without it, and one line as it is written."""

    name: str
    meaning: str
    holds: str
    default: str
    example: str
    table: str = ""
    """Place of the table it opens, as ``Table.place``; empty for a value."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of one file: ``place`` is its first dotted path, ``places`` all of them as they are written."""

    place: str
    places: tuple[str, ...]
    meaning: str
    keys: tuple[Key, ...]


def tables(cls: type, *, below: str = "") -> list[Table]:
    """The table of ``cls`` and every table in it, each once, in the order of their first places.

    ``below`` is the dotted path it stands at; empty for a whole file.
    """
    at: dict[type, list[tuple[str, str]]] = {}
    _walk(cls, below, "", at, ())
    first = {item: places[0][0] for item, places in at.items()}
    return [
        Table(
            place=first[item],
            places=tuple(dict.fromkeys(written for _, written in places if written)),
            meaning=" ".join((inspect.getdoc(item) or "").partition("\n\n")[0].split()),
            keys=tuple(_key(f, first) for f in spec_fields(item)),
        )
        for item, places in at.items()
    ]


def _walk(
    cls: type, path: str, written: str, at: dict[type, list[tuple[str, str]]], above: Sequence[type]
) -> None:
    at.setdefault(cls, []).append((path, written))
    for f in spec_fields(cls):
        item = f.spec.item
        if f.spec.kind not in NESTED or item is None or item in above:
            continue
        inner = f"{path}.{f.key}" if path else f.key
        _walk(item, inner, f"[[{inner}]]" if f.spec.kind == "tables" else f"[{inner}]", at, (*above, cls))


def _key(f: SpecField, first: Mapping[type, str]) -> Key:
    item = f.spec.item if f.spec.kind in NESTED else None
    return Key(
        name=f.key,
        meaning=f.spec.doc,
        holds=words.expected(f.spec),
        default="required" if f.required else words.default_words(f),
        example="" if item else example(f),
        table=first.get(item, "") if item else "",
    )


def example(f: SpecField) -> str:
    """A line of TOML that sets the key to something it takes; empty for a kind's own table."""
    value = _value(f)
    return f"{f.key} = {value}" if value else ""


def _value(f: SpecField) -> str:
    spec = f.spec
    if spec.kind == "point" and f.key in RANGES:
        return RANGES[f.key]
    if spec.kind in ("text", "name"):
        known = BY_KEY.get("thread" if f.key.endswith("thread") else f.key) if spec.kind == "text" else ""
        if known or (isinstance(f.default, str) and f.default):
            return known or _quoted(f.default)
    elif isinstance(f.default, int | float) and not isinstance(f.default, bool):
        said = words.default_words(f)
        return said if spec.kind in ("integer", "number") else _quoted(said)
    made: Mapping[str, Callable[[], str]] = {
        "length": lambda: _quoted(words.millimetres(_within(spec, LENGTHS_MM))),
        "thickness": lambda: _quoted(words.millimetres(_within(spec, (2.0, *LENGTHS_MM)))),
        "length_or": lambda: _quoted(spec.choices[0]),
        "angle": lambda: _quoted(words.degrees(_within(spec, tuple(map(math.radians, ANGLES_DEG))))),
        "integer": lambda: f"{math.ceil(_within(spec, PLAIN))}",
        "number": lambda: words.number_text(_within(spec, PLAIN)),
        "text": lambda: _quoted("in words"[: int(spec.hi or 99)]),
        "name": lambda: _quoted("pedal_hanger" if f.key == "kind" else "firewall"),
        "flag": lambda: "true",
        "choice": lambda: _quoted(next(c for c in spec.choices if c)),
        "point": lambda: _list(_lengths(spec, 2)),
        "point3": lambda: _list(_lengths(spec, 3)),
        "points": lambda: _list([_list(p) for p in _corners(int(max(spec.lo or 1, 1)))]),
        "lengths": lambda: _list(_rising(int(max(spec.lo or 1, 2)))),
        "curve": lambda: _list(
            [_list((f'"{2 * i} mm"', f'"{900 + 150 * i} N"')) for i in range(int(max(spec.lo or 2, 2)))]
        ),
        "names": lambda: _list([f'"{n}"' for n in ("upper", "lower", "middle")[: max(1, int(spec.lo or 1))]]),
        "features": lambda: _list(
            [f'"{n}"' for n in ("hanger.mount_1", "line_out", "drain")[: max(1, int(spec.lo or 1))]]
        ),
        "files": lambda: '["cab.toml"]',
        "date": lambda: '"2026-03-14"',
        "picks": lambda: '{ clutch_master = "master_7_8" }',
        "sizes": lambda: '{ gap = "3 mm" }',
        "overrides": lambda: '{ "part[hanger].mount.at.u" = "38 mm" }',
    }
    if spec.kind in made:
        return made[spec.kind]()
    if spec.kind in words.QUANTITIES:
        quantity = words.QUANTITIES[spec.kind]
        return _quoted(quantity.text(_within(spec, tuple(n / quantity.scale for n in PLAIN))))
    return ""


def _within(spec: FieldSpec, choices: Sequence[float]) -> float:
    lo = -math.inf if spec.lo is None else spec.lo
    hi = math.inf if spec.hi is None else spec.hi
    return next((c for c in choices if lo <= c <= hi), hi if hi < math.inf else lo)


def _quoted(text: str) -> str:
    return f'"{text}"'


def _list(items: Sequence[str]) -> str:
    return f"[{', '.join(items)}]"


def _lengths(spec: FieldSpec, count: int) -> list[str]:
    most = spec.hi or COORDINATE_MM
    return [_quoted(words.millimetres(min(n, most))) for n in (120.0, 35.0, 60.0)[:count]]


def _corners(least: int) -> Iterator[tuple[str, str]]:
    """Corners of a box; more of them go on along its upper side."""
    box = [(0, 0), (300, 0), (300, 200), (0, 200)]
    more = [(250 - 10 * i, 220) for i in range(max(0, least - len(box)))]
    for u, v in [*box[:3], *more, box[3]][: max(least, 1)]:
        yield f'"{u} mm"', f'"{v} mm"'


def _rising(count: int) -> list[str]:
    return [_quoted(words.millimetres(10.0 * (i + 1))) for i in range(count)]
