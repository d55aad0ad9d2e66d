"""Other places that fit the same readings: the mirror image, and holes that fold over a line.

Distances cannot tell left from right. A hole tied by two distances lies on either side of the line
through the other two; a group that hangs on two holes folds over as a whole.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from generators.measure.adjust import Adjusted, Constraints, adjust, null_space, sketch
from generators.measure.equations import COORDINATE, DISTANCE, LINE, OFFSET, Array, Problem
from generators.model.spec.readings import Handed, MeasureFrame

AS_GOOD = 10.83
"""A twin fits as well when its cost is within this: chi-square, 1 degree of freedom, 0.1 %."""

APART_MM = 0.5
MOST_PAIRS = 400
PAIRS_EACH = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Twin:
    """Another solution; ``moved`` are the holes that lie elsewhere in it, ``mirror`` when all folded."""

    adjusted: Adjusted
    moved: tuple[int, ...]
    mirror: bool = False


def reflected(x: Array, which: tuple[int, ...], a: Array, b: Array) -> Array:
    """``x`` with those holes reflected over the line through the points ``a`` and ``b``."""
    way = b - a
    length = math.hypot(*way)
    if length < 1e-9:
        return x
    way = way / length
    out = x.copy()
    for i in which:
        step = out[2 * i : 2 * i + 2] - a
        out[2 * i : 2 * i + 2] = a + 2 * (step @ way) * way - step
    return out


@dataclass(frozen=True, slots=True)
class _Ties:
    """Per hole: which holes it has a distance to, and which axes an edge or offset holds it in."""

    near: list[set[int]]
    held: list[set[int]]
    known: set[int]


def _ties(problem: Problem) -> _Ties:
    near: list[set[int]] = [set() for _ in range(problem.count)]
    held: list[set[int]] = [set() for _ in range(problem.count)]
    for r in problem.rows:
        if r.kind == DISTANCE:
            near[r.a].add(r.b)
            near[r.b].add(r.a)
        elif r.kind in (LINE, COORDINATE):
            held[r.a].add(r.axis)
        elif r.kind == OFFSET:
            held[r.a].add(r.axis)
            held[r.b].add(r.axis)
    return _Ties(near, held, {i for i, _ in problem.exact})


def folds(problem: Problem, x: Array) -> Iterator[tuple[tuple[int, ...], Array]]:
    """Every fold worth trying: the holes that move, and where a search should begin."""
    points = x[: 2 * problem.count].reshape(problem.count, 2)
    ties = _ties(problem)
    for i in range(problem.count):
        if i not in ties.known:
            for one, other in _hinges(points, ties, i):
                yield (i,), reflected(x, (i,), one, other)
    for a, b in itertools.islice(itertools.combinations(range(problem.count), 2), MOST_PAIRS):
        pieces = _pieces(ties.near, {a, b})
        for piece in pieces if len(pieces) > 1 else ():
            if len(piece) > 1 and not piece & ties.known and not any(ties.held[i] for i in piece):
                which = tuple(sorted(piece))
                yield which, reflected(x, which, points[a], points[b])


def _hinges(points: Array, ties: _Ties, i: int) -> Iterator[tuple[Array, Array]]:
    """Lines one hole may fold over, each by two points."""
    near = sorted(ties.near[i])
    for a, b in itertools.islice(itertools.combinations(near, 2), PAIRS_EACH):
        yield points[a], points[b]
    if len(near) > 2:
        # neighbours nearly on one line leave a hole two sides however many they are
        around = points[near]
        middle = around.mean(axis=0)
        yield middle, middle + np.linalg.svd(around - middle)[2][0]
    for axis, a in itertools.product(sorted(ties.held[i]), near):
        # one coordinate and one distance: above or below, left or right of the other hole
        yield points[a], points[a] + ((1.0, 0.0) if axis == 0 else (0.0, 1.0))


def _pieces(near: list[set[int]], hinge: set[int]) -> list[set[int]]:
    """The groups the holes fall into without the two of a hinge."""
    rest = set(range(len(near))) - hinge
    out = []
    while rest:
        piece, edge = set(), [rest.pop()]
        while edge:
            i = edge.pop()
            piece.add(i)
            fresh = near[i] & rest
            rest -= fresh
            edge += fresh
        out.append(piece)
    return out


def mirror_start(x: Array, a: int, b: int) -> Array:
    """All holes reflected over the line through two of them."""
    n = len(x) // 3
    points = x[: 2 * n].reshape(n, 2)
    return reflected(x, tuple(range(n)), points[a], points[b])


def best_fold(problem: Problem, x: Array, constraints: Constraints) -> Array:
    """``x`` after every fold that lowers its cost; a search can end in a folded place."""
    moves = null_space(constraints.matrix, len(x))
    x, cost = sketch(problem, x, constraints, moves)
    for _ in range(3 * problem.count):
        trials = (sketch(problem, start, constraints, moves) for _, start in folds(problem, x))
        trial = min(trials, key=lambda t: t[1], default=(x, cost))
        if trial[1] >= cost - 1e-3 * max(1.0, cost):
            break
        x, cost = trial
    return x


def turned_back(problem: Problem, x: Array, frame: MeasureFrame, origin: int, along: int) -> Array:
    """``x`` turned half round about the origin where the along hole points the wrong way."""
    step = x[2 * along : 2 * along + 2] - x[2 * origin : 2 * origin + 2]
    if step @ (math.cos(frame.angle_rad), math.sin(frame.angle_rad)) >= 0:
        return x
    n = problem.count
    out = x.copy()
    out[: 2 * n] = (2 * x[2 * origin : 2 * origin + 2] - x[: 2 * n].reshape(n, 2)).ravel()
    return out


def twins(
    problem: Problem,
    found: Adjusted,
    constraints: Constraints,
    mirror: Array,
    settle: Callable[[Array], Array],
) -> tuple[Twin, ...]:
    """Solutions elsewhere that fit as well as ``found``.

    ``mirror`` is the start of the mirrored one; ``settle`` turns a set that ended upside down in its
    frame the right way, so that it is not taken for another.
    """
    out: list[Twin] = []
    seen: list[Adjusted] = []
    everybody = tuple(range(problem.count))
    moves = null_space(constraints.matrix, len(found.x))
    for which, start in ((everybody, mirror), *folds(problem, found.x)):
        rough, cost = sketch(problem, start, constraints, moves)
        if cost > found.cost + 2 * AS_GOOD:
            continue
        settled = settle(rough)
        # most folds fall back to where they came from
        if any(np.abs(settled - k.x)[: 2 * problem.count].max() < APART_MM / 2 for k in (found, *seen)):
            continue
        trial = adjust(problem, settled, constraints)
        if trial.cost > found.cost + AS_GOOD:
            continue
        seen.append(trial)
        apart = np.hypot(*(trial.points() - found.points()).T)
        moved = tuple(int(i) for i in np.flatnonzero(apart > APART_MM))
        known = [found, *(t.adjusted for t in out)]
        if moved and all(np.abs(trial.points() - k.points()).max() > APART_MM for k in known):
            out.append(Twin(adjusted=trial, moved=moved, mirror=which == everybody))
    return tuple(out)


def side_of(points: Array, a: int, b: int, c: int) -> float:
    """How far hole ``c`` lies to the left of the line from ``a`` to ``b``, mm (cab side)."""
    way = points[b] - points[a]
    step = points[c] - points[a]
    return float(way[0] * step[1] - way[1] * step[0]) / max(math.hypot(*way), 1e-9)


def agrees(problem: Problem, points: Array, handed: Handed) -> bool:
    """True when a hole lies on the side it was seen on."""
    a, b, c = (problem.names.index(n) for n in (handed.from_, handed.to, handed.hole))
    left = side_of(points, a, b, c) > 0
    return left == ((handed.side == "left") == (handed.seen_from == "cab"))
