"""Where names of tools and flanges stand in a step's picture: on or beside what they name alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import LinearRing, Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.drawing.paper.pen import text_width

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Ring = Sequence[Point]
Rings = tuple[tuple[Point, ...], ...]
NAME_MM, TOOL_MM = 2.4, 2.2
AIR_MM, GRID_MM, INTO_MM = 0.5, 0.8, 0.3
"""Air round a name, between the places looked at, and how far into a tool the line to it goes."""

FEW = 64
"""Places looked at first, those that cost least at least; twice as many each time after."""

OFF, OVER = 12.0, 400.0
"""What it costs to stand beside a tool, not on it, and over the part or another name: mm of distance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A name on paper, mm: lower left of its text, size, and the line that leads to what it names, if any.

    ``on_tool``: it stands within the tool it names.
    """

    text: str
    at: Point
    size_mm: float
    box: Box
    lead: tuple[Point, Point] | None = None
    on_tool: bool = False


def named(
    flanges: Sequence[tuple[str, Point]],
    tools: Sequence[tuple[str, Ring]],
    part: Sequence[Ring],
    within: Box,
    behind: Sequence[Ring] = (),
    dashed: Sequence[Ring] = (),
) -> tuple[Named, ...]:
    """Places for the names of flanges, each near its point, and of tools, each on or beside its outline.

    ``part`` is drawn over the tools, ``behind`` of it what they are drawn over; ``dashed`` are outlines whose
    lines no name may cover.
    """
    rings = (_fixed(part), within, _fixed(behind), _fixed(dashed))
    return _named(tuple(flanges), tuple((text, tuple(ring)) for text, ring in tools), *rings)


def _fixed(rings: Sequence[Ring]) -> Rings:
    return tuple(tuple(ring) for ring in rings)


@lru_cache(maxsize=128)
def _named(
    flanges: tuple[tuple[str, Point], ...],
    tools: tuple[tuple[str, tuple[Point, ...]], ...],
    part: Rings,
    within: Box,
    behind: Rings,
    dashed: Rings,
) -> tuple[Named, ...]:
    """The same; every paper size of a sheet has the same pictures."""
    metal = shapely.union_all([Polygon(ring).buffer(0) for ring in part])
    frame = box(*within)
    shapes = [(text, Polygon(ring).buffer(0).intersection(frame)) for text, ring in tools]
    every = shapely.union_all([shape for _, shape in shapes])
    farther = shapely.union_all([Polygon(ring).buffer(0) for ring in behind]).difference(every)
    lines = shapely.union_all([LinearRing(ring) for ring in dashed])
    out: list[Named] = []
    for text, point in flanges:
        taken = [metal, farther, every, lines, *(box(*n.box) for n in out)]
        for shape in taken:
            shapely.prepare(shape)
        out.append(_near(text, point, taken, within))
    for text, shape in shapes:
        if not shape.is_empty:
            out.append(_on(text, shape, metal, every, [farther, lines, *(box(*n.box) for n in out)], within))
    return tuple(out)


def _places(text: str, size: float, within: Box) -> tuple[np.ndarray, float, float]:
    """Lower left corners a name may have, and its width and height with its air, mm."""
    wide, high = text_width(text, size) + 2 * AIR_MM, size * 0.95 + 2 * AIR_MM
    xs = np.arange(within[0], max(within[2] - wide, within[0]) + 1e-9, GRID_MM)
    ys = np.arange(within[1], max(within[3] - high, within[1]) + 1e-9, GRID_MM)
    grid = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    return grid, wide, high


def _made(text: str, size: float, corner: np.ndarray, wide: float, high: float) -> Named:
    x, y = (float(c) for c in corner)
    return Named(
        text=text, at=(x + AIR_MM, y + AIR_MM + 0.15 * size), size_mm=size, box=(x, y, x + wide, y + high)
    )


def _cheapest(least: np.ndarray, cost: Callable[[np.ndarray], np.ndarray]) -> int:
    """The place that costs least, the first of alike ones; ``cost`` is asked of a few at a time.

    ``least`` is what each costs at least: none is looked at that costs more at least than the best so far.
    """
    order = np.argsort(least, kind="stable")
    best, found, done, many = np.inf, 0, 0, FEW
    while done < len(order):
        some = order[done : done + many]
        some = np.sort(some[least[some] <= best])
        if not len(some):
            break
        costs = cost(some)
        at = int(np.argmin(costs))
        if (costs[at], some[at]) < (best, found):
            best, found = float(costs[at]), int(some[at])
        done, many = done + many, many * 2
    return found


def _over(boxes: np.ndarray, taken: Sequence[BaseGeometry]) -> np.ndarray:
    """What it costs to lie over what is taken."""
    cost = np.zeros(len(boxes))
    for shape in taken:
        cost += OVER * shapely.intersects(shape, boxes)
    return cost


def _near(text: str, point: Point, taken: Sequence[BaseGeometry], within: Box) -> Named:
    """A name as near as may be to a point, over nothing that is taken."""
    grid, wide, high = _places(text, NAME_MM, within)
    away = np.hypot(grid[:, 0] + wide / 2 - point[0], grid[:, 1] + high / 2 - point[1])

    def cost(some: np.ndarray) -> np.ndarray:
        x, y = grid[some].T
        all_in: np.ndarray = away[some] + _over(shapely.box(x, y, x + wide, y + high), taken)
        return all_in

    return _made(text, NAME_MM, grid[_cheapest(away, cost)], wide, high)


def _on(
    text: str,
    shape: BaseGeometry,
    metal: BaseGeometry,
    tools: BaseGeometry,
    names: Sequence[BaseGeometry],
    within: Box,
) -> Named:
    """A name within what of a tool is seen, else beside it with a line to it."""
    seen = shape.difference(metal)
    goal = seen if seen.area > 1.0 else shape
    grid, wide, high = _places(text, TOOL_MM, within)
    middle = goal.representative_point()
    away = np.hypot(grid[:, 0] + wide / 2 - middle.x, grid[:, 1] + high / 2 - middle.y) / 10
    # a box that is not within the goal's own box is not within the goal, and no nearer to it than to that
    low, up = grid - np.array(goal.bounds[2:]), np.array(goal.bounds[:2]) - grid - (wide, high)
    beyond = np.hypot(*np.maximum(np.maximum(low, up), 0.0).T)
    within_bounds = np.all((low <= -np.array([wide, high])) & (up <= -np.array([wide, high])), axis=1)
    taken = [metal, tools.difference(shape), *names]
    for each in (goal, shape, *taken):
        shapely.prepare(each)

    def cost(some: np.ndarray) -> np.ndarray:
        x, y = grid[some].T
        boxes = shapely.box(x, y, x + wide, y + high)
        inside = shapely.contains(goal, boxes)
        # beside it means off its outline, which a name would cover
        off = OFF + 4 * shapely.distance(boxes, goal) + 2 * OVER * shapely.intersects(shape, boxes)
        all_in: np.ndarray = away[some] + np.where(inside, 0.0, off) + _over(boxes, taken)
        return all_in

    best = _cheapest(away + np.where(within_bounds, 0.0, OFF + 4 * beyond), cost)
    made = _made(text, TOOL_MM, grid[best], wide, high)
    chosen = box(*made.box)
    if goal.contains(chosen):
        return replace(made, on_tool=True)
    if chosen.intersects(goal):
        return made
    inner = goal.buffer(-INTO_MM)
    ends = shapely.shortest_line(chosen, goal if inner.is_empty else inner)
    start, end = shapely.get_coordinates(ends)[:2]
    lead = ((float(start[0]), float(start[1])), (float(end[0]), float(end[1])))
    return replace(made, lead=lead)
