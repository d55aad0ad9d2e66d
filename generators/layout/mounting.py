"""Where a part lies: on its panel in the plane, and in the vehicle in space."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from generators.geometry.contours import Placement
from generators.geometry.frames import Matrix, lift, panel_frame, plane_move
from generators.model.plan import PartPlan
from generators.model.spec.job import Mount, Panel, PartSpec
from generators.reading.keys.datums import position_uv


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """A part's spec with its plan, and its mount if it has one.

    ``lift_mm`` is the thickness of the doublers between it and its panel.
    """

    spec: PartSpec[Any]
    plan: PartPlan
    lift_mm: float = 0.0

    @property
    def mount(self) -> Mount | None:
        """Where it stays, or None for a loose part and for a tool, which is taken off again."""
        return None if self.plan.tool else self.spec.mount


def placement(panel: Panel, mount: Mount) -> Placement:
    """Root frame of a mounted part in the panel frame.

    On the engine face the part is looked at from the other side, so its u runs against the
    panel's and its turn is seen reversed.
    """
    u, v = position_uv(panel, mount.at)
    if mount.face == "cab":
        return Placement(u, v, mount.rotate_rad)
    return Placement(u, v, -mount.rotate_rad, mirror=True)


def panel_pose(panel: Panel) -> Matrix:
    """Frame of a panel in the vehicle, 4×4, mm: its cab face is w = 0."""
    return panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)


def leaning(nose: Matrix, up: Matrix, part: PlacedPart) -> Matrix:
    """Direction of a cylinder on a part: ``nose`` turned toward ``up`` by the part's wedge.

    ``nose`` and ``up`` are unit and square to each other, in any frame.
    """
    wedge = part.plan.wedge_rad
    return np.asarray(math.cos(wedge) * nose + math.sin(wedge) * up)


def part_matrix(panel: Panel, mount: Mount, lift_mm: float = 0.0) -> Matrix:
    """Root frame of a mounted part in the vehicle frame, 4×4, mm.

    The cab face of the panel is w = 0 and its metal lies below; a part on either face lies
    outside the metal with its w axis pointing away from the panel, ``lift_mm`` off it.
    """
    place = placement(panel, mount)
    pose = panel_pose(panel) @ plane_move(place.du, place.dv, place.angle)
    if mount.face == "engine":
        turned = np.diag([-1.0, 1.0, -1.0, 1.0])
        turned[2, 3] = -panel.thickness_mm
        pose = pose @ turned
    lifted: Matrix = pose @ lift(lift_mm)
    return lifted
