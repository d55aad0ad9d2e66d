"""Declarations of spec keys: one description serves the reader, the JSON Schema and ``kinds``.

A spec table is a frozen dataclass whose fields are made with the functions below. The TOML key
is the field name without its unit suffix (``spacing_mm`` is written ``spacing = "38 mm"``) and
without a trailing underscore (``from_`` is ``from``).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

MISSING: Any = dataclasses.MISSING
UNIT_SUFFIXES = ("_mm_per_n", "_mm_per_s", "_mm", "_mm2", "_mm3", "_rad", "_n", "_mpa", "_s")
NAME_PATTERN = r"^[a-z][a-z0-9_]{0,39}$"
FEATURE_PATTERN = r"^[a-z][a-z0-9_]{0,39}(\.[a-z][a-z0-9_]{0,39})?$"
METADATA_KEY = "spec"
DEVICE_NAMES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10))}
)
"""Names Windows keeps for devices, whatever their ending (Naming Files, Paths, and Namespaces).

Names here have no capitals, dots or spaces (``NAME_PATTERN``): nothing else of a name is special there, and
no two differ only in case.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldSpec:
    """What one key may hold.

    ``kind``: length, length_or, thickness, angle, force, pressure, volume, swell, flex, time, speed, integer,
    number, text, date, name, flag, choice, point, point3, points, lengths, curve, names, features, files,
    sizes, picks, overrides, table, tables, kind_table. ``lo`` and ``hi`` bound numbers in base units (mm,
    rad, N, MPa, mm3, mm3/mm, mm/N, s, mm/s), texts in characters, and lists in items. ``item`` is the nested
    dataclass of table kinds.
    """

    kind: str
    doc: str
    lo: float | None = None
    hi: float | None = None
    choices: tuple[str, ...] = ()
    item: type | None = None
    default_text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecField:
    """A field as the reader sees it: its TOML key, its attribute, and whether it must be given."""

    key: str
    attribute: str
    spec: FieldSpec
    required: bool
    default: Any


def _declare(spec: FieldSpec, default: Any) -> Any:
    if default is MISSING:
        return dataclasses.field(metadata={METADATA_KEY: spec})
    return dataclasses.field(default=default, metadata={METADATA_KEY: spec})


def length(doc: str, *, lo: float = 0.0, hi: float = 10_000.0, default: Any = MISSING) -> Any:
    """A length in mm, written with its unit. ``lo`` and ``hi`` are inclusive bounds in mm."""
    return _declare(FieldSpec(kind="length", doc=doc, lo=lo, hi=hi), default)


def thickness(doc: str, *, lo: float, hi: float) -> Any:
    """A sheet thickness in mm: a length, or a gauge (``"14 ga"``, ``"16 swg"``).

    ``ga`` is read by the table's key ``material``. Bounds are inclusive, in mm.
    """
    return _declare(FieldSpec(kind="thickness", doc=doc, lo=lo, hi=hi), MISSING)


def length_or(
    doc: str, choices: tuple[str, ...], *, lo: float = 0.0, hi: float = 10_000.0, default: Any = MISSING
) -> Any:
    """A length in mm, or one of the listed words; the attribute has no unit suffix."""
    return _declare(FieldSpec(kind="length_or", doc=doc, lo=lo, hi=hi, choices=choices), default)


def angle(doc: str, *, lo: float, hi: float, default: Any = MISSING) -> Any:
    """An angle in radians, written with its unit. Bounds in radians."""
    return _declare(FieldSpec(kind="angle", doc=doc, lo=lo, hi=hi), default)


def force(doc: str, *, lo: float = 0.0, hi: float, default: Any = MISSING) -> Any:
    """A force in N, written with its unit; the attribute ends in ``_n``. Bounds in N."""
    return _declare(FieldSpec(kind="force", doc=doc, lo=lo, hi=hi), default)


