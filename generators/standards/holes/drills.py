"""Drill sizes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from operator import attrgetter

from generators.errors import LookupFault
from generators.standards._table import Trust, find, index, read_table

__all__ = [
    "Drill",
    "DrillSystem",
    "drill",
    "drills",
    "nearest_drill",
]

_SAME_MM = 1e-9
_RANGE_SLACK_MM = 0.25  # half the coarsest step of the table: beyond it nothing is "nearest"


class DrillSystem(StrEnum):
    """A kind of drill sizes."""

    METRIC = "metric"
    FRACTIONAL = "fractional"
    NUMBER = "number"
    LETTER = "letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """One drill. ``name`` is what is stamped on it: ``6.5 mm``, ``17/64``, ``#7``, ``F``."""

    name: str
    system: DrillSystem
    diameter_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def drills() -> tuple[Drill, ...]:
    """Every drill: 1 to 25 mm, 1/16 to 1 in, #1 to #60, A to Z. Raises nothing.

    The metric ones up to 20 mm are the DIN 338 series.
    """
    return tuple(
        Drill(
            name=row.text("name"),
            system=DrillSystem(row.text("system")),
            diameter_mm=row.length_mm("diameter"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("drills")
    )


@cache
def _by_name() -> Mapping[str, Drill]:
    return index("drills.csv", ((row.name, row) for row in drills()))


def drill(name: str) -> Drill:
    """The drill called ``name`` (``"6.5 mm"``, ``"17/64"``, ``"#7"``, ``"F"``); diameter in mm.

    Raises ``LookupFault`` for an unknown name. Source: ASME B94.11M for the inch sizes.
    """
    return find(_by_name(), name, "drill")


def nearest_drill(diameter_mm: float, systems: Collection[DrillSystem] = tuple(DrillSystem)) -> Drill:
    """The drill nearest to ``diameter_mm`` (mm) among ``systems``.

    It may be smaller than asked: compare before using it for a clearance hole. Of two equally
    near, the larger is given; of two equal (E and 1/4), the first in the order metric,
    fractional, number, letter.

    Raises:
        LookupFault: the diameter is outside the drills of these systems, not a number, or no
            system is given.

    Source: ASME B94.11M for the inch sizes.
    """
    chosen = [row for row in drills() if row.system in systems]
    if not chosen:
        raise LookupFault("drill system", ", ".join(systems), [str(system) for system in DrillSystem])
    smallest = min(chosen, key=attrgetter("diameter_mm"))
    largest = max(chosen, key=attrgetter("diameter_mm"))
    # Written so that a nan, which compares false with everything, is refused too.
    if not smallest.diameter_mm - _RANGE_SLACK_MM <= diameter_mm <= largest.diameter_mm + _RANGE_SLACK_MM:
        raise LookupFault("drill near", f"{diameter_mm} mm", [f"{smallest.name} to {largest.name}"])
    distance = min(abs(row.diameter_mm - diameter_mm) for row in chosen)
    near = [row for row in chosen if abs(row.diameter_mm - diameter_mm) <= distance + _SAME_MM]
    widest = max(row.diameter_mm for row in near)
    order = list(DrillSystem)
    ties = (row for row in near if widest - row.diameter_mm <= _SAME_MM)
    return min(ties, key=lambda row: order.index(row.system))
