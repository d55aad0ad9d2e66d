"""How much a brake hose may swell, by size, grade and pressure.

The figures are the largest the rule allows, so a hose that meets it swells less: a release budget
made with them is on the safe side. They are from memory. A copy of the table seen in print has the
sub-columns at 1500 psi in the other order; a low-expansion hose always swells less than a regular
one, and the tests hold that.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.errors import LookupFault
from generators.standards._table import Trust, read_table
from generators.units import Kind, parse, parse_pressure_mpa

__all__ = ["HOSE_GRADES", "HoseExpansion", "hose_expansion", "hose_expansion_rows"]

HOSE_GRADES = ("regular", "low")


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseExpansion:
    """Largest swell of one hose size and grade at one pressure.

    The size is a band of inside diameters, over ``over_mm`` up to ``up_to_mm``, mm; the largest band
    begins at its lower bound. ``swell_mm2`` is mm3 of swell per mm of length.
    """

    size: str
    over_mm: float
    up_to_mm: float
    grade: str
    pressure_mpa: float
    swell_mm2: float
    edition: str
    source: str
    trust: Trust


@cache
def hose_expansion_rows() -> tuple[HoseExpansion, ...]:
    """Every row. Raises nothing."""
    return tuple(
        HoseExpansion(
            size=row.text("size"),
            over_mm=row.number("over_mm"),
            up_to_mm=row.number("up_to_mm"),
            grade=row.text("grade"),
            pressure_mpa=parse_pressure_mpa(row.text("pressure")),
            swell_mm2=parse(row.text("expansion"), Kind.SWELL),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("hose_expansion")
    )


def hose_expansion(bore_mm: float, grade: str) -> tuple[HoseExpansion, ...]:
    """Rows of the hose of inside diameter ``bore_mm`` (mm) and ``grade``, by rising pressure.

    A size between the listed ones takes the middle band (NHTSA interpretation 04-009678); 6 mm and
    more is the largest band.

    Raises:
        LookupFault: no such size or grade; lists the ones there are.

    Source: each row's own, 49 CFR 571.106 table I, from memory.
    """
    rows = hose_expansion_rows()
    if grade not in HOSE_GRADES:
        raise LookupFault("hose grade", grade, HOSE_GRADES)
    last = max(row.over_mm for row in rows)
    found = [
        row
        for row in rows
        if row.grade == grade
        and (
            last <= bore_mm <= row.up_to_mm
            if row.over_mm == last
            else row.over_mm < bore_mm <= row.up_to_mm and bore_mm < last
        )
    ]
    if not found:
        raise LookupFault("hose bore", f"{bore_mm:g} mm", list(dict.fromkeys(row.size for row in rows)))
    return tuple(sorted(found, key=lambda row: row.pressure_mpa))
