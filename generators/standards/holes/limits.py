"""How far off a hole's diameter may be: one tolerance for each thing that goes through it.

Clearance holes have the tolerance field ISO 273 and ASME B18.2.8 name for their fit, with the widths of
ISO 286-1. For what no standard read here says anything of, the tolerance is common practice and says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from generators.errors import LookupFault
from generators.figures import signed
from generators.standards._table import Trust, read_table
from generators.standards.holes.clearance import FIT_ALIASES
from generators.standards.holes.tolerances import GENERAL_TOLERANCE, general_tolerance_rows

__all__ = [
    "CUT_HOLE",
    "FIT_GRADES",
    "HoleTolerance",
    "ToleranceGrade",
    "general_hole_tolerance",
    "hole_tolerance",
    "press_tolerance",
    "reamed_tolerance",
    "tolerance_grade_rows",
    "tolerance_width_mm",
]

FIT_GRADES: Mapping[str, int] = MappingProxyType({"fine": 12, "medium": 13, "coarse": 14})
"""The H field of a fit: ISO 273 (M-high), and ASME B18.2.8 in a handbook's words (R2)."""

FITTING_PLAY_MM = (0.2, 1.0)
"""Play of a bulkhead fitting's thread: it goes in, with at most the 1 mm that ISO 273 fine gives an M12."""

GRADES = (6, 7, 8, 11, 12, 13, 14)
PRESS_GRADE = 7
"""The H field of a bore that a wrapped bush is pressed into: H7 (ISO 3547-6, 4: housing bore normally H7)."""

BORE_OVER_MM = 1.0
INSERT_OVER_MM = 0.1
GROMMET_MM = 0.5
WELD_NUT_GRADE = 11


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceGrade:
    """Widths of the standard tolerances of sizes over ``over_mm`` up to ``up_to_mm``, mm by IT grade."""

    over_mm: float
    up_to_mm: float
    width_mm: Mapping[int, float]
    edition: str
    source: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleTolerance:
    """Deviations of a diameter in mm; ``name`` is what people call it."""

    name: str
    lower_mm: float
    upper_mm: float
    source: str
    trust: Trust

    def limits_mm(self, diameter_mm: float) -> tuple[float, float]:
        """Least and greatest diameter."""
        return diameter_mm + self.lower_mm, diameter_mm + self.upper_mm

    @property
    def signed(self) -> str:
        """``+0.018/0``, ``-0.014/-0.035``: both deviations to 0.001 mm, the upper one first."""
        shown = (signed(x, 3) for x in (self.upper_mm, self.lower_mm))
        return "/".join(text if float(text) else "0" for text in shown)


CUT_HOLE = HoleTolerance(
    name="as cut",
    lower_mm=0.0,
    upper_mm=0.1,
    source="ours, no source",
    trust=Trust.COMMON_PRACTICE,
)
"""Holes of a part that have no tolerance of their own: what a drawing asks of the machine that cuts them."""


