"""Where a part's number is etched: on the upper side, clear of edges, bends, holes and what turns on them.

It keeps off what is welded on as well, with its fillets: a gusset covers letters, a weld burns them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from generators.geometry.contours import polyline, transformed
from generators.model.plan import Hole, PartPlan, Slot
from generators.sheetmetal.folding import FlatPattern
from generators.sheetmetal.marking.letters import Stroke, strokes, width_mm
from generators.sheetmetal.marking.welded import welded_on

HEIGHTS_MM = (6.0, 5.0, 4.0, 3.0)
"""Heights tried, the largest first. Ours."""

EDGE_MM = 3.0
"""Least metal between letters and an edge, a bend's tangent line, a head or a weld; ours."""

SHEETS = 2.0
"""The same in thicknesses, where that is more: a mark in a bend may start a crack. Ours."""

STEP_MM = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Etching:
    """Letters on the blank: ``strokes`` in its coordinates, mm, on ``flange``, ``height_mm`` high."""

    text: str
    flange: str
    height_mm: float
    strokes: tuple[Stroke, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, low, right and top of the letters on the blank, mm."""
        u, v = zip(*(point for stroke in self.strokes for point in stroke), strict=True)
        return min(u), min(v), max(u), max(v)


def clear_mm(thickness_mm: float) -> float:
    """Metal that is left between letters and edges, bends and holes, mm."""
    return max(EDGE_MM, SHEETS * thickness_mm)


@lru_cache(maxsize=128)
def etching(plan: PartPlan, flat: FlatPattern) -> Etching | None:
    """The letters of ``plan.etch`` on the blank; ``None`` without any, or without room for them.

    Flanges are tried in order, letters upright, then turned; of all places the one furthest from everything.
    """
    if not plan.etch:
        return None
    for height in HEIGHTS_MM:
        size = width_mm(plan.etch, height), height
        for flange in plan.flanges:
            room = _room(plan, flat, flange.name)
            for turned in (False, True):
                corner = _best(room, size[::-1] if turned else size)
                if corner is not None:
                    return Etching(
                        text=plan.etch,
                        flange=flange.name,
                        height_mm=height,
                        strokes=tuple(_laid(plan.etch, height, corner, turned=turned)),
                    )
    return None


def _laid(text: str, height: float, corner: tuple[float, float], *, turned: bool) -> Iterator[Stroke]:
    u, v = corner
    for stroke in strokes(text, height):
        if turned:  # read from the right
            yield tuple((u + height - y, v + x) for x, y in stroke)
        else:
            yield tuple((u + x, v + y) for x, y in stroke)


def _room(plan: PartPlan, flat: FlatPattern, name: str) -> BaseGeometry:
    """The flat of a flange without its margin, its openings, what turns on them and what is welded on."""
    place = flat.placements[name]
    flange = plan.flange(name)
    face = Polygon(polyline(transformed(flange.contour, place), 0.02)).buffer(-clear_mm(plan.thickness_mm))
    taken = [_taken(plan, o, place.apply(o.u_mm, o.v_mm), place.angle) for o in flange.openings]
    clear = clear_mm(plan.thickness_mm)
    taken += [shape.buffer(clear) for shape in welded_on(plan, flat, name)]
    return face.difference(unary_union(taken)) if taken else face


def _taken(plan: PartPlan, o: Hole | Slot, at: tuple[float, float], turn: float) -> BaseGeometry:
    wide = o.diameter_mm if isinstance(o, Hole) else o.width_mm
    around = max(wide, o.fitting.nut_circle_mm, o.fitting.spanner_circle_mm) / 2
    if isinstance(o, Hole) and o.finish is not None:
        ring = o.finish.ring
        # a fillet given by its throat reaches out by its leg
        foot = ring.weld_mm * math.sqrt(2) if ring is not None and ring.welded else 0.0
        around = max(around, o.finish.wide_mm / 2 + foot)
    if isinstance(o, Hole):
        spine: BaseGeometry = Point(at)
    else:
        du, dv = (f(o.angle_rad + turn) * o.travel_mm / 2 for f in (math.cos, math.sin))
        spine = LineString([(at[0] - du, at[1] - dv), (at[0] + du, at[1] + dv)])
    return spine.buffer(around + clear_mm(plan.thickness_mm))


def _best(room: BaseGeometry, size: tuple[float, float]) -> tuple[float, float] | None:
    """Lower left corner of a box of that size within the room, furthest from its rim; ``None`` without."""
    if room.is_empty:
        return None
    u0, v0, u1, v1 = room.bounds
    if u1 - u0 < size[0] or v1 - v0 < size[1]:
        return None
    columns = math.floor((u1 - u0 - size[0]) / STEP_MM) + 1
    rows = math.floor((v1 - v0 - size[1]) / STEP_MM) + 1
    shapely.prepare(room)
    corners = [(u0 + i * STEP_MM, v0 + j * STEP_MM) for i in range(columns) for j in range(rows)]
    u, v = np.array(corners).T
    boxes = shapely.box(u, v, u + size[0], v + size[1])
    held = np.flatnonzero(shapely.contains(room, boxes)).tolist()
    if not held:
        return None
    far = shapely.distance(room.boundary, boxes[held]).tolist()
    return corners[max(zip(held, far, strict=True), key=lambda each: (round(each[1], 3), -each[0]))[0]]
