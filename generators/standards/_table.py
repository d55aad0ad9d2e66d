"""Reads the CSV tables of this folder into typed rows. No table lives anywhere else.

Every table is UTF-8 with a heading line. A length is either in a column that names its unit
(``nut_af_in``) or in a plain column beside a ``unit`` column. Values are decimals or exact
fractions (``17/64``) and become mm through exact arithmetic. ``edition``, ``source`` and
``trust`` say where a row comes from.

A bad cell is a fault of this package and not of its user, so it raises ``ValueError`` with the
file and line, and the tests read every row.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from importlib import resources
from types import MappingProxyType
from typing import TypeVar

from generators.errors import LookupFault
from generators.units import MM_PER_INCH

__all__ = ["TableRow", "Trust", "find", "index", "read_table"]

K = TypeVar("K")
V = TypeVar("V")

_MM_PER_UNIT: Mapping[str, Fraction] = MappingProxyType({"mm": Fraction(1), "in": MM_PER_INCH})


class Trust(StrEnum):
    """How far a tabulated value can be believed."""

    PUBLISHED = "R1"  # read in the published document itself
    AGREED = "R2+"  # several independent transcriptions agree
    CLOSED_FORM = "C"  # follows from a formula
    TRANSCRIBED = "R2"  # one transcription read
    MEMORY_SURE = "M-high"  # from memory, sure
    MEMORY_UNSURE = "M-med"
    MEMORY_WEAK = "M-low"
    COMMON_PRACTICE = "CP"  # what shops do, no source

    @property
    def sourced(self) -> bool:
        """True when a document or a formula stands behind the value."""
        return self in _SOURCED


_SOURCED = frozenset({Trust.PUBLISHED, Trust.AGREED, Trust.CLOSED_FORM, Trust.TRANSCRIBED})


@dataclass(frozen=True, slots=True, kw_only=True)
class TableRow:
    """One line of a table, with typed getters. Each raises ``ValueError`` on a bad cell."""

    table: str
    line: int
    cells: Mapping[str, str]

    def text(self, column: str) -> str:
        """The text of a cell; an empty one is a fault."""
        value = self.optional_text(column)
        if not value:
            raise ValueError(f"{self.table}:{self.line}: column {column!r} is empty")
        return value

    def optional_text(self, column: str) -> str:
        """The text of a cell, which may be empty."""
        if column not in self.cells:
            raise ValueError(f"{self.table}:{self.line}: no column {column!r}")
        return self.cells[column]

    def fraction(self, column: str) -> Fraction:
        """The exact value of a cell, in the unit of its column."""
        value = self.text(column)
        try:
            return Fraction(value)
        except (ValueError, ZeroDivisionError) as error:
            raise ValueError(f"{self.table}:{self.line}: {column} = {value!r} is not a number") from error

    def number(self, column: str) -> float:
        """The value of a cell, in the unit of its column."""
        return float(self.fraction(column))

    def optional_number(self, column: str) -> float | None:
        """The value of a cell in the unit of its column, or None where it is empty."""
        return self.number(column) if self.optional_text(column) else None

    def integer(self, column: str) -> int:
        """The value of a cell that must be a whole number."""
        value = self.fraction(column)
        if value.denominator != 1:
            raise ValueError(f"{self.table}:{self.line}: {column} = {value} is not whole")
        return value.numerator

    def length_mm(self, column: str) -> float:
        """A length in mm, from ``column_mm``, ``column_in``, or ``column`` beside ``unit``."""
        for unit, factor in _MM_PER_UNIT.items():
            if f"{column}_{unit}" in self.cells:
                return float(self.fraction(f"{column}_{unit}") * factor)
        unit = self.text("unit")
        if unit not in _MM_PER_UNIT:
            raise ValueError(f"{self.table}:{self.line}: unit {unit!r} is not a length unit")
        return float(self.fraction(column) * _MM_PER_UNIT[unit])

    def trust(self, column: str = "trust") -> Trust:
        """How far the row can be believed."""
        return Trust(self.text(column))


def read_table(name: str) -> tuple[TableRow, ...]:
    """Read ``data/<name>.csv`` of this package. Raises ``ValueError`` on a ragged line.

    The callers cache; nothing is read before a table is first asked for.
    """
    file = resources.files("generators.standards").joinpath("data", f"{name}.csv")
    # No cell holds a line break, so plain lines are safe to hand to the reader.
    lines = csv.reader(file.read_text(encoding="utf-8").splitlines())
    heading = next(lines)
    rows: list[TableRow] = []
    for cells in lines:
        if len(cells) != len(heading):
            raise ValueError(f"{name}.csv:{lines.line_num}: {len(cells)} cells, not {len(heading)}")
        by_column = MappingProxyType(dict(zip(heading, cells, strict=True)))
        rows.append(TableRow(table=f"{name}.csv", line=lines.line_num, cells=by_column))
    return tuple(rows)


def index(table: str, pairs: Iterable[tuple[K, V]]) -> Mapping[K, V]:
    """Rows by key, refusing a key given twice with ``ValueError``."""
    by_key: dict[K, V] = {}
    for key, row in pairs:
        if key in by_key:
            raise ValueError(f"{table}: {key!r} is there twice")
        by_key[key] = row
    return MappingProxyType(by_key)


def find(rows: Mapping[K, V], key: K, table: str) -> V:
    """The row of ``key``. Raises ``LookupFault``, which lists the keys there are."""
    try:
        return rows[key]
    except KeyError:
        raise LookupFault(table, str(key), [str(known) for known in rows]) from None
