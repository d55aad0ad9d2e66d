"""Which reading to take next: the one that shrinks the largest ellipse most, or ends an ambiguity."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.measure.adjust import Adjusted
from generators.measure.equations import DISTANCE, LINE, Array, Problem, Row, jacobian, model
from generators.measure.quality import ellipse
from generators.measure.twins import Twin
from generators.model.spec.readings import MeasureLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """A reading to take. ``expected_mm`` is what it should say; ``why`` is for people.

    ``major_mm`` is the largest 95 % semi-axis there would be, from ``from_mm``; both 0 where the
    reading is wanted for something else.
    """

    label: str
    hole: str
    to: str
    expected_mm: float
    why: str
    from_mm: float = 0.0
    major_mm: float = 0.0


def candidates(problem: Problem, lines: Sequence[MeasureLine], sigma_mm: float) -> Iterator[tuple[Row, str]]:
    """Centre distances and distances to lines not taken yet, with the name they end at."""
    pairs = {frozenset((r.a, r.b)) for r in problem.rows if r.kind == DISTANCE}
    taken = {(r.a, r.axis, r.at_mm) for r in problem.rows if r.kind == LINE}
    known = {i for i, _ in problem.exact}
    for a, b in itertools.combinations(range(problem.count), 2):
        if frozenset((a, b)) not in pairs and not {a, b} <= known:
            label = f"{problem.names[a]} to {problem.names[b]}, centres"
            yield Row(kind=DISTANCE, a=a, b=b, sigma_mm=sigma_mm, label=label), problem.names[b]
    for line in lines:
        axis = int(line.kind == "horizontal")
        sign = 1.0 if line.holes in ("right", "above") else -1.0
        for a in range(problem.count):
            if (a, axis, line.at_mm) not in taken and a not in known:
                label = f"{problem.names[a]} to {line.name}, centre"
                row = Row(
                    kind=LINE, a=a, axis=axis, at_mm=line.at_mm, sign=sign, sigma_mm=sigma_mm, label=label
                )
                yield row, line.name


def _slopes(problem: Problem, rows: list[Row], x: Array) -> tuple[Array, Array]:
    trial = Problem(names=problem.names, rows=tuple(rows))
    return jacobian(trial, x), model(trial, x)


def worst_major(covariance: Array) -> tuple[float, int]:
    """The largest 95 % semi-axis of all centres, mm, and whose it is."""
    n = len(covariance) // 3
    majors = [ellipse(covariance[2 * i : 2 * i + 2, 2 * i : 2 * i + 2]).major_mm for i in range(n)]
    return max((m, -i) for i, m in enumerate(majors))[0], int(np.argmax(majors))


def updated(covariance: Array, slope: Array, sigma_mm: float) -> Array:
    """Covariance after one more reading with those derivatives (the Kalman form of the update)."""
    gain = covariance @ slope
    out: Array = covariance - np.outer(gain, gain) / (sigma_mm**2 + float(slope @ gain))
    return out


def next_reading(
    problem: Problem,
    found: Adjusted,
    twins: Sequence[Twin],
    lines: Sequence[MeasureLine],
    sigma_mm: float,
) -> Advice | None:
    """The best next reading, or ``None`` when every candidate has been taken.

    First what ends a freedom (it must resist the loosest motion most), then what tells twins apart,
    then what shrinks the largest ellipse most.
    """
    wanted = list(candidates(problem, lines, sigma_mm))
    if not wanted:
        return None
    slopes, expected = _slopes(problem, [row for row, _ in wanted], found.x)

    def advice(k: int, why: str, before: float = 0.0, after: float = 0.0) -> Advice:
        row, to = wanted[k]
        return Advice(
            label=row.label,
            hole=problem.names[row.a],
            to=to,
            expected_mm=float(expected[k]),
            why=why,
            from_mm=before,
            major_mm=after,
        )

    if found.free.shape[1]:
        grip = np.linalg.norm(slopes @ found.free, axis=1)
        k = int(np.argmax(np.round(grip, 9)))
        return advice(k, "holds what can still move") if grip[k] > 1e-6 else None
    for twin in twins:
        if twin.mirror:
            continue
        other = _slopes(problem, [row for row, _ in wanted], twin.adjusted.x)[1]
        k = int(np.argmax(np.round(np.abs(other - expected), 6)))
        if abs(other[k] - expected[k]) > 4 * sigma_mm:
            return advice(k, f"tells the two places apart: {expected[k]:.1f} or {other[k]:.1f} mm")
    before, _ = worst_major(found.covariance)
    after = [worst_major(updated(found.covariance, slope, sigma_mm))[0] for slope in slopes]
    k = int(np.argmin(np.round(after, 9)))
    return advice(k, "shrinks the largest ellipse most", before, after[k]) if after[k] < before else None
