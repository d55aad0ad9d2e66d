"""What of a part passes its stop as the stroke goes: through a finger's place, or beside and over it."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.bending.gauging.past import (
    BEGINS_MM,
    FAR_MM,
    PAST_MM,
    TOUCH_MM,
    Beyond,
    Span,
    beyond_of,
    cut_past,
    plate_past,
    seat,
    seats_in,
)
from generators.bending.legs import Chunk, Laid, Leg, Piece, Plate
from generators.bending.shadow import shadows
from generators.bending.steps import Stop, SwingsBy, SwingsOut
from generators.bending.stroke import Stroke
from generators.geometry.frames import Matrix, apply
from generators.model.spec.tools.press import BackGauge

WAYS, HALVINGS = 128, 8
"""At so many angles on the way it is looked at; where something comes or goes between two, so much closer."""


def swings_out(
    laid: Laid, stroke: Stroke, stop: Stop, gauge: BackGauge, room_mm: float = 0.0
) -> SwingsOut | None:
    """The flange that comes farthest past its stop where fingers stand, pressed on at worst; None: none does.

    A flange that hangs from the leg at the gauge swings toward it, and so does one that stands on the leg in
    front. What a finger touches counts however low it hangs, for another finger may be set lower; anything
    else at this one's height, and where it leaves less than ``room_mm`` of air.
    """
    low, high = stop.fingers_x
    # what stood just so far beside them when they were given their place does not
    aside = max(room_mm - TOUCH_MM, 0.0)
    foot, top = _zone(stop, gauge, room_mm)
    found: list[tuple[float, str]] = []
    for flange, shape, rear in _seen(laid, stroke, low - aside, high + aside):
        touched = stop.below and flange == stop.flange
        level = box(-FAR_MM, -FAR_MM if touched else foot, FAR_MM, top)
        corners = np.asarray(shape.exterior.coords)
        for h in _past_at(stroke, corners, rear, stop.distance_mm):
            there = stroke.moved(shape, rear, h, stroke.axis_z(h)).intersection(level)
            if not there.is_empty:
                found.append((float(there.bounds[2]), flange))
    far, flange = max(found, default=(0.0, ""))
    if far <= stop.distance_mm + PAST_MM:
        return None
    return SwingsOut(flange=flange, far_mm=far)


def _past_at(stroke: Stroke, points: NDArray[np.float64], rear: bool, y: float) -> Iterator[float]:
    """Angles on the way at which any of those points, (y, z) as laid in, is further than ``y`` out."""

    def past(h: float) -> bool:
        return bool(stroke.farthest(points, rear, (h,))[0] > y)

    ways = [stroke.most_half * k / WAYS for k in range(WAYS + 1)]
    before = None
    for h, here in zip(ways, (stroke.farthest(points, rear, ways) > y).tolist(), strict=True):
        if before not in (None, here):
            # it is lowest where it comes or goes, as likely as not between two of the angles
            out, into = (h, h - stroke.most_half / WAYS)[:: 1 if before else -1]
            for _ in range(HALVINGS):
                middle = (out + into) / 2
                out, into = (out, middle) if past(middle) else (middle, into)
            yield into
        if here:
            yield h
        before = here


def _seen(laid: Laid, stroke: Stroke, low: float, high: float) -> Iterator[tuple[str, Polygon, bool]]:
    """Each flange between two places along the bend, seen along it, laid in; whether of the rear leg."""
    for shadow in shadows(laid, low, high):
        # parts of a shadow may lie over one another: each by itself
        for part in _parts(shadow.shape):
            yield shadow.flange, part, shadow.rear
    for flange, flat in laid.rear.flats:
        for part in _parts(flat.intersection(box(low, 0.0, high, FAR_MM))):
            yield flange, box(part.bounds[1], 0.0, part.bounds[3], stroke.thickness_mm), True


def _parts(shape: BaseGeometry) -> Iterator[Polygon]:
    for part in getattr(shape, "geoms", [shape]):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part


def swings_by(
    laid: Laid,
    stroke: Stroke,
    stop: Stop,
    gauge: BackGauge,
    room_mm: float = 0.0,
    out: SwingsOut | None = None,
) -> tuple[SwingsBy, ...]:
    """What comes past a stop on the way at whatever height, beside the fingers or over or under them.

    How far it comes, and how near to them, pressed on at worst. Not what lies there as laid in already and
    comes neither further nor nearer. What comes through the fingers' own place drives the gauge back, by
    ``out`` all told: of that, what comes further than the fingers then stand.
    """
    zone = _zone(stop, gauge, room_mm)
    told: list[SwingsBy] = []
    behind: set[str] = set()
    for flange, seen in _on_the_way(laid, stroke, stop, zone, stop.distance_mm + PAST_MM).items():
        if any(s.at == "behind" for _, s in seen):
            behind.add(flange)
        else:
            told += _worth_telling(seen)
    if behind and out is not None:
        for seen in _on_the_way(laid, stroke, stop, zone, out.far_mm + PAST_MM, behind).values():
            told += _worth_telling([(h, s) for h, s in seen if s.at != "behind"])
    return tuple(sorted(told, key=lambda s: -s.past_mm))


def _worth_telling(seen: Sequence[tuple[float, SwingsBy]]) -> Iterator[SwingsBy]:
    """The nearest of one flange, as far as it comes at most; none where it was so near and so far at rest."""
    if not seen:
        return
    nearest = min((s for _, s in seen), key=_near)
    farthest = max(s.past_mm for _, s in seen)
    at_rest = [s for h, s in seen if h == 0.0]
    first = min(at_rest, key=_near, default=None)
    if (
        first is None
        or farthest > max(s.past_mm for s in at_rest) + PAST_MM
        or nearest.at != first.at
        or nearest.beside_mm < first.beside_mm - PAST_MM
        or nearest.low_mm < first.low_mm - PAST_MM
    ):
        yield replace(nearest, past_mm=farthest)


def _near(one: SwingsBy) -> tuple[bool, float, float]:
    return one.at == "beside", one.beside_mm, one.low_mm


def _on_the_way(
    laid: Laid,
    stroke: Stroke,
    stop: Stop,
    zone: Span,
    line: float,
    only: Container[str] | None = None,
) -> dict[str, list[tuple[float, SwingsBy]]]:
    """By flange, each piece of it past a line, with how far its leg has risen then, rad; ``only`` of some.

    How near to the fingers is measured from where it begins to be past: the round of a corner comes nearest
    there. The edge at the stop slips out a little as the stroke begins: what slips with it is not past.
    """
    edge = np.array([(stop.distance_mm, 0.0), (stop.distance_mm, stroke.thickness_mm)])
    found: dict[str, list[tuple[float, SwingsBy]]] = {}
    behind: set[str] = set()
    for leg, rear in ((laid.rear, True), (laid.front, False)):
        for piece in _pieces(leg, stroke.thickness_mm):
            if only is not None and piece.flange not in only:
                continue
            ways = list(_past_at(stroke, _corners(piece)[:, 1:], rear, line))
            if not ways:
                continue
            begins = np.maximum(stroke.farthest(edge, True, ways), line - PAST_MM) + BEGINS_MM
            past, begun = _beyond_at(piece, stroke, rear, ways, (np.full(len(ways), line), begins))
            for h, parts, near in zip(ways, past, begun, strict=True):
                seats = [seat(part, stop.fingers_x, zone) for part in near]
                nearest = min((gap for at, gap in seats if at == "beside"), default=math.inf)
                for part in parts:
                    at, gap = seat(part, stop.fingers_x, zone)
                    places = [(at, gap, part.low_z)]
                    if at == "behind" and (only is not None or piece.flange not in behind):
                        # its box is; what of itself is there?
                        places = list(seats_in(_turned(piece, stroke, rear, h), line, stop.fingers_x, zone))
                    for where, aside, low in places:
                        one = SwingsBy(
                            flange=piece.flange,
                            past_mm=part.far_y - stop.distance_mm,
                            at=where,
                            beside_mm=min(aside, nearest),
                            low_mm=low if where == "over" else 0.0,
                        )
                        found.setdefault(piece.flange, []).append((h, one))
                        if where == "behind":
                            behind.add(piece.flange)
    return found


def _beyond_at(
    piece: Piece, stroke: Stroke, rear: bool, ways: list[float], lines: Sequence[NDArray[np.float64]]
) -> list[list[list[Beyond]]]:
    """What of a piece lies behind each of some lines when its leg has risen by each of those angles.

    A line has a place for each angle.
    """
    if isinstance(piece, Plate):
        frames = np.array([_turn(stroke, rear, h) for h in ways]) @ piece.frame
        return [plate_past(piece, frames, y) for y in lines]
    turned = [_turned(piece, stroke, rear, h) for h in ways]
    return [
        [
            [beyond_of(piece.flange, p) for p in cut_past(one, at)]
            for one, at in zip(turned, y.tolist(), strict=True)
        ]
        for y in lines
    ]


def _zone(stop: Stop, gauge: BackGauge, room_mm: float) -> Span:
    """From which height to which a finger at a stop is in the way of what passes over or under it, mm."""
    foot = -gauge.below_mm if stop.below else 0.0
    return foot - room_mm, foot + gauge.finger_height_mm + room_mm


def _pieces(leg: Leg, thickness_mm: float) -> Iterator[Piece]:
    """All of a leg: what stands off the sheet, and flat metal, flange by flange."""
    yield from leg.pieces
    for flange, flat in leg.flats:
        yield Plate(flange=flange, outline=flat, frame=np.eye(4), thickness=thickness_mm)


def _corners(piece: Piece) -> Matrix:
    if isinstance(piece, Chunk):
        return piece.corners
    ring = np.asarray(piece.outline.exterior.coords)
    sides = [np.column_stack([ring, np.full(len(ring), w)]) for w in (0.0, piece.thickness)]
    return apply(piece.frame, np.concatenate(sides))


def _turned(piece: Piece, stroke: Stroke, rear: bool, h: float) -> Piece:
    """A piece where it is when its leg has risen by ``h`` rad."""
    if isinstance(piece, Plate):
        return replace(piece, frame=_turn(stroke, rear, h) @ piece.frame)
    moved = piece.corners.copy()
    moved[:, 1:] = stroke.moved_points(piece.corners[:, 1:], rear, h, stroke.axis_z(h))
    return Chunk(flange=piece.flange, corners=moved)


def _turn(stroke: Stroke, rear: bool, h: float) -> Matrix:
    """That move of a leg, 4 × 4."""
    side = 1.0 if rear else -1.0
    c, s = math.cos(h), side * math.sin(h)
    turn = np.eye(4)
    turn[1:3, 1:3] = (c, -s), (s, c)
    # where the machine's origin goes to is all the rest of the move
    turn[1:3, 3] = stroke.moved_points(np.zeros((1, 2)), rear, h, stroke.axis_z(h))[0]
    return turn
