"""Clamps and grommets as places a hose is led through."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from generators.geometry.frames import apply, panel_frame
from generators.layout.spots import BAND_MM, Sheets, clamp_place, panel_hole, point3
from generators.model.hose_path import Waypoint
from generators.model.spec.lines import Clamp, Hose


def waypoint(clamp: Clamp, sheets: Sheets) -> Waypoint:
    """Where a clamp holds and which way its hose runs there. Raises ``GeometryFault``."""
    if clamp.fastener != "grommet":
        position, axis, _where = clamp_place(clamp, sheets)
        return Waypoint(name=clamp.name, kind="clamp", position=position, axis=axis)
    panel = sheets.panels[clamp.on.panel]
    hole = panel_hole(sheets, panel.name, clamp.on.holes[0])
    pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
    middle = np.array([[hole.u_mm, hole.v_mm, -panel.thickness_mm / 2]])
    return Waypoint(
        name=clamp.name,
        kind="grommet",
        position=point3(apply(pose, middle)[0]),
        axis=point3(pose[:3, 2]),
        straight_mm=panel.thickness_mm,
        panel=panel.name,
        opening=hole.name,
    )


def held_by(way: Waypoint, hose: Hose) -> Waypoint:
    """A support as that hose needs it: a clamp's band closes on a tube only where the tube is straight."""
    if hose.kind != "rigid" or way.kind != "clamp":
        return way
    return replace(way, straight_mm=max(way.straight_mm, BAND_MM / 2))
