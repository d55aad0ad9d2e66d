"""What each reading should say of given hole positions: values and exact derivatives.

The unknowns ``x`` are ``u0, v0, u1, v1, …`` of the holes and then their diameters, all in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from generators.model.spec.readings import MeasureLine, Reading, Readings
from generators.model.words import OFFSET_KINDS

Array = NDArray[np.float64]
IntArray = NDArray[np.intp]

DISTANCE, LINE, OFFSET, COORDINATE, DIAMETER = range(5)
# Which rim each kind starts and ends at: +1 adds half a diameter, -1 takes it off.
RIMS = {"centre": (0.0, 0.0), "inner": (-1.0, -1.0), "outer": (1.0, 1.0), "same_side": (1.0, -1.0)}
KIND_WORDS = {
    "centre": "centres",
    "offset_u": "u offset",
    "offset_v": "v offset",
    "same_side": "same-side edges",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One observation: ``a`` and ``b`` are hole indices, ``axis`` 0 for u and 1 for v.

    ``rim_a`` and ``rim_b`` times half a diameter are added. A line lies at ``at_mm`` and the holes on
    its side ``sign``. ``label`` says it in words; ``source`` is the path in the file, or empty.
    """

    kind: int
    a: int
    b: int = -1
    rim_a: float = 0.0
    rim_b: float = 0.0
    axis: int = 0
    at_mm: float = 0.0
    sign: float = 1.0
    value_mm: float = 0.0
    sigma_mm: float = 1.0
    instrument: str = ""
    label: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The rows as arrays, and which of them are of each kind: the form the equations are evaluated in."""

    a: IntArray
    b: IntArray
    rim_a: Array
    rim_b: Array
    axis: IntArray
    at_mm: Array
    sign: Array
    of_kind: tuple[IntArray, ...]


@dataclass(frozen=True, kw_only=True)
class Problem:
    """Observations of ``names`` holes; ``exact`` gives the centres that are known, by index."""

    names: tuple[str, ...]
    rows: tuple[Row, ...]
    exact: tuple[tuple[int, tuple[float, float]], ...] = ()

    @property
    def count(self) -> int:
        """How many holes."""
        return len(self.names)

    @cached_property
    def columns(self) -> Columns:
        """The rows as arrays."""
        rows = self.rows
        kinds = np.array([r.kind for r in rows], dtype=np.intp)
        return Columns(
            a=np.array([r.a for r in rows], dtype=np.intp),
            b=np.array([r.b for r in rows], dtype=np.intp),
            rim_a=np.array([r.rim_a for r in rows]) / 2,
            rim_b=np.array([r.rim_b for r in rows]) / 2,
            axis=np.array([r.axis for r in rows], dtype=np.intp),
            at_mm=np.array([r.at_mm for r in rows]),
            sign=np.array([r.sign for r in rows]),
            of_kind=tuple(np.flatnonzero(kinds == kind) for kind in range(5)),
        )

    @cached_property
    def observed(self) -> Array:
        """What was read, shape (rows,), mm."""
        return np.array([r.value_mm for r in self.rows])

    @cached_property
    def sigma(self) -> Array:
        """Standard uncertainties, shape (rows,), mm."""
        return np.array([r.sigma_mm for r in self.rows])

    def diameters(self) -> Array:
        """Mean of each hole's diameter readings, shape (holes,), mm."""
        out = np.zeros(self.count)
        for i in range(self.count):
            out[i] = np.mean([r.value_mm for r in self.rows if r.kind == DIAMETER and r.a == i])
        return out


def model(problem: Problem, x: Array) -> Array:
    """What the readings would be, shape (rows,), for unknowns ``x``, shape (3 holes,)."""
    n, c = problem.count, problem.columns
    p, d = x[: 2 * n].reshape(n, 2), x[2 * n :]
    out = c.rim_a * d[c.a]
    k = c.of_kind[DISTANCE]
    step = p[c.b[k]] - p[c.a[k]]
    out[k] += np.hypot(step[:, 0], step[:, 1]) + c.rim_b[k] * d[c.b[k]]
    k = c.of_kind[LINE]
    out[k] += c.sign[k] * (p[c.a[k], c.axis[k]] - c.at_mm[k])
    k = c.of_kind[OFFSET]
    out[k] = p[c.b[k], c.axis[k]] - p[c.a[k], c.axis[k]]
    k = c.of_kind[COORDINATE]
    out[k] = p[c.a[k], c.axis[k]]
    k = c.of_kind[DIAMETER]
    out[k] = d[c.a[k]]
    return out


