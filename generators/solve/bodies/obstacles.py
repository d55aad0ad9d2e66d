"""What the vehicle already has: things on panels, rods and boxes; and zones, which are room and no bodies.

What can be moved aside is left out.
"""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

from generators.checks.space.zones import Zone
from generators.geometry.contours import polyline
from generators.geometry.frames import panel_frame
from generators.layout.panels import obstacle_contour
from generators.layout.spots import point3
from generators.model.contour import Contour
from generators.model.plan import PanelLayout
from generators.model.spec.fittings import Body3
from generators.model.spec.job import Job, Panel
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.solve.bodies.draft import ARC_MM, Draft, flat_word
from generators.space.body import Body
from generators.space.pieces import Box, Rod
from generators.space.plates import Form, Plate


def panel_obstacles(draft: Draft, panel: Panel, layout: PanelLayout) -> None:
    """What stands on the faces of a panel. Its beads are the panel's own; what can be moved is moved."""
    kinds = {thing.name: thing.body_is for thing in panel.obstacle}
    for keepout in layout.keepouts:
        if not (keepout.bead or keepout.movable):
            draft.add(
                f"obstacle:{panel.name}.{keepout.name}",
                within(keepout.reason),
                "obstacle",
                keepout.name,
                [_upright(panel, keepout.contour, keepout.face, keepout.gap_mm, keepout.depth_mm)],
                [flat_word(panel.name)],
                kept=kinds.get(keepout.name) or "fixed",
            )


def _upright(panel: Panel, contour: Contour, face: Face, gap_mm: float, depth_mm: float) -> Plate:
    """An outline from one height over a face of a panel to another."""
    low, high = gap_mm, gap_mm + depth_mm
    if face == "engine":
        low, high = -panel.thickness_mm - high, -panel.thickness_mm - low
    pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
    return Plate(metal=Polygon(polyline(contour, ARC_MM)), pose=pose, low_mm=low, high_mm=high)


def vehicle_obstacle(draft: Draft, body: Body3) -> None:
    """A rod or a box of the vehicle."""
    kept = body.body_is or "fixed"
    name = f"obstacle:{body.name}"
    draft.add(name, within(body.what), "obstacle", body.name, [_of_vehicle(body)], kept=kept)


def _of_vehicle(body: Body3) -> Box | Rod:
    """The rod or the box."""
    if body.start is not None and body.end is not None and body.diameter_mm is not None:
        return Rod(start=body.start, end=body.end, radius_mm=body.diameter_mm / 2)
    corner, size = np.array(body.corner), np.array(body.size)
    pose = np.eye(4)
    pose[:3, 3] = corner + size / 2
    return Box(pose=pose, half_mm=point3(size / 2))


def zones_of(job: Job) -> tuple[Zone, ...]:
    """Every zone, on panels first. Raises ``GeometryFault`` for an outline without area."""
    found = []
    for panel in job.panel:
        for thing in panel.obstacle:
            if thing.zone is not None:
                form = _upright(panel, obstacle_contour(thing), thing.face, thing.gap_mm, thing.depth_mm)
                room = _room(f"zone:{panel.name}.{thing.name}", thing.name, thing.what, form)
                found.append(Zone(kind=thing.zone, body=room))
    for body in job.obstacle:
        if body.zone is not None:
            room = _room(f"zone:{body.name}", body.name, body.what, _of_vehicle(body))
            found.append(Zone(kind=body.zone, body=room))
    return tuple(found)


def _room(name: str, owner: str, what: str, form: Form) -> Body:
    return Body(name=name, title=within(what), what="zone", owner=owner, forms=(form,), kept="zone")
