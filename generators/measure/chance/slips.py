"""What readings say of a vehicle, slips among them found and mended first.

A slip is supposed beside "vehicles differ more than was thought": of all sets of up to three slips that make
the readings agree the smallest is taken, and a wider vehicle where that supposes less.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.measure.chance.asked import Observation
from generators.measure.equations import Array
from generators.measure.next_reading import updated
from generators.measure.statistics import chi_square_above

INCH = 25.4
MOST_SLIPS = 3
KEPT = 40
"""Sets of slips that are followed further, of each size; the best: ours."""
WIDER = (2.0, 4.0, 8.0, 16.0, 32.0)
DOUBT = 0.001
FIRST_WIDER = 0.5
"""A vehicle that differs twice as much as was thought supposes as much as one and a half slips, each doubling
one more: ours. One slip is always taken before it."""
LESS_LIKELY = 6.0
"""By how much less a wrong figure must leave than an exchange, to be taken instead: ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A reading that cannot be meant so: by its place; ``other`` of two that were exchanged.

    ``kind``: ``inches`` (a figure in inches written as mm), ``millimetres`` (the other way), ``swapped`` or
    ``wrong``; ``value`` is what it says then, and what it is likely to be where it is wrong.
    """

    place: int
    kind: str
    value: float
    other: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """What readings say of a vehicle: mean and covariance of its columns, slips, and the chance left.

    ``chance`` is that of readings that disagree as much, once slips are mended. ``wider`` is by how much
    vehicles must differ more than was thought for these readings to be of one; 1 where they need not.
    """

    mean: Array
    covariance: Array
    slips: tuple[Slip, ...]
    chance: float
    wider: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """Slips supposed: values with them mended, places that count, what is left unexplained, its handicap."""

    slips: tuple[Slip, ...]
    now: Array
    use: tuple[int, ...]
    cost: float
    handicap: float = 0.0

    @property
    def likely(self) -> bool:
        """True where chance explains what is left."""
        return chi_square_above(self.cost, len(self.use)) > DOUBT

    @property
    def rank(self) -> tuple[float, tuple[int, ...]]:
        """The best is the least."""
        return self.cost + self.handicap, tuple(s.place for s in self.slips)


def _cost(off: Array, spread: Array, use: Sequence[int]) -> float:
    """What the readings in use leave, chi-square of their number."""
    places = list(use)
    part = off[places]
    return float(part @ np.linalg.solve(spread[np.ix_(places, places)], part)) if places else 0.0


class _Search:
    """Sets of slips over readings of a vehicle that differs as ``prior`` says."""

    def __init__(
        self, obs: Sequence[Observation], values: Array, prior: Array, sure: frozenset[int], wrong: bool
    ) -> None:
        rows = np.array([o.row for o in obs]).reshape(len(obs), len(prior))
        self._spread = rows @ prior @ rows.T + np.diag([o.sigma**2 for o in obs])
        self._expected = np.array([o.expected for o in obs])
        self._lean = [o.key[0] == "lean" for o in obs]
        self._sure, self._wrong = sure, wrong
        use = tuple(range(len(obs)))
        self._first = _Case(slips=(), now=values, use=use, cost=self._left(values, use))

    def _left(self, now: Array, use: Sequence[int]) -> float:
        return _cost(now - self._expected, self._spread, use)

    def smallest(self, most: int) -> _Case | None:
        """The best of the smallest sets of at most so many slips that explain the readings."""
        cases = [self._first]
        for size in range(most + 1):
            explained = [c for c in cases if c.likely]
            if explained:
                return min(explained, key=lambda c: c.rank)
            if size < most:
                found = {c.rank: c for case in cases for c in self._further(case)}
                cases = [found[rank] for rank in sorted(found)[:KEPT]]
        return None

    def _further(self, case: _Case) -> Iterator[_Case]:
        """With one slip more; no reading is part of two, and only one is wrong without a reason."""
        busy = {p for s in case.slips for p in (s.place, s.other)}
        free = [k for k in case.use if k not in busy]
        for k in free:
            if not self._lean[k]:
                for kind, by in (("inches", INCH), ("millimetres", 1.0 / INCH)):
                    yield self._with(case, kind, {k: float(case.now[k]) * by})
            if self._wrong and k not in self._sure and all(s.kind != "wrong" for s in case.slips):
                use = tuple(j for j in case.use if j != k)
                slip = Slip(place=k, kind="wrong", value=float(self._expected[k]))
                yield _Case(
                    slips=(*case.slips, slip),
                    now=case.now,
                    use=use,
                    cost=self._left(case.now, use),
                    handicap=case.handicap + LESS_LIKELY,
                )
            for j in free:
                if j > k and self._lean[j] == self._lean[k]:
                    yield self._with(case, "swapped", {k: float(case.now[j]), j: float(case.now[k])})

    def _with(self, case: _Case, kind: str, values: dict[int, float]) -> _Case:
        now = case.now.copy()
        now[list(values)] = list(values.values())
        (place, *others) = values
        slip = Slip(place=place, kind=kind, value=values[place], other=others[0] if others else -1)
        return _Case(
            slips=(*case.slips, slip),
            now=now,
            use=case.use,
            cost=self._left(now, case.use),
            handicap=case.handicap,
        )


def _explained(
    obs: Sequence[Observation], values: Array, prior: Array, sure: frozenset[int]
) -> tuple[_Case, Array, float]:
    """The case that is taken, what vehicles are like in it, and by how much they differ more."""
    found = _Search(obs, values, prior, sure, wrong=True).smallest(MOST_SLIPS)
    best = None if found is None else (found, prior, 1.0)
    least = math.inf if found is None else float(len(found.slips))
    told = sorted(sure) or range(len(obs))
    steps = [(step, told) for step in WIDER] + [(step, range(len(obs))) for step in WIDER if sure]
    for doublings, (step, of) in enumerate(steps, 1):
        say = doublings + FIRST_WIDER
        most = MOST_SLIPS if best is None else min(MOST_SLIPS, math.ceil(least - say) - 1)
        if most < 0:
            break
        wide = _widened(obs, of, prior, step)
        case = _Search(obs, values, wide, sure, wrong=False).smallest(most)
        if case is not None:
            best, least = (case, wide, step), say + len(case.slips)
    if best is None:
        use = tuple(range(len(obs)))
        wide = _widened(obs, use, prior, WIDER[-1])
        search = _Case(slips=(), now=values, use=use, cost=0.0)
        return search, wide, WIDER[-1]
    return best


def vehicle_of(
    obs: Sequence[Observation], values: Sequence[float], prior: Array, sure: frozenset[int] = frozenset()
) -> Vehicle:
    """The vehicle by its readings, least squares with what vehicles are like; slips found are mended first.

    Readings count as they are where chance explains them (0.1 %), else by the smallest set of slips that
    does; an exchange of units or of two lines goes before a mere wrong figure where both explain it. Places
    in ``sure`` were measured again with the same result: those are not wrong, rather is the vehicle another.
    """
    case, prior, wider = _explained(obs, np.array(values, dtype=float), prior, sure)
    mean, covariance = np.zeros(len(prior)), prior
    for k in case.use:
        row, sigma = obs[k].row, obs[k].sigma
        gain = covariance @ row
        scale = sigma**2 + float(row @ gain)
        mean = mean + gain * (case.now[k] - obs[k].expected - float(row @ mean)) / scale
        covariance = updated(covariance, row, sigma)
    done = [
        Slip(place=s.place, kind=s.kind, value=obs[s.place].expected + float(obs[s.place].row @ mean))
        if s.kind == "wrong"
        else s
        for s in case.slips
    ]
    rows = np.array([o.row for o in obs]).reshape(len(obs), len(prior))
    spread = rows @ prior @ rows.T + np.diag([o.sigma**2 for o in obs])
    left = _cost(case.now - [o.expected for o in obs], spread, case.use)
    chance = chi_square_above(left, len(case.use))
    return Vehicle(mean=mean, covariance=covariance, slips=tuple(done), chance=chance, wider=wider)


def _widened(obs: Sequence[Observation], of: Sequence[int], prior: Array, by: float) -> Array:
    """What vehicles are like, with so many times the deviation of what those readings tell of."""
    told = np.any([obs[k].row != 0 for k in of], axis=0) if len(of) else np.zeros(len(prior), np.bool_)
    scale = np.where(told, by, 1.0)
    return np.asarray(prior * np.outer(scale, scale))
