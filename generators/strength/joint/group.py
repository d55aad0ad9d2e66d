"""What each bolt of a group takes from forces on a stiff part: the elastic group, and tilting about an edge.

The elastic group is a rigid body on bolts that are alike, each as stiff along as across: with parallel bolts
this is the elastic (vector) method of steel handbooks, P/n and M r/Σr² across, N/n and M y/Σy² along.
Tilting: the part turns about its edge that is pressed down, and each bolt pulls as far as it is from there,
T = M c/Σc² (machine-design textbooks). Lengths mm, forces N, in the part's frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault

Array = NDArray[np.float64]
Vector = tuple[float, float, float]
_STIFF = 1e-9
"""A way to move that the bolts resist less than this, of what they resist most, is free."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupBolt:
    """A bolt: its middle, and the unit vector along it."""

    name: str
    at: Vector
    axis: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Acting:
    """A force and where it acts."""

    at: Vector
    force: Vector


def resultant(acting: Sequence[Acting], about: Vector = (0.0, 0.0, 0.0)) -> tuple[Array, Array]:
    """Sum of forces, N, and of their moments about a point, N mm."""
    force = np.sum([a.force for a in acting], axis=0, dtype=float)
    at, forces = (np.reshape(rows, (-1, 3)) for rows in ([a.at for a in acting], [a.force for a in acting]))
    arms = np.cross(np.subtract(at, about), forces)
    return np.asarray(force), np.asarray(np.sum(arms, axis=0, dtype=float))


def elastic(bolts: Sequence[GroupBolt], acting: Sequence[Acting]) -> dict[str, Vector]:
    """Force of the part on each bolt, N, by the elastic group.

    Raises ``GeometryFault`` for bolts that leave a stiff part free to turn: one alone, or one line.
    """
    middle = np.mean([b.at for b in bolts], axis=0)
    size = max(float(np.linalg.norm(np.subtract(b.at, middle))) for b in bolts) or 1.0
    force, moment = resultant(acting, (float(middle[0]), float(middle[1]), float(middle[2])))
    stiff = np.zeros((6, 6))
    ways = []
    for bolt in bolts:
        arm = np.subtract(bolt.at, middle) / size
        # u = move + turn x arm, the turn counted by the group's size so that both weigh alike
        way = np.hstack((np.eye(3), -_cross(arm)))
        ways.append(way)
        stiff += way.T @ way
    values = np.linalg.eigvalsh(stiff)
    if values[0] < _STIFF * values[-1]:
        raise GeometryFault("bolts in one line leave the part free to tilt")
    moved = np.linalg.solve(stiff, np.concatenate((force, moment / size)))
    return {bolt.name: _v(way @ moved) for bolt, way in zip(bolts, ways, strict=True)}


def tilting(
    bolts: Sequence[GroupBolt], acting: Sequence[Acting], corners: tuple[float, float, float, float]
) -> dict[str, float]:
    """Pull of each bolt square to the plane z = 0, N, as the part tilts about the edges of its foot.

    ``corners`` are the foot's low and high x and y. About each of its four edges, and each bolt the most of
    these; 0 where no edge is tilted about.
    """
    out = dict.fromkeys((b.name for b in bolts), 0.0)
    low_x, low_y, high_x, high_y = corners
    for axis, edge, way in ((0, low_x, 1.0), (0, high_x, -1.0), (1, low_y, 1.0), (1, high_y, -1.0)):
        about = (edge if axis == 0 else 0.0, edge if axis == 1 else 0.0, 0.0)
        _, moment = resultant(acting, about)
        # pulling up at a distance from the edge opens the joint: about the edge along y that is -My
        opening = way * float(-moment[1] if axis == 0 else moment[0])
        arms = {b.name: way * (b.at[axis] - edge) for b in bolts}
        squares = sum(arm**2 for arm in arms.values() if arm > 0)
        if opening <= 0 or squares <= 0:
            continue
        for name, arm in arms.items():
            out[name] = max(out[name], opening * max(arm, 0.0) / squares)
    return out


def _cross(arm: Array) -> Array:
    x, y, z = arm
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def _v(values: Array) -> Vector:
    x, y, z = (float(v) for v in values)
    return x, y, z
