"""Weighted least squares with exact constraints.

Observations with standard uncertainties give the cost ``sum(((f(x) - l) / sigma)^2)``; constraints
``C x = d`` hold exactly, by moving only in the null space of ``C`` (C. D. Ghilani, Adjustment
Computations, chapters 11 and 20 for the weighted adjustment and constraints). scipy walks to the minimum;
covariance, open motions and residuals of it are computed here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from generators.measure.equations import Array, Problem, jacobian, model

STEPS = 200
SMALL = 1e-14
"""A step below this share of the unknowns ends a search: rounding."""
SKETCH_STEPS = 15
SKETCH_SMALL = 2e-5
FLAT = 1e-8
"""Singular values below this share of the largest count as none: motions no reading resists."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Constraints:
    """``matrix @ x = values``: shapes (k, 3 holes) and (k,)."""

    matrix: Array
    values: Array

    def joined(self, row: Array, value: float) -> Constraints:
        """With one more equation."""
        return Constraints(matrix=np.vstack([self.matrix, row]), values=np.append(self.values, value))


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjusted:
    """A least-squares solution. ``free`` spans the motions no reading resists, shape (3 holes, m).

    ``covariance`` is that of ``x`` for the stated uncertainties, zero along constraints; where ``free``
    is not empty it says nothing about those motions.
    """

    x: Array
    cost: float
    covariance: Array
    free: Array
    residual_mm: Array

    def points(self) -> Array:
        """Centres, shape (holes, 2)."""
        n = len(self.x) // 3
        return self.x[: 2 * n].reshape(n, 2)


def exact_constraints(problem: Problem) -> Constraints:
    """The known centres as constraints."""
    n = problem.count
    out = Constraints(matrix=np.zeros((0, 3 * n)), values=np.zeros(0))
    for i, (u, v) in problem.exact:
        for axis, value in enumerate((u, v)):
            row = np.zeros(3 * n)
            row[2 * i + axis] = 1.0
            out = out.joined(row, value)
    return out


def null_space(matrix: Array, columns: int) -> Array:
    """Orthonormal directions ``matrix`` does not see, shape (columns, m)."""
    if matrix.shape[0] == 0:
        return np.eye(columns)
    from scipy import linalg  # noqa: PLC0415 - slow to load, and rules on readings are listed without solving

    out: Array = linalg.null_space(matrix, rcond=FLAT)
    return out


def adjust(problem: Problem, start: Array, constraints: Constraints) -> Adjusted:
    """The nearest minimum of the cost from ``start``, shape (3 holes,).

    Raises nothing: what the readings leave open stays where the start put it and is in ``free``.
    """
    moves = null_space(constraints.matrix, len(start))
    x, _ = _descend(problem, start, constraints, moves, STEPS, SMALL)
    return _finished(problem, x, moves, 1.0 / problem.sigma)


def sketch(problem: Problem, start: Array, constraints: Constraints, moves: Array) -> tuple[Array, float]:
    """A minimum found roughly, and its cost; ``moves`` is the constraints' null space."""
    return _descend(problem, start, constraints, moves, SKETCH_STEPS, SKETCH_SMALL)


def _descend(
    problem: Problem, start: Array, constraints: Constraints, moves: Array, most: int, small: float
) -> tuple[Array, float]:
    """Unknowns and cost after at most ``most`` trials or a step below ``small`` of the unknowns."""
    x = start.copy()
    if constraints.matrix.shape[0]:
        gap = constraints.values - constraints.matrix @ x
        x += np.linalg.lstsq(constraints.matrix, gap, rcond=None)[0]
    weight = 1.0 / problem.sigma
    # what is searched for are places along the free directions; what lies across them stays
    along = moves.T @ x
    fixed = x - moves @ along

    def off(free: Array) -> Array:
        return (model(problem, fixed + moves @ free) - problem.observed) * weight

    def slope(free: Array) -> Array:
        out: Array = (jacobian(problem, fixed + moves @ free) * weight[:, None]) @ moves
        return out

    if not len(along):
        return x, float(off(along) @ off(along))
    from scipy.optimize import least_squares  # noqa: PLC0415  (`check` must start without it)

    # x_scale="jac" is Marquardt's scaling; no ftol, so that a flat valley is walked to its end; gtol ends
    # only what fits to rounding

    found = least_squares(
        off, along, slope, x_scale="jac", xtol=small, ftol=None, gtol=SMALL, max_nfev=most, tr_solver="exact"
    )
    return fixed + moves @ found.x, float(2.0 * found.cost)


def _finished(problem: Problem, x: Array, moves: Array, weight: Array) -> Adjusted:
    slope = (jacobian(problem, x) * weight[:, None]) @ moves
    _, values, rows = np.linalg.svd(slope, full_matrices=True)
    rank = int(np.sum(values > FLAT * max(1e-30, float(values.max(initial=0.0)))))
    held, loose = rows[:rank].T, rows[rank:].T
    inverse = held @ np.diag(values[:rank] ** -2.0) @ held.T
    residual = model(problem, x) - problem.observed
    off = residual * weight
    return Adjusted(
        x=x,
        cost=float(off @ off),
        covariance=moves @ inverse @ moves.T,
        free=moves @ loose,
        residual_mm=residual,
    )
