"""What the vehicle already has: things on panels, rods and boxes. What can be moved aside is left out."""

from __future__ import annotations

import numpy as np
from shapely.geometry import Polygon

from generators.geometry.contours import polyline
from generators.geometry.frames import panel_frame
from generators.layout.spots import point3
from generators.model.plan import PanelLayout
from generators.model.spec.job import Panel
from generators.model.spec.lines import Body3
from generators.model.spec.titles import within
from generators.solve.bodies.draft import ARC_MM, Draft, flat_word
from generators.solve.bodies.sheets import sheet_pieces
from generators.space.pieces import Box, Piece, Rod


def panel_obstacles(draft: Draft, panel: Panel, layout: PanelLayout) -> None:
    """What stands on the faces of a panel; its beads are the panel's own."""
    pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
    for keepout in layout.keepouts:
        if keepout.bead or keepout.movable:
            continue
        low, high = keepout.gap_mm, keepout.gap_mm + keepout.depth_mm
        if keepout.face == "engine":
            low, high = -panel.thickness_mm - high, -panel.thickness_mm - low
        draft.add(
            f"obstacle:{panel.name}.{keepout.name}",
            within(keepout.reason),
            "obstacle",
            keepout.name,
            sheet_pieces(Polygon(polyline(keepout.contour, ARC_MM)), low, high, pose),
            [flat_word(panel.name)],
        )


def vehicle_piece(body: Body3) -> Piece:
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
