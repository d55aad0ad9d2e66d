"""Rows of clamps put where the hoses through them are shortest within all rules."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from generators.checks.hose.lengths import support_limit
from generators.geometry.frames import Matrix, apply, panel_frame
from generators.layout.spots import Sheets, panel_hole, point3
from generators.model.hose_path import HoseRun, Point2, Waypoint
from generators.model.hose_results import Placement
from generators.model.spec.job import Job, Position
from generators.model.spec.lines import ClampRow
from generators.reading.keys.clamp_rows import row_line, row_shares
from generators.reading.keys.lines import row_names
from generators.routing.around.detour import Surroundings
from generators.routing.placing import best_place, whole_mm
from generators.routing.regions import Bound, row_bounds
from generators.solve.hoses.lines import hose_outside
from generators.solve.places.bounds import forbidden, hole_bounds, strip

LEAST_STEP_MM = 50.0
"""Clamps of one row nearer to each other than this hold no better: ours."""


def row_place(
    row: ClampRow, runs: Sequence[HoseRun], job: Job, sheets: Sheets, around: Surroundings
) -> Placement:
    """The best place of a row: how far along its line the first and the last clamp are, mm.

    Not found, and where the spec has it, when the rules leave no room. Raises nothing for a checked job.
    """
    start, end = _ends(row, sheets)
    length = float(np.linalg.norm(end - start))
    names = row_names(row)
    mine = [run for run in runs if any(w.name in names for w in run.via)]
    limits = [
        support_limit(hose, hose_outside(hose), job.limits)[0]
        for hose in job.hose
        if any(name in names for name in hose.clamps)
    ]
    span = min(limits, default=job.limits.hose_support_mm)
    least = min(LEAST_STEP_MM, length / max(row.count - 1, 1))
    bounds = [*row_bounds(length, row.count, least, span), *_hole_strips(row, job, sheets, length)]
    at = _runs_at(row, mine, (end - start) / length, length)
    try:
        return whole_mm(best_place(at, bounds, around, span), at, bounds, around, span)
    except ValueError:
        return Placement(found=False, at=(0.0, length), length_mm=0.0, paths=(), bound_by=(), tried=0)


def moved_row(job: Job, row: ClampRow, place: Placement, sheets: Sheets) -> Job:
    """The job with the row's clamps and their holes in that place; as it was when none was found."""
    if not place.found:
        return job
    start, end = _ends(row, sheets)
    along = (end - start) / np.linalg.norm(end - start)
    stations = dict(zip(row_names(row), _stations(row, (place.at[0], place.at[1])), strict=True))
    if not row.panel:
        spots = {name: point3(start + s * along) for name, s in stations.items()}
        clamps = tuple(
            replace(c, on=replace(c.on, at=spots[c.name])) if c.name in spots else c for c in job.clamp
        )
        return replace(job, clamp=clamps)
    (au, av), (bu, bv) = row_line(row, sheets.panels[row.panel])
    long = math.dist((au, av), (bu, bv))
    holes = {
        name: Position(u_mm=au + (bu - au) * s / long, v_mm=av + (bv - av) * s / long)
        for name, s in stations.items()
    }
    panels = tuple(
        replace(p, hole=tuple(replace(h, at=holes[h.name]) if h.name in holes else h for h in p.hole))
        if p.name == row.panel
        else p
        for p in job.panel
    )
    return replace(job, panel=panels)


def _ends(row: ClampRow, sheets: Sheets) -> tuple[Matrix, Matrix]:
    """Both ends of the row's line in the vehicle, mm."""
    if row.start_at is not None and row.end_at is not None:
        return np.array(row.start_at), np.array(row.end_at)
    panel = sheets.panels[row.panel]
    line = np.array([[*point, 0.0] for point in row_line(row, panel)])
    ends = apply(panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad), line)
    return ends[0], ends[1]


def _stations(row: ClampRow, place: Point2) -> list[float]:
    """How far along the line each clamp is, mm; one alone is where the first would be."""
    if row.count == 1:
        return [place[0]]
    return [place[0] + (place[1] - place[0]) * share for share in row_shares(row.count)]


def _runs_at(
    row: ClampRow, runs: Sequence[HoseRun], along: Matrix, length_mm: float
) -> Callable[[Point2], tuple[HoseRun, ...]]:
    """The runs with the row's clamps slid along their line to a place."""
    given = [share * length_mm for share in row_shares(row.count)]

    def slid(waypoint: Waypoint, moves: Mapping[str, float]) -> Waypoint:
        move = moves.get(waypoint.name)
        if move is None:
            return waypoint
        return replace(waypoint, position=point3(np.array(waypoint.position) + move * along))

    def at(place: Point2) -> tuple[HoseRun, ...]:
        new = _stations(row, place)
        moves = {name: b - a for name, a, b in zip(row_names(row), given, new, strict=True)}
        return tuple(replace(run, via=tuple(slid(w, moves) for w in run.via)) for run in runs)

    return at


def _hole_strips(row: ClampRow, job: Job, sheets: Sheets, length_mm: float) -> Iterator[Bound]:
    """What the panel's rules for holes leave of the places (first, last); nothing for a row in space."""
    if not row.panel:
        return
    layout, names = sheets.layouts[row.panel], row_names(row)
    holes = [panel_hole(sheets, row.panel, name) for name in names]
    own = {hole.number for hole in holes}
    start, end = row_line(row, sheets.panels[row.panel])
    shares = [0.0] if row.count == 1 else row_shares(row.count)
    for hole, share in zip(holes, shares, strict=True):
        for name, low, high in forbidden(list(hole_bounds(layout, hole, job.limits, own)), start, end):
            yield strip(name, share, low, high, 4.0 * length_mm)
