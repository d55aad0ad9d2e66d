"""A straight edge of the part that a square on the die is laid along, where one finger does not square it.

The edge lies square to the bend and flat on the die as the part is laid in. The stock of the square is held
against a face of the die, front or back, which is straight along the bend; its blade lies along the edge,
over the die or out in front of it. A stock stands partly over the top of the die, where the sheet lies: it
runs away from the sheet, on a die that goes on past the edge by as much. No metal of the part may be where
blade and stock lie, nor on the whole way of the blade from that face on.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box

from generators.bending.gauging.stops import CONTACT_MM, PARALLEL, corners_of_piece
from generators.bending.legs import OVERLAP_MM, Laid
from generators.bending.steps import Face, Reach, Square, Stop
from generators.bending.tools import MadeUp, made_up
from generators.geometry.frames import Matrix
from generators.geometry.joined import joined
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Brake, Die
from generators.sheetmetal.askew.most import askew_most_rad
from generators.sheetmetal.folding import bend_allowance, bend_length

FINGER_MM, GAP_MM = 0.1, 0.05
"""Two fingers may stand so far out of line, a burr or the gauge's own play; so wide a gap, a thin feeler's,
may be between a square's blade and its edge. Common practice, no source."""

BLADE_MM, STOCK_MM = 25.0, 70.0
"""Width of a square's blade, and how long the stock of one of 100 by 70 is. Common practice, no source."""

STOCK_DEEP_MM, STOCK_HIGH_MM, STOCK_THICK_MM = 20.0, 20.0, 20.0
"""How far the stock may go below the top of the die, above it, and out from its face. Common practice, no
source."""

AIR_MM, MERGED_MM, SAME_MM = 0.05, 0.01, 1e-6


def skew_mm(plan: PartPlan, apart_mm: float, bend: str) -> float:
    """How far one end of a bend may lie out against the other, mm, by two fingers so far apart."""
    return FINGER_MM / apart_mm * _long(plan, bend)


def may_skew_mm(plan: PartPlan, bend: str) -> float:
    """How far it may, mm, for all that is inspected along its fold (``askew_most_rad``)."""
    return askew_most_rad(plan)[bend] * _long(plan, bend)


def square_mm(plan: PartPlan, bend: str) -> float:
    """How much of an edge a square must lie along, mm, so that a bend is no further askew than it may be."""
    return max(GAP_MM / askew_most_rad(plan)[bend], CONTACT_MM)


def needs_square(plan: PartPlan, stop: Stop, bend: str) -> bool:
    """True where one finger, or two near ones, leave a bend further askew than it may be."""
    return stop.apart_mm <= 0 or skew_mm(plan, stop.apart_mm, bend) > may_skew_mm(plan, bend)


