"""Points of the blank in space and points of the folded part on the blank: the two ways of one map.

On a flange the map is a rigid move. On a bend strip a point ``d`` beyond the near tangent line turns by
``d / allowance`` of the angle about the bend's axis, at its own height: on the neutral fibre it keeps all
lengths. Both ways use the bends alone, so what was measured on a solid comes back without its plan's holes.
"""

from __future__ import annotations

import numpy as np

from generators.geometry.frames import Matrix, apply, plane_move
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import (
    bend_allowance,
    bend_length,
    flat_placements,
    fold_step,
    folded_frames,
)


def _on_blank(plan: PartPlan, flange: str) -> Matrix:
    place = flat_placements(plan)[flange]
    return plane_move(place.du, place.dv, place.angle)


def _inverse(matrix: Matrix) -> Matrix:
    out: Matrix = np.asarray(np.linalg.inv(matrix), dtype=np.float64)
    return out


def flange_to_space(plan: PartPlan, flange: str, points: Matrix) -> Matrix:
    """Points ``(u, v, w)`` of the blank, shape (n, 3) in mm, on this flange of the folded part."""
    return apply(folded_frames(plan)[flange] @ _inverse(_on_blank(plan, flange)), points)


def flange_to_blank(plan: PartPlan, flange: str, points: Matrix) -> Matrix:
    """Points of the folded part, in the root's frame, on this flange of the blank, ``(u, v, w)``.

    Walks back through the bends one by one, undoing each.
    """
    back: Matrix = np.eye(4)
    name = flange
    while (bend := next((b for b in plan.bends if b.child == name), None)) is not None:
        back = back @ _inverse(fold_step(bend, plan.thickness_mm))
        name = bend.parent
    return apply(_on_blank(plan, flange) @ back, points)


def _in_strip(bend: Bend, points: Matrix) -> Matrix:
    """Points of the parent's frame as along the tangent line from its start, out of the parent, and w."""
    length = bend_length(bend)
    eu, ev = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    du, dv = points[:, 0] - bend.start[0], points[:, 1] - bend.start[1]
    return np.column_stack([du * eu + dv * ev, du * ev - dv * eu, points[:, 2]])


def _in_parent(bend: Bend, local: Matrix) -> Matrix:
    """The way back from ``_in_strip``."""
    length = bend_length(bend)
    eu, ev = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    along, out = local[:, 0], local[:, 1]
    u = bend.start[0] + along * eu + out * ev
    v = bend.start[1] + along * ev - out * eu
    return np.column_stack([u, v, local[:, 2]])


def _axis(bend: Bend, thickness_mm: float) -> tuple[float, float]:
    """Height of the bend's axis over the parent's lower side, mm, and +1 for up or -1 for down."""
    if bend.direction == "up":
        return thickness_mm + bend.inside_radius_mm, 1.0
    return -bend.inside_radius_mm, -1.0


def strip_to_space(plan: PartPlan, bend: Bend, points: Matrix) -> Matrix:
    """Points ``(u, v, w)`` of a bend strip of the blank on the folded bend, mm."""
    local = _in_strip(bend, apply(_inverse(_on_blank(plan, bend.parent)), points))
    axis_w, side = _axis(bend, plan.thickness_mm)
    turn = local[:, 1] / bend_allowance(bend, plan.thickness_mm) * bend.angle_rad
    radius = side * (axis_w - local[:, 2])
    folded = np.column_stack([local[:, 0], radius * np.sin(turn), axis_w - side * radius * np.cos(turn)])
    return apply(folded_frames(plan)[bend.parent], _in_parent(bend, folded))


def strip_to_blank(plan: PartPlan, bend: Bend, points: Matrix) -> Matrix:
    """Points of a folded bend back on its strip of the blank, ``(u, v, w)``."""
    local = _in_strip(bend, apply(_inverse(folded_frames(plan)[bend.parent]), points))
    axis_w, side = _axis(bend, plan.thickness_mm)
    toward = side * (axis_w - local[:, 2])
    radius = np.hypot(local[:, 1], toward)
    turn = np.arctan2(local[:, 1], toward)
    out = turn / bend.angle_rad * bend_allowance(bend, plan.thickness_mm)
    flat = np.column_stack([local[:, 0], out, axis_w - side * radius])
    return apply(_on_blank(plan, bend.parent), _in_parent(bend, flat))
