"""The order of bends: any order first, deep first over all sets of bends made; then one of less handling.

What can be bent next hangs on the set of bends made, not on their order, so each way out of a set is tried
once (``memo``), and a set that led nowhere is not entered again. A part that can be bent so has its order
after about as many trials as it has bends; that there is none is known when every set that can be reached
was left by every way. Handling is turning over, then setting by eye, other tools, and heavy flanges at the
gauge.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Protocol

from generators.bending.legs import PartShape, ways
from generators.bending.steps import AnyStep, Refusal, Sequence
from generators.model.plan import Bend, PartPlan

FLIP, BY_EYE, TOOL, ON_FACE, HEAVY, CARRIED = 4.0, 20.0, 2.0, 1.0, 0.5, 30.0
AHEAD = 3.0
"""What a bend made is worth: with it the search for less handling goes on rather than back."""

MOST_TRIALS = 6_000
"""Ways looked at before the search gives up: n bends have n·2^n, 4608 for nine of them."""

BETTER_TRIALS = 400
"""Ways looked at beyond those of the first order for one of less handling: all that six bends have."""

Done = frozenset[str]


class Bench(Hashable, Protocol):
    """What tries a bend: a brake or a folder with what it needs to know of the sheet, or both."""

    def tried(self, shape: PartShape, bend: Bend, bent: Done, child_rear: bool) -> AnyStep | Refusal:
        """What that bend gives there."""

    def brief(self, shape: PartShape, bend: Bend, bent: Done, child_rear: bool) -> AnyStep | Refusal:
        """The same without what only words need: an order is looked for by it."""

    def least_leg_mm(self, bend: Bend, thickness_mm: float) -> float:
        """How far a leg must reach behind its tangent line, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Both:
    """Two machines side by side: each bend is made on the first that makes it."""

    first: Bench
    second: Bench

    def tried(self, shape: PartShape, bend: Bend, bent: Done, child_rear: bool) -> AnyStep | Refusal:
        """What that bend gives on the first, else on the second."""
        one = self.first.tried(shape, bend, bent, child_rear)
        return one if not isinstance(one, Refusal) else self.second.tried(shape, bend, bent, child_rear)

    def brief(self, shape: PartShape, bend: Bend, bent: Done, child_rear: bool) -> AnyStep | Refusal:
        """The same in brief."""
        one = self.first.brief(shape, bend, bent, child_rear)
        return one if not isinstance(one, Refusal) else self.second.brief(shape, bend, bent, child_rear)

    def least_leg_mm(self, bend: Bend, thickness_mm: float) -> float:
        """The lesser of what the two need."""
        return min(x.least_leg_mm(bend, thickness_mm) for x in (self.first, self.second))


