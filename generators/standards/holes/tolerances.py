"""General tolerances of lengths: what a dimension without one of its own may be off by."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, read_table

__all__ = [
    "GENERAL_TOLERANCE",
    "GeneralTolerance",
    "general_deviation_mm",
    "general_tolerance_rows",
    "general_tolerance_words",
]

GENERAL_TOLERANCE = "ISO 2768-1 m"
_PREFIX = "ISO 2768-1 "


@dataclass(frozen=True, slots=True, kw_only=True)
class GeneralTolerance:
    """Permissible deviation of lengths over ``over_mm`` up to ``up_to_mm`` in one class, ± mm."""

    grade: str
    over_mm: float
    up_to_mm: float
    deviation_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def general_tolerance_rows() -> tuple[GeneralTolerance, ...]:
    """Classes f, m and c for lengths of 0.5 to 2000 mm. Raises nothing. Source: ISO 2768-1 table 1."""
    return tuple(
        GeneralTolerance(
            grade=row.text("class"),
            over_mm=row.length_mm("over"),
            up_to_mm=row.length_mm("up_to"),
            deviation_mm=row.length_mm("deviation"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("general_tolerances")
    )


def general_tolerance_words(designation: str, largest_mm: float) -> str:
    """A designation as it is printed, with its figures up to the range that holds ``largest_mm``.

    Only ``ISO 2768-1`` f, m and c are known; any other text is printed as it is.
    """
    grade = designation.removeprefix(_PREFIX)
    rows = [r for r in general_tolerance_rows() if r.grade == grade]
    if not designation.startswith(_PREFIX) or not rows:
        return designation
    ranges: list[tuple[float, float]] = []
    for row in rows:
        if ranges and row.over_mm >= largest_mm:
            break
        if ranges and ranges[-1][0] == row.deviation_mm:
            ranges.pop()
        ranges.append((row.deviation_mm, row.up_to_mm))
    figures = ", ".join(f"±{deviation:g} to {up_to:g}" for deviation, up_to in ranges)
    return f"{designation} (lengths in mm: {figures})"


def general_deviation_mm(designation: str, length_mm: float) -> float:
    """How far a length may be off by a designation, ± mm; one that is not known is taken as class m.

    Below the table's first range its deviation holds, above its last one that. Source: ISO 2768-1 table 1.
    """
    grade = designation.removeprefix(_PREFIX) if designation.startswith(_PREFIX) else ""
    rows = [r for r in general_tolerance_rows() if r.grade == grade]
    rows = rows or [r for r in general_tolerance_rows() if r.grade == GENERAL_TOLERANCE.removeprefix(_PREFIX)]
    return next((r.deviation_mm for r in rows if length_mm <= r.up_to_mm), rows[-1].deviation_mm)
