"""One stroke: how sheet, punch and die lie to each other at every angle, and what meets on the way.

In the middle of the sheet the bend's arc grows from nothing, taken from the flat strip evenly on both sides:
at a bend of ``2 h`` it takes ``h (R + K t)`` of neutral fibre from each. The outer faces rise at ``h`` and
lie on the shoulders of the die, rounded with ``r`` about centres at ``(c, -r)``. So the mould line is at
``r / cos h - r - c tan h`` and the bend's axis ``(R + t) / cos h`` above it; the punch stands on the inside
of the bend, ``R`` below the axis.

What moves is stepped only as far as its least distance allows (conservative advancement): no point moves
faster than its distance from the axis and what the axis itself moves. So nothing is passed over; only within
``FINE_RAD`` of touching are steps as small as that.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.bending.shadow import OFF_SHEET_MM, Shadow
from generators.bending.steps import Fall, Lift
from generators.bending.tools import shoulder_centre
from generators.model.spec.tools.press import Die

Floats = NDArray[np.float64]
FINE_RAD = math.radians(0.25)
FALLS_MM, FAR_MM, WAYS = 1.0, 1e5, 32
"""Less below the top of the die than this no table is in the way of; in so many places on the way."""

SAME_MM = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A bend of ``angle_rad`` over a die. ``neutral_mm`` is R + K t.

    It may be pressed ``over_rad`` further before it springs back: so far nothing may meet a tool.
    """

    angle_rad: float
    radius_mm: float
    thickness_mm: float
    neutral_mm: float
    die: Die
    over_rad: float = 0.0

    @property
    def half(self) -> float:
        """How far each leg rises, rad."""
        return self.angle_rad / 2

    @property
    def most_half(self) -> float:
        """How far each leg may rise at worst, rad."""
        return (self.angle_rad + self.over_rad) / 2

    def axis_z(self, h: float) -> float:
        """Height of the bend's axis over the die when both legs have risen by ``h`` rad, mm."""
        r, c = self.die.shoulder_radius_mm, shoulder_centre(self.die)
        return r / math.cos(h) - r - c * math.tan(h) + (self.radius_mm + self.thickness_mm) / math.cos(h)

    def tip_z(self, h: float) -> float:
        """Height of the punch's tip over the top of the die, mm."""
        return self.axis_z(h) - self.radius_mm

    @property
    def depth(self) -> float:
        """How far the punch goes from touching the flat sheet to the end, mm."""
        return self.depth_at(self.half)

    def depth_at(self, h: float) -> float:
        """How far the punch has gone from touching the flat sheet with both legs risen by ``h`` rad, mm."""
        return self.thickness_mm - self.tip_z(h)

    @property
    def degree_mm(self) -> float:
        """How much deeper the punch goes for a degree more at the end, mm."""
        return self.depth_at(self.half + math.radians(0.5)) - self.depth

    def moved(self, shape: BaseGeometry, rear: bool, h: float, axis_z: float) -> BaseGeometry:
        """A shadow of a leg at ``h``, with the bend's axis at (0, ``axis_z``)."""
        return shapely.transform(shape, lambda p: self.moved_points(p, rear, h, axis_z))

    def moved_points(self, points: Floats, rear: bool, h: float, axis_z: float) -> Floats:
        """The same of points, shape (n, 2)."""
        side = 1.0 if rear else -1.0
        c, s = math.cos(h), math.sin(h) * side
        y = points[:, 0] - side * h * self.neutral_mm
        z = points[:, 1] - (self.radius_mm + self.thickness_mm)
        return np.column_stack([c * y - s * z, s * y + c * z + axis_z])

    def farthest(self, points: Floats, rear: bool, ways: Sequence[float]) -> Floats:
        """How far out the farthest of points (n, 2) comes at each of some angles, mm, shape (len(ways),)."""
        side = 1.0 if rear else -1.0
        # the same cosines on every machine
        c, s = (np.array([[of(h)] for h in ways]) for of in (math.cos, math.sin))
        y = points[:, 0] - side * np.array(ways)[:, None] * self.neutral_mm
        out: Floats = (c * y - s * side * (points[:, 1] - (self.radius_mm + self.thickness_mm))).max(axis=1)
        return out

    def need(self, h: float) -> float:
        """How far from the middle the flat sheet must reach to lie on the shoulder at ``h``, mm.

        It touches the rounded shoulder ``(c - r sin h) / cos h`` along the outer face from the mould line,
        ``c`` the middle of the rounding; a sharp one (r = 0) at ``V/2 / cos h``. The greater is wanted. The
        mould line is ``tan h (R + t)`` beyond the tangent line; that has taken ``h (R + K t)`` of the flat.
        """
        die = self.die
        round_mm = shoulder_centre(die) - die.shoulder_radius_mm * math.sin(h)
        along = max(die.opening_mm / 2, round_mm) / math.cos(h)
        return along - math.tan(h) * (self.radius_mm + self.thickness_mm) + h * self.neutral_mm

    @property
    def most_need(self) -> float:
        """The greatest ``need`` of the whole stroke, mm."""
        return max(self.need(self.half * i / 16) for i in range(17))


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """Where on the way a flange comes too near a tool: bend angle so far, rad, and the gap left, mm."""

    flange: str
    angle_rad: float
    gap_mm: float


