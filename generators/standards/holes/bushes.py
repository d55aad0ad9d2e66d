"""Headless press-fit drill bushes: DIN 179, from memory. Measure yours, or give its size in the spec."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.errors import LookupFault
from generators.standards._table import Trust, read_table

__all__ = ["DrillBush", "drill_bush", "drill_bush_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillBush:
    """Bushes for drills over ``over_mm`` up to ``up_to_mm``: outside diameter and lengths, mm."""

    over_mm: float
    up_to_mm: float
    outside_mm: float
    lengths_mm: tuple[float, ...]
    edition: str
    source: str
    trust: Trust


@cache
def drill_bush_rows() -> tuple[DrillBush, ...]:
    """Every row, small to large. Raises nothing."""
    return tuple(
        DrillBush(
            over_mm=row.length_mm("over"),
            up_to_mm=row.length_mm("up_to"),
            outside_mm=row.length_mm("outside"),
            lengths_mm=tuple(
                row.length_mm(column) for column in ("short", "medium", "long") if row.optional_text(column)
            ),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("drill_bushes")
    )


def drill_bush(drill_mm: float) -> DrillBush:
    """The bush a drill of ``drill_mm`` runs in.

    Raises:
        LookupFault: no bush is that large; lists the ranges there are.

    Source: DIN 179, from memory.
    """
    for row in drill_bush_rows():
        if row.over_mm < drill_mm <= row.up_to_mm:
            return row
    known = [f"over {row.over_mm:g} to {row.up_to_mm:g} mm" for row in drill_bush_rows()]
    raise LookupFault("drill bush for a drill of", f"{drill_mm:g} mm", known)