def pressure(doc: str, *, lo: float = 0.0, hi: float, default: Any = MISSING) -> Any:
    """A pressure in MPa, written with its unit; the attribute ends in ``_mpa``. Bounds in MPa."""
    return _declare(FieldSpec(kind="pressure", doc=doc, lo=lo, hi=hi), default)


def volume(doc: str, *, lo: float = 0.0, hi: float, default: Any = MISSING) -> Any:
    """A volume in mm3, written with its unit; the attribute ends in ``_mm3``. Bounds in mm3."""
    return _declare(FieldSpec(kind="volume", doc=doc, lo=lo, hi=hi), default)


def swell(doc: str, *, lo: float = 0.0, hi: float = 100.0, default: Any = MISSING) -> Any:
    """A volume per length, mm3 per mm; the attribute ends in ``_mm2``. Bounds in mm3/mm (= cc/m)."""
    return _declare(FieldSpec(kind="swell", doc=doc, lo=lo, hi=hi), default)


def flex(doc: str, *, lo: float = 0.0, hi: float, default: Any = MISSING) -> Any:
    """How far something gives, mm per N; the attribute ends in ``_mm_per_n``. Bounds in mm/N."""
    return _declare(FieldSpec(kind="flex", doc=doc, lo=lo, hi=hi), default)


def time(doc: str, *, lo: float = 0.0, hi: float, default: Any = MISSING) -> Any:
    """A time in s, written with its unit; the attribute ends in ``_s``. Bounds in s."""
    return _declare(FieldSpec(kind="time", doc=doc, lo=lo, hi=hi), default)


def speed(doc: str, *, lo: float = 0.0, hi: float, default: Any = MISSING) -> Any:
    """A speed in mm/s, written with its unit; the attribute ends in ``_mm_per_s``. Bounds in mm/s."""
    return _declare(FieldSpec(kind="speed", doc=doc, lo=lo, hi=hi), default)


def curve(doc: str, *, lo: int, hi: int, default: Any = MISSING) -> Any:
    """A list of ``lo`` to ``hi`` pairs ``["travel", "force"]``; held as tuples of (mm, N)."""
    return _declare(FieldSpec(kind="curve", doc=doc, lo=lo, hi=hi), default)


def integer(doc: str, *, lo: int, hi: int, default: Any = MISSING) -> Any:
    """A bare whole number: counts and dash sizes have no unit."""
    return _declare(FieldSpec(kind="integer", doc=doc, lo=lo, hi=hi), default)


def number(doc: str, *, lo: float, hi: float, default: Any = MISSING) -> Any:
    """A bare number for what truly has no unit (a ratio, a K-factor)."""
    return _declare(FieldSpec(kind="number", doc=doc, lo=lo, hi=hi), default)


def text(doc: str, *, lo: int = 0, hi: int = 200, default: Any = MISSING) -> Any:
    """A line of text of ``lo`` to ``hi`` characters."""
    return _declare(FieldSpec(kind="text", doc=doc, lo=lo, hi=hi), default)


def date(doc: str, *, default: Any = MISSING) -> Any:
    """A day of the calendar as ISO 8601 writes it, in quotes: ``"2026-03-14"``."""
    return _declare(FieldSpec(kind="date", doc=doc), default)


def shelf(doc: str) -> Any:
    """The name of a thing of the shop's shelf; keys given beside it hold over what the thing says."""
    return _declare(FieldSpec(kind="name", doc=f"{doc}; keys given here hold over its own"), "")


def like(cls: type, attribute: str) -> FieldSpec:
    """What a key of another table may hold. Raises ``KeyError`` for no such attribute."""
    return next(f.spec for f in spec_fields(cls) if f.attribute == attribute)


def name(doc: str, *, default: Any = MISSING) -> Any:
    """A name: lower case, digits and ``_``, 40 characters at most; safe as a file name."""
    return _declare(FieldSpec(kind="name", doc=doc), default)


def names(doc: str, *, lo: int = 0, hi: int = 200, default: Any = MISSING) -> Any:
    """A list of names."""
    return _declare(FieldSpec(kind="names", doc=doc, lo=lo, hi=hi), default)