@dataclass(slots=True, kw_only=True, eq=False)
class Search:
    """A search over one plan; ``memo`` holds what each way out of each set gave.

    ``most``: ways it may look at; ``MOST_TRIALS`` where nothing is said. ``easier`` False: the first order
    will do. ``brief``: its steps are without what only words need.
    """

    plan: PartPlan
    setting: Bench
    most: int | None = None
    easier: bool = True
    brief: bool = False
    shape: PartShape = field(init=False)
    memo: dict[tuple[Done, str, bool], AnyStep | Refusal] = field(default_factory=dict)
    _ways: list[tuple[Bend, bool, int]] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        self.shape = PartShape(plan=self.plan)

    @property
    def spent(self) -> bool:
        """True when as many ways were looked at as may be."""
        return len(self.memo) >= (MOST_TRIALS if self.most is None else self.most)

    def tried(self, done: Done, bend: Bend, child_rear: bool) -> AnyStep | Refusal:
        """What bending ``bend`` gives when those of ``done`` are made, with that flange at the gauge."""
        key = (done, bend.name, child_rear)
        if key not in self.memo:
            self.memo[key] = self.setting.brief(self.shape, bend, done, child_rear)
        return self.memo[key]

    def run(self) -> Sequence:
        """A sequence of little handling, or the refusals of the sets that came furthest."""
        self._ways = [(bend, rear, i % 2) for i, (bend, rear) in enumerate(ways(self.shape))]
        dead: set[Done] = set()
        first = self._any(frozenset(), (), dead)
        if first is not None:
            better = self._easier(len(self.memo) + BETTER_TRIALS) if self.easier else None
            steps = first if better is None else better
            return Sequence(found=True, steps=steps if self.brief else self._whole(steps))
        refusals = [(done, r) for (done, _, _), r in self.memo.items() if isinstance(r, Refusal)]
        furthest = max((len(done) for done, _ in refusals), default=0)
        return Sequence(
            found=False,
            steps=(),
            refusals=tuple(r for done, r in refusals if len(done) == furthest),
            searched=frozenset() in dead,
        )

    def _whole(self, steps: tuple[AnyStep, ...]) -> tuple[AnyStep, ...]:
        """An order with all that is said of its steps."""
        return whole_steps(self.shape, self.setting, steps)

    def _any(self, done: Done, steps: tuple[AnyStep, ...], dead: set[Done]) -> tuple[AnyStep, ...] | None:
        """The first order found from a set on; None when it is dead, or when there were too many trials."""
        if len(done) == len(self.plan.bends):
            return steps
        flipped = steps[-1].flipped if steps else False
        open_ways = [(b, rear, heavy) for b, rear, heavy in self._ways if b.name not in done]
        open_ways.sort(key=lambda way: FLIP * (flipped == (way[0].direction == "up")) + HEAVY * way[2])
        for bend, rear, _heavy in open_ways:
            after = done | {bend.name}
            if after in dead:
                continue
            if self.spent:
                return None
            step = self.tried(done, bend, rear)
            if not isinstance(step, Refusal):
                found = self._any(after, (*steps, step), dead)
                if found is not None or self.spent:
                    return found
        dead.add(done)
        return None

    def _easier(self, most: int) -> tuple[AnyStep, ...] | None:
        """An order of less handling, if it shows before so many ways were tried."""
        count = itertools.count()
        # cost, bends to go, tie, set, steps so far, the way not yet tried
        heap: list[tuple[float, int, int, Done, tuple[AnyStep, ...], tuple[Bend, bool] | None]] = []
        heapq.heappush(heap, (0.0, len(self.plan.bends), next(count), frozenset(), (), None))
        settled: set[tuple[Done, bool, str]] = set()
        while heap and len(self.memo) <= most:
            cost, left, _, done, steps, way = heapq.heappop(heap)
            if way is not None:
                bend, rear = way
                step = self.tried(done, bend, rear)
                if not isinstance(step, Refusal):
                    more = cost + _cost(step, steps) - AHEAD
                    heapq.heappush(
                        heap, (more, left - 1, next(count), done | {bend.name}, (*steps, step), None)
                    )
                continue
            if not left:
                return steps
            state = (done, steps[-1].flipped if steps else False, steps[-1].tools[0] if steps else "")
            if state in settled:
                continue
            settled.add(state)
            for bend, rear, heavy in self._ways:
                if bend.name not in done:
                    flips = bool(steps) and steps[-1].flipped != (bend.direction == "down")
                    least = cost + HEAVY * heavy + FLIP * flips
                    heapq.heappush(heap, (least, left, next(count), done, steps, (bend, rear)))
        return None


def _cost(step: AnyStep, before: tuple[AnyStep, ...]) -> float:
    """Handling of a step beyond turning over and the flange at the gauge, counted when it is queued."""
    tool = bool(before) and before[-1].tools != step.tools
    carried = bool(before) and before[-1].machine != step.machine
    return {"edge": 0.0, "flange": ON_FACE, "line": BY_EYE}[step.stop.on] + TOOL * tool + CARRIED * carried


def whole_steps(shape: PartShape, setting: Bench, steps: tuple[AnyStep, ...]) -> tuple[AnyStep, ...]:
    """Steps of an order looked for in brief, with what only words need."""
    bends = {bend.name: bend for bend in shape.plan.bends}
    out = []
    for step in steps:
        told = setting.tried(shape, bends[step.bend], frozenset(step.done), step.child_rear)
        # brief and whole differ in words alone
        assert not isinstance(told, Refusal), f"{step.bend}: made in brief, refused in full"
        out.append(told)
    return tuple(out)


@lru_cache(maxsize=256)
def bend_sequence(plan: PartPlan, setting: Bench, *, brief: bool = False) -> Sequence:
    """The order in which a part is bent. A part without bends has an empty one.

    ``brief``: without what only words need of its steps, which takes longer than the search.
    """
    if brief:
        return Search(plan=plan, setting=setting, brief=True).run()
    found = bend_sequence(plan, setting, brief=True)
    return replace(found, steps=whole_steps(PartShape(plan=plan), setting, found.steps))
