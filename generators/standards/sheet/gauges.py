"""Sheet thickness by gauge number. A gauge means nothing without its system.

The federal statute (``us_standard``) and the trade's gauge for steel sheet (``msg``) differ: 16
gauge is 0.0625 in by the one and 0.0598 in by the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from generators.standards._table import Trust, find, index, read_table

__all__ = ["Gauge", "gauge_rows", "sheet_gauge"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """The nominal thickness of one gauge number in one system."""

    system: str
    gauge: int
    thickness_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def gauge_rows() -> tuple[Gauge, ...]:
    """Every row, systems ``msg``, ``us_standard``, ``stainless``, ``galvanised``, ``aluminium``,
    ``swg``.

    Raises nothing.
    """
    return tuple(
        Gauge(
            system=row.text("system"),
            gauge=row.integer("gauge"),
            thickness_mm=row.length_mm("thickness"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("gauges")
    )


@cache
def _by_system() -> Mapping[str, Mapping[int, Gauge]]:
    systems = dict.fromkeys(row.system for row in gauge_rows())
    return MappingProxyType(
        {
            system: index("gauges.csv", ((row.gauge, row) for row in gauge_rows() if row.system == system))
            for system in systems
        }
    )


def sheet_gauge(system: str, gauge: int) -> Gauge:
    """Thickness, in mm, of ``gauge`` in ``system``.

    Raises:
        LookupFault: no such system, or no such gauge in it; lists the ones there are.

    Source: each row's own; 15 U.S.C. 206 for ``us_standard``.
    """
    return find(find(_by_system(), system, "gauge system"), gauge, f"{system} gauge")
