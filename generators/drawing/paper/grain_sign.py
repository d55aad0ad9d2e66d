"""The sign of the rolling direction on a blank: a double-headed arrow with its word, where there is room."""

from __future__ import annotations

import math

from shapely.geometry import Polygon

from generators.drawing.paper.dimensions import TEXT_MM, Clutter, arrow, turned_box
from generators.drawing.paper.pen import THIN, Pen

WORD = "GRAIN"
LONG_MM, HIGH_MM = 18.0, 6.4
SPOTS = 8
"""Places tried from the middle outward, each way."""


def draw_grain(pen: Pen, clutter: Clutter, blank: Polygon, axis: tuple[float, float]) -> None:
    """Draw the arrow along ``axis`` (unit vector on the page) on the blank, near its middle where least is.

    It is as long as the blank allows, ``LONG_MM`` at most.
    """
    x0, y0, x1, y1 = blank.bounds
    level = abs(axis[0]) > abs(axis[1])
    long = min(LONG_MM, 0.6 * ((x1 - x0) if level else (y1 - y0)))
    turn = 0.0 if level else math.pi / 2
    spots = sorted(
        (
            ((x0 + x1) / 2 + i * (x1 - x0) / (2 * SPOTS), (y0 + y1) / 2 + j * (y1 - y0) / (2 * SPOTS))
            for i in range(-SPOTS + 1, SPOTS)
            for j in range(-SPOTS + 1, SPOTS)
        ),
        key=lambda p: (round(math.dist(p, ((x0 + x1) / 2, (y0 + y1) / 2)), 6), p),
    )
    areas = [turned_box(p, long + 1, HIGH_MM, turn) for p in spots]
    costs = [c + (0 if blank.contains(a) else 10) for a, c in zip(areas, clutter.costs(areas), strict=True)]
    best = min(range(len(spots)), key=costs.__getitem__)
    (x, y), c, s = spots[best], math.cos(turn), math.sin(turn)
    drop = HIGH_MM / 2 - 1.8
    mid = (x + s * drop, y - c * drop)
    tips = [(mid[0] + way * c * long / 2, mid[1] + way * s * long / 2) for way in (-1, 1)]
    pen.stroke(THIN)
    pen.line(*tips[0], *tips[1])
    arrow(pen, tips[0], turn + math.pi)
    arrow(pen, tips[1], turn)
    pen.text(mid[0] - s * 1.1, mid[1] + c * 1.1, WORD, TEXT_MM, align="centre", angle_deg=math.degrees(turn))
    clutter.add(areas[best], 2.0)
