"""What readings say of a vehicle, slips among them found and mended first.

A slip is supposed beside "vehicles differ more than was thought": of all sets of up to three slips that make
the readings agree the smallest is taken, and a wider vehicle where that supposes less. Readings agree where
chance explains what they leave together (chi-square) and what each leaves of the others (Baarda's test).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.measure.chance.asked import Observation
from generators.measure.equations import Array
from generators.measure.next_reading import updated
from generators.measure.statistics import W_LIMIT, chi_square_above

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
WRONG_WIDER = 0.5
"""A wrong figure on a vehicle that differs more supposes as much as one and a half slips: ours."""
MAY_BE = 4.0
"""A mended slip is in doubt where a vehicle that differs so much more needs none: ours."""
TURNED = 2.0
"""A lean of less than so many times its uncertainty has no sign that could be wrong: ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A reading that cannot be meant so: by its place; ``other`` of two that were exchanged.

    ``kind``: ``inches`` (a figure in inches written as mm), ``millimetres`` (the other way), ``sign`` (a lean
    to the other side), ``swapped`` or ``wrong``; ``value`` is what it says then, and what it is likely to be
    where it is wrong.
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
    ``doubt`` are places of readings to be measured again before the answer counts: those that are left out as
    wrong, those unlike what vehicles are thought to be, and those mended where it may be the vehicle.
    """

    mean: Array
    covariance: Array
    slips: tuple[Slip, ...]
    chance: float
    wider: float = 1.0
    doubt: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """Slips supposed: values with them mended, places that count, what is left unexplained, its handicap.

    ``most`` is the largest that a reading leaves of what the others say, in its standard deviations.
    """

    slips: tuple[Slip, ...]
    now: Array
    use: tuple[int, ...]
    cost: float
    most: float
    handicap: float = 0.0

    @property
    def likely(self) -> bool:
        """True where chance explains what is left."""
        return self.most <= W_LIMIT and chi_square_above(self.cost, len(self.use)) > DOUBT

    @property
    def wrong(self) -> bool:
        """True where a reading is left out."""
        return any(slip.kind == "wrong" for slip in self.slips)

    @property
    def rank(self) -> tuple[float, tuple[int, ...]]:
        """The best is the least."""
        return self.cost + self.handicap, tuple(s.place for s in self.slips)


def _left(off: Array, spread: Array, use: Sequence[int]) -> tuple[float, Array]:
    """What readings in use leave: chi-square of their number, and each of what the others say (w of Baarda).

    With P the inverse of the covariance the second is (P off)_k / √P_kk.
    """
    places = list(use)
    if not places:
        return 0.0, np.zeros(0)
    part, weight = off[places], np.linalg.inv(spread[np.ix_(places, places)])
    pulled = weight @ part
    return float(part @ pulled), np.abs(pulled) / np.sqrt(np.diag(weight))


class _Search:
    """Sets of slips over readings of a vehicle that differs as ``prior`` says."""

    def __init__(
        self, obs: Sequence[Observation], values: Array, prior: Array, sure: frozenset[int], wrong: bool
    ) -> None:
        rows = np.array([o.row for o in obs]).reshape(len(obs), len(prior))
        self._spread = rows @ prior @ rows.T + np.diag([o.sigma**2 for o in obs])
        self._expected = np.array([o.expected for o in obs])
        self._lean = [o.key[0] == "lean" for o in obs]
        self._zero = [o.zero for o in obs]
        self._turned = [TURNED * o.sigma for o in obs]
        self._sure, self._wrong = sure, wrong
        self.first = self._case((), values, tuple(range(len(obs))))

    def _case(
        self, slips: tuple[Slip, ...], now: Array, use: tuple[int, ...], handicap: float = 0.0
    ) -> _Case:
        cost, w = _left(now - self._expected, self._spread, use)
        most = float(w.max(initial=0.0))
        return _Case(slips=slips, now=now, use=use, cost=cost, most=most, handicap=handicap)

    def explains(self, use: tuple[int, ...]) -> bool:
        """True where chance alone explains the readings at these places."""
        return self._case((), self.first.now, use).likely

    def smallest(self, most: int) -> _Case | None:
        """The best of the smallest sets of at most so many slips that explain the readings."""
        cases = [self.first]
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
            yield from self._other_units(case, k)
            if self._wrong and k not in self._sure and not case.wrong:
                use = tuple(j for j in case.use if j != k)
                slip = Slip(place=k, kind="wrong", value=float(self._expected[k]))
                yield self._case((*case.slips, slip), case.now, use, case.handicap + LESS_LIKELY)
            for j in free:
                if j > k and self._lean[j] == self._lean[k] and not {j, k} <= self._sure:
                    yield self._with(case, "swapped", {k: float(case.now[j]), j: float(case.now[k])})

    def _other_units(self, case: _Case, k: int) -> Iterator[_Case]:
        """A length in the other unit, a lean to the other side."""
        if not self._lean[k]:
            for kind, by in (("inches", INCH), ("millimetres", 1.0 / INCH)):
                yield self._with(case, kind, {k: float(case.now[k]) * by})
        elif k not in self._sure and abs(case.now[k] - self._zero[k]) > self._turned[k]:
            yield self._with(case, "sign", {k: 2.0 * self._zero[k] - float(case.now[k])})

    def _with(self, case: _Case, kind: str, values: dict[int, float]) -> _Case:
        now = case.now.copy()
        now[list(values)] = list(values.values())
        (place, *others) = values
        slip = Slip(place=place, kind=kind, value=values[place], other=others[0] if others else -1)
        return self._case((*case.slips, slip), now, case.use, case.handicap)


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
        case = _Search(obs, values, wide, sure, wrong=True).smallest(most)
        supposed = math.inf if case is None else say + len(case.slips) + WRONG_WIDER * case.wrong
        if case is not None and supposed < least:
            best, least = (case, wide, step), supposed
    if best is None:
        wide = _widened(obs, range(len(obs)), prior, WIDER[-1])
        return _Search(obs, values, wide, sure, wrong=False).first, wide, WIDER[-1]
    return best


def _doubtful(
    obs: Sequence[Observation], values: Array, prior: Array, sure: frozenset[int], case: _Case, wider: float
) -> set[int]:
    """Places of readings that must be measured again before the answer counts."""
    out = {slip.place for slip in case.slips if slip.kind == "wrong"}
    wide = _widened(obs, range(len(obs)), prior, MAY_BE)
    for slip in case.slips:
        pair = [p for p in (slip.place, slip.other) if p >= 0]
        # as it was read, all else mended
        now = case.now.copy()
        now[pair] = values[pair]
        if slip.kind != "wrong" and _Search(obs, now, wide, sure, wrong=False).explains(case.use):
            out.update(pair)
    if wider > 1:
        off = case.now - [o.expected for o in obs]
        rows = np.array([o.row for o in obs]).reshape(len(obs), len(prior))
        spread = rows @ prior @ rows.T + np.diag([o.sigma**2 for o in obs])
        alone = np.abs(off) / np.sqrt(np.diag(spread))
        odd = {k for k in case.use if alone[k] > W_LIMIT}
        # of readings that are odd only together the one that is so most
        out |= odd or {case.use[int(np.argmax(_left(off, spread, case.use)[1]))]}
    return out - sure


def vehicle_of(
    obs: Sequence[Observation], values: Sequence[float], prior: Array, sure: frozenset[int] = frozenset()
) -> Vehicle:
    """The vehicle by its readings, least squares with what vehicles are like; slips found are mended first.

    Readings count as they are where chance explains them (0.1 %), else by the smallest set of slips that
    does; an exchange of units or of two lines goes before a mere wrong figure where both explain it. Places
    in ``sure`` were measured again with the same result: those are not wrong, rather is the vehicle another.
    """
    read, thought = np.array(values, dtype=float), prior
    case, prior, wider = _explained(obs, read, prior, sure)
    doubt = _doubtful(obs, read, thought, sure, case, wider)
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
    left, _ = _left(case.now - [o.expected for o in obs], spread, case.use)
    chance = chi_square_above(left, len(case.use))
    return Vehicle(
        mean=mean,
        covariance=covariance,
        slips=tuple(done),
        chance=chance,
        wider=wider,
        doubt=tuple(sorted(doubt)),
    )


def _widened(obs: Sequence[Observation], of: Sequence[int], prior: Array, by: float) -> Array:
    """What vehicles are like, with so many times the deviation of what those readings tell of."""
    told = np.any([obs[k].row != 0 for k in of], axis=0) if len(of) else np.zeros(len(prior), np.bool_)
    scale = np.where(told, by, 1.0)
    return np.asarray(prior * np.outer(scale, scale))
