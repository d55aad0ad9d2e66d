"""Where the bolts of a shared pattern are."""

from __future__ import annotations

import math

from generators.geometry.contours import Placement, Point
from generators.model.spec.pattern import Pattern


def pattern_points(pattern: Pattern) -> tuple[Point, ...]:
    """The bolts in the pattern's frame, mm: rows from below, a circle counter-clockwise.

    A rectangle without width or height gives two bolts in one line, with neither a single one.
    """
    if pattern.points is not None:
        return pattern.points
    if pattern.size is not None:
        u, v = pattern.size[0] / 2, pattern.size[1] / 2
        return tuple(dict.fromkeys([(-u, -v), (u, -v), (u, v), (-u, v)]))
    r = (pattern.circle_mm or 0.0) / 2
    turns = (pattern.start_rad + 2 * math.pi * i / pattern.count for i in range(pattern.count))
    return tuple((r * math.cos(turn), r * math.sin(turn)) for turn in turns)


def placed_points(pattern: Pattern, at: Point, rotate_rad: float, *, flip: bool = False) -> tuple[Point, ...]:
    """The same, placed in the frame of a flange or a panel."""
    move = Placement(at[0], at[1], rotate_rad, flip)
    return tuple(move.apply(u, v) for u, v in pattern_points(pattern))
