"""How far a bend line may be askew for all that is inspected along its fold, and for its welded edges."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.askew.ties import Tie, pairs_in_line, ties_of
from generators.sheetmetal.folding import bend_allowance, bend_length
from generators.sheetmetal.in_line import worst_across
from generators.sheetmetal.seams import seams

ALIKE = 1e-6


@lru_cache(maxsize=256)
def askew_most_rad(plan: PartPlan) -> Mapping[str, float]:
    """How far each bend's line may be askew, rad, for all that is inspected along its fold, by its name.

    End to end it may be off by what a bent length may; so may each tied hole, and two of one shaft by
    ``worst_across`` against one another, their lines askew against each other at worst. An edge that is
    welded comes no further than the blank's edges may lie off, else its gap closes or opens.
    """
    bends = {bend.child: bend for bend in plan.bends}
    most = {bend.name: plan.bent_mm / bend_length(bend) for bend in plan.bends}

    def limit(flange: str, within_mm: float, far_mm: float) -> None:
        if far_mm > ALIKE:
            name = bends[flange].name
            most[name] = min(most[name], within_mm / far_mm)

    ties = tuple(ties_of(plan))
    apart = {id(t): _across(plan, bends[t.own.flange], t) for t in ties}
    for t in ties:
        limit(t.own.flange, plan.bent_mm, apart[id(t)])
    for a, b in pairs_in_line(plan, ties):
        for t in (a, b):
            limit(t.own.flange, worst_across(plan.position_mm), apart[id(a)] + apart[id(b)])
    for _, seam in seams(plan):
        if seam is not None and seam.edge in bends:
            half = bend_allowance(bends[seam.edge], plan.thickness_mm) / 2
            limit(seam.edge, plan.position_mm, max(v for _, v in seam.ends) + half)
    return MappingProxyType(most)


def _across(plan: PartPlan, bend: Bend, tie: Tie) -> float:
    """How far the two holes of a tie lie apart on the blank, square to the bend between them, mm."""
    (au, av), (bu, bv) = bend.start, bend.end
    first = tie.first.hole
    # the bent flange begins on its own u axis, and its parent lies to the left of the line
    inside = ((bu - au) * (first.v_mm - av) - (bv - av) * (first.u_mm - au)) / bend_length(bend)
    return tie.own.hole.v_mm + bend_allowance(bend, plan.thickness_mm) + inside
