"""Forces at a pedal's pad that hangers and brackets are judged by."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.errors import LookupFault
from generators.standards._table import Trust, read_table

__all__ = ["PedalLoad", "pedal_load", "pedal_load_rows"]

NEWTON_PER_LBF = 4.4482216152605
"""Exact: 0.45359237 kg times 9.80665 m/s2."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalLoad:
    """One load case: ``case`` normal, limit, structure or side; ``kind`` of pedal; force in N."""

    case: str
    kind: str
    force_n: float
    edition: str
    source: str
    trust: Trust


@cache
def pedal_load_rows() -> tuple[PedalLoad, ...]:
    """Every row. Raises nothing."""
    rows = []
    for row in read_table("pedal_loads"):
        pounds, newton = row.optional_number("force_lbf"), row.optional_number("force_n")
        rows.append(
            PedalLoad(
                case=row.text("case"),
                kind=row.text("kind"),
                force_n=(newton or 0.0) if pounds is None else pounds * NEWTON_PER_LBF,
                edition=row.text("edition"),
                source=row.text("source"),
                trust=row.trust(),
            )
        )
    return tuple(rows)


def pedal_load(case: str, kind: str) -> PedalLoad:
    """The force of a case for a ``clutch`` or ``brake`` pedal, N.

    Raises:
        LookupFault: no such case for that kind; lists the ones there are.

    Source: each row's own (14 CFR, FMVSS, Formula SAE).
    """
    for row in pedal_load_rows():
        if (row.case, row.kind) == (case, kind):
            return row
    known = [row.case for row in pedal_load_rows() if row.kind == kind]
    raise LookupFault(f"load case of a {kind} pedal", case, known)
