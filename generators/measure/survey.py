"""Readings in, places out, with everything that keeps the places from being trusted."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.measure.adjust import Adjusted, Constraints, adjust, exact_constraints, null_space, sketch
from generators.measure.datum import close_frame, frame_names, groups, loose_holes, open_motions
from generators.measure.equations import LINE, Array, Problem, build, jacobian
from generators.measure.next_reading import Advice, next_reading
from generators.measure.quality import (
    Checked,
    Ellipse,
    ScaleWish,
    Suspect,
    checked,
    ellipses,
    freedom,
    scale_wishes,
    suspects,
)
from generators.measure.start import starts
from generators.measure.statistics import ELLIPSE_95, W_LIMIT, chi_square_above
from generators.measure.twins import AS_GOOD, Twin, agrees, best_fold, mirror_start, turned_back, twins
from generators.model.spec.readings import MeasureFrame, Readings

ON_LINE = AS_GOOD
FLAT_MM = 1.0
ALONG = 1e-6
"""Slopes below this are rounding: the row was laid on its line by a constraint, not by hand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Holes that the readings fit on one line; ``across_mm`` is how far off it they could be."""

    holes: tuple[int, ...]
    across_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """The result of one file of readings.

    ``closed`` counts what the frame had to close: 0 when edges or known holes tie the set to the
    panel, 3 when only its shape was measured. ``handed_against`` are indices of handedness readings that
    the best places contradict. ``chance`` is the probability of readings that disagree this much.
    """

    readings: Readings
    problem: Problem
    adjusted: Adjusted
    closed: int
    freedom: int
    chance: float
    checks: tuple[Checked, ...]
    ellipses: tuple[Ellipse, ...]
    suspects: tuple[Suspect, ...]
    scales: tuple[ScaleWish, ...]
    twins: tuple[Twin, ...]
    handed_against: tuple[int, ...]
    groups: tuple[tuple[int, ...], ...]
    loose: tuple[tuple[int, float | None], ...]
    on_line: Line | None
    advice: Advice | None
    frame: tuple[str, str]

    def points(self) -> Array:
        """Centres, shape (holes, 2), mm."""
        return self.adjusted.points()

    def diameters(self) -> Array:
        """Diameters, shape (holes,), mm."""
        return self.adjusted.x[2 * self.problem.count :]

    @property
    def worst(self) -> int | None:
        """The reading with the largest standardised residual, by index; ``None`` when nothing checks any."""
        if not any(c.w for c in self.checks):
            return None
        return max(range(len(self.checks)), key=lambda k: abs(self.checks[k].w))

    @property
    def gross(self) -> bool:
        """True when a reading is out by more than chance allows."""
        return self.worst is not None and abs(self.checks[self.worst].w) > W_LIMIT


def solve(problem: Problem, frame: MeasureFrame) -> tuple[Adjusted, Constraints, int]:
    """The best places from several starts, the constraints used and how many of them are the frame's."""
    exact = exact_constraints(problem)
    moves = null_space(exact.matrix, 3 * problem.count)
    rough = [sketch(problem, start, exact, moves) for start in starts(problem)]
    best = best_fold(problem, min(rough, key=lambda r: r[1])[0], exact)
    # to the last digit before the frame is laid on it: what is open must show as open
    best = adjust(problem, best, exact).x
    x, constraints, closed = close_frame(problem, best, exact, frame)
    return adjust(problem, x, constraints), constraints, closed


def _handed(readings: Readings, problem: Problem, found: Adjusted, others: Sequence[Twin]) -> Adjusted:
    """Of all places that fit, those on the sides seen; the best of them."""
    fits = [found, *(t.adjusted for t in others)]

    def against(a: Adjusted) -> int:
        return sum(not agrees(problem, a.points(), h) for h in readings.handed)

    return min(fits, key=lambda a: (against(a), a.cost))


def _others(
    problem: Problem, found: Adjusted, constraints: Constraints, frame: MeasureFrame, closed: int
) -> tuple[Twin, ...]:
    origin, along = (problem.names.index(name) for name in frame_names(problem, frame))
    mirror = mirror_start(found.x, origin, along)

    def settle(x: Array) -> Array:
        return turned_back(problem, x, frame, origin, along) if closed in (1, 3) else x

    return twins(problem, found, constraints, mirror, settle)


