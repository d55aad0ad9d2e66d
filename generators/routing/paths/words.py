"""Dubins's six words: the shortest curve of bounded curvature where one plane holds both ends.

Source: L. E. Dubins, On curves of minimal length with a constraint on average curvature, American
Journal of Mathematics 79 (1957) 497-516.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.geometry.frames import cross
from generators.model.hose_path import Point2
from generators.routing.paths.curves import Array, square_to, unit

_SAME_PLANE = 1e-9
_SMALL = 1e-12
_SIGNS = ((1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0))


@dataclass(frozen=True, slots=True)
class Word:
    """A curve in a plane: (hand, amount) in order; hand 1 bends to ``left`` by rad, -1 away, 0 goes on mm."""

    left: Array
    parts: tuple[tuple[float, float], ...]
    length_mm: float


def in_plane(v: Array, d0: Array, d1: Array) -> NDArray[np.bool_]:
    """True where one plane holds both directions and the line between the ends; rows (n, 3)."""
    size = np.linalg.norm(v, axis=1)
    out: NDArray[np.bool_] = np.abs(np.einsum("ij,ij->i", cross(d0, d1), v)) <= _SAME_PLANE * size
    out &= size > 0
    return out


def plane_word(v: Array, d0: Array, d1: Array, radius_mm: float) -> Word:
    """The shortest of Dubins's six words for ends in one plane (vectors (3,), mm); there always is one."""
    normal = cross(d0, v)
    if float(np.linalg.norm(normal)) <= _SAME_PLANE * float(np.linalg.norm(v)):
        normal = cross(d0, d1)
    if float(np.linalg.norm(normal)) <= _SAME_PLANE:
        normal = square_to(d0[None, :])[0]
    left = cross(unit(normal), d0)
    goal = float(v @ d0), float(v @ left)
    heading = math.atan2(float(d1 @ left), float(d1 @ d0))
    words = [*_two_arcs(goal, heading, radius_mm), *_three_arcs(goal, heading, radius_mm)]
    best = min(words, key=lambda word: _length(word, radius_mm))
    return Word(left, tuple(best), _length(best, radius_mm))


def _length(word: Sequence[tuple[float, float]], radius_mm: float) -> float:
    return math.fsum(amount * (radius_mm if hand else 1.0) for hand, amount in word)


def _centres(goal: Point2, heading: float, r: float, hand0: float, hand1: float) -> Point2:
    """From the centre of the first circle to that of the last."""
    return goal[0] - hand1 * r * math.sin(heading), goal[1] + hand1 * r * math.cos(heading) - hand0 * r


def _two_arcs(goal: Point2, heading: float, r: float) -> Iterator[list[tuple[float, float]]]:
    """LSL, RSR, LSR, RSL: the tangent common to two circles."""
    for hand0, hand1 in _SIGNS:
        dx, dy = _centres(goal, heading, r, hand0, hand1)
        gap, across = math.hypot(dx, dy), 0.0 if hand0 == hand1 else 2.0 * r
        if gap >= across:
            lean = hand0 * math.asin(across / gap) if across else 0.0
            ahead = math.atan2(dy, dx) + lean
            turns = _positive(hand0 * ahead), _positive(hand1 * (heading - ahead))
            yield [(hand0, turns[0]), (0.0, math.sqrt(gap * gap - across * across)), (hand1, turns[1])]


def _three_arcs(goal: Point2, heading: float, r: float) -> Iterator[list[tuple[float, float]]]:
    """LRL and RLR: the centres of the first and the last circle lie 2 r from that of the middle one."""
    for hand in (1.0, -1.0):
        dx, dy = _centres(goal, heading, r, hand, hand)
        gap = math.hypot(dx, dy)
        if not _SMALL < gap <= 4.0 * r:
            continue
        for side in (1.0, -1.0):
            to_middle = math.atan2(dy, dx) + side * math.acos(gap / (4.0 * r))
            mx, my = 2.0 * r * math.cos(to_middle), 2.0 * r * math.sin(to_middle)
            # headings where the middle circle touches the first and the last
            first = to_middle + hand * math.pi / 2.0
            last = math.atan2(dy - my, dx - mx) - hand * math.pi / 2.0
            turns = (
                _positive(hand * first),
                _positive(hand * (first - last)),
                _positive(hand * (heading - last)),
            )
            yield [(hand, turns[0]), (-hand, turns[1]), (hand, turns[2])]


def _positive(angle_rad: float) -> float:
    turn = math.fmod(angle_rad, 2.0 * math.pi)
    turn += 2.0 * math.pi if turn < 0 else 0.0
    return 0.0 if turn > 2.0 * math.pi - 1e-9 else turn
