"""Where each pedal's travel ends: the metal its pad or arm meets first, and the bolt that stops it.

The floor is looked for among panels, parts and obstacles, which do not hang on hydraulics or hoses. A panel's
covering is a distance kept from it; what the foot feels as floor is the covering whole.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from generators.checks.space.swing import place_words
from generators.errors import Fault, GeometryFault, SpecError
from generators.geometry.frames import panel_frame
from generators.hydraulics.linkage import FloorFound, PedalFrame
from generators.layout.mounting import PlacedPart, part_matrix
from generators.layout.spots import point3
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job, Panel
from generators.reading import JobFile
from generators.sheetmetal.folding import folded_frames
from generators.solve.bodies.pedals import PedalShapes
from generators.solve.bodies.standing import metal
from generators.solve.fasteners.choose import stop_bolt
from generators.solve.fasteners.joint import bolt_of
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.motion import Met, Mover
from generators.space.pieces import Array, Point3
from generators.space.sweep import Sweep, first_of

MOST_MM = 500.0
"""No pedal goes further (bound of the key ``travel``)."""
MOST_RAD = 2.0
_ALONG = 1 - 1e-9
_POINT_MM = 0.01
WALL_RAD = math.radians(20.0)
"""A panel that leans less from upright is a wall and no floor: ours; toe boards lean by 30 to 60 deg."""

THROUGH_MM = 15.0
"""Stop bolt past the upright it goes through where no stock length is long enough (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """How a pedal's travel ends: ``stop_mm`` is infinite for a stop bolt that is never met."""

    floor: FloorFound
    stop_mm: float | None = None
    stop: Body | None = None


def travel_ends(
    file: JobFile,
    frames: Mapping[str, PedalFrame],
    parts: Sequence[PlacedPart],
    layouts: Sequence[PanelLayout],
) -> dict[str, Ends]:
    """Floor and stop of every pedal that can be pressed; ``frames`` has where each hangs.

    Raises ``SpecError`` for a stop bracket that is none. A pedal that cannot be pressed is left out.
    """
    bodies = metal(file.job, parts, layouts).finished() if frames else ()
    ends: dict[str, Ends] = {}
    faults: list[Fault] = []
    for index, pedal in enumerate(file.job.pedal):
        if pedal.name not in frames:
            continue
        try:
            shapes = PedalShapes(pedal, frames[pedal.name])
        except GeometryFault:
            continue  # said when its linkage is built
        try:
            stop = shapes.stop(_bracket_bolt(shapes, file.job, parts))
        except GeometryFault as fault:
            at = f"pedal[{index}].{fault.parameter}"
            faults.append(file.fault_at(at, str(fault), "a stop bracket of this job on a panel"))
            continue
        # what its hub turns on, between its own cheeks, is no floor
        hub = f"bolt:{pedal.hanger}.pivot_"
        met = [b for b in bodies if not (pedal.hanger and b.name.startswith(hub))]
        ends[pedal.name] = _ends(shapes, met, {p.name: p for p in file.job.panel}, stop)
    if faults:
        raise SpecError(faults)
    return ends


def _ends(
    shapes: PedalShapes, bodies: Sequence[Body], panels: Mapping[str, Panel], stop: Body | None
) -> Ends:
    reach = min(MOST_MM / shapes.pad_radius_mm, MOST_RAD)
    moving = [shapes.swinging(shapes.pad(), reach), shapes.swinging(shapes.arm(), reach)]
    middle = shapes.swinging(shapes.middle(_POINT_MM), reach)
    space = Space([m.body for m in (*moving, middle)] + [*bodies] + ([stop] if stop else []))
    covers = {body.name: _covering(body, panels) for body in bodies}
    soft = {body.name: covers[body.name] or 0.0 for body in bodies}
    feet = [_sweep(space, mover, bodies, max(soft.values(), default=0.0)) for mover in moving]
    bare = _first(space, feet, dict.fromkeys(soft, 0.0))
    over = _first(space, feet, soft) if any(soft.values()) else bare
    point = _first(space, [_sweep(space, middle, bodies)], dict.fromkeys(soft, 0.0))
    bolt = _first(space, [_sweep(space, m, [stop]) for m in moving], {stop.name: 0.0}) if stop else None
    pad_mm = shapes.pad_radius_mm
    floor = FloorFound(travel_mm=math.inf, bare_mm=math.inf)
    if bare is not None and over is not None:
        met, _body = bare
        # what is told is what the foot meets, covering and all
        met_over, body = over
        at = _amid(shapes, met_over, body)
        floor = FloorFound(
            travel_mm=met_over.turn_rad * pad_mm,
            bare_mm=met.turn_rad * pad_mm,
            what=body.title,
            where=_place(body, at, panels),
            uv_mm=_uv(body, at, panels),
            beside=_beside(body, at, panels),
            at=at,
            body=body.name,
            by="arm" if met_over.gap.first.endswith(".arm") else "pad",
            point_mm=math.inf if point is None else point[0].turn_rad * pad_mm,
            covering_mm=covers[body.name],
            open_=body.what == "panel" and covers[body.name] is None,
            wall=body.what == "panel" and abs(panels[body.owner].tilt_rad) < WALL_RAD,
        )
    stop_mm = None if stop is None else math.inf if bolt is None else bolt[0].turn_rad * pad_mm
    return Ends(floor=floor, stop_mm=stop_mm, stop=stop)


def _amid(shapes: PedalShapes, met: Met, body: Body) -> Point3:
    """Where it is met; a pad that lies on a panel along an edge is told at its middle."""
    at: Array = np.array(met.gap.to)
    # panels lie along y, so their plane goes on beside the place
    if body.what == "panel" and met.gap.first.endswith(".pad") and abs(shapes.across[1]) > _ALONG:
        at = at + float((shapes.at(shapes.pedal.pad, shapes.pedal.pad_side_mm) - at) @ shapes.across) * (
            shapes.across
        )
    return point3(at)


def _sweep(space: Space, mover: Mover, others: Sequence[Body], within_mm: float = 0.0) -> Sweep:
    numbers = [space.number(body.name) for body in others]
    return Sweep(space, space.number(mover.body.name), mover.motion, numbers, within_mm)


def _first(space: Space, sweeps: Sequence[Sweep], limits: Mapping[str, float]) -> tuple[Met, Body] | None:
    """What is met first, each with the distance kept from it."""
    found = first_of(sweeps, {space.number(name): limit for name, limit in limits.items()})
    return None if found is None else (found[0], space.bodies[found[1]])


def _covering(body: Body, panels: Mapping[str, Panel]) -> float | None:
    return panels[body.owner].covering_mm if body.what == "panel" else None


def _place(body: Body, at: Point3, panels: Mapping[str, Panel]) -> str:
    """A place in words: u and v on a panel, else x, y and z."""
    uv = _uv(body, at, panels)
    return place_words(at) if uv is None else f"u {uv[0] + 0.0:.0f} mm, v {uv[1] + 0.0:.0f} mm"


def _uv(body: Body, at: Point3, panels: Mapping[str, Panel]) -> tuple[float, float] | None:
    """u and v of a place on a panel, mm; None where no panel is met."""
    if body.what != "panel":
        return None
    panel = panels[body.owner]
    back = np.linalg.inv(panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad))
    u, v, _w, _one = back @ np.array([*at, 1.0])
    return float(u), float(v)


