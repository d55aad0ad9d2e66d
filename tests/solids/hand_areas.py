"""Areas and volumes by hand, for solids."""

from __future__ import annotations

import math
from math import pi

from generators.standards import clearance_hole

EXACT = 1e-9


SQUARE_LESS_CIRCLE = 4 - pi  # of radius 1: what four rounded corners take away


def circle(diameter: float) -> float:
    return pi * diameter**2 / 4


def ring_sector(angle: float, r: float, t: float, length: float) -> float:
    return angle / 2 * ((r + t) ** 2 - r**2) * length


def bolt(thread: str) -> float:
    return clearance_hole(thread, "medium").diameter_mm


def cheek(length: float, pivot: tuple[float, float], boss: float, t: float) -> float:
    """A strip 3 t high along the bend, so that a leg of 4 t + R (common practice) lies on the die; on it the hull
    of a circle and the two ends of its upper side: a triangle, two kites, a sector."""
    return length * 3 * t + _hull(length, (pivot[0], pivot[1] - 3 * t), boss)


def _hull(length: float, pivot: tuple[float, float], boss: float) -> float:
    sides = [math.dist(pivot, (0.0, 0.0)), math.dist(pivot, (length, 0.0))]
    triangle = length * pivot[1] / 2
    at_pivot = math.acos((sides[0] ** 2 + sides[1] ** 2 - length**2) / (2 * sides[0] * sides[1]))
    kites = sum(boss * math.sqrt(d**2 - boss**2) / 2 for d in sides)
    sector = 2 * pi - at_pivot - sum(math.acos(boss / d) for d in sides)
    return triangle + kites + boss**2 * sector / 2
