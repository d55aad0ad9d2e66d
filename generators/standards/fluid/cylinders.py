"""Bores in which master and slave cylinders are commonly sold: common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.errors import LookupFault
from generators.standards._table import Trust, read_table

__all__ = ["CylinderBore", "cylinder_bore_rows", "standard_bores"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CylinderBore:
    """One common bore, mm; ``cylinder`` is master or slave and ``label`` its usual name."""

    cylinder: str
    label: str
    bore_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def cylinder_bore_rows() -> tuple[CylinderBore, ...]:
    """Every row. Raises nothing."""
    return tuple(
        CylinderBore(
            cylinder=row.text("cylinder"),
            label=row.text("label"),
            bore_mm=row.length_mm("bore"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("cylinder_bores")
    )


def standard_bores(cylinder: str) -> tuple[CylinderBore, ...]:
    """The common bores of a ``master`` or ``slave``, small to large, mm.

    Raises:
        LookupFault: no such cylinder; lists the ones there are.
    """
    rows = [row for row in cylinder_bore_rows() if row.cylinder == cylinder]
    if not rows:
        known = list(dict.fromkeys(row.cylinder for row in cylinder_bore_rows()))
        raise LookupFault("cylinder", cylinder, known)
    return tuple(sorted(rows, key=lambda row: row.bore_mm))
