"""Which distances to ask of a vehicle.

The vehicle is what its columns say, each about zero with its own spread; a reading is one more observation of
them, and the covariance after it is the Kalman form of ``next_reading``, here carried to a whole set: taken
one after the other until everything that must be known is known well enough, then thinned again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generators.measure.chance.interval import Z_95
from generators.measure.equations import Array
from generators.measure.next_reading import updated
from generators.measure.statistics import W_LIMIT

MOST = 14
KNOWN_SHARE = 0.5
"""What varies of a room must lie, with 95 %, within this share of it: ours."""
LEAST_GAIN = 0.08
"""Of what is still missing: a reading that adds less is not worth a person's time. Ours."""
SLIP_MM = 10.0
"""A wrong reading of this size must show by the others and by what vehicles are like: ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """A reading one may ask for: its row over the columns, its expected value and standard uncertainty.

    ``zero`` is the lean a level reads as nothing, rad.
    """

    key: tuple[str, ...]
    row: Array
    expected: float
    sigma: float
    zero: float = 0.0


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
        out += max(0.0, Z_95 * sigma / need.within - 1.0)
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