def _beside(body: Body, at: Point3, panels: Mapping[str, Panel]) -> tuple[str, float, float] | None:
    """The hole there already that is nearest to a place on a panel, and how far the place is from it."""
    uv = _uv(body, at, panels)
    if uv is None or not panels[body.owner].existing:
        return None
    near = min(panels[body.owner].existing, key=lambda hole: math.dist(hole.at, uv))
    return near.what, uv[0] - near.at[0], uv[1] - near.at[1]


def _bracket_bolt(shapes: PedalShapes, job: Job, parts: Sequence[PlacedPart]) -> tuple[Point3, Point3] | None:
    """Both ends of the bolt in the stop bracket a pedal names, the end that is met first.

    It stands out of the face that the pedal comes toward. Raises ``GeometryFault``.
    """
    bolt = shapes.pedal.stop_bolt
    if bolt is None or not bolt.part:
        return None
    part = next((p for p in parts if p.spec.name == bolt.part), None)
    if part is None or part.mount is None:
        raise GeometryFault(f"no part {bolt.part} on a panel", "stop_bolt.part")
    hole = next(((f, h) for f in part.plan.flanges for h in f.holes if h.name == "stop"), None)
    if hole is None:
        raise GeometryFault(f"{bolt.part}, a part without a stop bolt", "stop_bolt.part")
    flange, at = hole
    panel = next(p for p in job.panel if p.name == part.mount.panel)
    frame = part_matrix(panel, part.mount, part.lift_mm) @ folded_frames(part.plan)[flange.name]
    thickness, normal = part.plan.thickness_mm, frame[:3, 2]
    foot: Array = frame[:3, 3] + at.u_mm * frame[:3, 0] + at.v_mm * frame[:3, 1]
    arm = foot - shapes.pivot
    coming = shapes.sense * np.cross(shapes.across, arm)
    out = -normal if float(coming @ normal) > 0 else normal
    face = foot if float(coming @ normal) > 0 else foot + thickness * normal
    end: Array = face + bolt.stands_mm * out
    row = bolt_of(at.fitting.shank_mm)
    behind = thickness + THROUGH_MM
    if row is not None:
        stock = stop_bolt(row, bolt.stands_mm, thickness)[1]
        if stock is not None:
            behind = stock.length_mm + row.head_height_mm - bolt.stands_mm
    return point3(end), point3(face - behind * out)


def with_ends(frame: PedalFrame, ends: Ends | None) -> PedalFrame:
    """The frame with its floor and stop. A stop bolt that is never met stops nothing."""
    if ends is None:
        return frame
    stop = ends.stop_mm if ends.stop_mm is not None and math.isfinite(ends.stop_mm) else None
    return replace(frame, floor=ends.floor, stop_mm=stop)
