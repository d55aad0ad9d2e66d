"""What a moving body comes near on its way: the least gap, and the first place where a gap is used up.

A body moves by ``Motion.pose(turn)`` for turns from 0 to ``end_rad``, and no point of it goes faster than
``speed_mm`` per radian. So a gap cannot shrink by more than that: from a place where it is ``g`` over the
limit the next ``g / speed`` of turn is safe (conservative advancement, Mirtich 1996), and between two places
the gap is nowhere less than the mean of both minus half the way at that speed (Piyavskii 1972).
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

_MOST_STEPS = 400
_MOST_CELLS = 3000
_BOXES = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """How a body moves: ``pose`` (4×4) at a turn in rad, from rest at 0 to ``end_rad``."""

    pose: Callable[[float], Matrix]
    end_rad: float
    speed_mm: float


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


def first_met(space: Space, moving: int, other: int, motion: Motion, limit_mm: float = 0.0) -> Met | None:
    """Where, from rest on, the gap first falls to ``limit_mm``, to ``SURE_MM``; None where it never does."""
    turn = 0.0
    # each step is at least SURE_MM of way, so this ends: what slides along close by takes many
    while True:
        # nearer than what the rest of the way could use up, or of no interest
        reach = limit_mm + SURE_MM + motion.speed_mm * (motion.end_rad - turn)
        gap = space.gap(moving, other, reach, motion.pose(turn))
        if gap is None:
            return None
        if gap.gap_mm <= limit_mm + SURE_MM:
            return Met(gap=gap, turn_rad=turn)
        if turn >= motion.end_rad:
            return None
        turn = min(turn + (gap.gap_mm - limit_mm) / motion.speed_mm, motion.end_rad)


def least_gap(space: Space, moving: int, other: int, motion: Motion, within_mm: float) -> Met | None:
    """The least gap on the whole way, to ``SURE_MM``; None where it never falls to ``within_mm``."""

    def at(turn: float) -> Met:
        gap = space.gap(moving, other, pose=motion.pose(turn))
        if gap is None:  # no limit was asked for
            raise ValueError("a body without pieces")
        return Met(gap=gap, turn_rad=turn)

    ends = at(0.0), at(motion.end_rad)
    best = min(ends, key=lambda m: m.gap.gap_mm)
    spans = [_span(*ends, motion)]
    for _ in range(_MOST_STEPS):
        low, _number, left, right = heapq.heappop(spans)
        if low >= min(best.gap.gap_mm, within_mm) - SURE_MM:
            break
        middle = at(_between(left, right, motion))
        if middle.gap.gap_mm < best.gap.gap_mm:
            best = middle
        heapq.heappush(spans, _span(left, middle, motion))
        heapq.heappush(spans, _span(middle, right, motion))
    return best if best.gap.gap_mm <= within_mm else None


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
    """The least gap of two bodies that move on their own, in any combination of places.

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
    cells = [_cell(at, (one.end_rad / 2, two.end_rad / 2), (one.end_rad / 2, two.end_rad / 2), first, second)]
    for _ in range(_MOST_CELLS):
        low, _where, half, middle = heapq.heappop(cells)
        if middle.gap.gap_mm < best.gap.gap_mm:
            best = middle
        if low >= min(best.gap.gap_mm, within_mm) - SURE_MM or best.gap.gap_mm <= apart + SURE_MM:
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


def _span(left: Met, right: Met, motion: Motion) -> tuple[float, float, Met, Met]:
    """The least the gap can be between two places; the second number keeps the order the same everywhere."""
    way = motion.speed_mm * (right.turn_rad - left.turn_rad)
    return (left.gap.gap_mm + right.gap.gap_mm - way) / 2, left.turn_rad, left, right


def _between(left: Met, right: Met, motion: Motion) -> float:
    """Where that least would be, kept off the ends."""
    width = right.turn_rad - left.turn_rad
    middle = (left.turn_rad + right.turn_rad) / 2 + (left.gap.gap_mm - right.gap.gap_mm) / (
        2 * motion.speed_mm
    )
    return min(max(middle, left.turn_rad + 0.05 * width), right.turn_rad - 0.05 * width)
