"""Nuts and studs that a shop presses into sheet or welds onto it: their holes, sizes and least sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["SheetInsert", "sheet_insert", "sheet_insert_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetInsert:
    """One ``kind`` (``press_nut``, ``press_stud``, ``weld_nut``) of one thread, mm.

    Its hole is ``hole_mm`` to ``hole_mm + over_mm`` wide; ``over_mm`` is 0 where a class of ISO 286 says it.
    It is ``outside_mm`` across where it is widest and stands ``height_mm`` off the sheet, a stud as far as it
    is long. The sheet is at least ``least_sheet_mm`` thick; from the hole's centre to an edge it is at least
    ``edge_mm`` (0 where no table says it).
    """

    kind: str
    thread: str
    hole_mm: float
    over_mm: float
    outside_mm: float
    height_mm: float
    least_sheet_mm: float
    edge_mm: float
    standard: str
    hole_source: str
    hole_trust: Trust
    edition: str
    source: str
    trust: Trust


@cache
def sheet_insert_rows() -> tuple[SheetInsert, ...]:
    """Every row. Raises nothing. Sources: each row's own."""
    return tuple(
        SheetInsert(
            kind=row.text("kind"),
            thread=row.text("thread"),
            hole_mm=row.length_mm("hole"),
            over_mm=row.length_mm("over"),
            outside_mm=row.length_mm("outside"),
            height_mm=row.length_mm("height"),
            least_sheet_mm=row.length_mm("least_sheet"),
            edge_mm=row.length_mm("edge"),
            standard=row.optional_text("standard"),
            hole_source=row.text("hole_source"),
            hole_trust=row.trust("hole_trust"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("sheet_inserts")
    )


@cache
def _by_kind() -> Mapping[str, SheetInsert]:
    rows = ((f"{row.kind.replace('_', ' ')} {row.thread}", row) for row in sheet_insert_rows())
    return index("sheet_inserts.csv", rows)


def sheet_insert(kind: str, thread: str) -> SheetInsert:
    """The ``press_nut``, ``press_stud`` or ``weld_nut`` of ``thread``.

    Raises ``LookupFault`` for one the table does not have. Source: the row's own.
    """
    return find(_by_kind(), f"{kind.replace('_', ' ')} {thread}", "insert in sheet")
