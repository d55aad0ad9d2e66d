"""Letters of a blank's corners in the cutter's file: those of drawing and setup sheet, on the blank itself.

With them an edge to gauge on is found on the cut blank alone. Each stands on the metal beside its corner,
clear of what is cut, of bend lines and of letters that are etched.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
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
    tried: list[tuple[CornerLetter, Polygon]] = []
    for letter, room in _places(corner, corners):
        around = room.buffer(CLEAR_MM, join_style="mitre")
        if metal.contains(around) and not taken.intersects(around):
            return letter, room
        tried.append((letter, room))
    if not tried:
        # two corners in one place
        x, y = corner.seen
        return CornerLetter(text=corner.letter, at=(x, y), height_mm=HEIGHTS_MM[-1]), box(x, y, x + 1, y + 1)
    # how much is in the way is only asked where nothing is free
    near = taken.buffer(CLEAR_MM)
    return min(tried, key=lambda one: one[1].difference(metal).area + one[1].intersection(near).area)


def _places(corner: Corner, corners: Sequence[Corner]) -> Iterator[tuple[CornerLetter, Polygon]]:
    """Where a letter lies nearest to its own corner, with the room it takes: the largest first."""
    for high in HEIGHTS_MM:
        wide = WIDTH * high * len(corner.letter)
        for reach in REACHES:
            for i in range(TURNS):
                turn = math.tau * i / TURNS
                x, y = (
                    corner.seen[0] + reach * high * math.cos(turn),
                    corner.seen[1] + reach * high * math.sin(turn),
                )
                own = math.dist(corner.seen, (x, y))
                if any(math.dist(c.seen, (x, y)) < own for c in corners if c is not corner):
                    continue
                room = box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
                yield CornerLetter(text=corner.letter, at=(x - wide / 2, y - high / 2), height_mm=high), room
