"""Rows of clamps written out: each becomes a hole of its panel and a clamp of its own.

A hose that names a row passes all its clamps in order. Done once after reading, so that layouts, rules
and sheets know nothing but holes and clamps.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from generators.model.spec.job import HoleSpec, Job, Panel, Position
from generators.model.spec.lines import Clamp, ClampRow, Spot
from generators.model.words import OTHER
from generators.reading.keys.lines import row_names

Point = tuple[float, float]


def row_line(row: ClampRow, panel: Panel) -> tuple[Point, Point]:
    """Ends of the line the fasteners of a row lie on, in the panel frame, mm."""
    if row.start is not None and row.end is not None:
        (au, av), (bu, bv) = row.start, row.end
    else:
        bead = next(bead for bead in panel.bead if bead.name == row.along)
        (au, av), (bu, bv) = bead.start, bead.end
    length = math.hypot(bu - au, bv - av)
    nu, nv = -(bv - av) / length * row.offset_mm, (bu - au) / length * row.offset_mm
    return (au + nu, av + nv), (bu + nu, bv + nv)


def row_points(row: ClampRow, panel: Panel) -> tuple[Point, ...]:
    """Fasteners of a row in the panel frame, mm: at even steps from end to end, one alone in the middle."""
    (au, av), (bu, bv) = row_line(row, panel)
    return tuple((au + (bu - au) * s, av + (bv - av) * s) for s in row_shares(row.count))


def row_shares(count: int) -> list[float]:
    """How far along from the first to the last each clamp of a row lies, 0 to 1; one alone, half."""
    return [0.5] if count == 1 else [i / (count - 1) for i in range(count)]


def _holes(row: ClampRow, panel: Panel) -> Iterator[HoleSpec]:
    bolted = row.fastener == "bolt"
    for name, (u, v) in zip(row_names(row), row_points(row, panel), strict=True):
        yield HoleSpec(
            name=name,
            at=Position(u_mm=u, v_mm=v),
            kind="bolt" if bolted else "insert",
            purpose=f"cushioned clamp, {row.name.replace('_', ' ')}",
            thread=row.thread,
            fit=row.fit,
            diameter_mm=None if bolted else row.hole_mm,
            grip_mm=None if bolted else row.grip_mm,
            drill_from=row.side if not bolted else "cab",
            nut_face=OTHER[row.side] if bolted else "none",
        )


def _spots(row: ClampRow) -> Iterator[Spot]:
    if row.start_at is None or row.end_at is None:
        for name in row_names(row):
            yield Spot(panel=row.panel, holes=(name,), side=row.side)
        return
    for share in row_shares(row.count):
        x, y, z = (a + (b - a) * share for a, b in zip(row.start_at, row.end_at, strict=True))
        yield Spot(at=(x, y, z), facing=row.facing)


def _clamps(row: ClampRow) -> Iterator[Clamp]:
    for name, spot in zip(row_names(row), _spots(row), strict=True):
        yield Clamp(
            name=name,
            shelf=row.shelf,
            dash=row.dash,
            on=spot,
            fastener=row.fastener,
            aside=row.aside,
            metal=row.metal,
            thread=row.thread,
            bag=row.bag,
            after=row.after,
        )


def expand_rows(job: Job) -> Job:
    """The job with the clamps and holes of its rows. Needs a job that was checked; raises nothing."""
    if not job.clamp_row:
        return job
    panels = tuple(
        replace(
            panel,
            hole=(
                *panel.hole,
                *(hole for row in job.clamp_row if row.panel == panel.name for hole in _holes(row, panel)),
            ),
        )
        for panel in job.panel
    )
    rows = {row.name: row_names(row) for row in job.clamp_row}
    hoses = tuple(
        replace(hose, clamps=tuple(clamp for name in hose.clamps for clamp in rows.get(name, (name,))))
        for hose in job.hose
    )
    clamps = (*job.clamp, *(clamp for row in job.clamp_row for clamp in _clamps(row)))
    return replace(job, panel=panels, clamp=clamps, hose=hoses)
