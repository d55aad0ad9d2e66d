"""Short names of what finite elements are asked: the same plan, holds and loads, the same name.

An answer counts for the very plan it was solved for, and is not asked for again while nothing has changed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from generators.model.plan import PartPlan
from generators.reading import JobFile
from generators.solve.brackets.cases import Bracket
from generators.solve.pedals import PedalAnswer
from generators.standards import material
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


def current(results: Sequence[BracketResult], loaded: Sequence[Bracket]) -> tuple[BracketResult, ...]:
    """The results that are of the plans as they are now: what was solved of another plan says nothing."""
    names = {b.part.spec.name: plan_name(b.part.plan) for b in loaded}
    return tuple(r for r in results if r.plan and names.get(r.part) == r.plan)