def jacobian(problem: Problem, x: Array) -> Array:
    """Derivatives of :func:`model`, shape (rows, 3 holes)."""
    n, c = problem.count, problem.columns
    p = x[: 2 * n].reshape(n, 2)
    out = np.zeros((len(problem.rows), 3 * n))
    k = c.of_kind[DISTANCE]
    step = p[c.b[k]] - p[c.a[k]]
    length = np.hypot(step[:, 0], step[:, 1])
    # two centres on one spot have no direction; any will do to part them
    step[length < 1e-9] = (1.0, 0.0)
    way = step / np.maximum(length, 1.0 * (length < 1e-9))[:, None]
    for axis in (0, 1):
        out[k, 2 * c.a[k] + axis] = -way[:, axis]
        out[k, 2 * c.b[k] + axis] = way[:, axis]
    out[k, 2 * n + c.a[k]] = c.rim_a[k]
    out[k, 2 * n + c.b[k]] += c.rim_b[k]
    k = c.of_kind[LINE]
    out[k, 2 * c.a[k] + c.axis[k]] = c.sign[k]
    out[k, 2 * n + c.a[k]] = c.rim_a[k]
    k = c.of_kind[OFFSET]
    out[k, 2 * c.b[k] + c.axis[k]] = 1.0
    out[k, 2 * c.a[k] + c.axis[k]] = -1.0
    k = c.of_kind[COORDINATE]
    out[k, 2 * c.a[k] + c.axis[k]] = 1.0
    k = c.of_kind[DIAMETER]
    out[k, 2 * n + c.a[k]] = 1.0
    return out


def build(readings: Readings) -> Problem:
    """The observations of a file whose names have been checked (``reading.readings``)."""
    index = {h.name: i for i, h in enumerate(readings.hole)}
    lines = {line.name: line for line in readings.line}
    rows: list[Row] = []
    exact = []
    for i, hole in enumerate(readings.hole):
        sigma = readings.instrument_mm(hole.diameter_by)
        rows.append(
            Row(
                kind=DIAMETER,
                a=i,
                value_mm=hole.diameter_mm,
                sigma_mm=sigma,
                instrument=hole.diameter_by,
                label=f"diameter of {hole.name}",
                source=f"hole[{i}].diameter",
            )
        )
        if hole.at is not None and hole.uncertainty_mm is None:
            exact.append((i, hole.at))
        elif hole.at is not None and hole.uncertainty_mm is not None:
            rows += [
                Row(
                    kind=COORDINATE,
                    a=i,
                    axis=axis,
                    value_mm=hole.at[axis],
                    sigma_mm=hole.uncertainty_mm,
                    label=f"{'uv'[axis]} of {hole.name}",
                    source=f"hole[{i}].at",
                )
                for axis in (0, 1)
            ]
    for k, reading in enumerate(readings.reading):
        rows.append(_row(reading, index, readings, f"reading[{k}]", lines))
    return Problem(names=tuple(index), rows=tuple(rows), exact=tuple(exact))


def _row(
    reading: Reading, index: dict[str, int], readings: Readings, source: str, lines: dict[str, MeasureLine]
) -> Row:
    a = index[reading.from_]
    plain = Row(
        kind=DIAMETER,
        a=a,
        value_mm=reading.is_mm,
        sigma_mm=reading.uncertainty_mm or readings.instrument_mm(reading.by),
        instrument=reading.by,
        label=f"diameter of {reading.from_}",
        source=source,
    )
    if reading.kind == "diameter":
        return plain
    label = f"{reading.from_} to {reading.to}, {KIND_WORDS.get(reading.kind, f'{reading.kind} edges')}"
    if reading.kind in OFFSET_KINDS:
        axis = int(reading.kind == "offset_v")
        return replace(plain, kind=OFFSET, b=index[reading.to], axis=axis, label=label)
    rim_a, rim_b = RIMS[reading.kind]
    line = lines.get(reading.to)
    if line is None:
        return replace(plain, kind=DISTANCE, b=index[reading.to], rim_a=rim_a, rim_b=rim_b, label=label)
    return replace(
        plain,
        kind=LINE,
        rim_a=rim_a,
        axis=int(line.kind == "horizontal"),
        at_mm=line.at_mm,
        sign=1.0 if line.holes in ("right", "above") else -1.0,
        label=label,
    )


def without(problem: Problem, drop: Sequence[int]) -> Problem:
    """The same problem with those rows left out."""
    gone = set(drop)
    rows = tuple(r for k, r in enumerate(problem.rows) if k not in gone)
    return Problem(names=problem.names, rows=rows, exact=problem.exact)
