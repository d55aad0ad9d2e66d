"""What the vehicle already has: things on panels, rods and boxes. What can be moved aside is left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, panel_frame
from generators.layout.panels import obstacle_contour
from generators.layout.spots import point3
from generators.model.contour import Contour
from generators.model.plan import PanelLayout
from generators.model.spec.fittings import Body3
from generators.model.spec.job import Obstacle, Panel
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.solve.bodies.draft import ARC_MM, Draft, flat_word
from generators.solve.bodies.sheets import sheet_pieces
from generators.space.pieces import Box, Piece, Rod


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Something on a face of a panel: an outline in the panel's ``pose``, from one height to another, mm."""

    name: str
    title: str
    outline: tuple[tuple[float, float], ...]
    low_mm: float
    high_mm: float
    pose: Matrix


def standing_on(panel: Panel, layout: PanelLayout) -> Iterator[Standing]:
    """What stands on the faces of a panel, as bodies and as hoses see it.

    Its beads are the panel's own; what can be moved aside is moved for the job.
    """
    for keepout in layout.keepouts:
        if not (keepout.bead or keepout.movable):
            reach = keepout.gap_mm, keepout.depth_mm
            yield _stands(panel, keepout.name, keepout.reason, keepout.contour, keepout.face, reach)


def zone_on(panel: Panel, thing: Obstacle) -> Standing:
    """A zone on a face of a panel."""
    reach = thing.gap_mm, thing.depth_mm
    return _stands(panel, thing.name, thing.what, obstacle_contour(thing), thing.face, reach)


def _stands(
    panel: Panel, name: str, title: str, contour: Contour, face: Face, reach: tuple[float, float]
) -> Standing:
    low, high = reach[0], reach[0] + reach[1]
    if face == "engine":
        low, high = -panel.thickness_mm - high, -panel.thickness_mm - low
    return Standing(
        name=name,
        title=within(title),
        outline=tuple(polyline(contour, ARC_MM)),
        low_mm=low,
        high_mm=high,
        pose=panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad),
    )


def standing_pieces(thing: Standing) -> Iterator[Piece]:
    """Its convex pieces."""
    return sheet_pieces(Polygon(thing.outline), thing.low_mm, thing.high_mm, thing.pose)


def panel_obstacles(draft: Draft, panel: Panel, layout: PanelLayout) -> None:
    """What stands on the faces of a panel."""
    for thing in standing_on(panel, layout):
        draft.add(
            f"obstacle:{panel.name}.{thing.name}",
            thing.title,
            "obstacle",
            thing.name,
            standing_pieces(thing),
            [flat_word(panel.name)],
        )


def vehicle_piece(body: Body3) -> Box | Rod:
    """The rod or the box."""
    if body.start is not None and body.end is not None and body.diameter_mm is not None:
        return Rod(start=body.start, end=body.end, radius_mm=body.diameter_mm / 2)
    corner, size = np.array(body.corner), np.array(body.size)
    pose = np.eye(4)
    pose[:3, 3] = corner + size / 2
    return Box(pose=pose, half_mm=point3(size / 2))


def vehicle_obstacle(draft: Draft, body: Body3) -> None:
    """A rod or a box of the vehicle."""
    draft.add(f"obstacle:{body.name}", within(body.what), "obstacle", body.name, [vehicle_piece(body)])
