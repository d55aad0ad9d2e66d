"""The highest tensile strength a sheet may have: what a press must bend, not what a part may bear."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["Tensile", "tensile", "tensile_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tensile:
    """Upper end of a sheet's tensile strength, MPa."""

    name: str
    tensile_mpa: float
    edition: str
    source: str
    trust: Trust


@cache
def tensile_rows() -> tuple[Tensile, ...]:
    """Every row. Raises nothing."""
    return tuple(
        Tensile(
            name=row.text("name"),
            tensile_mpa=row.number("tensile_mpa"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("tensile")
    )


@cache
def _by_name() -> Mapping[str, Tensile]:
    return index("tensile.csv", ((row.name, row) for row in tensile_rows()))


def tensile(name: str) -> Tensile:
    """The upper tensile strength of a material, MPa.

    Raises ``LookupFault`` for a material without a row. Source: each row's own.
    """
    return find(_by_name(), name, "tensile strength of")
