"""What vehicles are like, from the readings of many: where they lie by and large, and how far they differ.

Readings of vehicle i are ``y = H x + e`` with ``x`` about a common middle ``m`` (how far the spec itself is
off), spread by each row of ``[spread]``. Both are fitted together by expectation and maximisation
with the weights of a multivariate t of 4 degrees (K. Lange, R. Little, J. Taylor 1989, from memory):
a vehicle that is unlike the others, or was misread, counts for less. A guess counts as two vehicles.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from generators.measure.chance.asked import Observation
from generators.measure.chance.interval import Z_95
from generators.measure.chance.slips import DOUBT, Slip, vehicle_of
from generators.measure.equations import Array
from generators.measure.statistics import W_LIMIT

FREEDOM = 4.0
GUESS_VEHICLES = 2.0
"""As how many vehicles the guess of the spec counts: ours."""
WIDE = 10.0
"""Within so many deviations of the guess a middle is looked for: what no reading tells stays as it is."""
ROUNDS, SETTLED = 200, 1e-7
LEAST_TOLD = 0.2
"""A spread stays as guessed where readings tell less of it than this share: ours."""
MOST_MORE = 10_000
STEPS = 4_000
"""Shares at which a distribution is summed up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fleet:
    """One vehicle's readings; ``sure`` are those measured again with the same result."""

    observations: tuple[Observation, ...]
    values: tuple[float, ...]
    sure: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Middle:
    """A column's middle: how far the spec is off, and its standard error; ``vehicles`` that told of it."""

    column: int
    off: float
    error: float
    vehicles: int

    @property
    def sure(self) -> bool:
        """True where chance does not explain it (0.1 %, two-sided)."""
        return abs(self.off) > W_LIMIT * self.error

    @property
    def doubtful(self) -> bool:
        """True where it may be off: 95 %, but not sure."""
        return not self.sure and abs(self.off) > Z_95 * self.error

    @property
    def more(self) -> int:
        """How many further vehicles would make it sure, its error falling by the root of their number.

        0 where it is sure; at most ``MOST_MORE``.
        """
        if self.sure:
            return 0
        if abs(self.off) < 1e-9:
            return MOST_MORE
        wanted = self.vehicles * (W_LIMIT * self.error / abs(self.off)) ** 2
        return min(math.ceil(wanted - self.vehicles), MOST_MORE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What was learnt: middles by column, spreads by group as times the guess, and weights by vehicle.

    With each spread goes its relative error. Groups no reading tells of are not in ``sigma``. ``slips`` are
    those mended or left out, each with its vehicle's place. ``apart`` are readings, by vehicle and place, of
    vehicles whose readings go together in no way that was found: the one most at odds with the rest of each.
    """

    middles: tuple[Middle, ...]
    sigma: dict[int, tuple[float, float]]
    weights: tuple[float, ...]
    slips: tuple[tuple[int, Slip], ...]
    apart: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """Readings with slips mended or left out; ``slips`` and ``apart`` as in ``Learned``."""

    fleet: tuple[Fleet, ...]
    slips: tuple[tuple[int, Slip], ...]
    apart: tuple[tuple[int, int], ...]


def mended(fleet: Sequence[Fleet], prior: Array) -> Mended:
    """Readings with slips mended or left out.

    Whether a vehicle's readings go together is judged with wide spreads: the spec itself may be off.
    """
    out: list[Fleet] = []
    slips: list[tuple[int, Slip]] = []
    apart: list[tuple[int, int]] = []
    wide = prior * 9.0
    for number, one in enumerate(fleet):
        found = vehicle_of(one.observations, one.values, wide, one.sure)
        values = list(one.values)
        gone = set()
        for slip in found.slips:
            slips.append((number, slip))
            if slip.kind == "wrong":
                gone.add(slip.place)
            elif slip.kind == "swapped":
                values[slip.place], values[slip.other] = values[slip.other], values[slip.place]
            else:
                values[slip.place] = slip.value
        keep = [k for k in range(len(values)) if k not in gone]
        out.append(
            Fleet(
                observations=tuple(one.observations[k] for k in keep), values=tuple(values[k] for k in keep)
            )
        )
        if found.wider > 1 or found.chance < DOUBT:
            apart.append((number, keep[at_odds(out[-1], wide)]))
    return Mended(fleet=tuple(out), slips=tuple(slips), apart=tuple(apart))


def at_odds(one: Fleet, prior: Array) -> int:
    """The place of the reading that is most at odds with all others of its vehicle.

    By the standardised residual of an adjustment, here with what vehicles are like among the observations:
    with S the covariance of what readings are off, ``(S⁻¹ d) / √diag(S⁻¹)`` (W. Baarda 1968).
    """
    rows = np.array([o.row for o in one.observations])
    inverse = np.linalg.inv(rows @ prior @ rows.T + np.diag([o.sigma**2 for o in one.observations]))
    off = np.subtract(one.values, [o.expected for o in one.observations])
    return int(np.argmax(np.abs(inverse @ off) / np.sqrt(np.diag(inverse))))


@cache
def _at_normal(count: int) -> tuple[float, float]:
    """For so many readings of normal vehicles: what makes the weights fair, and what they cost.

    Weights u are scaled so that E[u x / m] = 1 for x chi-square of m; the middle's variance is then
    E[u² x / m] / E[u + 2 x u' / m]² of the least (P. Huber, Robust Statistics, 1981, from memory).
    """
    from scipy.special import chdtri  # noqa: PLC0415 - slow to load

    x = chdtri(count, (np.arange(STEPS) + 0.5) / STEPS)
    u = (FREEDOM + count) / (FREEDOM + x)
    scale = 1.0 / float((u * x).mean() / count)
    slope = -(FREEDOM + count) / (FREEDOM + x) ** 2
    top = float((u**2 * x).mean()) / count
    return scale, top / float((u + 2.0 * x * slope / count).mean()) ** 2


def learned(fleet: Sequence[Fleet], group: Sequence[int], guess: Array) -> Learned:
    """Middles and spreads of the columns that readings tell of; ``guess`` is each one's deviation (columns,).

    Raises ``ValueError`` for no vehicle with a reading.
    """
    heard = mended(fleet, np.diag(guess**2))
    fleet = [one for one in heard.fleet if one.values]
    if not fleet:
        raise ValueError("no readings")
    told = np.any([o.row != 0 for one in fleet for o in one.observations], axis=0) & (guess > 0)
    live = np.flatnonzero(told)
    rows = [np.array([o.row[live] for o in one.observations]) for one in fleet]
    off = [np.array(one.values) - [o.expected for o in one.observations] for one in fleet]
    noise = [np.array([o.sigma**2 for o in one.observations]) for one in fleet]
    groups = np.array(group)[live]
    sigma = guess[live].astype(float)
    first = sigma.copy()
    wide = np.diag((WIDE * first) ** -2.0)
    middle = np.zeros(len(live))
    weights = np.ones(len(fleet))
    share = np.zeros(len(live))
    bounds = [_at_normal(len(y)) for y in off]
    fair = np.array([b[0] for b in bounds])
    for _ in range(ROUNDS):
        spread = np.diag(sigma**2)
        inverse = [np.linalg.inv(h @ spread @ h.T + np.diag(r)) for h, r in zip(rows, noise, strict=True)]
        power: Array = wide + sum(
            (w * h.T @ v @ h for w, h, v in zip(weights, rows, inverse, strict=True)), np.zeros_like(wide)
        )
        side = sum(
            (w * h.T @ v @ y for w, h, v, y in zip(weights, rows, inverse, off, strict=True)),
            np.zeros(len(live)),
        )
        new = np.linalg.solve(power, side)
        rest = [y - h @ new for y, h in zip(off, rows, strict=True)]
        far = np.array([float(d @ v @ d) for d, v in zip(rest, inverse, strict=True)])
        counts = np.array([len(d) for d in rest])
        weights = fair * (FREEDOM + counts) / (FREEDOM + far)
        total, blind = np.zeros(len(live)), np.zeros(len(live))
        for w, h, v, d in zip(weights, rows, inverse, rest, strict=True):
            gain = spread @ h.T @ v
            left = np.diag(spread - gain @ h @ spread)
            total += w * (gain @ d) ** 2 + left
            blind += left
        # the middle took its share of freedom with it
        seen = len(fleet) - 1.0
        scale = np.ones(len(live))
        for g in np.unique(groups):
            mine = groups == g
            share[mine] = 1.0 - float((blind[mine] / sigma[mine] ** 2).mean()) / len(fleet)
            if share[mine][0] >= LEAST_TOLD:
                raw = float((total[mine] / first[mine] ** 2).mean())
                scale[mine] = (GUESS_VEHICLES + raw) / (GUESS_VEHICLES + seen)
        after = first * np.sqrt(scale)
        settled = np.abs(after - sigma).max() < SETTLED and np.abs(new - middle).max() < SETTLED
        sigma, middle = after, new
        if settled:
            break
    # by what the readings tell, all of them: weights cost what they cost where vehicles are normal after all
    spread = np.diag(sigma**2)
    known = wide.copy()
    for h, r, (_, loss) in zip(rows, noise, bounds, strict=True):
        known += h.T @ np.linalg.inv(h @ spread @ h.T + np.diag(r)) @ h / loss
    error = np.sqrt(np.diag(np.linalg.inv(known)))
    vehicles = [sum(bool(np.any(h[:, k])) for h in rows) for k in range(len(live))]
    return Learned(
        middles=tuple(
            Middle(column=int(c), off=float(middle[k]), error=float(error[k]), vehicles=vehicles[k])
            for k, c in enumerate(live)
        ),
        sigma={
            int(g): (
                float(np.sqrt((sigma[groups == g] ** 2 / first[groups == g] ** 2).mean())),
                1.0
                / math.sqrt(
                    2.0 * max(len(fleet) - 1.0, 1.0) * int((groups == g).sum()) * float(share[groups == g][0])
                ),
            )
            for g in np.unique(groups)
            if share[groups == g][0] >= LEAST_TOLD
        },
        weights=tuple(float(w) for w in weights),
        slips=heard.slips,
        apart=heard.apart,
    )
