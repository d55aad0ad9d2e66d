"""Where a sheet is cut in from its edge to bring it round something that stands through it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

Point = tuple[float, float]
Disc = tuple[float, float, float]
ALONG_MM, EDGE_MM = 3.0, 6.0
"""Steps along the outline and along the edge of the sheet between which a slit is sought."""

INSIDE_MM = 0.5
"""What reaches nearer to the edge of the sheet is cut out from the edge, without a slit."""


def slit(
    area: Polygon, box: tuple[float, float, float, float], discs: Sequence[Disc]
) -> tuple[Point, Point] | None:
    """The shortest line from the edge of a sheet to an outline on it that meets none of the ``discs``.

    ``box`` is the sheet, ``discs`` are centre and radius of what must stay whole; mm. None for what reaches
    the edge, and where no straight line is clear.
    """
    u0, v0, u1, v1 = box
    a0, b0, a1, b1 = area.bounds
    if min(a0 - u0, b0 - v0, u1 - a1, v1 - b1) < INSIDE_MM:
        return None
    ends = _along(area)
    feet = np.vstack(
        (
            *(np.column_stack((ends[:, 0], np.full(len(ends), v))) for v in (v0, v1)),
            *(np.column_stack((np.full(len(ends), u), ends[:, 1])) for u in (u0, u1)),
        )
    )
    straight = (feet, np.tile(ends, (4, 1)))
    rim = _edge(box)
    oblique = (np.repeat(rim, len(ends), axis=0), np.tile(ends, (len(rim), 1)))
    begin, end = (np.vstack(pair) for pair in zip(straight, oblique, strict=True))
    length = np.hypot(*(end - begin).T)
    order = np.argsort(length, kind="stable")
    begin, end = begin[order], end[order]
    clear = np.ones(len(begin), dtype=bool)
    for x, y, radius in discs:
        clear &= _distance(begin, end, np.array((x, y))) >= radius
    for k in np.flatnonzero(clear).tolist():
        a, b = begin[k], end[k]
        return (float(a[0]), float(a[1])), (float(b[0]), float(b[1]))
    return None


def _along(area: Polygon) -> np.ndarray:
    return np.asarray(shapely.get_coordinates(shapely.segmentize(area.exterior, ALONG_MM)))[:-1]


def _edge(box: tuple[float, float, float, float]) -> np.ndarray:
    rim = shapely.box(*box).exterior
    return np.asarray(shapely.get_coordinates(shapely.segmentize(rim, EDGE_MM)))[:-1]


def _distance(begin: np.ndarray, end: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Of a point from segments."""
    way = end - begin
    share = np.clip(((at - begin) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-12), 0.0, 1.0)
    return np.asarray(np.hypot(*(begin + share[:, None] * way - at).T))