def features(doc: str, *, lo: int = 0, hi: int = 200, default: Any = MISSING) -> Any:
    """A list of names, each alone or with its owner's before it: ``line_out``, ``hanger.mount_1``."""
    return _declare(FieldSpec(kind="features", doc=doc, lo=lo, hi=hi), default)


def files(doc: str, *, hi: int) -> Any:
    """A list of files, each a path from the spec's folder."""
    return _declare(FieldSpec(kind="files", doc=doc, lo=0, hi=hi), ())


def sizes(doc: str) -> Any:
    """A table of names and quantities or bare numbers; held as the names."""
    return _declare(FieldSpec(kind="sizes", doc=doc), ())


def picks(doc: str) -> Any:
    """A table of names and names of things of the shelf; held as the names."""
    return _declare(FieldSpec(kind="picks", doc=doc), ())


def overrides(doc: str) -> Any:
    """A table of key paths and values; held as the paths."""
    return _declare(FieldSpec(kind="overrides", doc=doc), ())


def flag(doc: str, *, default: Any = MISSING) -> Any:
    """``true`` or ``false``."""
    return _declare(FieldSpec(kind="flag", doc=doc), default)


def choice(doc: str, choices: tuple[str, ...], *, default: Any = MISSING) -> Any:
    """One of the listed words."""
    return _declare(FieldSpec(kind="choice", doc=doc, choices=choices), default)


def point(doc: str, *, hi: float = 10_000.0, default: Any = MISSING) -> Any:
    """``["u", "v"]``: two lengths, each within ±``hi`` mm; held as ``(float, float)``."""
    return _declare(FieldSpec(kind="point", doc=doc, lo=-hi, hi=hi), default)


def point3(doc: str, *, hi: float = 10_000.0, default: Any = MISSING) -> Any:
    """``["x", "y", "z"]``: three lengths; held as ``(float, float, float)``."""
    return _declare(FieldSpec(kind="point3", doc=doc, lo=-hi, hi=hi), default)


def points(doc: str, *, lo: int, hi: int, default: Any = MISSING) -> Any:
    """A list of ``lo`` to ``hi`` points."""
    return _declare(FieldSpec(kind="points", doc=doc, lo=lo, hi=hi), default)


def lengths(doc: str, *, lo: int, hi: int, default: Any = MISSING) -> Any:
    """A list of ``lo`` to ``hi`` lengths; the attribute ends in ``_mm``."""
    return _declare(FieldSpec(kind="lengths", doc=doc, lo=lo, hi=hi), default)


def table(doc: str, item: type, *, default: Any = MISSING) -> Any:
    """A nested table read into ``item``."""
    return _declare(FieldSpec(kind="table", doc=doc, item=item), default)


def tables(doc: str, item: type, *, hi: int = 500) -> Any:
    """An array of tables, each read into ``item``; held as a tuple; absent means none."""
    return _declare(FieldSpec(kind="tables", doc=doc, item=item, lo=0, hi=hi), ())


def kind_table(doc: str) -> Any:
    """The parameters of a part: read into the dataclass of the kind named beside it."""
    return _declare(FieldSpec(kind="kind_table", doc=doc), None)


def toml_key(attribute: str) -> str:
    """The TOML key of an attribute: unit suffix and trailing underscore taken off."""
    for suffix in UNIT_SUFFIXES:
        if attribute.endswith(suffix):
            return attribute.removesuffix(suffix)
    return attribute.removesuffix("_")


def spec_fields(cls: type) -> Iterator[SpecField]:
    """The declared keys of a spec dataclass, in order."""
    for f in dataclasses.fields(cls):
        spec = f.metadata.get(METADATA_KEY)
        if spec is None:
            continue
        required = f.default is MISSING and f.default_factory is MISSING
        default = None if required else f.default
        yield SpecField(key=toml_key(f.name), attribute=f.name, spec=spec, required=required, default=default)
