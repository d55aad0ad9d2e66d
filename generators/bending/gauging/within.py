"""What of a piece of a part lies between planes: behind a stop, between a finger's sides, at its height."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon

from generators.bending.legs import Chunk, Piece, Plate
from generators.geometry.frames import Matrix, apply

ALONG, BACK, UP = 0, 1, 2
FAR_MM, LEVEL = 1e5, 1e-9


@dataclass(frozen=True, slots=True)
class Half:
    """All that lies more (``way`` 1) or less (-1) than ``at_mm`` along the bend, behind its middle, or up."""

    axis: int
    way: float
    at_mm: float


def clipped(piece: Piece, halves: Sequence[Half]) -> Iterator[Matrix]:
    """Corners of what of a piece lies in all of them, cloud by cloud; a cloud's hull is all in the piece.

    A flat piece is cut by the outline of each of its faces.
    """
    yield from _of_chunk(piece, halves) if isinstance(piece, Chunk) else _of_plate(piece, halves)


def _of_chunk(chunk: Chunk, halves: Sequence[Half]) -> Iterator[Matrix]:
    corners = chunk.corners
    for half in halves:
        inside = half.way * (corners[:, half.axis] - half.at_mm) > 0
        over, under = corners[inside], corners[~inside]
        if not len(over):
            return
        cuts = [
            a + (half.at_mm - a[half.axis]) / (b[half.axis] - a[half.axis]) * (b - a)
            for a, b in itertools.product(under, over)
        ]
        corners = np.array([*over, *cuts])
    yield corners


def _of_plate(plate: Plate, halves: Sequence[Half]) -> Iterator[Matrix]:
    for w in (0.0, plate.thickness):
        parts = [plate.outline]
        for half in halves:
            parts = [kept for part in parts for kept in _half_of(part, plate.frame, w, half)]
        yield from (placed(part, plate.frame, w) for part in parts)


def _half_of(outline: Polygon, m: Matrix, w: float, half: Half) -> Iterator[Polygon]:
    across = half.way * m[half.axis, :2]
    slope = float(np.hypot(*across))
    lacks = half.way * (half.at_mm - (m[half.axis, 3] + m[half.axis, 2] * w))
    if slope < LEVEL:
        if lacks < 0:
            yield outline
        return
    # the outline's own directions up the slope and along it, and so much of it as lies far enough up
    up = across / slope
    along = np.array([-up[1], up[0]])
    reach = lacks / slope
    corners = [reach * up - FAR_MM * along, FAR_MM * (up - along), FAR_MM * (up + along)]
    cut = outline.intersection(Polygon([*corners, reach * up + FAR_MM * along]))
    for part in getattr(cut, "geoms", [cut]):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part


def placed(outline: Polygon, frame: Matrix, w: float) -> Matrix:
    """Corners of an outline on one face of a flat piece."""
    ring = np.asarray(outline.exterior.coords)
    return apply(frame, np.column_stack([ring, np.full(len(ring), w)]))
