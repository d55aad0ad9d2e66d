"""Least inside bend radius by alloy, temper and thickness."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from generators.errors import GeometryFault, LookupFault
from generators.figures import format_length
from generators.standards._table import Trust, find, read_table
from generators.standards.sheet.cold_flanging import cold_flanging, thickest_mm

__all__ = ["BendRadius", "BendRadiusRow", "bend_radius_rows", "minimum_bend_radius"]

_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class BendRadiusRow:
    """One cell of the table: a range of radii in multiples of the thickness.

    ``thickness_mm`` is None where the rule holds for any thickness.
    """

    alloy: str
    thickness_mm: float | None
    low_t: float
    high_t: float
    edition: str
    source: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class BendRadius:
    """The least inside radius of a 90 degree bend. ``radius_mm`` is the upper, safe end.

    ``by_grain``: ``low_mm`` holds across the grain and ``high_mm`` along it.
    """

    material: str
    thickness_mm: float
    radius_mm: float
    low_mm: float
    high_mm: float
    edition: str
    source: str
    trust: Trust
    by_grain: bool = False


@cache
def bend_radius_rows() -> tuple[BendRadiusRow, ...]:
    """Every row, thickness rising within an alloy. Raises nothing."""
    return tuple(
        BendRadiusRow(
            alloy=row.text("alloy"),
            thickness_mm=row.length_mm("thickness") if row.optional_text("thickness_in") else None,
            low_t=row.number("low_t"),
            high_t=row.number("high_t"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("bend_radius")
    )


@cache
def _by_alloy() -> Mapping[str, tuple[BendRadiusRow, ...]]:
    alloys = dict.fromkeys(row.alloy for row in bend_radius_rows())
    return MappingProxyType(
        {alloy: tuple(row for row in bend_radius_rows() if row.alloy == alloy) for alloy in alloys}
    )


def minimum_bend_radius(material_name: str, thickness_mm: float) -> BendRadius:
    """The least inside radius, in mm, for a bend of 90 degrees in sheet ``thickness_mm`` thick.

    Between two thicknesses of the table the thicker one's multiples are used, because they are
    never the smaller. Nothing is extrapolated. Structural steel has rows of its own, by the grain.

    Raises:
        LookupFault: no such material, or the sheet is thicker than the table goes.
        GeometryFault: the thickness is not above zero.

    Source: AC 43.13-1B table 4-6 for aluminium; EN 10025-2 for S235 over 2.5 mm; one thickness, common
    practice, for other steel.
    """
    rows = find(_by_alloy(), material_name, "bend radius for material")
    if not thickness_mm > 0:
        raise GeometryFault(f"a sheet {thickness_mm} mm thick cannot be bent", "thickness")
    cold = cold_flanging(material_name, thickness_mm)
    if cold is not None:
        return BendRadius(
            material=material_name,
            thickness_mm=thickness_mm,
            radius_mm=cold.along_mm,
            low_mm=cold.across_mm,
            high_mm=cold.along_mm,
            edition=cold.edition,
            source=cold.source,
            trust=cold.trust,
            by_grain=True,
        )
    thickest = thickest_mm(material_name)
    if thickest is not None and thickness_mm > thickest + _SAME_MM:
        known = [format_length(thickest)]
        raise LookupFault(f"bend radius of {material_name} at thickness", format_length(thickness_mm), known)
    for row in rows:
        if row.thickness_mm is None or thickness_mm <= row.thickness_mm + _SAME_MM:
            return BendRadius(
                material=material_name,
                thickness_mm=thickness_mm,
                radius_mm=row.high_t * thickness_mm,
                low_mm=row.low_t * thickness_mm,
                high_mm=row.high_t * thickness_mm,
                edition=row.edition,
                source=row.source,
                trust=row.trust,
            )
    known = [format_length(row.thickness_mm) for row in rows if row.thickness_mm is not None]
    raise LookupFault(f"bend radius of {material_name} at thickness", format_length(thickness_mm), known)
