"""Many curves arc, straight, arc at once, in arrays."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import cross
from generators.routing.paths.curves import Array, Index, unit


@dataclass(frozen=True, slots=True)
class Legs:
    """Curves arc, straight, arc, mm and rad; ``length`` is inf where none was found.

    ``along`` (n, 3) is the straight's direction. The first arc bends by ``turn0`` (0 … 2π) toward the unit
    vector ``toward0``, square to the direction it leaves in; the last by ``turn1`` toward ``toward1``, square
    to ``along``.
    """

    along: Array
    toward0: Array
    toward1: Array
    turn0: Array
    turn1: Array
    straight: Array
    length: Array

    def put(self, rows: Index, other: Legs, from_rows: Index) -> None:
        """Take the curves ``from_rows`` of ``other`` in place of ``rows``."""
        for name in self.__slots__:
            getattr(self, name)[rows] = getattr(other, name)[from_rows]


def no_legs(count: int) -> Legs:
    """So many legs with no curve yet."""
    along, toward0, toward1 = (np.zeros((count, 3)) for _ in range(3))
    turn0, turn1, straight = (np.zeros(count) for _ in range(3))
    return Legs(along, toward0, toward1, turn0, turn1, straight, np.full(count, math.inf))


def miss(legs: Legs, p0: Array, d0: Array, p1: Array, d1: Array, radius_mm: Array) -> Array:
    """How far each curve walked from its start ends from its goal, in radii and radians together, (n,)."""
    sin0, cos0 = np.sin(legs.turn0)[:, None], np.cos(legs.turn0)[:, None]
    sin1, cos1 = np.sin(legs.turn1)[:, None], np.cos(legs.turn1)[:, None]
    r = radius_mm[:, None]
    at = p0 + r * (sin0 * d0 + (1.0 - cos0) * legs.toward0) + legs.straight[:, None] * legs.along
    at = at + r * (sin1 * legs.along + (1.0 - cos1) * legs.toward1)
    joint = cos0 * d0 + sin0 * legs.toward0 - legs.along
    last = cos1 * legs.along + sin1 * legs.toward1 - d1
    off = np.linalg.norm(at - p1, axis=1) / radius_mm
    out: Array = off + np.linalg.norm(joint, axis=1) + np.linalg.norm(last, axis=1)
    return out


def aside(direction: Array, of: Array) -> Array:
    """Unit part of ``of`` square to ``direction``, rows; zero where there is none."""
    return unit(cross(cross(direction, of), direction))
