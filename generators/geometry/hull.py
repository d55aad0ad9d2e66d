"""Straight-sided outlines round circles, and what a set of half-planes leaves of an outline."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from generators.geometry.contours import Point

DIAGONALS = 4
"""Directions 1, 3, 5 and 7 of the eight at 45 deg."""

Circle = tuple[float, float, float]
"""Centre u, v and radius, mm."""


def clipped(corners: Sequence[Point], normal: Point, reach: float) -> list[Point]:
    """The part of a convex outline where ``normal · point <= reach`` (Sutherland and Hodgman)."""
    out: list[Point] = []
    for i, b in enumerate(corners):
        a = corners[i - 1]
        before = normal[0] * a[0] + normal[1] * a[1] - reach
        here = normal[0] * b[0] + normal[1] * b[1] - reach
        if (before < 0 < here) or (here < 0 < before):
            part = before / (before - here)
            out.append((a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])))
        if here <= 0:
            out.append(b)
    return out


def _support(circles: Iterable[Circle], turn: float) -> tuple[Point, float]:
    normal = math.cos(turn), math.sin(turn)
    return normal, max(u * normal[0] + v * normal[1] + r for u, v, r in circles)


def box_round(circles: Sequence[Circle]) -> list[Point]:
    """The smallest rectangle along u and v that holds the circles, counter-clockwise."""
    low_u, high_u = min(u - r for u, _, r in circles), max(u + r for u, _, r in circles)
    low_v, high_v = min(v - r for _, v, r in circles), max(v + r for _, v, r in circles)
    return [(low_u, low_v), (high_u, low_v), (high_u, high_v), (low_u, high_v)]


def cropped_round(circles: Sequence[Circle], least_crop_mm: float) -> list[Point]:
    """The same rectangle with corners cropped at 45 deg to the circles, where a crop is long enough.

    Up to eight sides, all of them tangent to a circle; still convex.
    """
    corners = box_round(circles)
    for quarter in range(DIAGONALS):
        normal, reach = _support(circles, math.pi / 4 + quarter * math.pi / 2)
        cut = clipped(corners, normal, reach)
        # the crop is the one side that lies on the new line
        crop = [p for p in cut if abs(normal[0] * p[0] + normal[1] * p[1] - reach) < 1e-9]
        if len(crop) == 2 and math.dist(*crop) >= least_crop_mm:
            corners = cut
    return corners
