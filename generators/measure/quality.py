"""How good the places are: residuals, what checks what, error ellipses, and the scale readings want."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from generators.measure.adjust import Adjusted, Constraints, adjust, null_space
from generators.measure.equations import (
    DIAMETER,
    DISTANCE,
    LINE,
    OFFSET,
    Array,
    Problem,
    jacobian,
    model,
    without,
)
from generators.measure.statistics import ELLIPSE_95, W_LIMIT

UNCHECKED = 0.02
"""Redundancy below which no other reading checks this one."""

MOST_TRIED = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Ellipse:
    """The 95 % ellipse of a centre: semi-axes in mm, the major one turned from u by ``angle_rad``."""

    major_mm: float
    minor_mm: float
    angle_rad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """One reading after the adjustment.

    ``redundancy`` is the share of an error in it that shows in its residual (0: nothing checks it);
    ``w`` the residual over its own standard deviation; ``error_mm`` what the reading is out by if it is
    the only wrong one. Sign: read minus true.
    """

    residual_mm: float
    redundancy: float
    w: float
    error_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A reading without which the others agree; ``cost`` is what is left over then."""

    row: int
    error_mm: float
    cost: float
    adjusted: Adjusted


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleWish:
    """The scale one instrument's readings would like, and its standard uncertainty."""

    instrument: str
    scale: float
    sigma: float

    @property
    def test(self) -> float:
        """How many standard uncertainties from 1."""
        return (self.scale - 1.0) / self.sigma


def checked(problem: Problem, found: Adjusted) -> tuple[Checked, ...]:
    """Every reading's residual, redundancy and standardised residual (Baarda 1968)."""
    slope = jacobian(problem, found.x)
    fitted = np.einsum("ij,jk,ik->i", slope, found.covariance, slope)
    out = []
    for k, row in enumerate(problem.rows):
        share = min(1.0, max(0.0, 1.0 - float(fitted[k]) / row.sigma_mm**2))
        miss = -float(found.residual_mm[k])
        sound = share > UNCHECKED
        out.append(
            Checked(
                residual_mm=miss,
                redundancy=share,
                w=miss / (row.sigma_mm * math.sqrt(share)) if sound else 0.0,
                error_mm=miss / share if sound else 0.0,
            )
        )
    return tuple(out)


def ellipse(covariance: Array) -> Ellipse:
    """The 95 % ellipse of a 2 x 2 covariance, mm²."""
    values, vectors = np.linalg.eigh(covariance)
    minor, major = np.sqrt(np.maximum(values, 0.0)) * ELLIPSE_95
    u, v = vectors[:, 1]
    angle = math.remainder(math.atan2(v, u), math.pi) if major > 1e-9 else 0.0
    return Ellipse(major_mm=float(major), minor_mm=float(minor), angle_rad=angle)


def ellipses(found: Adjusted) -> tuple[Ellipse, ...]:
    """The 95 % ellipse of every centre."""
    n = len(found.x) // 3
    return tuple(ellipse(found.covariance[2 * i : 2 * i + 2, 2 * i : 2 * i + 2]) for i in range(n))


def freedom(problem: Problem, found: Adjusted, constraints: Constraints) -> int:
    """Readings beyond what the unknowns need."""
    unknown = int(null_space(constraints.matrix, len(found.x)).shape[1])
    return len(problem.rows) - (unknown - int(found.free.shape[1]))


def suspects(
    problem: Problem, found: Adjusted, constraints: Constraints, checks: tuple[Checked, ...]
) -> tuple[Suspect, ...]:
    """Readings whose absence mends the most, best first; those nearly as good are kept beside it.

    Each of the likeliest is left out in turn and everything adjusted again, which a standardised
    residual only foretells to first order.
    """
    order = sorted(range(len(checks)), key=lambda k: -abs(checks[k].w))[:MOST_TRIED]
    tried = []
    for k in order:
        if checks[k].redundancy <= UNCHECKED or abs(checks[k].w) < W_LIMIT / 2:
            continue
        again = adjust(without(problem, (k,)), found.x, constraints)
        error = problem.rows[k].value_mm - float(model(problem, again.x)[k])
        tried.append(Suspect(row=k, error_mm=error, cost=again.cost, adjusted=again))
    tried.sort(key=lambda s: s.cost)
    # 3.84 is chi-square, 1 degree of freedom, 5 %: closer than that the readings cannot choose
    return tuple(s for s in tried if s.cost <= tried[0].cost + 3.84)


def scale_wishes(problem: Problem, found: Adjusted, constraints: Constraints) -> tuple[ScaleWish, ...]:
    """The scale each instrument's lengths would like, where the other readings can tell.

    One more unknown, the factor on every length of that instrument, in a linear adjustment about the
    solution. Nothing is corrected with it: a scale is a wrong print or tape and must be found.
    """
    weight = 1.0 / problem.sigma
    moves = null_space(constraints.matrix, len(found.x))
    slope = (jacobian(problem, found.x) * weight[:, None]) @ moves
    off = -found.residual_mm * weight
    lengths = model(problem, found.x)
    out = []
    kinds = (DISTANCE, LINE, OFFSET, DIAMETER)
    for name in sorted({r.instrument for r in problem.rows if r.instrument}):
        mine = np.array([r.instrument == name and r.kind in kinds for r in problem.rows])
        column = np.where(mine, lengths, 0.0) * weight
        rest = column - slope @ np.linalg.lstsq(slope, column, rcond=1e-9)[0]
        power = float(rest @ rest)
        # one part in a hundred is the least that would help anybody
        if power < 1.0 / 0.01**2:
            continue
        out.append(
            ScaleWish(instrument=name, scale=1.0 + float(rest @ off) / power, sigma=1.0 / math.sqrt(power))
        )
    return tuple(out)
