"""Wrapped bushes that are pressed into a bore of H7: sizes, walls, and how large they are before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import TableRow, Trust, find, index, read_table

__all__ = ["WrappedBush", "wrapped_bush", "wrapped_bush_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WrappedBush:
    """One size, mm; ``least_mm`` and ``most_mm`` are its outside before it is pressed in.

    ``wall_trust`` and ``outside_trust`` say how the walls and the outside are known, ``source`` and ``trust``
    name both, and the less sure.
    """

    inside_mm: float
    outside_mm: float
    wall_least_mm: float
    wall_most_mm: float
    wall_source: str
    wall_trust: Trust
    least_mm: float
    most_mm: float
    outside_source: str
    outside_trust: Trust
    edition: str
    source: str
    trust: Trust

    @property
    def bore_mm(self) -> float:
        """The least it is inside once it is in its bore of H7, mm: the bore less two of the thickest wall."""
        return self.outside_mm - 2 * self.wall_most_mm


@cache
def wrapped_bush_rows() -> tuple[WrappedBush, ...]:
    """Every size. Raises nothing. Source: each value's own, ISO 3547-1."""
    return tuple(_bush(row) for row in read_table("wrapped_bushes"))


def _bush(row: TableRow) -> WrappedBush:
    sources = row.text("wall_source"), row.text("outside_source")
    trusts = row.trust("wall_trust"), row.trust("outside_trust")
    return WrappedBush(
        inside_mm=row.length_mm("inside"),
        outside_mm=row.length_mm("outside"),
        wall_least_mm=row.length_mm("wall_least"),
        wall_most_mm=row.length_mm("wall_most"),
        wall_source=sources[0],
        wall_trust=trusts[0],
        least_mm=row.length_mm("outside") + row.length_mm("outside_lower"),
        most_mm=row.length_mm("outside") + row.length_mm("outside_upper"),
        outside_source=sources[1],
        outside_trust=trusts[1],
        edition=row.text("edition"),
        source="; ".join(dict.fromkeys(sources)),
        trust=max(trusts, key=list(Trust).index),
    )


@cache
def _by_inside() -> Mapping[str, WrappedBush]:
    return index("wrapped_bushes.csv", ((f"{row.inside_mm:g} mm", row) for row in wrapped_bush_rows()))


def wrapped_bush(inside_mm: float) -> WrappedBush:
    """The bush of that nominal inside diameter, mm.

    Raises:
        LookupFault: no such size; lists the ones there are.

    Source: ISO 3547-1.
    """
    return find(_by_inside(), f"{inside_mm:g} mm", "wrapped bush")
