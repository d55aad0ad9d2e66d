"""The job in space, as routing wants it: panels, what stands on them or in the way, pedals in motion."""

from __future__ import annotations

import itertools
from collections.abc import Container, Iterable, Iterator, Sequence

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, panel_frame
from generators.layout.mounting import PlacedPart
from generators.layout.spots import Place, Sheets, body_ends, component_place, point3
from generators.model.hose_path import (
    Box3,
    ClearanceLimits,
    Cylinder3,
    Limb,
    Obstacle3,
    Opening3,
    Panel3,
    Prism3,
    Sweep3,
)
from generators.model.limits import Limits
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.fittings import Body3
from generators.model.spec.job import Job, Panel
from generators.model.spec.lines import Component
from generators.model.words import KeptOff, ZoneKind
from generators.sheetmetal.lying import lying
from generators.solve.bodies.obstacles import Standing, standing_on, vehicle_piece, zone_on
from generators.solve.bodies.pedals import PedalShapes
from generators.solve.bodies.sheets import flanges_in_vehicle
from generators.solve.pedals import PedalAnswer
from generators.space.pieces import Box, Rod

ARC_MM = 0.1

OPEN_KINDS = ("grommet", "plain", "existing")
"""Holes that stay holes: what a bolt or a fitting fills has no edge to rub on."""


def clearance_limits(limits: Limits) -> ClearanceLimits:
    """The gaps the rules ask for."""
    return ClearanceLimits(
        fixed_mm=limits.hose_clear_mm,
        moving_mm=limits.hose_moving_mm,
        hot_mm=limits.hose_hot_mm,
        steering_mm=limits.hose_steering_mm,
        face_mm=limits.hose_face_mm,
        edge_mm=limits.hose_edge_mm,
    )


def _openings(holes: Iterable[PanelHole]) -> Iterator[Opening3]:
    for hole in holes:
        if hole.kind in OPEN_KINDS and hole.status != "blank":
            yield Opening3(name=hole.name, u_mm=hole.u_mm, v_mm=hole.v_mm, diameter_mm=hole.final_dia_mm)


def panel3(layout: PanelLayout, panel: Panel) -> Panel3:
    """A panel's sheet in the vehicle: its cab face is w = 0."""
    pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
    return Panel3(
        name=layout.panel,
        origin=point3(pose[:3, 3]),
        u=point3(pose[:3, 0]),
        v=point3(pose[:3, 1]),
        low_mm=-layout.thickness_mm,
        high_mm=0.0,
        outline=tuple(polyline(layout.contour, ARC_MM)),
        openings=tuple(_openings(layout.holes)),
    )


def _prism(
    name: str,
    pose: Matrix,
    outline: Sequence[tuple[float, float]],
    low: float,
    high: float,
    kind: KeptOff,
) -> Prism3:
    return Prism3(
        name=name,
        origin=point3(pose[:3, 3]),
        u=point3(pose[:3, 0]),
        v=point3(pose[:3, 1]),
        outline=tuple(outline),
        low_mm=low,
        high_mm=high,
        kind=kind,
    )


def _panel_obstacles(layout: PanelLayout, panel: Panel) -> Iterator[Obstacle3]:
    kinds = {o.name: o.body_is or "fixed" for o in panel.obstacle}
    for thing in standing_on(panel, layout):
        yield _upright(thing, kinds.get(thing.name, "fixed"))


def _upright(thing: Standing, kind: KeptOff) -> Prism3:
    return _prism(thing.name, thing.pose, thing.outline, thing.low_mm, thing.high_mm, kind)


def _part_obstacles(part: PlacedPart, panel: Panel) -> Iterator[Obstacle3]:
    frames = flanges_in_vehicle(part, panel)
    for flange in part.plan.flanges if frames else ():
        yield _prism(
            f"{part.spec.name} {flange.name}",
            frames[flange.name],
            polyline(flange.contour, ARC_MM),
            0.0,
            part.plan.thickness_mm,
            "fixed",
        )


def _body(body: Body3, kind: KeptOff) -> Obstacle3:
    """The rod or the box that the body is."""
    return _of_piece(vehicle_piece(body), body.name, kind)


