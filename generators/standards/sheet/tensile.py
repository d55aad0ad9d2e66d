"""Least tensile strength of sheet: what joints of thin sheet are judged by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, index, read_table

__all__ = ["Tensile", "tensile", "tensile_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tensile:
    """Least tensile strength of one material of the material table, MPa."""

    material: str
    tensile_mpa: float
    edition: str
    source: str
    trust: Trust


@cache
def tensile_rows() -> tuple[Tensile, ...]:
    """Every row. Raises nothing."""
    return tuple(
        Tensile(
            material=row.text("material"),
            tensile_mpa=row.number("tensile_mpa"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("tensile")
    )


@cache
def _by_material() -> Mapping[str, Tensile]:
    return index("tensile.csv", ((row.material, row) for row in tensile_rows()))


def tensile(material: str) -> Tensile | None:
    """The row of a material of the material table; None where no figure was found. Raises nothing."""
    return _by_material().get(material)
