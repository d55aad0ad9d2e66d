"""The largest force on a brake pedal that a rule book reckons with, by category of vehicle."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, read_table
from generators.standards.pedal_loads import NEWTON_PER_LBF

__all__ = ["FootForce", "foot_force_rows", "largest_foot_force"]

PASSENGER_CAR = "M1"


@dataclass(frozen=True, slots=True, kw_only=True)
class FootForce:
    """One published limit: force in N; deceleration that what is left must give with it, m/s², or None."""

    category: str
    force_n: float
    deceleration: float | None
    edition: str
    source: str
    trust: Trust


@cache
def foot_force_rows() -> tuple[FootForce, ...]:
    """Every row. Raises nothing."""
    rows = []
    for row in read_table("foot_forces"):
        pounds, newton = row.optional_number("force_lbf"), row.optional_number("force_n")
        rows.append(
            FootForce(
                category=row.text("category"),
                force_n=(newton or 0.0) if pounds is None else pounds * NEWTON_PER_LBF,
                deceleration=row.optional_number("deceleration"),
                edition=row.text("edition"),
                source=row.text("source"),
                trust=row.trust(),
            )
        )
    return tuple(rows)


def largest_foot_force(category: str) -> FootForce:
    """The largest published force for a UN category of vehicle; any but M1, or "", takes the larger set.

    Raises nothing: an unknown vehicle is judged as the heavier one.
    """
    own = PASSENGER_CAR if category == PASSENGER_CAR else "other"
    return max((row for row in foot_force_rows() if row.category == own), key=lambda row: row.force_n)
