"""Where the back gauge touches: a straight edge along the bend, else the face of a flange bent before.

The sheet lies flat on the die and is pushed back against one finger or two. A finger needs its own width of
free room behind the edge and ``CONTACT_MM`` of edge to touch.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from shapely.geometry import Point, Polygon, box

from generators.bending.gauging.past import at_the_beam, past_stop, stands
from generators.bending.legs import Chunk, Laid, Plate
from generators.bending.steps import Stop
from generators.geometry.frames import Matrix, apply
from generators.model.spec.tools.press import BackGauge, Brake, Die

CONTACT_MM = 10.0
"""Least edge a finger touches, ours."""

PARALLEL = 1e-4
AIR_MM = 0.05
SQUARES_MM = 25.0
"""Least edge that squares a sheet pushed against it (common practice, no source)."""

FACE_MM = 5.0
"""Least flat of a bent flange's face that a finger touches, ours."""

Span = tuple[float, float]


def nearest_finger(punch: Polygon, brake: Brake, thickness_mm: float) -> float:
    """How near a finger on the die may stand while the punch touches the sheet, mm from the middle.

    The tip is then one thickness over the die; what of the punch is lower than the finger's top is behind it.
    """
    gauge = brake.gauge
    low = punch.intersection(box(-1e4, -1.0, 1e4, max(gauge.finger_height_mm - thickness_mm, 0.0)))
    behind = low.bounds[2] + brake.room_mm if not low.is_empty else 0.0
    return max(gauge.nearest_mm, behind)


def stop_for(laid: Laid, brake: Brake, die: Die, thickness_mm: float, nearest_mm: float = 0.0) -> Stop | None:
    """The nearest stop of the rear leg that the gauge reaches; edges go before faces. None: there is none.

    A finger on the die stands no nearer than ``nearest_mm``, where the punch comes down.
    """
    gauge = brake.gauge
    within = max(gauge.nearest_mm, nearest_mm), gauge.reach_mm
    edges = sorted(edges_of(laid), key=lambda e: (-min(e[2] - e[1], 5 * gauge.finger_width_mm), e[0]))
    level = (0.0, gauge.finger_height_mm)
    for y, low, high in edges:
        if not within[0] <= y <= within[1]:
            continue
        seat = touched_at(laid, gauge, y, (low, high), level, brake.room_mm)
        if seat and not at_the_beam(laid, y, gauge, brake.room_mm, thickness_mm, below=False):
            touched, free = seat
            stand = stands(touched, free, gauge.finger_width_mm)
            return Stop(
                on="edge",
                flange=whose(laid, y, touched),
                distance_mm=y,
                low_x=touched[0],
                high_x=touched[1],
                apart_mm=_apart(touched, gauge),
                past=past_stop(laid, y, stand, level, thickness_mm),
                stand=stand,
            )
    for face in sorted(laid.rear.faces, key=lambda f: f.y):
        if not (within[0] if face.up else gauge.nearest_mm) <= face.y <= within[1]:
            continue
        if face.up:
            zone = level
            if gauge.finger_height_mm < face.clear_mm + FACE_MM:
                continue
        else:
            zone = (-gauge.below_mm, min(0.0, gauge.finger_height_mm - gauge.below_mm))
            if gauge.below_mm < face.clear_mm + FACE_MM or face.y < die.width_mm / 2 + AIR_MM:
                continue
        seat = touched_at(laid, gauge, face.y, (face.low_x, face.high_x), zone, brake.room_mm)
        if seat and not at_the_beam(laid, face.y, gauge, brake.room_mm, thickness_mm, below=not face.up):
            touched, free = seat
            stand = stands(touched, free, gauge.finger_width_mm)
            return Stop(
                on="flange",
                flange=face.flange,
                distance_mm=face.y,
                low_x=touched[0],
                high_x=touched[1],
                below=not face.up,
                apart_mm=_apart(touched, gauge),
                clear_mm=face.clear_mm,
                past=past_stop(laid, face.y, stand, zone, thickness_mm),
                stand=stand,
            )
    return None


def _apart(touched: Span, gauge: BackGauge) -> float:
    """How far apart two fingers may stand on an edge, both wholly on it, mm; 0 where it is too short."""
    long = touched[1] - touched[0]
    return long - gauge.finger_width_mm if long >= max(2 * gauge.finger_width_mm, SQUARES_MM) else 0.0


def whose(laid: Laid, y: float, touched: Span) -> str:
    """The flange whose edge that is."""
    middle = Point((touched[0] + touched[1]) / 2, y)
    return min(laid.rear.flats, key=lambda named: named[1].distance(middle))[0]


def edges_of(laid: Laid) -> Iterator[tuple[float, float, float]]:
    """Straight edges along the bend that look back: distance, from, to."""
    for part in getattr(laid.rear.flat, "geoms", [laid.rear.flat]):
        ring = np.asarray(shapely.geometry.polygon.orient(part).exterior.coords)
        for (ax, ay), (bx, by) in itertools.pairwise(ring):
            if ax - bx >= CONTACT_MM and abs(ay - by) <= PARALLEL * (ax - bx):
                yield float(ay + by) / 2, float(bx), float(ax)


def touched_at(
    laid: Laid, gauge: BackGauge, y: float, edge: Span, zone: Span, room_mm: float
) -> tuple[Span, Span] | None:
    """The longest stretch of an edge fingers can touch with nothing in their way behind it.

    With it from where to where they have room, ``room_mm`` of air beside what stands there.
    """
    taken = sorted(_behind(laid, y, gauge.finger_length_mm, zone))
    best: tuple[Span, Span] | None = None
    at = -math.inf
    for low, high in [*taken, (math.inf, math.inf)]:
        free = at + room_mm, low - room_mm
        if free[1] - free[0] >= gauge.finger_width_mm:
            touch = (max(free[0], edge[0]), min(free[1], edge[1]))
            long = touch[1] - touch[0]
            if long >= CONTACT_MM and (best is None or long > best[0][1] - best[0][0]):
                best = touch, free
        at = max(at, high)
    return best


def _behind(laid: Laid, y: float, length: float, zone: Span) -> Iterable[Span]:
    """Stretches along the bend in which the part stands where a finger would be."""
    far = 1e5
    for leg in (laid.rear, laid.front) if zone[0] <= 0.0 <= zone[1] else ():
        flat = leg.flat.intersection(box(-far, y + AIR_MM, far, y + length))
        for part in getattr(flat, "geoms", [flat]):
            if not part.is_empty:
                yield part.bounds[0], part.bounds[2]
    for piece in (*laid.rear.pieces, *laid.front.pieces):
        corners = corners_of_piece(piece)
        low, high = corners.min(axis=0), corners.max(axis=0)
        if high[1] > y + AIR_MM and low[1] < y + length and high[2] > zone[0] + AIR_MM and low[2] < zone[1]:
            yield float(low[0]), float(high[0])


def corners_of_piece(piece: Plate | Chunk) -> Matrix:
    """Corners of a piece that stands off the sheet, in the machine's frame."""
    if isinstance(piece, Chunk):
        return piece.corners
    ring = np.asarray(piece.outline.exterior.coords)
    sides = [np.column_stack([ring, np.full(len(ring), w)]) for w in (0.0, piece.thickness)]
    return apply(piece.frame, np.concatenate(sides))
