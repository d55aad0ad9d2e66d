"""Where on a panel a port may sit for a hose of given length.

The length of the shortest path is found at the corners of square cells; a cell whose corners disagree is
quartered until its diagonal is within the tolerance, and a large one also when a corner is so near a bound
that it may run through the cell. The boundary in the last cells is drawn by linear interpolation
(marching squares).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from generators.model.hose_path import HoseRun, Panel3, Point2
from generators.model.hose_results import ReachRegion
from generators.routing.around.detour import Surroundings, unmet
from generators.routing.paths.chains import shortest_lengths, shortest_paths
from generators.routing.paths.curves import Array
from generators.routing.regions import Bound, rings, within

_CORNERS = ((0, 0), (1, 0), (1, 1), (0, 1))
_WATCHED = 1
Cell = tuple[int, int]


def reach_region(
    panel: Panel3,
    at: Callable[[Point2], tuple[HoseRun, ...]],
    path_mm: tuple[float, float],
    bounds: Sequence[Bound],
    around: Surroundings | None = None,
    tolerance_mm: float = 2.0,
    grid_mm: float = 24.0,
) -> ReachRegion:
    """Places whose shortest path is ``path_mm`` (least, most) long, and those of them within ``bounds``.

    ``at`` gives the hose for a place (u, v); of several the first counts. With ``around`` a place also
    needs its shortest path clear. ``lengths.path_limits`` turns a made-up length into ``path_mm``.
    """
    outline = Polygon(panel.outline)
    low_u, low_v, high_u, high_v = outline.bounds
    levels = max(0, math.ceil(math.log2(grid_mm * math.sqrt(2.0) / tolerance_mm)))
    fine = grid_mm / 2**levels
    value: dict[Cell, float] = {}

    def measure(nodes: set[Cell]) -> None:
        """Margins of the nodes not known yet: positive where the length suits."""
        new = sorted(nodes - value.keys())
        places = [(low_u + fine * i, low_v + fine * j) for i, j in new]
        value.update(zip(new, _margins([at(place)[0] for place in places], path_mm, around), strict=True))

    size, coarse = 2**levels, 2 ** max(levels - _WATCHED, 0)
    columns, rows = math.ceil((high_u - low_u) / grid_mm), math.ceil((high_v - low_v) / grid_mm)
    cells = [(i * size, j * size) for i in range(columns) for j in range(rows)]
    whole: list[Polygon] = []
    while cells:
        measure({(i + a * size, j + b * size) for i, j in cells for a, b in _CORNERS})
        smaller: list[Cell] = []
        for i, j in cells:
            margin = [value[i + a * size, j + b * size] for a, b in _CORNERS]
            place = low_u + fine * i, low_v + fine * j
            mixed = min(margin) < 0.0 <= max(margin)
            # a length changes by about the way moved, so a bound this near may cross between the corners
            near = size > coarse and min(abs(m) for m in margin) < size * fine / math.sqrt(2.0)
            if size > 1 and (mixed or near):
                half = size // 2
                smaller += [(i + a * half, j + b * half) for a, b in _CORNERS]
            elif mixed:
                whole.append(_cut(place, size * fine, margin))
            elif max(margin) >= 0.0:
                whole.append(box(*place, place[0] + size * fine, place[1] + size * fine))
        cells, size = smaller, size // 2
    shape = shapely.union_all(whole, grid_size=1e-6).intersection(outline).simplify(tolerance_mm / 20.0)
    kept = shape.intersection(within(bounds))
    return ReachRegion(
        panel=panel.name,
        reach=rings(shape),
        allowed=rings(kept),
        reach_mm2=float(shape.area),
        allowed_mm2=float(kept.area),
        tolerance_mm=tolerance_mm,
        grid_mm=grid_mm,
    )


def _margins(
    runs: Sequence[HoseRun], path_mm: tuple[float, float], around: Surroundings | None
) -> list[float]:
    """By how much each length is inside its bounds, mm; minus infinity where there is no path or no room."""
    if around is None:
        length = shortest_lengths(runs)
    else:
        paths = shortest_paths(runs)
        there = [path for path in paths if path is not None]
        misses = iter(unmet(there, around))
        length = np.array(
            [math.inf if path is None or next(misses) else path.length_mm for path in paths], dtype=float
        )
    margin: Array = np.minimum(path_mm[1] - length, length - path_mm[0])
    return [float(m) for m in np.where(np.isfinite(length), margin, -np.inf)]


def _cut(place: Point2, side_mm: float, margin: Sequence[float]) -> Polygon:
    """The part of a cell where the margin, linear along its sides, is not negative."""
    corners: list[Point2] = []
    for k, (a, b) in enumerate(_CORNERS):
        here, there = margin[k], margin[(k + 1) % 4]
        c, d = _CORNERS[(k + 1) % 4]
        if here >= 0.0:
            corners.append((place[0] + a * side_mm, place[1] + b * side_mm))
        if (here >= 0.0) != (there >= 0.0):
            share = here / (here - there) if math.isfinite(here) and math.isfinite(there) else 0.5
            corners.append(
                (place[0] + (a + share * (c - a)) * side_mm, place[1] + (b + share * (d - b)) * side_mm)
            )
    return Polygon(corners) if len(corners) > 2 else Polygon()