@cache
def tolerance_grade_rows() -> tuple[ToleranceGrade, ...]:
    """The grades of ``GRADES`` for sizes up to 250 mm. Raises nothing. Source: ISO 286-1 table 1."""
    return tuple(
        ToleranceGrade(
            over_mm=row.length_mm("over"),
            up_to_mm=row.length_mm("up_to"),
            width_mm=MappingProxyType({g: row.length_mm(f"it{g}") for g in GRADES}),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("tolerance_grades")
    )


def tolerance_width_mm(grade: int, size_mm: float) -> float:
    """The width of standard tolerance IT ``grade`` (of ``GRADES``) of a size in mm.

    Raises ``LookupFault`` for another grade or a size over 250 mm. Source: ISO 286-1 table 1.
    """
    for row in tolerance_grade_rows():
        if row.over_mm < size_mm <= row.up_to_mm and grade in row.width_mm:
            return row.width_mm[grade]
    raise LookupFault(
        "standard tolerance", f"IT{grade} of {size_mm:g} mm", ["IT6 to IT8 and IT11 to IT14 up to 250 mm"]
    )


def _field(grade: int, size_mm: float, source: str, trust: Trust) -> HoleTolerance:
    width = tolerance_width_mm(grade, size_mm)
    return HoleTolerance(name=f"H{grade}", lower_mm=0.0, upper_mm=width, source=source, trust=trust)


def _practice(name: str, lower_mm: float, upper_mm: float) -> HoleTolerance:
    return HoleTolerance(
        name=name,
        lower_mm=lower_mm,
        upper_mm=upper_mm,
        source="common practice, no source",
        trust=Trust.COMMON_PRACTICE,
    )


def general_hole_tolerance(diameter_mm: float, designation: str = GENERAL_TOLERANCE) -> HoleTolerance | None:
    """The general tolerance of a drawing for a diameter in mm; ``None`` for one that is not in the table.

    Source: ISO 2768-1 table 1.
    """
    grade = designation.rpartition(" ")[2]
    for row in general_tolerance_rows():
        named = designation == f"ISO 2768-1 {grade}" and row.grade == grade
        if named and row.over_mm < diameter_mm <= row.up_to_mm:
            return HoleTolerance(
                name=designation,
                lower_mm=-row.deviation_mm,
                upper_mm=row.deviation_mm,
                source=row.source,
                trust=row.trust,
            )
    return None


def press_tolerance(diameter_mm: float) -> HoleTolerance:
    """The tolerance of a bore that a wrapped bush is pressed into: H7.

    Raises ``LookupFault`` for a size over 250 mm. Source: ISO 3547 with ISO 286-1.
    """
    return _field(PRESS_GRADE, diameter_mm, "ISO 3547-6 and ISO 286-1", Trust.TRANSCRIBED)


def reamed_tolerance(diameter_mm: float, field: str) -> HoleTolerance:
    """The tolerance of a reamed bore of class ``field`` (``H7``, ``H8``).

    Raises ``LookupFault`` for another class or a size over 250 mm. Source: ISO 286-1.
    """
    grade = int(field.removeprefix("H")) if field.removeprefix("H").isdecimal() else 0
    return _field(grade, diameter_mm, "ISO 286-1", Trust.TRANSCRIBED)


def hole_tolerance(
    kind: str, diameter_mm: float, *, fit: str = "medium", shank_mm: float = 0.0
) -> HoleTolerance | None:
    """The tolerance of a hole of ``diameter_mm`` by what goes through it; ``None`` where nothing does.

    ``kind`` is that of a fitting, ``shank_mm`` the thread of a bulkhead fitting. Sources: bolts and screws
    ISO 273 and ASME B18.2.8 with ISO 286-1; plain holes ISO 2768-1 m; weld nuts H11 (DIN 929, from memory,
    unsure); the rest common practice, no source: inserts and rivets 0/+0.1 mm, grommets ±0.5 mm, a cylinder's
    nose 0/+1 mm, a bulkhead fitting 0.2 to 1 mm over its thread.

    Raises ``LookupFault`` for a size over 250 mm.
    """
    if kind in ("bolt", "countersunk"):
        grade = FIT_GRADES.get(fit) or FIT_GRADES[FIT_ALIASES[fit]]
        return _field(grade, diameter_mm, "ISO 273 and ASME B18.2.8, with ISO 286-1", Trust.TRANSCRIBED)
    if kind == "weld_nut":
        return _field(
            WELD_NUT_GRADE, diameter_mm, "DIN 929, from memory, with ISO 286-1", Trust.MEMORY_UNSURE
        )
    if kind == "bulkhead":
        least, most = FITTING_PLAY_MM
        return _practice("fitting", shank_mm + least - diameter_mm, shank_mm + most - diameter_mm)
    if kind in ("insert", "rivet"):
        return _practice(kind, 0.0, INSERT_OVER_MM)
    if kind == "bore":
        return _practice("clearance", 0.0, BORE_OVER_MM)
    if kind == "grommet":
        return _practice("grommet", -GROMMET_MM, GROMMET_MM)
    return general_hole_tolerance(diameter_mm) if kind == "plain" else None
