"""The order of bends: over all sets of bends made, deep first, each way looked at once.

What can be bent next hangs on the set of bends made, not on their order, so a set is left by each bend and
way round once (``memo``), and a set that led nowhere is not entered again. The search goes
deep first, and prefers what needs least handling: turning over, then setting by eye, other tools, and heavy
flanges at the gauge.
"""

from __future__ import annotations

import heapq
import itertools
from dataclasses import dataclass, field
from functools import lru_cache

from generators.bending.legs import PartShape
from generators.bending.steps import Refusal, Sequence, Step
from generators.bending.trial import Setting, Trial, ways
from generators.model.plan import Bend, PartPlan

FLIP, BY_EYE, TOOL, ON_FACE, HEAVY = 4.0, 20.0, 2.0, 1.0, 0.5
AHEAD = 3.0
"""What a bend made is worth: with it the search goes deep first, and back only for what costs more."""

MOST_TRIALS = 6_000
"""Ways looked at before the search gives up: more than a part of seven bends has."""

Done = frozenset[str]


@dataclass(slots=True, kw_only=True, eq=False)
class Search:
    """A search over one plan; ``memo`` holds what each way out of each set gave."""

    plan: PartPlan
    setting: Setting
    shape: PartShape = field(init=False)
    memo: dict[tuple[Done, str, bool], Step | Refusal] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.shape = PartShape(plan=self.plan)

    def tried(self, done: Done, bend: Bend, child_rear: bool) -> Step | Refusal:
        """What bending ``bend`` gives when those of ``done`` are made, with that flange at the gauge."""
        key = (done, bend.name, child_rear)
        if key not in self.memo:
            trial = Trial(shape=self.shape, setting=self.setting, bend=bend, bent=done, child_rear=child_rear)
            self.memo[key] = trial.attempt()
        return self.memo[key]

    def run(self) -> Sequence:
        """A sequence of little handling, or the refusals of the sets that came furthest."""
        names = frozenset(b.name for b in self.plan.bends)
        every = [(bend, rear, i % 2) for i, (bend, rear) in enumerate(ways(self.shape))]
        count = itertools.count()
        # cost, bends to go, tie, set, steps so far, the way not yet tried
        heap: list[tuple[float, int, int, Done, tuple[Step, ...], tuple[Bend, bool] | None]] = []
        heapq.heappush(heap, (0.0, len(names), next(count), frozenset(), (), None))
        settled: set[tuple[Done, bool, str]] = set()
        reached: set[Done] = set()
        while heap:
            cost, left, _, done, steps, way = heapq.heappop(heap)
            if way is not None:
                bend, rear = way
                step = self.tried(done, bend, rear)
                if isinstance(step, Step):
                    more = cost + _cost(step, steps) - AHEAD
                    heapq.heappush(
                        heap, (more, left - 1, next(count), done | {bend.name}, (*steps, step), None)
                    )
                continue
            if not left:
                return Sequence(steps=steps)
            state = (done, steps[-1].flipped if steps else False, steps[-1].punch if steps else "")
            if state in settled:
                continue
            settled.add(state)
            reached.add(done)
            if len(self.memo) > MOST_TRIALS:
                break
            for bend, rear, heavy in every:
                if bend.name not in done:
                    flips = bool(steps) and steps[-1].flipped != (bend.direction == "down")
                    least = cost + HEAVY * heavy + FLIP * flips
                    heapq.heappush(heap, (least, left, next(count), done, steps, (bend, rear)))
        furthest = max((len(d) for d in reached), default=0)
        refusals = tuple(
            refusal
            for (done, _, _), refusal in self.memo.items()
            if isinstance(refusal, Refusal) and done in reached and len(done) == furthest
        )
        return Sequence(steps=(), refusals=refusals, searched=len(self.memo) <= MOST_TRIALS)


def _cost(step: Step, before: tuple[Step, ...]) -> float:
    """Handling of a step beyond turning over and the flange at the gauge, counted when it is queued."""
    tool = bool(before) and (before[-1].punch, before[-1].die) != (step.punch, step.die)
    return {"edge": 0.0, "flange": ON_FACE, "line": BY_EYE}[step.stop.on] + TOOL * tool


@lru_cache(maxsize=256)
def bend_sequence(plan: PartPlan, setting: Setting) -> Sequence:
    """The order in which a part is bent. A part without bends has an empty one."""
    return Search(plan=plan, setting=setting).run()
