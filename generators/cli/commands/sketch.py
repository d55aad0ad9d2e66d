"""A part's flat blank in plain characters, for the terminal."""

from __future__ import annotations

import itertools
import math

from generators.geometry.contours import bounds, circle, polyline, stadium
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern

COLUMNS, ROWS = 64, 22
TALL = 2.0  # a character is about twice as high as it is wide
OUTLINE, OPENING, BEND = "#", "o", "-"

Point = tuple[float, float]


def sketch(plan: PartPlan) -> list[str]:
    """Lines of text: outline ``#``, openings ``o``, bend lines ``-``, names of the flanges. Not to scale
    to better than a character."""
    flat = flat_pattern(plan)
    u0, v0, u1, v1 = bounds(flat.contour)
    step = max((u1 - u0) / (COLUMNS - 1), (v1 - v0) / ((ROWS - 1) * TALL))
    columns, rows = round((u1 - u0) / step) + 1, round((v1 - v0) / (step * TALL)) + 1
    grid = [[" "] * columns for _ in range(rows)]

    def cell(p: Point) -> tuple[int, int]:
        column = round((p[0] - u0) / step)
        row = rows - 1 - round((p[1] - v0) / (step * TALL))
        return min(max(row, 0), rows - 1), min(max(column, 0), columns - 1)

    def trace(points: list[Point], mark: str) -> None:
        for (ua, va), (ub, vb) in itertools.pairwise(points):
            count = max(1, math.ceil(3 * math.hypot(ub - ua, (vb - va) / TALL) / step))
            for i in range(count + 1):
                row, column = cell((ua + (ub - ua) * i / count, va + (vb - va) * i / count))
                grid[row][column] = mark

    for strip in flat.bends:
        trace(list(strip.middle), BEND)
    for hole in flat.holes:
        rim = polyline(circle(hole.u_mm, hole.v_mm, hole.diameter_mm), step / 4)
        trace([*rim, rim[0]], OPENING)
    for slot in flat.slots:
        rim = polyline(stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad), step / 4)
        trace([*rim, rim[0]], OPENING)
    outline = polyline(flat.contour, step / 4)
    trace([*outline, outline[0]], OUTLINE)
    for flange in plan.flanges:
        du0, dv0, du1, dv1 = bounds(flange.contour)
        corners = [flat.placements[flange.name].apply(u, v) for u, v in ((du0, dv0), (du1, dv1))]
        ends = [cell(p) for p in corners]
        _name(grid, flange.name, sorted(e[0] for e in ends), sorted(e[1] for e in ends))
    return ["".join(line).rstrip() for line in grid]


def _name(grid: list[list[str]], name: str, rows: list[int], columns: list[int]) -> None:
    """Write a flange's name on blanks within its box, nearest its middle; nowhere if there are none."""
    middle = (rows[0] + rows[1]) / 2, (columns[0] + columns[1] - len(name)) / 2
    spots = [
        (row, column)
        for row in range(rows[0] + 1, rows[1])
        for column in range(columns[0] + 1, columns[1] - len(name))
        if all(c == " " for c in grid[row][column - 1 : column + len(name) + 1])
    ]
    if spots:
        row, column = min(spots, key=lambda s: (abs(s[0] - middle[0]) * TALL + abs(s[1] - middle[1]), s))
        grid[row][column : column + len(name)] = list(name)
