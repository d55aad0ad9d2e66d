"""Least leg of a fillet weld by the thickness of the sheet, and the gap it may have."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, read_table

__all__ = ["GROWN_GAP_MM", "WIDEST_GAP_MM", "FilletLeg", "fillet_leg", "fillet_leg_rows"]

_SAME_MM = 1e-6
GROWN_GAP_MM = 25.4 / 16
"""Over this gap the legs of a fillet weld grow by it (AWS D1.1, as welders quote it: 1/16 in, R2)."""

WIDEST_GAP_MM = 25.4 * 3 / 16
"""A wider gap is no fillet weld any more (AWS D1.1, as welders quote it: 3/16 in, R2)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilletLeg:
    """Sheets over ``over_mm`` to ``to_mm`` thick and the least leg of a fillet weld on them, mm."""

    over_mm: float
    to_mm: float
    leg_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def fillet_leg_rows() -> tuple[FilletLeg, ...]:
    """Every row, thickness rising. Raises nothing."""
    return tuple(
        FilletLeg(
            over_mm=row.number("over_mm"),
            to_mm=row.number("to_mm"),
            leg_mm=row.number("leg_mm"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("fillet_legs")
    )


def fillet_leg(thickness_mm: float) -> float:
    """The least leg for a sheet, mm, no more than the sheet is thick. Source: each row's own (AWS D1.1)."""
    rows = fillet_leg_rows()
    row = next((r for r in rows if thickness_mm <= r.to_mm + _SAME_MM), rows[-1])
    return min(row.leg_mm, thickness_mm)
