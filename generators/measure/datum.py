"""What readings leave open as a whole (place and turn), and the frame that closes it."""

from __future__ import annotations

import math

import numpy as np

from generators.measure.adjust import FLAT, Adjusted, Constraints, null_space
from generators.measure.equations import Array, Problem, jacobian
from generators.model.spec.readings import MeasureFrame


def rigid_motions(x: Array) -> Array:
    """Shift along u, shift along v and turn of all holes, shape (3 holes, 3); unit columns."""
    n = len(x) // 3
    p = x[: 2 * n].reshape(n, 2)
    middle = p.mean(axis=0)
    out = np.zeros((3 * n, 3))
    out[0 : 2 * n : 2, 0] = out[1 : 2 * n : 2, 1] = 1.0
    out[0 : 2 * n : 2, 2] = -(p[:, 1] - middle[1])
    out[1 : 2 * n : 2, 2] = p[:, 0] - middle[0]
    out /= np.maximum(np.linalg.norm(out, axis=0), 1e-12)
    return out


def open_motions(problem: Problem, x: Array, constraints: Constraints) -> Array:
    """Motions of the whole set that neither readings nor constraints resist, shape (3 holes, k)."""
    motions = rigid_motions(x)
    seen = np.vstack([jacobian(problem, x), constraints.matrix]) @ motions
    seen[np.abs(seen) < 1e-9] = 0.0
    return motions @ null_space(seen, 3)


def frame_names(problem: Problem, frame: MeasureFrame) -> tuple[str, str]:
    """The holes that give place and direction; defaults filled in."""
    origin = frame.origin or next(n for n in problem.names if n != frame.along)
    along = frame.along or next((n for n in problem.names if n != origin), origin)
    return origin, along


def close_frame(
    problem: Problem, start: Array, constraints: Constraints, frame: MeasureFrame
) -> tuple[Array, Constraints, int]:
    """``start`` moved to the frame, the constraints that keep it there, and how many were needed.

    Only what is open is closed: a set measured from two edges needs nothing of the frame.
    """
    loose = open_motions(problem, start, constraints)
    if not loose.shape[1]:
        return start, constraints, 0
    n = problem.count
    origin, along = (problem.names.index(name) for name in frame_names(problem, frame))
    x = start.copy()
    points = x[: 2 * n].reshape(n, 2)
    if loose.shape[1] == 3 and origin != along:
        step = points[along] - points[origin]
        turn = frame.angle_rad - math.atan2(step[1], step[0])
        c, s = math.cos(turn), math.sin(turn)
        points[:] = (points - points[origin]) @ np.array([[c, s], [-s, c]]) + frame.at
    wanted: list[tuple[Array, float]] = []
    for axis in (0, 1):
        row = np.zeros(3 * n)
        row[2 * origin + axis] = 1.0
        wanted.append((row, frame.at[axis]))
    row = np.zeros(3 * n)
    normal = (-math.sin(frame.angle_rad), math.cos(frame.angle_rad))
    for axis in (0, 1):
        row[2 * along + axis], row[2 * origin + axis] = normal[axis], -normal[axis]
    if origin != along:
        wanted.append((row, 0.0))
    used, closed = 0, np.zeros((0, loose.shape[1]))
    for row, value in wanted:
        trial = np.vstack([closed, row @ loose])
        if np.linalg.matrix_rank(trial, tol=FLAT) > len(closed):
            closed, constraints, used = trial, constraints.joined(row, value), used + 1
    return x, constraints, used


def groups(problem: Problem, *, datum: bool = True) -> list[tuple[int, ...]]:
    """Holes tied to each other by readings, largest group first; edges and known holes tie as well."""
    n = problem.count
    root = list(range(n + 1))  # the last is the panel itself

    def find(i: int) -> int:
        while root[i] != i:
            i = root[i]
        return i

    for r in problem.rows:
        if r.b >= 0:
            root[find(r.a)] = find(r.b)
        elif datum and r.kind in (1, 3):
            root[find(r.a)] = find(n)
    if datum:
        for i, _ in problem.exact:
            root[find(i)] = find(n)
    sets: dict[int, list[int]] = {}
    for i in range(n):
        sets.setdefault(find(i), []).append(i)
    return sorted((tuple(s) for s in sets.values()), key=lambda s: (-len(s), s))


def loose_holes(problem: Problem, adjusted: Adjusted) -> list[tuple[int, float | None]]:
    """Holes that can move though no reading changes: index and direction in rad, ``None`` for any way.

    The direction is counter-clockwise from u and taken between -90 and 90 degrees.
    """
    out: list[tuple[int, float | None]] = []
    if not adjusted.free.shape[1]:
        return out
    for i in range(problem.count):
        moves = adjusted.free[2 * i : 2 * i + 2]
        left, values, _ = np.linalg.svd(moves)
        if values[0] < 1e-6:
            continue
        if len(values) > 1 and values[1] > 1e-6:
            out.append((i, None))
            continue
        u, v = left[:, 0]
        out.append((i, math.remainder(math.atan2(v, u), math.pi)))
    return out
