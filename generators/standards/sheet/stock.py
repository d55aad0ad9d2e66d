"""Thicknesses that sheet is sold in, and how far a sheet may be off its own before it is another one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, read_table

__all__ = ["StockThickness", "stock_thickness_rows", "thickness_off_mm"]

SAME_SHARE = 0.1
"""A stock thickness nearer than this share is the same sheet by another name, as of a gauge. Ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockThickness:
    """One thickness that sheet is sold in, mm."""

    thickness_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def stock_thickness_rows() -> tuple[StockThickness, ...]:
    """Every row, thickness rising. Raises nothing."""
    return tuple(
        StockThickness(
            thickness_mm=row.length_mm("thickness"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("stock_thickness")
    )


def thickness_off_mm(thickness_mm: float) -> tuple[float, float]:
    """How far a sheet's thickness may be off, mm: half the step to the next stock thickness either way.

    What is read beyond it is nearer to another sheet than to the one drawn. Below the thinnest and above the
    thickest row the step is a fifth. Ours: no sheet standard's own tolerance, which is closer, is asserted.
    Raises nothing.
    """
    stock = [row.thickness_mm for row in stock_thickness_rows()]
    near = SAME_SHARE * thickness_mm
    below = max((t for t in stock if t <= thickness_mm - near), default=0.8 * thickness_mm)
    above = min((t for t in stock if t >= thickness_mm + near), default=1.2 * thickness_mm)
    return (below - thickness_mm) / 2, (above - thickness_mm) / 2
