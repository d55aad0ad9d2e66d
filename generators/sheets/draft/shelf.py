"""A small picture of a thing of the shelf, seen from the side: out to the right, up upward, not to scale."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from generators.drawing.paper.pen import THIN
from generators.drawing.paper.svg_pen import SvgPen

WIDE, HIGH, EDGE = 64.0, 40.0, 4.0
INCH_16 = 25.4 / 16
FLANGE_OVER = 20.0
"""Flange beyond its bolts, both sides together, where only their spacing is known. Ours: a picture."""
_WAYS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"out": (1.0, 0.0), "back": (-1.0, 0.0), "up": (0.0, 1.0), "down": (0.0, -1.0)}
)

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Corners of a closed outline in mm, or with ``across`` a circle about the one corner.

    ``way`` draws an arrow from the corner instead, ``said`` stands beside it.
    """

    corners: tuple[Point, ...]
    across: float = 0.0
    way: Point | None = None
    said: str = ""
    grey: float | None = None


def _box(x0: float, y0: float, x1: float, y1: float, grey: float | None = None) -> Shape:
    return Shape(corners=((x0, y0), (x1, y0), (x1, y1), (x0, y1)), grey=grey)


def _round(x: float, y: float, across: float, grey: float | None = None) -> Shape:
    return Shape(corners=((x, y),), across=across, grey=grey)


def _component(t: Any) -> Iterator[Shape]:
    """Flange, body and ports of what sits in a hole; the sheet is at the left, its hole's axis level."""
    high = t.flange_height_mm or (getattr(t, "bolt_spacing_mm", None) or 0.0)
    if high and not t.flange_height_mm:
        high += FLANGE_OVER
    if high or t.flange_mm:
        high = high or 1.5 * (t.diameter_mm or FLANGE_OVER)
        yield _box(0.0, -high / 2, t.flange_mm or 3.0, high / 2, 0.85)
    if t.diameter_mm and t.length_mm:
        x, _, y = t.body_at or (0.0, 0.0, 0.0)
        way = _WAYS.get(t.body_along or "out")
        half = t.diameter_mm / 2
        if way is None:  # it stands toward whom looks at it
            yield _round(x, y, t.diameter_mm, 0.93)
        else:
            end_x, end_y = x + way[0] * t.length_mm, y + way[1] * t.length_mm
            aside, over = (0.0, half) if way[0] else (half, 0.0)
            low, high_x = (min(x, end_x) - aside, min(y, end_y) - over), max(x, end_x) + aside
            yield _box(*low, high_x, max(y, end_y) + over, 0.93)
    for port in t.port:
        x, _, y = port.at
        yield Shape(corners=((x, y),), way=_WAYS.get(port.facing, (0.0, 0.0)), said=port.name)


def _fitting(t: Any) -> Iterator[Shape]:
    if t.kind != "bulkhead":
        yield from _component(t)
        return
    half = (t.dash or 4) * INCH_16 / 2
    cab, engine = t.seat_cab_mm or 25.0, t.seat_engine_mm or 25.0
    yield _box(-1.0, -3 * half - 12.0, 1.0, 3 * half + 12.0, 0.6)  # the sheet
    yield _box(-engine, -half, cab, half, 0.93)
    yield _box(1.0, -2 * half, 5.0, 2 * half, 0.85)
    if t.leg_mm:
        yield _box(cab - 2 * half, -half, cab, t.leg_mm, 0.93)


def _steel(t: Any) -> Iterator[Shape]:
    if t.diameter_mm:
        yield _round(0.0, 0.0, t.diameter_mm, 0.85)
    elif t.width_mm and t.thickness_mm:
        yield _box(0.0, 0.0, t.width_mm, t.thickness_mm, 0.85)


def _hose(t: Any) -> Iterator[Shape]:
    outside = t.outside_mm or (t.dash or 4) * INCH_16
    yield _round(0.0, 0.0, outside, 0.85)
    if t.bore_mm:
        yield _round(0.0, 0.0, t.bore_mm, 1.0)


