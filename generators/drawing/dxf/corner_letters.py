"""Letters of a blank's corners in the cutter's file: those of drawing and setup sheet, on the blank itself.

With them an edge to gauge on is found on the cut blank alone. Each stands on the metal beside its corner,
clear of what is cut, of bend lines and of letters that are etched.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from generators.drawing.part.tables.corners import Corner, corners_of
from generators.geometry.contours import circle, polyline, stadium
from generators.sheetmetal.folding import FlatPattern

HEIGHTS_MM = (3.5, 2.5, 1.8)
"""Heights of ISO 3098 (from memory), the largest that finds room."""

WIDTH = 1.0
"""Of a letter against its height, in the plain stroke font, rounded up; two letters are twice as wide."""

CLEAR_MM = 0.6
REACHES = (0.9, 1.2, 1.6, 2.1, 2.8, 3.6)
TURNS = 24
GROWN = np.array([-CLEAR_MM, -CLEAR_MM, CLEAR_MM, CLEAR_MM])
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerLetter:
    """A corner's letter: its lower left point on the blank, and its height, mm."""

    text: str
    at: tuple[float, float]
    height_mm: float


def corner_note(layer: str) -> str:
    """What the file says of them."""
    return (
        f"Layer {layer}: letters of the corners as in drawing and setup sheet. MARK OR LEAVE OUT, NEVER CUT."
    )


def corner_letters(
    flat: FlatPattern, etched: Sequence[Sequence[tuple[float, float]]] = ()
) -> Iterator[CornerLetter]:
    """The letter of every corner, where it lies nearest to it on free metal.

    Where there is no such place it lies across what is least in the way, still nearest to its own corner.
    """
    corners = corners_of(flat.contour)
    if len(corners) < 2:
        return
    metal = Polygon(polyline(flat.contour, 0.05))
    taken: list[BaseGeometry] = [
        Polygon(polyline(circle(h.u_mm, h.v_mm, h.diameter_mm), 0.1)) for h in flat.holes
    ]
    taken += [
        Polygon(polyline(stadium(s.u_mm, s.v_mm, s.width_mm, s.travel_mm, s.angle_rad), 0.1))
        for s in flat.slots
    ]
    taken += [LineString(strip.middle) for strip in flat.bends]
    taken += [LineString(stroke) for stroke in etched]
    for corner in corners:
        letter, room = _placed(corner, corners, metal, unary_union(taken))
        taken.append(room)
        yield letter


def _placed(
    corner: Corner, corners: Sequence[Corner], metal: Polygon, taken: BaseGeometry
) -> tuple[CornerLetter, BaseGeometry]:
    shapely.prepare((metal, taken))
    tried: list[tuple[Floats, float]] = []
    for high in HEIGHTS_MM:
        rooms = _rooms(corner, corners, high)
        around = shapely.box(*(rooms + GROWN).T)
        free = shapely.contains(metal, around)
        free[free] = ~shapely.intersects(taken, around[free])
        if free.any():
            return _lettered(corner, rooms[int(np.argmax(free))], high)
        tried += [(room, high) for room in rooms]
    if not tried:
        # two corners in one place
        x, y = corner.seen
        return CornerLetter(text=corner.letter, at=(x, y), height_mm=HEIGHTS_MM[-1]), box(x, y, x + 1, y + 1)
    # how much is in the way is only asked where nothing is free
    near, boxes = taken.buffer(CLEAR_MM), shapely.box(*np.array([room for room, _ in tried]).T)
    off, on = shapely.difference(boxes, metal), shapely.intersection(boxes, near)
    return _lettered(corner, *tried[int(np.argmin(shapely.area(off) + shapely.area(on)))])


def _lettered(corner: Corner, room: Floats, high: float) -> tuple[CornerLetter, BaseGeometry]:
    x, y, *_ = room.tolist()
    return CornerLetter(text=corner.letter, at=(x, y), height_mm=high), box(*room.tolist())


def _rooms(corner: Corner, corners: Sequence[Corner], high: float) -> Floats:
    """The rooms, shape (n, 4), in which a letter lies nearest to its own corner; the nearest first."""
    wide = WIDTH * high * len(corner.letter)
    middles = np.array(corner.seen) + _FAR * high * _WAYS
    others = np.array([c.seen for c in corners if c is not corner])
    away = middles[:, None] - others
    own = middles - np.array(corner.seen)
    middles = middles[np.hypot(*own.T) <= np.hypot(away[..., 0], away[..., 1]).min(axis=1)]
    half = np.array([wide / 2, high / 2])
    return np.hstack((middles - half, middles + half))


_TURNED = [math.tau * i / TURNS for i in range(TURNS)]
_WAYS = np.array([(math.cos(turn), math.sin(turn)) for _ in REACHES for turn in _TURNED])
_FAR = np.array([[reach] for reach in REACHES for _ in _TURNED])
"""How far a letter is from its corner for each mm of its height, and which way; the nearest first."""
