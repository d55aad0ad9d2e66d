"""The swing of the leaf: how sheet, fingers and leaf lie to each other at every angle, and what meets.

The leg under the fingers stays. The bend begins at its tangent line, y = 0, and its axis is there R + t over
the bed: the leaf is set so that it turns about it. At an angle ``a`` the arc has taken ``a (R + K t)`` of
neutral fibre from the front leg, which has slid so far up the leaf. Nothing is passed over on the way: what
moves is stepped only as far as its least distance allows (conservative advancement).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.bending.shadow import Shadow
from generators.bending.stroke import FINE_RAD, SAME_MM, Touch

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """A bend pressed to ``angle_rad``; ``neutral_mm`` is R + K t.

    ``start_mm`` is how far behind the middle of the flat bend it begins: half its allowance.
    """

    angle_rad: float
    radius_mm: float
    thickness_mm: float
    neutral_mm: float
    start_mm: float

    def laid(self, shape: BaseGeometry) -> BaseGeometry:
        """A shadow of a part as it is laid in: from the middle of the flat bend to the folder's frame."""
        return translate(shape, -self.start_mm, 0.0)

    def moved(self, shape: BaseGeometry, angle: float, *, slides: bool = True) -> BaseGeometry:
        """What lies on the leaf, in the folder's frame, at ``angle``; the leaf itself does not slide."""
        along = angle * self.neutral_mm if slides else 0.0
        up, c, s = self.radius_mm + self.thickness_mm, math.cos(angle), math.sin(angle)

        def turn(p: Floats) -> Floats:
            y, z = p[:, 0] + along, p[:, 1] - up
            return np.column_stack([c * y + s * z, -s * y + c * z + up])

        return shapely.transform(shape, turn)

    def leg(self, far_mm: float, skin_mm: float, angle: float) -> Polygon:
        """The flat metal on the leaf, less its skin.

        It ends ``far_mm`` in front of the bend's start as it lies flat, before the arc takes of it.
        """
        far = -(far_mm - angle * self.neutral_mm)
        low, high = skin_mm, self.thickness_mm - skin_mm
        plate = Polygon([(-skin_mm, low), (far, low), (far, high), (-skin_mm, high)])
        moved = self.moved(plate, angle, slides=False)
        if not isinstance(moved, Polygon):
            raise TypeError("a leg is one outline")
        return moved


def front_touch(swing: Swing, shadow: Shadow, tool: Polygon, room_mm: float) -> Touch | None:
    """Where what stands off the front leg comes nearer than ``room_mm`` to what stands still."""
    shape = swing.laid(shadow.shape)
    points = shapely.get_coordinates(shape)
    up = swing.radius_mm + swing.thickness_mm
    speed = float(np.hypot(points[:, 0], points[:, 1] - up).max()) + (1 + swing.angle_rad) * swing.neutral_mm
    shapely.prepare(tool)
    return _stepped(swing, shadow, room_mm, speed, lambda a: shapely.distance(swing.moved(shape, a), tool))


def leaf_touch(swing: Swing, shadow: Shadow, leaf: Polygon, room_mm: float) -> Touch | None:
    """Where the leaf comes nearer than ``room_mm`` to what stands off either leg."""
    shape = swing.laid(shadow.shape)

    def turning(angle: float) -> float:
        return float(shapely.distance(swing.moved(leaf, angle, slides=False), shape))

    def sliding(angle: float) -> float:
        return float(shapely.distance(translate(shape, angle * swing.neutral_mm, 0.0), leaf))

    if not shadow.rear:
        return _stepped(swing, shadow, room_mm, swing.neutral_mm, sliding)
    points = shapely.get_coordinates(leaf)
    up = swing.radius_mm + swing.thickness_mm
    return _stepped(swing, shadow, room_mm, float(np.hypot(points[:, 0], points[:, 1] - up).max()), turning)


def _stepped(
    swing: Swing, shadow: Shadow, room_mm: float, speed: float, gap_at: Callable[[float], float]
) -> Touch | None:
    angle = 0.0
    while True:
        gap = float(gap_at(angle))
        if gap < max(room_mm, SAME_MM) - 1e-9:
            return Touch(flange=shadow.flange, angle_rad=angle, gap_mm=gap)
        if angle >= swing.angle_rad:
            return None
        angle = min(swing.angle_rad, angle + max((gap - room_mm) / speed, FINE_RAD))
