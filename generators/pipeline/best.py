"""Bulkheads put where their hoses are shortest within all rules, before anything is drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from shapely.geometry import Point, Polygon

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply, panel_frame
from generators.layout.mounting import PlacedPart
from generators.layout.spots import Sheets, panel_hole, sheets_of
from generators.model.hose_path import HoseRun, Panel3, Point2, Port3
from generators.model.hose_results import Placement
from generators.model.job import Job, Limits, Position
from generators.model.lines import Component
from generators.model.plan import PanelHole, PanelLayout
from generators.pipeline.lines import hose_runs
from generators.pipeline.pedals import PedalAnswer
from generators.pipeline.scene import clearance_limits, job_obstacles, panel3
from generators.reading import JobFile
from generators.reading.lines import split_port
from generators.routing.detour import surroundings
from generators.routing.placing import best_place
from generators.routing.regions import Bound, Seat, rings

OUTLINE_MM = 0.5
BEST = "best"


def place_best(
    file: JobFile,
    parts: Sequence[PlacedPart],
    layouts: Sequence[PanelLayout],
    pedals: Sequence[PedalAnswer],
) -> tuple[JobFile, dict[str, Placement]]:
    """The job with every bulkhead of ``place = "best"`` put in its place, and the answers by component.

    Each is placed with all others where the spec has them. Places are whole millimetres. Raises
    ``SpecError`` as ``hose_runs`` does.
    """
    wanted = [c for c in file.job.component if c.place == BEST]
    if not wanted:
        return file, {}
    sheets = sheets_of(file.job.panel, layouts, parts)
    runs = hose_runs(file, sheets)[0]
    found: dict[str, Placement] = {}
    job = file.job
    for component in wanted:
        found[component.name] = _best(component, runs, file.job, sheets, pedals)
        job = _moved(job, component, found[component.name])
    return replace(file, job=job), found


def _best(
    component: Component,
    runs: Sequence[HoseRun],
    job: Job,
    sheets: Sheets,
    pedals: Sequence[PedalAnswer],
) -> Placement:
    name = component.on.panel
    layout, panel = sheets.layouts[name], panel3(sheets.layouts[name], sheets.panels[name])
    hole = panel_hole(sheets, name, component.on.holes[0])
    pose = panel_frame(sheets.panels[name].origin, sheets.panels[name].tilt_rad)
    mine = [run for run in runs if component.name in {_owner(run.start), _owner(run.end)}]
    bounds = list(_bounds(layout, hole, job.limits))
    at = _runs_at(component.name, mine, panel, pose, (hole.u_mm, hole.v_mm))
    try:
        around = surroundings(
            job_obstacles(job, sheets, pedals),
            [panel3(x, sheets.panels[x.panel]) for x in sheets.layouts.values()],
            clearance_limits(job.limits),
        )
        return best_place(at, bounds, around, job.limits.hose_support_mm)
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


def _bounds(layout: PanelLayout, hole: PanelHole, limits: Limits) -> Iterator[Bound]:
    """The panel's rules for one more hole, as regions it must stay in or out of."""
    across = hole.final_dia_mm
    outline = Polygon(polyline(layout.contour, OUTLINE_MM))
    edge = max(limits.hole_edge_ratio * across, across / 2 + limits.fold_clearance_mm)
    room = max(hole.nut_circle_mm, hole.spanner_circle_mm, across) / 2
    for ring in rings(outline.buffer(-max(edge, room), join_style="mitre")):
        yield Bound(name="edge of the panel", ring=ring)
    for other in layout.holes:
        if other.number == hole.number:
            continue
        apart = max(
            limits.hole_spacing_ratio * max(across, other.final_dia_mm),
            room + max(other.nut_circle_mm, other.final_dia_mm) / 2,
        )
        for ring in rings(Point(other.u_mm, other.v_mm).buffer(apart)):
            yield Bound(name=f"hole {other.number}", ring=ring, inside=False)
    for keepout in layout.keepouts:
        grown = Polygon(polyline(keepout.contour, OUTLINE_MM)).buffer(room + 1.0)
        for ring in rings(grown):
            yield Bound(name=keepout.name, ring=ring, inside=False)
    for footprint in layout.footprints:
        grown = Polygon(polyline(footprint.contour, OUTLINE_MM)).buffer(room + 1.0)
        for ring in rings(grown):
            yield Bound(name=footprint.part, ring=ring, inside=False)


def _moved(job: Job, component: Component, place: Placement) -> Job:
    """The job with the hole of a bulkhead at its place; as it was when none was found."""
    if not place.found:
        return job
    at = Position(u_mm=float(round(place.at[0])), v_mm=float(round(place.at[1])))
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
