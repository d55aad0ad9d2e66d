"""Hoses by dash size, and how far apart a rigid line is held.

The hose rows are elastomeric hose of medium pressure, the one table of radii that was read; other hose
bends tighter, by its maker's figure. One text measures the radius to the inside and another to the
centre line: here it is taken to the centre line, which is the larger hose circle and the careful reading.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.errors import LookupFault
from generators.standards._table import Trust, find, index, read_table
from generators.units import parse_pressure_mpa

__all__ = [
    "LINE_METALS",
    "HoseSize",
    "LineSupport",
    "hose_size",
    "hose_size_rows",
    "line_support",
    "line_support_rows",
]

LINE_METALS = ("steel", "aluminium")
WRITTEN_MM = 0.05
"""Tubes in inches are written to 0.1 or 0.01 mm: 4.75 or 4.76 mm is 3/16 in (4.7625), 6.3 mm is 1/4 in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseSize:
    """One hose size, mm and MPa; ``dash`` is the tube it goes with, in 1/16 in, not the hose's inside."""

    dash: int
    tube_od_mm: float
    bore_mm: float
    outside_mm: float
    operating_mpa: float
    proof_mpa: float
    bend_radius_mm: float
    edition: str
    source: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class LineSupport:
    """Largest distance between the supports of a rigid line, mm."""

    metal: str
    tube_od_mm: float
    support_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def hose_size_rows() -> tuple[HoseSize, ...]:
    """Every hose size. Raises nothing."""
    return tuple(
        HoseSize(
            dash=row.integer("dash"),
            tube_od_mm=row.length_mm("tube_od"),
            bore_mm=row.length_mm("bore"),
            outside_mm=row.length_mm("outside"),
            operating_mpa=parse_pressure_mpa(row.text("operating")),
            proof_mpa=parse_pressure_mpa(row.text("proof")),
            bend_radius_mm=row.length_mm("bend_radius"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("hose_sizes")
    )


@cache
def _by_dash() -> Mapping[int, HoseSize]:
    return index("hose_sizes.csv", ((row.dash, row) for row in hose_size_rows()))


def hose_size(dash: int) -> HoseSize:
    """The hose of ``dash`` size, mm and MPa.

    Raises:
        LookupFault: no such size; lists the ones there are.

    Source: AC 43.13-1B table 9-3.
    """
    return find(_by_dash(), dash, "hose dash size")


@cache
def line_support_rows() -> tuple[LineSupport, ...]:
    """Every row of the support table. Raises nothing."""
    return tuple(
        LineSupport(
            metal=row.text("metal"),
            tube_od_mm=row.length_mm("tube_od"),
            support_mm=row.length_mm("support"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("line_supports")
    )


def line_support(tube_od_mm: float, metal: str) -> LineSupport:
    """The row of the largest listed tube of that metal not over ``tube_od_mm``.

    A tube between two rows takes the smaller one's spacing, and steel thinner than its table takes
    aluminium's: the careful reading in both cases. A size within ``WRITTEN_MM`` of a row is that row.

    Raises:
        LookupFault: no such metal, or a tube thinner than any; lists what there is.

    Source: each row's own.
    """
    if metal not in LINE_METALS:
        raise LookupFault("metal of a rigid line", metal, LINE_METALS)
    for name in dict.fromkeys((metal, "aluminium")):
        under = [
            row
            for row in line_support_rows()
            if row.metal == name and row.tube_od_mm <= tube_od_mm + WRITTEN_MM
        ]
        if under:
            return max(under, key=lambda row: row.tube_od_mm)
    known = sorted({row.tube_od_mm for row in line_support_rows()})
    raise LookupFault("tube diameter", f"{tube_od_mm:g} mm", [f"{d:g} mm" for d in known])
