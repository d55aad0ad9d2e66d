"""Heads of countersunk screws with a hexagon socket: how wide the cone is and at which angle."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["SunkHead", "sunk_head", "sunk_head_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SunkHead:
    """The head of one thread, mm and rad; ``head_mm`` is its theoretical sharp diameter, which a countersink
    must reach for the head to lie flush."""

    thread: str
    head_mm: float
    height_mm: float
    angle_rad: float
    standard: str
    edition: str
    source: str
    trust: Trust


@cache
def sunk_head_rows() -> tuple[SunkHead, ...]:
    """Every row. Raises nothing. Source: ISO 10642 (90 degrees) and ASME B18.3 (82 degrees)."""
    return tuple(
        SunkHead(
            thread=row.text("thread"),
            head_mm=row.length_mm("head"),
            height_mm=row.length_mm("height"),
            angle_rad=math.radians(row.number("angle_deg")),
            standard=row.text("standard"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("sunk_heads")
    )


@cache
def _by_thread() -> Mapping[str, SunkHead]:
    return index("sunk_heads.csv", ((row.thread, row) for row in sunk_head_rows()))


def sunk_head(thread: str) -> SunkHead:
    """The countersunk head of ``thread`` (``"M6"``, ``"1/4"``).

    Raises ``LookupFault`` for a thread without one. Source: ISO 10642, ASME B18.3.
    """
    return find(_by_thread(), thread, "countersunk head for")
