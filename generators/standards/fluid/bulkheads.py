"""37-degree flare bulkhead fittings by dash size: nut and panel hole.

The rows are the AN/MS inch series. SAE J514/1 has moved to the metric hexagons of ISO 8434-2, so
a fitting in the hand may take another spanner: measure it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["Bulkhead", "bulkhead", "bulkhead_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulkhead:
    """One bulkhead size. The hole has a source of its own: AN924 tabulates the nut only.

    ``nut_corners_mm`` is the sharp hexagon, A x 2 / sqrt(3), the figure to keep clear. The table's
    own across-corners column is a minimum and would let two nuts touch.
    """

    dash: int
    tube_od_mm: float
    thread: str
    thread_major_mm: float
    nut_af_mm: float
    nut_corners_mm: float
    nut_thickness_mm: float
    hole_mm: float
    hole_source: str
    hole_trust: Trust
    edition: str
    source: str
    trust: Trust


@cache
def bulkhead_rows() -> tuple[Bulkhead, ...]:
    """Every size, -3 to -8. Raises nothing."""
    return tuple(
        Bulkhead(
            dash=row.integer("dash"),
            tube_od_mm=row.length_mm("tube_od"),
            thread=row.text("thread"),
            thread_major_mm=row.length_mm("thread_major"),
            nut_af_mm=row.length_mm("nut_af"),
            nut_corners_mm=row.length_mm("nut_af") * 2 / math.sqrt(3),
            nut_thickness_mm=row.length_mm("nut_thickness"),
            hole_mm=row.length_mm("hole"),
            hole_source=row.text("hole_source"),
            hole_trust=row.trust("hole_trust"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("bulkheads")
    )


@cache
def _by_dash() -> Mapping[int, Bulkhead]:
    return index("bulkheads.csv", ((row.dash, row) for row in bulkhead_rows()))


def bulkhead(dash: int) -> Bulkhead:
    """The bulkhead of ``dash`` size (``4`` for a -4; tube diameter in sixteenths of an inch), in mm.

    Raises:
        LookupFault: no such size; lists the ones there are.

    Source: AN924 Rev 13 for the nut and thread; ``hole_source`` for the panel hole.
    """
    return find(_by_dash(), dash, "bulkhead dash size")