def _long(plan: PartPlan, bend: str) -> float:
    return bend_length(next(b for b in plan.bends if b.name == bend))


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What a square has to lie by: the die as far as it may reach, and what stands behind it, mm.

    ``strip_mm`` is half the flat strip of the bend, ``die_half_mm`` half the die's width; fingers as wide as
    ``finger_mm`` touch the ``stop``.
    """

    strip_mm: float
    die_half_mm: float
    die_reach: Reach
    stop: Stop
    finger_mm: float


def squared(
    laid: Laid, plan: PartPlan, bend: Bend, stop: Stop, on: tuple[Brake, Die], made: tuple[MadeUp, Reach]
) -> tuple[Stop, MadeUp]:
    """A stop with the edge a square is laid along, and a die long enough for its stock as well.

    As they are where no such edge holds the bend as square as it is to be. ``made``: pieces of the
    die as long as the bend, and how far the die may reach.
    """
    (brake, die), (pieces, reach) = on, made
    room = Room(
        strip_mm=bend_allowance(bend, plan.thickness_mm) / 2,
        die_half_mm=die.width_mm / 2,
        die_reach=reach,
        stop=stop,
        finger_mm=brake.gauge.finger_width_mm,
    )
    for square in squares_for(laid, room, plan.thickness_mm):
        low, high = square.die_span(laid.length)
        longer = made_up(die.segments_mm, brake.length_mm, high - low, reach.most_mm)
        if longer is not None and square.long_mm >= square_mm(plan, bend.name):
            return replace(stop, square=square), longer
    return stop, pieces


def squares_for(laid: Laid, room: Room, thickness_mm: float) -> list[Square]:
    """Stretches of such edges, 10 mm or more, with room for blade and stock; from the front face first."""
    boxes = [
        (corners.min(axis=0), corners.max(axis=0))
        for piece in (*laid.rear.pieces, *laid.front.pieces)
        for corners in (corners_of_piece(piece),)
    ]
    ways: tuple[tuple[Face, bool], ...] = (("front", True), ("front", False), ("back", True))
    found = []
    for (x, out, low, high), (face, over) in itertools.product(_edges(laid, room.strip_mm), ways):
        at = -room.die_half_mm if face == "front" else room.die_half_mm
        toward = 1.0 if (face == "front") == over else -1.0
        # both as ways of the blade from the face on
        begins, ends = sorted((toward * (low - at), toward * (high - at)))
        free = _free(laid, boxes, (x, out), at, toward, thickness_mm)
        begins, ends = max(begins, 0.0), min(ends, free)
        if ends - begins < CONTACT_MM:
            continue
        low_y, high_y = sorted((at + toward * begins, at + toward * ends))
        square = Square(
            x=x,
            low_y=low_y,
            high_y=high_y,
            way=int(out),
            stock_mm=STOCK_MM,
            face=face,
            over=over,
            free_mm=free,
        )
        if _stock_goes(laid, boxes, square, room):
            found.append(square)
    return sorted(found, key=lambda s: (s.face == "back", -round(s.long_mm, 6), not s.over, s.x))


def _edges(laid: Laid, strip_mm: float) -> Iterator[tuple[float, float, float, float]]:
    """Straight edges square to the bend: place along it, which way is out of the sheet, from, to."""
    own = box(0.0, -strip_mm - OVERLAP_MM, laid.length, strip_mm + OVERLAP_MM)
    whole = joined([laid.rear.flat, own, laid.front.flat])
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
    edge: tuple[float, float],
    at: float,
    toward: float,
    thickness_mm: float,
) -> float:
    """How far a blade beside an edge comes from a face of the die at ``at`` before it meets the part, mm."""
    x, out = edge
    near, far = sorted((x + out * AIR_MM, x + out * BLADE_MM))
    blade = box(near, -1e5, far, 1e5)
    taken: list[tuple[float, float]] = []
    for leg in (laid.rear, laid.front):
        cut = leg.flat.intersection(blade)
        taken += [(p.bounds[1], p.bounds[3]) for p in getattr(cut, "geoms", [cut]) if not p.is_empty]
    for least, most in boxes:
        if most[0] > near and least[0] < far and most[2] > AIR_MM and least[2] < thickness_mm:
            taken.append((float(least[1]), float(most[1])))
    ways = [sorted((toward * (a - at), toward * (b - at))) for a, b in taken]
    return min((max(begins, 0.0) for begins, ends in ways if ends > AIR_MM), default=math.inf)


def _stock_goes(laid: Laid, boxes: list[tuple[Matrix, Matrix]], square: Square, room: Room) -> bool:
    """True where the stock has room beside the die, which may reach as far, and no finger stands there."""
    low, high = square.die_span(laid.length)
    if low < room.die_reach.low - SAME_MM or high > room.die_reach.high + SAME_MM:
        return False
    x0, x1 = sorted((square.x + square.way * AIR_MM, square.x + square.way * square.stock_mm))
    front = square.face == "front"
    face = -room.die_half_mm if front else room.die_half_mm
    y0, y1 = (face - STOCK_THICK_MM, face) if front else (face, face + STOCK_THICK_MM)
    if any(leg.flat.intersects(box(x0, y0, x1, y1)) for leg in (laid.rear, laid.front)):
        return False
    stop = room.stop
    if not front and stop.on != "line" and stop.distance_mm < y1:
        # on less than its width a finger stands over the ends of what it touches
        over = max(room.finger_mm - stop.long_mm, 0.0)
        if stop.low_x - over < x1 and stop.high_x + over > x0:
            return False
    return not any(
        most[0] > x0
        and least[0] < x1
        and most[1] > y0
        and least[1] < y1
        and least[2] < STOCK_HIGH_MM
        and most[2] > -STOCK_DEEP_MM
        for least, most in boxes
    )
