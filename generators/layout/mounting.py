"""Where a part lies: on its panel in the plane, and in the vehicle in space."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from generators.geometry.contours import Placement
from generators.geometry.frames import Matrix, panel_frame, plane_move
from generators.model.job import Mount, Panel, PartSpec
from generators.model.plan import PartPlan
from generators.reading.datums import resolve_position


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """A part's spec with its plan, and its mount if it has one."""

    spec: PartSpec
    plan: PartPlan

    @property
    def mount(self) -> Mount | None:
        """Where it goes, or None for a loose part."""
        return self.spec.mount


def placement(panel: Panel, mount: Mount) -> Placement:
    """Root frame of a mounted part in the panel frame.

    On the engine face the part is looked at from the other side, so its u runs against the
    panel's and its turn is seen reversed.
    """
    u, v, _note = resolve_position(panel, mount.at)
    if mount.face == "cab":
        return Placement(u, v, mount.rotate_rad)
    return Placement(u, v, -mount.rotate_rad, mirror=True)


def part_matrix(panel: Panel, mount: Mount) -> Matrix:
    """Root frame of a mounted part in the vehicle frame, 4×4, mm.

    The cab face of the panel is w = 0 and its metal lies below; a part on either face lies
    outside the metal with its w axis pointing away from the panel.
    """
    place = placement(panel, mount)
    pose = panel_frame(panel.origin, panel.tilt_rad) @ plane_move(place.du, place.dv, place.angle)
    if mount.face == "engine":
        turned = np.diag([-1.0, 1.0, -1.0, 1.0])
        turned[2, 3] = -panel.thickness_mm
        pose = pose @ turned
    return pose
