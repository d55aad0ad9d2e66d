"""Least inside radius of structural steel bent cold, by thickness and by how the bend lies to the grain."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, read_table

__all__ = ["ColdFlanging", "cold_flanging", "cold_flanging_rows"]

_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdFlanging:
    """Sheets over ``over_mm`` to ``to_mm`` thick; radii in mm, bend line across the grain and along it."""

    material: str
    over_mm: float
    to_mm: float
    across_mm: float
    along_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def cold_flanging_rows() -> tuple[ColdFlanging, ...]:
    """Every row, thickness rising within a material. Raises nothing."""
    return tuple(
        ColdFlanging(
            material=row.text("material"),
            over_mm=row.number("over_mm"),
            to_mm=row.number("to_mm"),
            across_mm=row.number("across_mm"),
            along_mm=row.number("along_mm"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("cold_flanging")
    )


def cold_flanging(material_name: str, thickness_mm: float) -> ColdFlanging | None:
    """The row of a sheet; None below the first row and above the last, and for a material without rows.

    Between two ranges that leave a gap the thicker one's row is taken, which is never the smaller.
    Source: each row's own (EN 10025-2).
    """
    rows = [row for row in cold_flanging_rows() if row.material == material_name]
    if not rows or thickness_mm <= rows[0].over_mm + _SAME_MM:
        return None
    return next((row for row in rows if thickness_mm <= row.to_mm + _SAME_MM), None)


def thickest_mm(material_name: str) -> float | None:
    """Thickness up to which a material has rows, mm; None without any."""
    return max((row.to_mm for row in cold_flanging_rows() if row.material == material_name), default=None)
