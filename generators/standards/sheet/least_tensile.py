"""Least tensile strength of sheet: what joints of thin sheet are judged by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, index, read_table

__all__ = ["LeastTensile", "least_tensile", "least_tensile_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastTensile:
    """Least tensile strength of one material of the material table, MPa."""

    material: str
    tensile_mpa: float
    edition: str
    source: str
    trust: Trust


@cache
def least_tensile_rows() -> tuple[LeastTensile, ...]:
    """Every row. Raises nothing."""
    return tuple(
        LeastTensile(
            material=row.text("material"),
            tensile_mpa=row.number("tensile_mpa"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("least_tensile")
    )


@cache
def _by_material() -> Mapping[str, LeastTensile]:
    return index("least_tensile.csv", ((row.material, row) for row in least_tensile_rows()))


def least_tensile(material: str) -> LeastTensile | None:
    """The row of a material of the material table; None where no figure was found. Raises nothing."""
    return _by_material().get(material)
