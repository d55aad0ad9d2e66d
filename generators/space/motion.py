"""How a body moves, and how near two that both move come to each other.

A body moves by ``Motion.pose(turn)`` for turns from 0 to ``end_rad``, and no point of it goes faster than
``speed_mm`` per radian, so a gap cannot shrink by more than that. What one moving body meets among those
that stand is in ``sweep``.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from generators.geometry.frames import Matrix
from generators.space.body import Body, Gap
from generators.space.distance import Space
from generators.space.pieces import Array, Point3

SURE_MM = 0.05
"""How exactly a gap on the way is known."""

_MOST_CELLS = 3000
_BOXES = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """How a body moves: ``pose`` (4×4) at a turn in rad, from rest at 0 to ``end_rad``.

    ``about`` is a place on the axis of a plain turn: then a piece nearer to it goes no faster than it is far.
    ``axis`` is its unit direction, about which the turn is right-handed.
    """

    pose: Callable[[float], Matrix]
    end_rad: float
    speed_mm: float
    about: Point3 | None = None
    axis: Point3 | None = None


@dataclass(frozen=True, kw_only=True)
class Mover:
    """A body at rest, and how it moves from there; ``pad_mm`` is a pedal's pad travel per rad of its turn."""

    body: Body
    motion: Motion
    pad_mm: float = 1.0

    def to(self, end_rad: float) -> Mover:
        """The same with its way ended there."""
        return replace(self, motion=replace(self.motion, end_rad=end_rad))


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """A gap with the turn at which it is so."""

    gap: Gap
    turn_rad: float


def kept_apart(first: Mover, second: Mover) -> float:
    """How far two moving bodies stay apart wherever each is, along an axis neither moves along, mm.

    Two pedals whose pivots lie across the vehicle never come nearer sideways. Minus infinity where the
    bodies share no such axis.
    """
    apart = -math.inf
    for k in range(3):
        if _keeps(first.motion, k) and _keeps(second.motion, k):
            (low, high), (other_low, other_high) = first.body.box, second.body.box
            apart = max(apart, float(other_low[k] - high[k]), float(low[k] - other_high[k]))
    return apart


def _keeps(motion: Motion, axis: int) -> bool:
    """True where the motion leaves that coordinate of every point alone."""
    own = np.eye(4)[axis]
    ends = (motion.pose(share * motion.end_rad) for share in (0.37, 1.0))
    return all(bool(np.abs(pose[axis] - own).max() < 1e-9) for pose in ends)


@dataclass(frozen=True, slots=True, kw_only=True)
class MetBoth:
    """A gap between two moving bodies with the turn of each."""

    gap: Gap
    turns_rad: tuple[float, float]


def least_gap_both(space: Space, first: Mover, second: Mover, within_mm: float) -> MetBoth | None:
    """The least gap of two bodies that move on their own, in any combination of places; one where they meet.

    To ``SURE_MM``, or as near as ``_MOST_CELLS`` places tell; None where it never falls to ``within_mm``.
    A gap changes by no more than each body's speed times its turn, so a cell of places about one that was
    measured is nowhere nearer than that (Piyavskii 1972, in two variables).
    """
    apart = kept_apart(first, second)
    if apart > within_mm:
        return None
    i, j = space.number(first.body.name), space.number(second.body.name)
    one, two = first.motion, second.motion

    def at(a: float, b: float) -> MetBoth:
        # the second stands still in its own frame
        gap = space.gap(i, j, pose=np.linalg.inv(two.pose(b)) @ one.pose(a))
        if gap is None:  # no limit was asked for
            raise ValueError("a body without pieces")
        pose = two.pose(b)
        gap = replace(gap, at=_carried_point(pose, gap.at), to=_carried_point(pose, gap.to))
        return MetBoth(gap=gap, turns_rad=(a, b))

    best = at(0.0, 0.0)
    # sideways they come no nearer, and how deep they are in each other is of no interest
    enough = max(apart + SURE_MM, 0.0)
    if best.gap.gap_mm <= enough:
        return best
    cells = [_cell(at, (one.end_rad / 2, two.end_rad / 2), (one.end_rad / 2, two.end_rad / 2), first, second)]
    for _ in range(_MOST_CELLS):
        low, _where, half, middle = heapq.heappop(cells)
        if middle.gap.gap_mm < best.gap.gap_mm:
            best = middle
        if low >= min(best.gap.gap_mm, within_mm) - SURE_MM or best.gap.gap_mm <= enough:
            break
        a, b = middle.turns_rad
        wide = one.speed_mm * half[0] >= two.speed_mm * half[1]
        half = (half[0] / 2, half[1]) if wide else (half[0], half[1] / 2)
        step = (half[0], 0.0) if wide else (0.0, half[1])
        for sign in (-1.0, 1.0):
            heapq.heappush(cells, _cell(at, (a + sign * step[0], b + sign * step[1]), half, first, second))
    return best if best.gap.gap_mm <= within_mm else None


Cell = tuple[float, tuple[float, float], tuple[float, float], MetBoth]


def _cell(
    at: Callable[[float, float], MetBoth],
    middle: tuple[float, float],
    half: tuple[float, float],
    first: Mover,
    second: Mover,
) -> Cell:
    """The least the gap can be in a cell of places, its middle and half its size, what was measured there."""
    met = at(*middle)
    slack = first.motion.speed_mm * half[0] + second.motion.speed_mm * half[1]
    return met.gap.gap_mm - slack, middle, half, met


def _carried_point(pose: Matrix, point: Point3) -> Point3:
    x, y, z = (float(c) + 0.0 for c in pose[:3, :3] @ np.array(point) + pose[:3, 3])
    return x, y, z


def swept_box(mover: Mover) -> tuple[Array, Array]:
    """An extent along the vehicle's axes that the body never leaves on its way."""
    low, high = mover.body.box
    corners = np.array([[(low, high)[i >> k & 1][k] for k in range(3)] for i in range(8)])
    poses = [mover.motion.pose(share * mover.motion.end_rad) for share in np.linspace(0.0, 1.0, _BOXES)]
    seen = np.concatenate([corners @ pose[:3, :3].T + pose[:3, 3] for pose in poses])
    # corners of the box may lie farther out than the body, so they bound it there; between two places a
    # point goes no farther than half the way
    slack = mover.motion.speed_mm * mover.motion.end_rad / (_BOXES - 1) / 2
    return seen.min(axis=0) - slack, seen.max(axis=0) + slack