def first_touch(
    stroke: Stroke, shadow: Shadow, tool: Polygon, *, to_punch: bool, room_mm: float, tip_up: float = 0.0
) -> Touch | None:
    """Where a leg's shadow comes nearer to a tool than ``room_mm``, pressed on at worst; None if never.

    ``to_punch``: the tool goes with the punch, its tip at the origin; else it stands with the die.
    """
    h, end = 0.0, stroke.most_half
    reach = _reach(stroke, shadow)
    fall = 0.0 if to_punch else _fall(stroke)
    speed = reach + stroke.neutral_mm + fall
    shapely.prepare(tool)
    while True:
        axis = stroke.radius_mm if to_punch else stroke.axis_z(h)
        gap = float(shapely.distance(stroke.moved(shadow.shape, shadow.rear, h, axis), tool))
        if gap < max(room_mm, SAME_MM) - 1e-9:
            return Touch(flange=shadow.flange, angle_rad=2 * h, gap_mm=gap)
        if h >= end:
            return None
        h = min(end, h + max((gap - room_mm) / speed, FINE_RAD))


def falling(stroke: Stroke, hanging: Iterable[Shadow], die_mm: float) -> Iterator[Fall]:
    """What comes more than ``FALLS_MM`` below the top of the die on the way, pressed on at worst, by flange.

    Nearer to the middle than half of ``die_mm``, the die's width, it is beside an end of the die. What stands
    on the leg's own side is no nearer the table than the sheet it stands on.
    """
    found: dict[str, list[tuple[float, float]]] = {}
    below = box(-FAR_MM, -FAR_MM, FAR_MM, -FALLS_MM)
    for shadow in hanging:
        parts = _dipping(shadow)
        for k in range(WAYS + 1):
            h = stroke.most_half * k / WAYS
            for part in parts:
                low = stroke.moved(part, shadow.rear, h, stroke.axis_z(h)).intersection(below)
                if not low.is_empty:
                    near, deep, far, _ = low.bounds
                    found.setdefault(shadow.flange, []).append((-deep, max(near, -far, 0.0)))
    for flange, seen in found.items():
        nearest = min(near for _, near in seen)
        beside = nearest < die_mm / 2
        yield Fall(flange=flange, deep_mm=max(deep for deep, _ in seen), near_mm=0.0 if beside else nearest)


def lifted(stroke: Stroke, hanging: Iterable[Shadow], room_mm: float, angle_rad: float) -> Lift | None:
    """How far a part that stays round the punch goes up with it before it is slid along; None: it need not.

    Up to the die's top, and ``room_mm`` of air: all of each flange that is below that, as bent, pressed on at
    worst or sprung back to ``angle_rad``, and comes as near to the middle as the die is wide, and that air.
    What is so low and so near stands beside the die's end.
    """
    near = stroke.die.width_mm / 2 + room_mm
    below, within = box(-FAR_MM, -FAR_MM, FAR_MM, 0.0), box(-near, -FAR_MM, near, -FALLS_MM)
    ways = [(angle_rad / 2, stroke.most_half), *((h, h) for h in (stroke.half, stroke.most_half))]
    deep: dict[str, float] = {}
    beside: set[str] = set()
    for shadow in hanging:
        for part in _dipping(shadow):
            for h, pressed in ways:
                low = stroke.moved(part, shadow.rear, h, stroke.axis_z(pressed)).intersection(below)
                if low.is_empty:
                    continue
                deep[shadow.flange] = max(deep.get(shadow.flange, 0.0), -float(low.bounds[1]))
                if low.intersects(within):
                    beside.add(shadow.flange)
    flange = max(sorted(beside), key=lambda name: deep[name], default="")
    return Lift(flange=flange, up_mm=deep[flange] + room_mm) if flange else None


def _dipping(shadow: Shadow) -> list[BaseGeometry]:
    """What of a shadow hangs under the sheet or is over the other leg's side."""
    # what only touches the sheet's face is the sheet itself
    under, off = box(-FAR_MM, -FAR_MM, FAR_MM, -OFF_SHEET_MM), OFF_SHEET_MM
    across = box(-FAR_MM, -FAR_MM, -off, FAR_MM) if shadow.rear else box(off, -FAR_MM, FAR_MM, FAR_MM)
    return [p.intersection(under.union(across)) for p in getattr(shadow.shape, "geoms", [shadow.shape])]


def _reach(stroke: Stroke, shadow: Shadow) -> float:
    """Farthest point of a leg from the bend's axis at any time, mm."""
    points = shapely.get_coordinates(shadow.shape)
    down = stroke.radius_mm + stroke.thickness_mm
    return (
        float(np.hypot(np.abs(points[:, 0]), points[:, 1] - down).max())
        + stroke.most_half * stroke.neutral_mm
    )


def _fall(stroke: Stroke) -> float:
    """The most the axis falls by for a rad of rise, mm: it falls fastest at the end or at the beginning."""
    h, step = stroke.most_half, 1e-4
    ends = [(stroke.axis_z(x + step) - stroke.axis_z(x)) / step for x in (0.0, h / 2, max(h - step, 0.0))]
    return max(abs(e) for e in ends) * 1.05