def _on_one_line(problem: Problem, found: Adjusted) -> Line | None:
    """Whether the readings fit with all holes on one line: then nothing says how far off it they are."""
    n = problem.count
    if n < 3 or any(r.kind == LINE for r in problem.rows) or len(problem.exact) > 1:
        return None
    constraints = exact_constraints(problem)
    points = found.points()
    middle = points.mean(axis=0)
    _, _, rows = np.linalg.svd(points - middle)
    way, normal = rows[0], rows[1]
    across = (points - middle) @ normal
    if found.free.shape[1] and float(np.abs(across).max()) > FLAT_MM:
        return None  # a gate folds flat too, but that is not what is wrong with it
    # along the line only: every centre is held to it by one more constraint
    flat = found.x.copy()
    flat[: 2 * n] = (middle + np.outer((points - middle) @ way, way)).ravel()
    for i in range(n):
        row = np.zeros(3 * n)
        row[2 * i : 2 * i + 2] = normal
        trial = np.vstack([constraints.matrix, row])
        if np.linalg.matrix_rank(trial, tol=1e-6) > np.linalg.matrix_rank(constraints.matrix, tol=1e-6):
            constraints = constraints.joined(row, float(normal @ flat[2 * i : 2 * i + 2]))
    straight = adjust(problem, flat, constraints)
    if straight.cost > found.cost + ON_LINE:
        return None
    # offsets square to the row hold it; distances along it do not, to first order
    exact = exact_constraints(problem)
    resisted = np.vstack([jacobian(problem, straight.x), exact.matrix])
    resisted[np.abs(resisted) < ALONG] = 0.0
    if null_space(resisted, 3 * n).shape[1] <= open_motions(problem, straight.x, exact).shape[1]:
        return None
    # an offset h over a length L changes a distance by h²/2L: so little is seen of it
    reach = max(math.dist(a, b) for a, b in itertools.combinations(points.tolist(), 2))
    seen = math.sqrt(2 * ELLIPSE_95 * float(np.median(problem.sigma)) * reach)
    return Line(holes=tuple(range(n)), across_mm=max(float(np.abs(across).max()), seen / 2))


def survey(readings: Readings) -> Survey:
    """Adjust a file of readings whose names have been checked; nothing is raised for a bad set."""
    problem = build(readings)
    found, constraints, closed = solve(problem, readings.frame)
    origin, along = frame_names(problem, readings.frame)
    apart = groups(problem)
    fit = freedom(problem, found, constraints)
    others: tuple[Twin, ...] = ()
    # exact readings of an exact row leave it free to first order, so this is asked before freedom
    on_line = _on_one_line(problem, found) if len(apart) == 1 else None
    if not found.free.shape[1]:
        others = _others(problem, found, constraints, readings.frame, closed)
        chosen = _handed(readings, problem, found, others)
        if chosen is not found:
            found = chosen
            others = _others(problem, found, constraints, readings.frame, closed)
        others = tuple(
            t for t in others if all(agrees(problem, t.adjusted.points(), h) for h in readings.handed)
        )
    against = tuple(k for k, h in enumerate(readings.handed) if not agrees(problem, found.points(), h))
    checks = checked(problem, found)
    chance = chi_square_above(found.cost, fit)
    gross = any(abs(c.w) > W_LIMIT for c in checks)
    return Survey(
        readings=readings,
        problem=problem,
        adjusted=found,
        closed=closed,
        freedom=fit,
        chance=chance,
        checks=checks,
        ellipses=ellipses(found),
        suspects=suspects(problem, found, constraints, checks) if gross else (),
        scales=scale_wishes(problem, found, constraints),
        twins=others,
        handed_against=against if not found.free.shape[1] else (),
        groups=tuple(apart),
        loose=tuple(loose_holes(problem, found)),
        on_line=on_line,
        advice=next_reading(problem, found, others, readings.line, readings.measure.tape_mm),
        frame=(origin, along),
    )
