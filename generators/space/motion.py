"""What a moving body comes near on its way: the least gap, and the first place where a gap is used up.

A body moves by ``Motion.pose(turn)`` for turns from 0 to ``end_rad``, and no point of it goes faster than
``speed_mm`` per radian. So a gap cannot shrink by more than that: from a place where it is ``g`` over the
limit the next ``g / speed`` of turn is safe (conservative advancement, Mirtich 1996), and between two places
the gap is nowhere less than the mean of both minus half the way at that speed (Piyavskii 1972).
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from dataclasses import dataclass

from generators.geometry.frames import Matrix
from generators.space.body import Gap
from generators.space.distance import Space

SURE_MM = 0.05
"""How exactly a gap on the way is known."""

_MOST_STEPS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """How a body moves: ``pose`` (4×4) at a turn in rad, from rest at 0 to ``end_rad``."""

    pose: Callable[[float], Matrix]
    end_rad: float
    speed_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """A gap with the turn at which it is so."""

    gap: Gap
    turn_rad: float


def first_met(space: Space, moving: int, other: int, motion: Motion, limit_mm: float = 0.0) -> Met | None:
    """Where, from rest on, the gap first falls to ``limit_mm``, to ``SURE_MM``; None where it never does."""
    turn = 0.0
    last: Met | None = None
    for _ in range(_MOST_STEPS):
        # nearer than what the rest of the way could use up, or of no interest
        reach = limit_mm + SURE_MM + motion.speed_mm * (motion.end_rad - turn)
        gap = space.gap(moving, other, reach, motion.pose(turn))
        if gap is None:
            return None
        last = Met(gap=gap, turn_rad=turn)
        if gap.gap_mm <= limit_mm + SURE_MM:
            return last
        if turn >= motion.end_rad:
            return None
        turn = min(turn + (gap.gap_mm - limit_mm) / motion.speed_mm, motion.end_rad)
    return last


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
