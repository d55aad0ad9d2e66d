"""Surveys of known truth: hole patterns, and the readings a tape would give of them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

import numpy as np

from generators.measure.equations import Array
from generators.model.spec.readings import (
    Handed,
    MeasuredHole,
    MeasureFrame,
    MeasureHead,
    MeasureLine,
    Reading,
    Readings,
)
from generators.model.words import ReadingKind

SQUARE = np.array([[100.0, 80.0], [300.0, 80.0], [300.0, 240.0], [100.0, 240.0]])
LINES = (
    MeasureLine(name="left", kind="vertical", holes="right"),
    MeasureLine(name="bottom", kind="horizontal", holes="above"),
)
HANDED = (Handed(hole="c", side="left", from_="a", to="b"),)
SIGMA = 0.5


def names(count: int) -> list[str]:
    return [chr(ord("a") + i) for i in range(count)]


def truth_reading(points: Array, dia: Sequence[float], kind: str, i: int, j: int) -> float:
    """What an exact instrument says: written out again, not taken from the program."""
    d, ri, rj = math.dist(points[i], points[j]), dia[i] / 2, dia[j] / 2
    return {"centre": d, "inner": d - ri - rj, "outer": d + ri + rj, "same_side": d + ri - rj}[kind]


def readings(
    points: Array,
    pairs: Iterable[tuple[int, int]] | None = None,
    *,
    dia: Sequence[float] | None = None,
    kinds: Sequence[ReadingKind] = ("centre",),
    lines: bool = False,
    handed: Sequence[Handed] = (),
    frame: MeasureFrame | None = None,
    rng: np.random.Generator | None = None,
    sigma: float = SIGMA,
    slip: tuple[int, float] | None = None,
    scale: float = 1.0,
    known: Sequence[int] = (),
) -> Readings:
    """A survey of ``points``: noise from ``rng``, one slip as (reading, mm), a scale on the tape."""
    n = len(points)
    sizes = list(dia) if dia is not None else [10.0] * n
    name = names(n)

    def noise(s: float) -> float:
        return float(rng.normal(0.0, s)) if rng is not None else 0.0

    found = []
    chosen = list(itertools.combinations(range(n), 2)) if pairs is None else list(pairs)
    for k, (i, j) in enumerate(chosen):
        kind = kinds[k % len(kinds)]
        value = scale * truth_reading(points, sizes, kind, i, j) + noise(sigma)
        found.append(Reading(kind=kind, from_=name[i], to=name[j], is_mm=value))
    if lines:
        for i in range(n):
            for line, axis in (("left", 0), ("bottom", 1)):
                value = scale * float(points[i][axis]) + noise(sigma)
                found.append(Reading(from_=name[i], to=line, is_mm=value))
    if slip is not None:
        k, by = slip
        old = found[k]
        found[k] = Reading(kind=old.kind, from_=old.from_, to=old.to, is_mm=old.is_mm + by)
    return Readings(
        measure=MeasureHead(name="sample", title="Sample", tape_mm=sigma),
        frame=frame if frame is not None else MeasureFrame(),
        hole=tuple(
            MeasuredHole(
                name=name[i],
                diameter_mm=sizes[i] + noise(0.1),
                at=(float(points[i][0]), float(points[i][1])) if i in known else None,
            )
            for i in range(n)
        ),
        line=LINES if lines else (),
        reading=tuple(found),
        handed=tuple(handed),
    )


def distances(points: Array) -> Array:
    """All distances, shape (n, n)."""
    step = points[:, None, :] - points[None, :, :]
    return np.hypot(step[..., 0], step[..., 1])
