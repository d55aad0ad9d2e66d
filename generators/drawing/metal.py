"""What the metal of a part is called on all its papers."""

from __future__ import annotations

from generators.model.plan import PartPlan
from generators.standards import material


def metal_words(plan: PartPlan) -> str:
    """``S235JRC, EN 10025-2``: what it is ordered by. Raises ``LookupFault`` for a metal no table has."""
    return material(plan.material).ordered(bent=bool(plan.bends))
