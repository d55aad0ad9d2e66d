"""Short names of what finite elements are asked: the same plan, holds and loads, the same name.

An answer counts for the very plan it was solved for, and is not asked for again while nothing has changed.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from generators.model.plan import PartPlan
from generators.reading import JobFile
from generators.solve.brackets.cases import Bracket
from generators.solve.pedals import PedalAnswer
from generators.standards import material
from generators.strength.bores import BoreForce

if TYPE_CHECKING:
    from generators.strength.result import BracketResult

DIGITS = 16


def _name(*content: Any) -> str:
    # frozen dataclasses of numbers and words: their text is all of them, each float to its last digit
    return hashlib.sha256(repr(content).encode("utf-8", "surrogatepass")).hexdigest()[:DIGITS]


def plan_name(plan: PartPlan) -> str:
    """The name of a plan with the metal it is of."""
    return _name(plan, material(plan.material))


def asked_name(file: JobFile, bracket: Bracket, pedals: Sequence[PedalAnswer]) -> str:
    """The name of all that decides what the solver says of a bracket, before anything was solved."""
    spec, limits = bracket.part.spec, file.job.limits
    hung = [p for p in pedals if any(c.pedal == p.spec.name for c in bracket.cases)]
    # what a pedal loses is said beside what its hanger gives
    lost = [(p.spec, p.clutch.setup, p.clutch.at_stop) for p in hung if p.clutch is not None]
    choice = (spec, sorted(map(repr, file.shop.stock))) if spec.gauge == "stiff enough" else ()
    plan = plan_name(bracket.part.plan)
    return _name(plan, bracket.holds, bracket.cases, bracket.give, lost, choice, limits)


LIKE = 0.05
"""How far loads and give may be from those that were solved, as a share. Ours: what a solved hanger gives
lets its pedal go so much further that its forces turn by up to a thirtieth."""


def most_give(bracket: Bracket) -> float:
    """How far the softest bolt of a bracket gives along itself, mm/N."""
    return max((h.flex_mm_per_n for h in bracket.holds), default=0.0)


def current(results: Sequence[BracketResult], loaded: Sequence[Bracket]) -> tuple[BracketResult, ...]:
    """The results that are of the plans, loads and give as they are now: what was solved of a part cut,
    loaded or held otherwise says nothing."""
    now = {b.part.spec.name: b for b in loaded}
    return tuple(r for r in results if r.part in now and _of_now(r, now[r.part]))


def _of_now(result: BracketResult, bracket: Bracket) -> bool:
    if not result.plan or result.plan != plan_name(bracket.part.plan):
        return False
    solved = {case.name: case for case in result.cases}
    give = most_give(bracket)
    return (
        set(solved) == {case.name for case in bracket.cases}
        and all(_alike(solved[case.name].forces, case.forces) for case in bracket.cases)
        and abs(give - result.give_mm_per_n) <= LIKE * max(give, result.give_mm_per_n)
    )


def _alike(one: Sequence[BoreForce], other: Sequence[BoreForce]) -> bool:
    """True where all that differs is no more than that share of all there is."""
    left: dict[str, list[float]] = {}
    for forces, sign in ((one, 1.0), (other, -1.0)):
        for f in forces:
            so_far = left.get(f.bore, [0.0, 0.0, 0.0])
            left[f.bore] = [a + sign * b for a, b in zip(so_far, f.force, strict=True)]
    apart = sum(math.hypot(*force) for force in left.values())
    return apart <= LIKE * sum(math.hypot(*f.force) for f in other)
