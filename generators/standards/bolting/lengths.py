"""Lengths bolts are stocked in: ISO 888 within the range of ISO 4017; in inches what the trade keeps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["BoltRange", "StockLength", "bolt_range", "bolt_range_rows", "stock_length_rows", "stock_lengths"]

_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLength:
    """One length under the head; ``text`` as it is written on the box: ``30``, ``1 1/4``."""

    unit: str
    length_mm: float
    text: str
    edition: str
    source: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltRange:
    """Lengths of one thread, mm: threaded to the head up to ``full_to_mm``, over that for ``thread_mm``."""

    thread: str
    standard: str
    shortest_mm: float
    longest_mm: float
    full_to_mm: float
    thread_mm: float
    edition: str
    source: str
    trust: Trust

    def plain_shank_mm(self, length_mm: float) -> float:
        """How much under the head has no thread, mm."""
        return 0.0 if length_mm <= self.full_to_mm + _SAME_MM else length_mm - self.thread_mm


def _written(text: str, unit: str) -> str:
    """``5/4`` of an inch is written 1 1/4."""
    top, _, under = text.partition("/")
    if unit == "mm" or not under or int(top) < int(under):
        return text
    return f"{int(top) // int(under)} {int(top) % int(under)}/{under}"


@cache
def stock_length_rows() -> tuple[StockLength, ...]:
    """Every length, the metric ones first, each short to long. Raises nothing."""
    return tuple(
        StockLength(
            unit=row.text("unit"),
            length_mm=row.length_mm("length"),
            text=_written(row.text("length"), row.text("unit")),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("length_series")
    )


@cache
def bolt_range_rows() -> tuple[BoltRange, ...]:
    """Every row, one for each bolt of the fastener table. Raises nothing."""
    return tuple(
        BoltRange(
            thread=row.text("thread"),
            standard=row.text("standard"),
            shortest_mm=row.length_mm("shortest"),
            longest_mm=row.length_mm("longest"),
            full_to_mm=row.length_mm("full_to"),
            thread_mm=row.length_mm("thread_over"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("bolt_lengths")
    )


@cache
def _by_thread() -> Mapping[str, BoltRange]:
    return index("bolt_lengths.csv", ((row.thread, row) for row in bolt_range_rows()))


def bolt_range(thread: str) -> BoltRange:
    """The range of lengths of a thread, mm. Raises ``LookupFault``, which lists the threads there are.

    Source: ISO 4017; ASME B18.2.1 for thread lengths, common practice for what is stocked in inches.
    """
    return find(_by_thread(), thread, "bolt length")


def stock_lengths(thread: str) -> tuple[StockLength, ...]:
    """The lengths a bolt of that thread is bought in, short to long. Raises as ``bolt_range`` does.

    Source: ISO 888 (metric); common practice (inch).
    """
    own = bolt_range(thread)
    unit = "mm" if thread.startswith("M") else "in"
    series = (s for s in stock_length_rows() if s.unit == unit)
    return tuple(s for s in series if own.shortest_mm - _SAME_MM <= s.length_mm <= own.longest_mm + _SAME_MM)
