"""What sheet, plate and printed materials bear: yield, and the least and the most tensile strength.

Each value has a row, a source and a trust of its own. Parts are judged by the yield, joints of thin sheet by
the least tensile strength; the most is what a press must bend, never what a part may bear.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["Strength", "least_tensile", "most_tensile", "strength_rows", "yield_strength"]

PROPERTIES = ("yield", "least tensile", "most tensile")


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """One strength of a material of the material table, MPa."""

    material: str
    what: str
    mpa: float
    edition: str
    source: str
    trust: Trust


@cache
def strength_rows() -> tuple[Strength, ...]:
    """Every row. Raises ``ValueError`` for a property that is none."""
    rows = tuple(
        Strength(
            material=row.text("material"),
            what=row.text("property"),
            mpa=row.number("mpa"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("strengths")
    )
    for row in rows:
        if row.what not in PROPERTIES:
            raise ValueError(f"strengths.csv: {row.material}: no property {row.what!r}")
    return rows


@cache
def _of(what: str) -> Mapping[str, Strength]:
    return index("strengths.csv", ((row.material, row) for row in strength_rows() if row.what == what))


def yield_strength(material: str) -> Strength:
    """The least yield (proof stress) of a material. Raises ``LookupFault`` for one without a row."""
    return find(_of("yield"), material, "yield of")


def most_tensile(material: str) -> Strength:
    """The highest tensile strength a sheet may have. Raises ``LookupFault`` for one without a row."""
    return find(_of("most tensile"), material, "tensile strength of")


def least_tensile(material: str) -> Strength | None:
    """The least tensile strength of a material; None where no figure was found. Raises nothing."""
    return _of("least tensile").get(material)
