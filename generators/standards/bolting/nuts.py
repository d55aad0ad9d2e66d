"""Locking nuts and washers: ISO 7040, ISO 7089, ISO 7093-1; ASME B18.16.6, B18.21.1."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from generators.standards._table import Trust, find, index, read_table

__all__ = ["LockingNut", "Washer", "WasherSeries", "locking_nut", "locking_nut_rows", "washer", "washer_rows"]

WasherSeries = Literal["plain", "large"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LockingNut:
    """A prevailing torque nut, mm: its greatest height; ``bearing_mm`` is the least face it bears with."""

    thread: str
    standard: str
    what: str
    af_mm: float
    height_mm: float
    bearing_mm: float
    edition: str
    source: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class Washer:
    """A plain or large flat washer, mm; ``thickest_mm`` is the most it may be thick."""

    thread: str
    series: WasherSeries
    standard: str
    inside_mm: float
    outside_mm: float
    thickness_mm: float
    thickest_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def locking_nut_rows() -> tuple[LockingNut, ...]:
    """Every row, one for each bolt of the fastener table. Raises nothing."""
    return tuple(
        LockingNut(
            thread=row.text("thread"),
            standard=row.text("standard"),
            what=row.text("what"),
            af_mm=row.length_mm("af"),
            height_mm=row.length_mm("height"),
            bearing_mm=row.length_mm("bearing"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("locking_nuts")
    )


@cache
def washer_rows() -> tuple[Washer, ...]:
    """Every row, a plain and a large one for each bolt of the fastener table. Raises nothing."""
    return tuple(
        Washer(
            thread=row.text("thread"),
            series="large" if row.text("series") == "large" else "plain",
            standard=row.text("standard"),
            inside_mm=row.length_mm("inside"),
            outside_mm=row.length_mm("outside"),
            thickness_mm=row.length_mm("thickness"),
            thickest_mm=row.length_mm("thickest"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("washers")
    )


@cache
def _nuts() -> Mapping[str, LockingNut]:
    return index("locking_nuts.csv", ((row.thread, row) for row in locking_nut_rows()))


@cache
def _washers() -> Mapping[str, Washer]:
    return index("washers.csv", ((f"{row.series} {row.thread}", row) for row in washer_rows()))


def locking_nut(thread: str) -> LockingNut:
    """The prevailing torque nut of a thread, mm. Raises ``LookupFault``, which lists the threads there are.

    Source: ISO 7040, ASME B18.16.6 style NE.
    """
    return find(_nuts(), thread, "locking nut")


def washer(thread: str, series: WasherSeries = "plain") -> Washer:
    """The washer of a thread, mm. Raises ``LookupFault``, which lists what there is.

    Source: ISO 7089 and ISO 7093-1; ASME B18.21.1.
    """
    return find(_washers(), f"{series} {thread}", "washer")
