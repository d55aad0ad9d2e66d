"""Which distances to ask of a vehicle, and what they say of it once they are there.

The vehicle is what its columns say, each about zero with its own spread; a reading is one more observation of
them, and the covariance after it is the Kalman form of ``next_reading``, here carried to a whole set: taken
one after the other until everything that must be known is known well enough, then thinned again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.measure.equations import Array
from generators.measure.next_reading import updated
from generators.measure.statistics import W_LIMIT, chi_square_above

MOST = 14
SURE = 1.959963984540054
"""Two-sided 95 % of a normal deviate."""
KNOWN_SHARE = 0.5
"""What varies of a room must lie, with 95 %, within this share of it: ours."""
LEAST_GAIN = 0.08
"""Of what is still missing: a reading that adds less is not worth a person's time. Ours."""
SLIP_MM = 10.0
"""A wrong reading of this size must show by the others and by what vehicles are like: ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """A reading one may ask for: its row over the columns, its expected value and standard uncertainty."""

    key: tuple[str, ...]
    row: Array
    expected: float
    sigma: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """Something that must be known: its row, and within which deviation."""

    name: str
    row: Array
    within: float


def _miss(needs: Sequence[Need], covariance: Array) -> float:
    """How far all needs are from being known, as shares of what is wanted; 0 when all are."""
    out = 0.0
    for need in needs:
        sigma = math.sqrt(max(float(need.row @ covariance @ need.row), 0.0))
        out += max(0.0, SURE * sigma / need.within - 1.0)
    return out


def after(covariance: Array, taken: Sequence[Observation]) -> Array:
    """The covariance once all of these are read."""
    for one in taken:
        covariance = updated(covariance, one.row, one.sigma)
    return covariance


def hidden(covariance: Array, taken: Sequence[Observation], k: int) -> float:
    """The error of reading ``k`` that would just show, by the others and by what vehicles are like."""
    others = after(covariance, [o for j, o in enumerate(taken) if j != k])
    one = taken[k]
    return W_LIMIT * math.sqrt(float(one.row @ others @ one.row) + one.sigma**2)


def chosen(
    candidates: Sequence[Observation], needs: Sequence[Need], covariance: Array
) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """Places of the candidates to ask for, and names of needs that no reading here makes known.

    As few as greed and thinning find: each adds most to what is known, and none is left that can be spared.
    """
    taken: list[int] = []
    here = covariance
    miss = _miss(needs, here)
    while miss > 0 and len(taken) < MOST:
        left = [k for k in range(len(candidates)) if k not in taken]
        gains = {k: miss - _miss(needs, updated(here, candidates[k].row, candidates[k].sigma)) for k in left}
        best = max(left, key=lambda k: (round(gains[k], 9), -k), default=None)
        if best is None or gains[best] < LEAST_GAIN * min(miss, 1.0):
            break
        taken.append(best)
        here = updated(here, candidates[best].row, candidates[best].sigma)
        miss = _miss(needs, here)
    for k in list(taken):
        fewer = [candidates[j] for j in taken if j != k]
        if _miss(needs, after(covariance, fewer)) <= miss + 1e-9:
            taken.remove(k)
    taken = _checked(candidates, taken, covariance)
    for k in list(taken):
        # a check may do what a reading was taken for
        fewer = [candidates[j] for j in taken if j != k]
        bound = max(SLIP_MM, _most_hidden([candidates[j] for j in taken], covariance))
        if _miss(needs, after(covariance, fewer)) <= miss + 1e-9 and _most_hidden(fewer, covariance) <= bound:
            taken.remove(k)
    here = after(covariance, [candidates[k] for k in taken])
    open_needs = tuple(n.name for n in needs if _miss([n], here) > 0)
    return tuple(taken), open_needs


def _most_hidden(taken: Sequence[Observation], covariance: Array) -> float:
    """The largest slip that would not show, over all of them."""
    return max((hidden(covariance, taken, k) for k in range(len(taken))), default=0.0)


def _checked(candidates: Sequence[Observation], taken: list[int], covariance: Array) -> list[int]:
    """With readings more that check those in which a slip would not show."""
    taken = list(taken)
    while len(taken) < MOST:
        now = [hidden(covariance, [candidates[k] for k in taken], i) for i in range(len(taken))]
        worst = max(now, default=0.0)
        if worst <= SLIP_MM:
            break
        which = now.index(worst)
        best, least = -1, worst
        for k in range(len(candidates)):
            if k not in taken:
                trial = hidden(covariance, [*(candidates[j] for j in taken), candidates[k]], which)
                if trial < least - 1e-9:
                    best, least = k, trial
        if best < 0 or least > 0.98 * worst:
            break
        taken.append(best)
    return taken


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


INCH = 25.4
MOST_SLIPS = 3
WIDER = (2.0, 4.0, 8.0, 16.0, 32.0)
DOUBT = 0.001


def _cost(obs: Sequence[Observation], values: Array, use: Sequence[int], prior: Array) -> float:
    rows = np.array([obs[k].row for k in use]).reshape(len(use), len(prior))
    off = np.array([values[k] - obs[k].expected for k in use])
    spread = rows @ prior @ rows.T + np.diag([obs[k].sigma ** 2 for k in use])
    return float(off @ np.linalg.solve(spread, off)) if len(use) else 0.0


def vehicle_of(obs: Sequence[Observation], values: Sequence[float], prior: Array) -> Vehicle:
    """The vehicle by its readings, least squares with what vehicles are like; slips found are mended first.

    Of the explanations of a set that chance does not explain (0.1 %) the one that leaves least is taken; an
    exchange of units or of two lines goes before a mere wrong figure where both explain it.
    """
    now = np.array(values, dtype=float)
    use = list(range(len(obs)))
    slips: list[Slip] = []
    wider = 1.0
    while len(slips) < MOST_SLIPS:
        cost = _cost(obs, now, use, prior)
        if chi_square_above(cost, len(use)) > DOUBT:
            break
        found = _explanations(obs, now, use, prior)
        if any(s.kind == "wrong" for s in slips):
            # two that cannot be are no slips: then the vehicle is another
            found = [e for e in found if e[1].kind != "wrong"]
        best = min(found, key=lambda e: (e[0], e[1].place), default=None)
        if best is None or best[0] >= cost:
            break
        slips.append(best[1])
        use = best[2]
        now = best[3]
    if chi_square_above(_cost(obs, now, use, prior), len(use)) <= DOUBT:
        slips = [s for s in slips if s.kind != "wrong"]
        use = list(range(len(obs)))
        for step in WIDER:
            wider = step
            if chi_square_above(_cost(obs, now, use, _widened(obs, use, prior, step)), len(use)) > DOUBT:
                break
        prior = _widened(obs, use, prior, wider)
    mean, covariance = np.zeros(len(prior)), prior
    for k in use:
        row, sigma = obs[k].row, obs[k].sigma
        gain = covariance @ row
        scale = sigma**2 + float(row @ gain)
        mean = mean + gain * (now[k] - obs[k].expected - float(row @ mean)) / scale
        covariance = updated(covariance, row, sigma)
    done = [
        Slip(place=s.place, kind=s.kind, value=obs[s.place].expected + float(obs[s.place].row @ mean))
        if s.kind == "wrong"
        else s
        for s in slips
    ]
    chance = chi_square_above(_cost(obs, now, use, prior), len(use))
    return Vehicle(mean=mean, covariance=covariance, slips=tuple(done), chance=chance, wider=wider)


def _widened(obs: Sequence[Observation], use: Sequence[int], prior: Array, by: float) -> Array:
    """What vehicles are like, with so many times the deviation of what the readings tell of."""
    told = np.any([obs[k].row != 0 for k in use], axis=0) if len(use) else np.zeros(len(prior), np.bool_)
    scale = np.where(told, by, 1.0)
    return np.asarray(prior * np.outer(scale, scale))


LESS_LIKELY = 6.0
"""By how much less a wrong figure must leave than an exchange, to be taken instead: ours."""


def _explanations(
    obs: Sequence[Observation], now: Array, use: Sequence[int], prior: Array
) -> list[tuple[float, Slip, list[int], Array]]:
    """Each with the cost it leaves (a wrong figure's with a handicap), the slip, what is used and values."""
    out = []
    for k in use:
        for kind, value in (("inches", now[k] * INCH), ("millimetres", now[k] / INCH)):
            trial = now.copy()
            trial[k] = value
            slip = Slip(place=k, kind=kind, value=float(value))
            out.append((_cost(obs, trial, use, prior), slip, list(use), trial))
        rest = [j for j in use if j != k]
        cost = _cost(obs, now, rest, prior) + LESS_LIKELY
        out.append((cost, Slip(place=k, kind="wrong", value=obs[k].expected), rest, now))
        for j in use:
            if j > k:
                trial = now.copy()
                trial[[k, j]] = trial[[j, k]]
                slip = Slip(place=k, kind="swapped", value=float(trial[k]), other=j)
                out.append((_cost(obs, trial, use, prior), slip, list(use), trial))
    return out