def _of_piece(piece: Box | Rod, name: str, kind: KeptOff) -> Obstacle3:
    if isinstance(piece, Rod):
        return Cylinder3(name=name, start=piece.start, end=piece.end, radius_mm=piece.radius_mm, kind=kind)
    return Box3(
        name=name,
        centre=point3(piece.pose[:3, 3]),
        u=point3(piece.pose[:3, 0]),
        v=point3(piece.pose[:3, 1]),
        half_mm=piece.half_mm,
        kind=kind,
    )


def zone_obstacles(job: Job, kinds: Container[ZoneKind]) -> Iterator[Obstacle3]:
    """Zones of some kinds as room to stay out of. Raises ``GeometryFault`` for an outline without area."""
    for panel in job.panel:
        for thing in panel.obstacle:
            if thing.zone in kinds:
                yield _upright(zone_on(panel, thing), "zone")
    yield from (_body(body, "zone") for body in job.obstacle if body.zone in kinds)


def component_body(component: Component, sheets: Sheets) -> Cylinder3 | None:
    """The body of a component as a rod; None where the spec gives none.

    Raises ``GeometryFault`` as ``place`` does.
    """
    ends = body_ends(component, component_place(component, sheets).frame)
    if ends is None or component.diameter_mm is None:
        return None
    return Cylinder3(
        name=component.name, start=ends[0], end=ends[1], radius_mm=component.diameter_mm / 2, kind="fixed"
    )


def through_mm(where: Place, sheets: Sheets) -> float:
    """What of a panel lies between a part and a component that stands through it, mm: the component sits on
    the panel's far face. 0 where it stands on the part itself."""
    part = sheets.parts.get(where.part)
    if part is None or part.mount is None or where.panel:
        return 0.0
    if all(flange.name != where.flange for flange, _ in lying(part.plan)):
        return 0.0
    panel = sheets.panels[part.mount.panel]
    face = 1.0 if part.mount.face == "cab" else -1.0
    normal = face * panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)[:3, 2]
    away = float(normal @ where.frame[:3, 0]) > 0
    return 0.0 if away else panel.thickness_mm + part.lift_mm


def component_flange(component: Component, sheets: Sheets) -> Box | None:
    """The mounting flange of a component, flat on the face it sits on; None where the spec gives none.

    Raises ``GeometryFault`` as ``place`` does.
    """
    width, height, thick = component.flange_width_mm, component.flange_height_mm, component.flange_mm
    if width is None or height is None or thick is None:
        return None
    where = component_place(component, sheets)
    pose = where.frame.copy()
    pose[:3, 3] += pose[:3, 0] * (through_mm(where, sheets) + thick / 2)
    return Box(pose=pose, half_mm=(thick / 2, width / 2, height / 2))


def pedal_sweep(answer: PedalAnswer) -> Sweep3:
    """A pedal's arm through its whole travel: pivot to pin, and bend by bend to the pad.

    A flat arm counts as round, as wide as it is in the plane it swings in.
    """
    link, shapes = answer.linkage, PedalShapes(answer.spec, answer.frame)
    line = [point3(point) for point in shapes.line()]
    radius = shapes.half_width_mm
    limbs = [Limb(start=line[0], end=point3(shapes.at(link.pin)), radius_mm=radius)]
    limbs += [Limb(start=a, end=b, radius_mm=radius) for a, b in itertools.pairwise(line)]
    return Sweep3(
        name=f"{answer.spec.name} pedal",
        pivot=line[0],
        axis=point3(shapes.across),
        turn_rad=link.sense * link.bare_mm / link.pad_radius_mm,
        limbs=tuple(limbs),
    )


def job_obstacles(job: Job, sheets: Sheets, pedals: Sequence[PedalAnswer]) -> tuple[Obstacle3, ...]:
    """Everything a hose may not touch, but for the panels themselves.

    Raises ``GeometryFault`` for a component whose place is not there.
    """
    found: list[Obstacle3] = []
    for layout in sheets.layouts.values():
        found += _panel_obstacles(layout, sheets.panels[layout.panel])
    for part in sheets.parts.values():
        if part.mount is not None:
            found += _part_obstacles(part, sheets.panels[part.mount.panel])
    found += [_body(body, kind) for body in job.obstacle if (kind := body.body_is) is not None]
    for component in job.component:
        body = component_body(component, sheets)
        if body is not None:
            found.append(body)
        flange = component_flange(component, sheets)
        if flange is not None:
            found.append(_of_piece(flange, component.name, "fixed"))
    found += [pedal_sweep(answer) for answer in pedals]
    return tuple(found)
