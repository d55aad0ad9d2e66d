"""A job as its kit stands on one vehicle: panels, holes and parts where that vehicle puts them, solved again.

Slopes of the job by plan foretell a hose some millimetres off its plan; far from there it runs another way.
So what is known of a vehicle is put into the model itself; lines and bodies are solved as of any job.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from generators.layout.mounting import PlacedPart
from generators.layout.panels import keepouts
from generators.measure.chance.kit import Key
from generators.measure.equations import Array
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job, Obstacle, Panel
from generators.reading.keys.datums import position_uv
from generators.solve.bodies.scene import job_bodies
from generators.solve.hoses.lines import solve_lines
from generators.solve.job import Prepared
from generators.solve.moving import pedals_in_space
from generators.solve.pedals import pedal_ends, solve_pedals
from generators.solve.spread.columns import Sparse
from generators.solve.spread.holes import UV, PanelMoves

XYZ = ("x", "y", "z")


@dataclass(frozen=True, kw_only=True)
class Known:
    """What is known of a vehicle: how far each of its columns is off, mm or rad, by key."""

    off: Mapping[Key, float]

    def by(self, of: str, thing: str, axes: tuple[str, ...] = ("",)) -> tuple[float, ...]:
        """How far a thing is off along each axis."""
        return tuple(self.off.get((of, thing, axis), 0.0) for axis in axes)


def _at3(at: tuple[float, float, float], known: Known, name: str) -> tuple[float, float, float]:
    x, y, z = known.by("component", name, XYZ)
    return at[0] + x, at[1] + y, at[2] + z


def _flat(at: tuple[float, float], by: tuple[float, ...]) -> tuple[float, float]:
    return at[0] + by[0], at[1] + by[1]


def _there(obstacle: Obstacle, by: tuple[float, ...]) -> Obstacle:
    """A thing on a panel, as far off."""
    return replace(
        obstacle,
        corner=None if obstacle.corner is None else _flat(obstacle.corner, by),
        centre=None if obstacle.centre is None else _flat(obstacle.centre, by),
        outline=None if obstacle.outline is None else tuple(_flat(p, by) for p in obstacle.outline),
    )


def vehicle_there(job: Job, known: Known) -> Job:
    """The job with what the vehicle has where it is: holes, things in the way, components, leans."""
    panels = []
    for panel in job.panel:
        (lean,) = known.by("panel_angle", panel.name)
        panels.append(
            replace(
                panel,
                tilt_rad=panel.tilt_rad + lean,
                existing=tuple(
                    replace(h, at=_flat(h.at, known.by("existing", f"{panel.name}.{h.name}", UV)))
                    for h in panel.existing
                ),
                obstacle=tuple(
                    _there(o, known.by("obstacle", f"{panel.name}.{o.name}", UV)) for o in panel.obstacle
                ),
            )
        )
    components = [
        c if c.on.at is None else replace(c, on=replace(c.on, at=_at3(c.on.at, known, c.name)))
        for c in job.component
    ]
    return replace(job, panel=tuple(panels), component=tuple(components))


def _by(off: Sparse, x: Array) -> Array:
    """A displacement on this vehicle."""
    out = np.zeros(2)
    for column, vector in off.items():
        out = out + x[column] * vector
    return out


def _part_there(part: PlacedPart, was: Panel, now: Panel, sheet: PanelMoves, x: Array) -> PlacedPart:
    """A part where its bolts or its hose put it, given from the same datums."""
    mount, move = part.spec.mount, sheet.part.get(part.spec.name)
    if mount is None or part.mount is None or move is None:
        return part
    at = np.array(position_uv(was, mount.at)) + _by(move.at(position_uv(was, mount.at)), x)
    turn = sum(float(v[0]) * x[c] for c, v in move.turn.items())
    here = position_uv(now, mount.at)
    place = replace(mount.at, u_mm=mount.at.u_mm + at[0] - here[0], v_mm=mount.at.v_mm + at[1] - here[1])
    seen = turn if mount.face == "cab" else -turn
    mounted = replace(mount, at=place, rotate_rad=mount.rotate_rad + seen)
    return replace(part, spec=replace(part.spec, mount=mounted))


def _layout_there(layout: PanelLayout, panel: Panel, sheet: PanelMoves, x: Array) -> PanelLayout:
    """A panel's holes where they are or are drilled, and what stands on it."""
    holes = []
    for hole in layout.holes:
        by = _by(sheet.hole.get(hole.number, Sparse()), x)
        holes.append(replace(hole, u_mm=hole.u_mm + float(by[0]), v_mm=hole.v_mm + float(by[1])))
    return replace(layout, holes=tuple(holes), keepouts=keepouts(panel))


def stood(prepared: Prepared, known: Known, sheets: Mapping[str, PanelMoves], x: Array) -> Prepared:
    """The job as its kit stands on that vehicle; ``x`` is ``known`` over the columns ``sheets`` are of.

    Findings, fasteners and what pedals feel like stay those of the plan. Raises ``GeometryFault`` and
    ``SpecError`` where things cannot stand so.
    """
    job = vehicle_there(prepared.file.job, known)
    file = replace(prepared.file, job=job)
    before = {p.name: p for p in prepared.file.job.panel}
    now = {p.name: p for p in job.panel}
    parts = tuple(
        part
        if part.mount is None
        else _part_there(part, before[part.mount.panel], now[part.mount.panel], sheets[part.mount.panel], x)
        for part in prepared.parts
    )
    layouts = tuple(
        _layout_there(layout, now[layout.panel], sheets[layout.panel], x) for layout in prepared.layouts
    )
    ends = pedal_ends(file, parts, layouts)
    pedals = solve_pedals(file, parts, ends)
    moving = pedals_in_space(pedals, ends, parts)
    movers = tuple(mover for pedal in moving for mover in pedal.movers)
    lines = solve_lines(file, parts, layouts, pedals, movers)
    scene = replace(
        prepared.scene,
        bodies=job_bodies(job, parts, layouts, lines, prepared.fasteners),
        movers=movers,
        pivots=tuple(body for pedal in moving for body in pedal.pivots),
    )
    return replace(prepared, file=file, parts=parts, layouts=layouts, pedals=pedals, lines=lines, scene=scene)
