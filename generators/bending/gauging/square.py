"""A straight edge of the part that a square on the die is laid along, where one finger does not square it.

The edge lies square to the bend and flat on the die as the part is laid in. The stock of the square is held
against the front face of the die, which is straight along the bend; its blade lies along the edge, back over
the die or out in front of it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box

from generators.bending.gauging.stops import CONTACT_MM, PARALLEL, corners_of_piece
from generators.bending.legs import OVERLAP_MM, Laid
from generators.bending.steps import Square
from generators.geometry.frames import Matrix

BLADE_MM, STOCK_MM = 25.0, 100.0
"""Width of a square's blade, and how much of its stock lies along the die. Common practice, no source."""

STOCK_DEEP_MM, STOCK_THICK_MM = 20.0, 20.0
"""How far the stock goes below the top of the die, and out from its face. Common practice, no source."""

AIR_MM, MERGED_MM = 0.05, 0.01


def square_for(laid: Laid, strip_mm: float, die_half_mm: float, thickness_mm: float) -> Square | None:
    """The longest stretch of such an edge with room for blade and stock; None: there is none of 10 mm.

    ``strip_mm`` is half the flat strip of the bend, ``die_half_mm`` half the die's width.
    """
    boxes = [
        (corners.min(axis=0), corners.max(axis=0))
        for piece in (*laid.rear.pieces, *laid.front.pieces)
        for corners in (corners_of_piece(piece),)
    ]
    found = [
        Square(x=x, low_y=low, high_y=high, back=back)
        for x, out, edge_low, edge_high in _edges(laid, strip_mm)
        if _stock_goes(boxes, x, die_half_mm)
        for back, begins, ends in (
            (True, max(edge_low, -die_half_mm), edge_high),
            (False, edge_low, min(edge_high, -die_half_mm)),
        )
        for low, high in _free(laid, boxes, x, out, begins, ends, thickness_mm)
    ]
    return max(found, key=lambda s: (round(s.long_mm, 6), s.back, -s.x), default=None)


def _edges(laid: Laid, strip_mm: float) -> Iterator[tuple[float, float, float, float]]:
    """Straight edges square to the bend: place along it, which way is out of the sheet, from, to."""
    own = box(0.0, -strip_mm - OVERLAP_MM, laid.length, strip_mm + OVERLAP_MM)
    whole = shapely.union_all([laid.rear.flat, own, laid.front.flat])
    for part in getattr(whole, "geoms", [whole]):
        ring = _merged(part)
        for (ax, ay), (bx, by) in itertools.pairwise([*ring, ring[0]]):
            if abs(by - ay) >= CONTACT_MM and abs(bx - ax) <= PARALLEL * abs(by - ay):
                yield (ax + bx) / 2, math.copysign(1.0, by - ay), min(ay, by), max(ay, by)


def _merged(part: Polygon) -> list[tuple[float, float]]:
    """Its outline, counter-clockwise, without points on a straight line; it begins at a true corner."""
    ring = np.asarray(shapely.geometry.polygon.orient(part).exterior.coords)[:-1]
    far = int(np.argmax(np.hypot(*(ring - ring.mean(axis=0)).T)))
    closed = [*ring[far:].tolist(), *ring[: far + 1].tolist()]
    return [(float(x), float(y)) for x, y in LineString(closed).simplify(MERGED_MM).coords[:-1]]


def _free(
    laid: Laid,
    boxes: list[tuple[Matrix, Matrix]],
    x: float,
    out: float,
    low: float,
    high: float,
    thickness_mm: float,
) -> Iterator[tuple[float, float]]:
    """Stretches of an edge, from one end to the other, with nothing of the part where the blade lies."""
    if high - low < CONTACT_MM:
        return
    near, far = sorted((x + out * AIR_MM, x + out * BLADE_MM))
    blade = box(near, low, far, high)
    taken: list[tuple[float, float]] = []
    for leg in (laid.rear, laid.front):
        cut = leg.flat.intersection(blade)
        taken += [(p.bounds[1], p.bounds[3]) for p in getattr(cut, "geoms", [cut]) if not p.is_empty]
    for least, most in boxes:
        if most[0] > near and least[0] < far and most[2] > AIR_MM and least[2] < thickness_mm:
            taken.append((float(least[1]), float(most[1])))
    at = low
    for start, end in [*sorted(taken), (high, high)]:
        if min(start, high) - at >= CONTACT_MM:
            yield at, min(start, high)
        at = max(at, end)


def _stock_goes(boxes: list[tuple[Matrix, Matrix]], x: float, die_half_mm: float) -> bool:
    """True where the stock has room before the die on either side of the blade."""
    for low, high in ((x - STOCK_MM, x + BLADE_MM), (x - BLADE_MM, x + STOCK_MM)):
        if not any(
            most[0] > low
            and least[0] < high
            and most[1] > -die_half_mm - STOCK_THICK_MM
            and least[1] < -die_half_mm
            and least[2] < -AIR_MM
            and most[2] > -STOCK_DEEP_MM
            for least, most in boxes
        ):
            return True
    return False
