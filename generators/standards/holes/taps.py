"""Tap drills, for about 75 % of thread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["TapDrill", "tap_drill", "tap_drill_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TapDrill:
    """The drill before a tap. ``designation`` carries the pitch: ``M6x1``, ``#10-24``."""

    designation: str
    thread: str
    pitch_mm: float
    diameter_mm: float
    drill: str
    edition: str
    source: str
    trust: Trust


@cache
def tap_drill_rows() -> tuple[TapDrill, ...]:
    """Every row, M4 to M16 and #10 to 1/2. Raises nothing."""
    return tuple(
        TapDrill(
            designation=row.text("designation"),
            thread=row.text("thread"),
            pitch_mm=row.length_mm("pitch"),
            diameter_mm=row.length_mm("diameter"),
            drill=row.text("drill"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("tap_drills")
    )


@cache
def _by_designation() -> Mapping[str, TapDrill]:
    return index("tap_drills.csv", ((row.designation, row) for row in tap_drill_rows()))


def tap_drill(designation: str) -> TapDrill:
    """The tap drill of ``designation`` (``"M6x1"``, ``"1/4-20"``); diameter in mm.

    Raises ``LookupFault`` for an unknown designation. Source: ISO 2306 for metric threads, public
    tables for inch threads.
    """
    return find(_by_designation(), designation, "tap drill for")