def _hose_end(t: Any) -> Iterator[Shape]:
    half, long = (t.diameter_mm or 14.0) / 2, t.length_mm or 30.0
    if not t.angle_rad:
        yield _box(0.0, -half, long, half, 0.93)
        return
    drop = t.drop_mm or 20.0
    # the seat is up on the leg; the hose leaves level, or at the elbow's angle
    lean = math.pi / 2 - t.angle_rad
    ux, uy = math.cos(lean), math.sin(lean)
    yield _box(-half * 0.7, 0.0, half * 0.7, drop, 0.93)
    yield Shape(
        corners=(
            (uy * half, -ux * half),
            (ux * long + uy * half, uy * long - ux * half),
            (ux * long - uy * half, uy * long + ux * half),
            (-uy * half, ux * half),
        ),
        grey=0.93,
    )


def _adapter(t: Any) -> Iterator[Shape]:
    half = (t.dash or 4) * INCH_16
    yield _box(0.0, -half, t.length_mm or 20.0, half, 0.93)


def _clamp(t: Any) -> Iterator[Shape]:
    inside = (t.dash or 4) * INCH_16
    high, aside = t.stand_off_mm or inside / 2 + 4.0, t.aside_by_mm or inside / 2 + 10.0
    yield _box(-8.0, -2.0, aside + inside, 0.0, 0.6)  # the sheet
    yield _box(-5.0, 0.0, aside, 2.0, 0.85)
    yield _round(aside, high, inside + 4.0, 0.85)
    yield _round(aside, high, inside, 1.0)
    yield _box(-2.5, 2.0, 2.5, 7.0, 0.93)


_DRAWN: Mapping[str, Callable[[Any], Iterator[Shape]]] = MappingProxyType(
    {
        "master": _component,
        "slave": _component,
        "reservoir": _component,
        "fitting": _fitting,
        "adapter": _adapter,
        "hose_end": _hose_end,
        "hose": _hose,
        "clamp": _clamp,
        "steel": _steel,
    }
)


def shapes_of(kind: str, said: Any) -> tuple[Shape, ...]:
    """What a thing looks like from the side, in mm; nothing where it says no size."""
    return tuple(_DRAWN[kind](said))


def thing_picture(kind: str, said: Any, title: str) -> str:
    """The picture as text of an SVG, all of the thing in it."""
    shapes = shapes_of(kind, said)
    pen = SvgPen(Path(), WIDE, HIGH, title=title, subject="not to scale")
    spots = [
        (x + dx * one.across / 2, y + dy * one.across / 2)
        for one in shapes
        for x, y in one.corners
        for dx, dy in (((1, 1), (-1, -1)) if one.across else ((0, 0),))
    ]
    if not spots:
        return pen.drawn()
    x0, x1 = min(x for x, _ in spots), max(x for x, _ in spots)
    y0, y1 = min(y for _, y in spots), max(y for _, y in spots)
    scale = min((WIDE - 4 * EDGE) / max(x1 - x0, 1.0), (HIGH - 4 * EDGE) / max(y1 - y0, 1.0))
    left, low = WIDE / 2 - scale * (x0 + x1) / 2, HIGH / 2 - scale * (y0 + y1) / 2

    def at(x: float, y: float) -> Point:
        return left + scale * x, low + scale * y

    pen.stroke(THIN)
    for one in shapes:
        x, y = at(*one.corners[0])
        if one.way is not None:
            pen.circle(x, y, 2.0, fill=1.0)
            pen.line(x, y, x + 5 * one.way[0], y + 5 * one.way[1])
            pen.text(x + 5 * one.way[0] + 1.2, y + 6 * one.way[1] - 0.8, one.said, 3.4)
        elif one.across:
            pen.circle(x, y, one.across * scale, fill=one.grey)
        else:
            pen.polygon([at(*corner) for corner in one.corners], fill=one.grey)
    return pen.drawn()
