"""Where a search begins: rough places of the holes from their distances alone.

Distances that were not measured are filled in along the shortest way round (so they come out long),
and classical scaling turns the table into points (W. S. Torgerson 1952; the filling is the idea of
J. B. Tenenbaum, V. de Silva, J. C. Langford, 2000). Points come without place, turn and hand, so
several starts are given wherever edges or known holes say which it must be.
"""

from __future__ import annotations

import math

import numpy as np

from generators.measure.equations import COORDINATE, DISTANCE, LINE, OFFSET, Array, Problem

TURNS = 12
SHAKEN = 4
SEED = 20_011


def distance_table(problem: Problem) -> Array:
    """Centre distances read, shape (holes, holes), mm; infinite where none was."""
    n, d = problem.count, problem.diameters()
    total, count = np.zeros((n, n)), np.zeros((n, n))
    for r in problem.rows:
        if r.kind == DISTANCE:
            centre = max(r.value_mm - (r.rim_a * d[r.a] + r.rim_b * d[r.b]) / 2, 0.1)
            for i, j in ((r.a, r.b), (r.b, r.a)):
                total[i, j] += centre
                count[i, j] += 1
    table = np.where(count > 0, total / np.maximum(count, 1), np.inf)
    np.fill_diagonal(table, 0.0)
    return table


def known_coordinates(problem: Problem) -> Array:
    """Coordinates that single readings give at once, shape (holes, 2); nan where none does."""
    n, d = problem.count, problem.diameters()
    at = np.full((n, 2), np.nan)
    for r in problem.rows:
        if r.kind == LINE:
            at[r.a, r.axis] = r.at_mm + r.sign * (r.value_mm - r.rim_a * d[r.a] / 2)
        elif r.kind == COORDINATE:
            at[r.a, r.axis] = r.value_mm
    for i, where in problem.exact:
        at[i] = where
    for _ in range(n):
        for r in problem.rows:
            if r.kind == OFFSET:
                a, b = at[r.a, r.axis], at[r.b, r.axis]
                if math.isnan(b):
                    at[r.b, r.axis] = a + r.value_mm
                elif math.isnan(a):
                    at[r.a, r.axis] = b - r.value_mm
    return at


def _filled(table: Array, at: Array) -> Array:
    """Every distance: as read, else from known coordinates, else the shortest way round."""
    n = len(table)
    out = table.copy()
    for i in range(n):
        for j in range(n):
            apart = at[i] - at[j]
            if math.isinf(out[i, j]) and not np.isnan(apart).any():
                out[i, j] = math.hypot(*apart)
    for k in range(n):
        out = np.minimum(out, out[:, k : k + 1] + out[k : k + 1, :])
    reach = out[np.isfinite(out)].max(initial=100.0)
    return np.where(np.isfinite(out), out, 1.5 * reach)


def _scaled(table: Array) -> Array:
    """Classical scaling of a full table to points in the plane, shape (holes, 2)."""
    n = len(table)
    centring = np.eye(n) - 1.0 / n
    values, vectors = np.linalg.eigh(-0.5 * centring @ table**2 @ centring)
    if n < 2:
        return np.zeros((n, 2))
    out: Array = vectors[:, [-1, -2]] * np.sqrt(np.maximum(values[[-1, -2]], 0.0))
    return out


def starts(problem: Problem) -> list[Array]:
    """First guesses of the unknowns, each of shape (3 holes,); the same for the same problem."""
    d, at = problem.diameters(), known_coordinates(problem)
    shape = _scaled(_filled(distance_table(problem), at))
    # a whole set on one line gives the search nothing to turn on
    spread = float(np.abs(shape).max(initial=1.0))
    rng = np.random.default_rng(SEED)
    shapes = [shape] + [shape + rng.normal(0.0, 0.15 * spread, shape.shape) for _ in range(SHAKEN)]
    anchored = not np.isnan(at).all()
    out = []
    for k, each in enumerate(shapes):
        for hand in (1.0, -1.0) if anchored else (1.0,):
            for turn in range(TURNS if anchored and k == 0 else 1):
                angle = 2 * math.pi * turn / TURNS if k == 0 else rng.uniform(0, 2 * math.pi)
                c, s = math.cos(angle), math.sin(angle)
                points = (each * (1.0, hand)) @ np.array([[c, s], [-s, c]])
                known = ~np.isnan(at)
                for axis in (0, 1):
                    if known[:, axis].any():
                        points[:, axis] += np.mean((at - points)[known[:, axis], axis])
                points = np.where(known, at, points) if k else points
                out.append(np.concatenate([points.ravel(), d]))
    return out
