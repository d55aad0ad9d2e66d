"""Bulkheads and rows of clamps put where their hoses are shortest within all rules; before all drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.layout.mounting import PlacedPart, panel_pose
from generators.layout.panels import job_layouts
from generators.layout.spots import Sheets, panel_hole, sheets_of
from generators.model.hose_path import HoseRun, Panel3, Point2, Port3
from generators.model.hose_results import Placement
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job, Position
from generators.model.spec.lines import ClampRow, Component
from generators.reading import JobFile
from generators.reading.keys.lines import split_port
from generators.routing.around.detour import Surroundings, surroundings
from generators.routing.placing import best_place, whole_mm
from generators.routing.regions import Seat
from generators.solve.bodies.standing import standing
from generators.solve.hoses.lines import hose_runs
from generators.solve.places.bounds import hole_bounds
from generators.solve.places.rows import moved_row, row_place
from generators.solve.scene import clearance_limits, obstacles_to_hoses, panels_to_hoses
from generators.space.motion import Mover

BEST = "best"


def place_best(
    file: JobFile,
    parts: Sequence[PlacedPart],
    layouts: Sequence[PanelLayout],
    movers: Sequence[Mover],
) -> tuple[JobFile, dict[str, Placement]]:
    """The job with all that says ``place = "best"`` put in its place, and the answers by name.

    ``movers`` are the pedals on their way.

    Bulkheads come before rows of clamps; each finds those before it in their new places, the others where
    the spec has them. Places are whole millimetres where the rules allow it. Raises ``SpecError`` as
    ``hose_runs`` does.
    """
    wanted: list[Component | ClampRow] = [c for c in file.job.component if c.place == BEST]
    wanted += [row for row in file.job.clamp_row if row.place == BEST]
    found: dict[str, Placement] = {}
    for item in wanted:
        job = file.job
        sheets = sheets_of(job.panel, layouts, parts)
        runs = hose_runs(file, sheets)[0]
        stands = standing(job, sheets).bodies
        around = surroundings(
            obstacles_to_hoses(stands, movers), panels_to_hoses(stands, layouts), clearance_limits(job.limits)
        )
        if isinstance(item, ClampRow):
            place = row_place(item, runs, job, sheets, around)
            job = moved_row(job, item, place, sheets)
        else:
            place = _best(item, runs, job, sheets, around)
            job = _moved(job, item, place)
        found[item.name] = place
        file = replace(file, job=job)
        layouts = job_layouts(job, parts)
    return file, found


def _best(
    component: Component, runs: Sequence[HoseRun], job: Job, sheets: Sheets, around: Surroundings
) -> Placement:
    name = component.on.panel
    layout, panel = sheets.layouts[name], next(p for p in around.panels if p.name == name)
    hole = panel_hole(sheets, name, component.on.holes[0])
    pose = panel_pose(sheets.panels[name])
    mine = [run for run in runs if component.name in {_owner(run.start), _owner(run.end)}]
    bounds = list(hole_bounds(layout, hole, job.limits))
    at = _runs_at(component.name, mine, panel, pose, (hole.u_mm, hole.v_mm))
    span = job.limits.hose_support_mm
    try:
        return whole_mm(best_place(at, bounds, around, span), at, bounds, around, span)
    except ValueError:
        # the bounds leave no room: the spec's own place stands, and the rules say what is wrong with it
        return Placement(
            found=False, at=(hole.u_mm, hole.v_mm), length_mm=0.0, paths=(), bound_by=(), tried=0
        )


def _owner(port: Port3) -> str:
    return split_port(port.name)[0]


def _runs_at(
    name: str, runs: Sequence[HoseRun], panel: Panel3, pose: Matrix, place: Point2
) -> Callable[[Point2], tuple[HoseRun, ...]]:
    """The runs with their ends in the bulkhead moved to a place."""
    back: Matrix = np.asarray(np.linalg.inv(pose), dtype=np.float64)

    def seat(port: Port3) -> Seat:
        u, v, w = (float(c) for c in apply(back, np.array([port.position]))[0])
        a, b, c = (float(d) for d in back[:3, :3] @ np.array(port.direction))
        return Seat(panel=panel, port=port, offset_mm=(u - place[0], v - place[1], w), direction=(a, b, c))

    def at(here: Point2) -> tuple[HoseRun, ...]:
        return tuple(
            replace(
                run,
                start=seat(run.start).at(here) if _owner(run.start) == name else run.start,
                end=seat(run.end).at(here) if _owner(run.end) == name else run.end,
            )
            for run in runs
        )

    return at


def _moved(job: Job, component: Component, place: Placement) -> Job:
    """The job with the hole of a bulkhead at its place; as it was when none was found."""
    if not place.found:
        return job
    at = Position(u_mm=place.at[0], v_mm=place.at[1])
    panels = tuple(
        replace(
            panel,
            hole=tuple(replace(h, at=at) if h.name == component.on.holes[0] else h for h in panel.hole),
        )
        if panel.name == component.on.panel
        else panel
        for panel in job.panel
    )
    return replace(job, panel=panels)
