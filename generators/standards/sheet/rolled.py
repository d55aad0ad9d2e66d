"""How far a hot rolled sheet may be off its thickness as it is sold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, read_table
from generators.standards.sheet.materials import material_rows

__all__ = ["RolledThickness", "rolled_off_mm", "rolled_thickness_rows"]

_STRIP_NORM = "EN 10025"
_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class RolledThickness:
    """Sheets to ``to_mm`` thick, and how far off, ±, mm."""

    to_mm: float
    off_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def rolled_thickness_rows() -> tuple[RolledThickness, ...]:
    """Every row, thickness rising. Raises nothing."""
    return tuple(
        RolledThickness(
            to_mm=row.number("to_mm"),
            off_mm=row.number("off_mm"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("rolled_thickness")
    )


def rolled_off_mm(material: str, thickness_mm: float) -> float | None:
    """How far a sheet of a structural steel cut from hot rolled strip may be off, ± mm.

    None for any other material, and past the table. Source: each row's own (EN 10051). Raises nothing.
    """
    norm = next((row.norm for row in material_rows() if row.name == material), "")
    if _STRIP_NORM not in norm:
        return None
    rows = rolled_thickness_rows()
    return next((row.off_mm for row in rows if thickness_mm <= row.to_mm + _SAME_MM), None)
