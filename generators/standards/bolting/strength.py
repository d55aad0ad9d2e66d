"""Stress areas of threads and the proof stress of property classes: ISO 898-1, SAE J429."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.errors import LookupFault
from generators.standards._table import TableRow, Trust, find, index, read_table
from generators.standards.holes.fasteners import fastener
from generators.units import MM_PER_INCH

__all__ = [
    "PropertyClass",
    "StressArea",
    "default_class",
    "property_class_rows",
    "stress_area",
    "stress_area_rows",
]

_MM = float(MM_PER_INCH)
_POUND_FORCE_N = 4.4482216152605
"""Exact: 0.45359237 kg x 9.80665 m/s2."""

_AREAS: Mapping[str, float] = {"mm2": 1.0, "in2": _MM**2}
_STRESSES: Mapping[str, float] = {"MPa": 1.0, "psi": _POUND_FORCE_N / _MM**2}
_DEFAULT = {"metric": "8.8", "inch": "5"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PropertyClass:
    """A class (ISO) or grade (SAE) of bolts from ``from_mm`` to ``up_to_mm`` with its proof stress, MPa."""

    grade: str
    system: str
    from_mm: float
    up_to_mm: float
    proof_mpa: float
    standard: str
    edition: str
    source: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class StressArea:
    """Nominal stress area of a coarse thread, mm2."""

    designation: str
    area_mm2: float
    edition: str
    source: str
    trust: Trust


def _scaled(row: TableRow, column: str, unit: str, factors: Mapping[str, float]) -> float:
    word = row.text(unit)
    if word not in factors:
        raise ValueError(f"{row.table}:{row.line}: unit {word!r} is none of {', '.join(factors)}")
    return row.number(column) * factors[word]


@cache
def property_class_rows() -> tuple[PropertyClass, ...]:
    """Every row: ISO 898-1 classes 8.8 and 10.9, SAE J429 grades 5 and 8. Raises nothing."""
    lengths = {"mm": 1.0, "in": _MM}
    return tuple(
        PropertyClass(
            grade=row.text("grade"),
            system=row.text("system"),
            from_mm=_scaled(row, "from", "size_unit", lengths),
            up_to_mm=_scaled(row, "up_to", "size_unit", lengths),
            proof_mpa=_scaled(row, "proof", "unit", _STRESSES),
            standard=row.text("standard"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("property_classes")
    )


def default_class(thread: str) -> PropertyClass | None:
    """The class bolts of that thread are taken as: 8.8, grade 5; None where it does not cover the size.

    Raises ``LookupFault`` for an unknown thread.
    """
    row = fastener(thread)
    system = "metric" if thread.startswith("M") else "inch"
    for kind in property_class_rows():
        if kind.grade == _DEFAULT[system] and kind.system == system:
            return kind if kind.from_mm - 1e-9 <= row.major_mm <= kind.up_to_mm + 1e-9 else None
    raise LookupFault("property class", _DEFAULT[system], [k.grade for k in property_class_rows()])


@cache
def stress_area_rows() -> tuple[StressArea, ...]:
    """Every row, one for each bolt of the fastener table. Raises nothing."""
    return tuple(
        StressArea(
            designation=row.text("designation"),
            area_mm2=_scaled(row, "area", "unit", _AREAS),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("stress_areas")
    )


@cache
def _by_designation() -> Mapping[str, StressArea]:
    return index("stress_areas.csv", ((row.designation, row) for row in stress_area_rows()))


def stress_area(designation: str) -> StressArea:
    """Stress area of a thread (``"M8x1.25"``, ``"5/16-18"``), mm2.

    Raises:
        LookupFault: no such thread; lists the ones there are.

    Source: ISO 898-1 table 4; SAE J429; ASME B1.1 for #10.
    """
    return find(_by_designation(), designation, "stress area")
