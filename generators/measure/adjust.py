"""Weighted least squares with exact constraints: Levenberg and Marquardt's damping on Gauss-Newton.

Observations with standard uncertainties give the cost ``sum(((f(x) - l) / sigma)^2)``; constraints
``C x = d`` hold exactly, by moving only in the null space of ``C`` (C. D. Ghilani, Adjustment
Computations, chapters 11 and 20 for the weighted adjustment and constraints; K. Levenberg 1944,
D. Marquardt 1963 for the damping).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from generators.measure.equations import Array, Problem, jacobian, model

STEPS = 200
STEP_MM = 1e-10
SKETCH_STEPS = 15
SKETCH_MM = 0.02
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
    steps: int

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
    _, values, rows = np.linalg.svd(matrix, full_matrices=True)
    rank = int(np.sum(values > FLAT * max(1.0, float(values[0]))))
    out: Array = rows[rank:].T
    return out


def adjust(problem: Problem, start: Array, constraints: Constraints) -> Adjusted:
    """The nearest minimum of the cost from ``start``, shape (3 holes,).

    Raises nothing: what the readings leave open stays where the start put it and is in ``free``.
    """
    moves = null_space(constraints.matrix, len(start))
    x, _, steps = descend(problem, start, constraints, moves, STEPS, STEP_MM)
    return _finished(problem, x, moves, 1.0 / problem.sigma, steps)


def sketch(problem: Problem, start: Array, constraints: Constraints, moves: Array) -> tuple[Array, float]:
    """A minimum found roughly (0.02 mm), and its cost; ``moves`` is the constraints' null space."""
    x, cost, _ = descend(problem, start, constraints, moves, SKETCH_STEPS, SKETCH_MM)
    return x, cost


def descend(
    problem: Problem, start: Array, constraints: Constraints, moves: Array, most: int, step_mm: float
) -> tuple[Array, float, int]:
    """Unknowns, cost and steps after at most ``most`` steps or one shorter than ``step_mm``."""
    x = start.copy()
    if constraints.matrix.shape[0]:
        gap = constraints.values - constraints.matrix @ x
        x += np.linalg.lstsq(constraints.matrix, gap, rcond=None)[0]
    weight = 1.0 / problem.sigma
    observed = problem.observed
    off = (model(problem, x) - observed) * weight
    cost = float(off @ off)
    damping, steps = 1e-3, 0
    while steps < most:
        steps += 1
        slope = (jacobian(problem, x) * weight[:, None]) @ moves
        normal, pull = slope.T @ slope, slope.T @ off
        scale = np.maximum(np.diag(normal), 1e-12 * max(1e-30, float(normal.max(initial=0.0))))
        better = False
        for _ in range(30):
            move = moves @ np.linalg.solve(normal + damping * np.diag(scale), -pull)
            trial = x + move
            trial_off = (model(problem, trial) - observed) * weight
            trial_cost = float(trial_off @ trial_off)
            if trial_cost <= cost:
                better = True
                break
            damping *= 4
        if not better:
            break
        x, off, cost = trial, trial_off, trial_cost
        damping = max(damping / 9, 1e-14)
        if float(np.abs(move).max(initial=0.0)) < step_mm:
            break
    return x, cost, steps


def _finished(problem: Problem, x: Array, moves: Array, weight: Array, steps: int) -> Adjusted:
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
        steps=steps,
    )
