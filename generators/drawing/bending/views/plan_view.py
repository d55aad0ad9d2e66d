"""A sheet squared by its edge, seen from above, the gauge at the top: die, square and finger."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.bending.gauging.square import BLADE_MM, STOCK_THICK_MM, square_mm
from generators.bending.gauging.stops import corners_of_piece
from generators.bending.legs import OVERLAP_MM, Laid, PartShape
from generators.bending.setting import Machines
from generators.bending.steps import AnyStep, Square, Step, Stop
from generators.drawing.bending.blank import bend_frame, sides_of
from generators.drawing.bending.scribe import square_edge, square_lengths
from generators.drawing.bending.views.naming import named
from generators.drawing.bending.views.on_brake import tools_of
from generators.drawing.bending.views.picture import DASH, TOOL, Point
from generators.drawing.paper.pen import BLACK, GREY, LIGHT, MEDIUM, THICK, THIN, WHITE, Pen
from generators.geometry.joined import joined
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import bend_allowance, flat_pattern
from generators.units import UnitSystem

Ring = tuple[Point, ...]
LONG_MM = 100.0
"""The blade of a square with a stock of 70. Common practice, no source."""

FINGER_MM, FACE_MM = 25.0, 8.0
"""So much of a finger is drawn, and of the die so much is its face, mm of them."""

AIR_MM, OUT_MM, CLEAN_MM = 4.0, 6.0, 0.01


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanView:
    """What is drawn of it: along the bend to the right, toward the gauge up, mm from the bend's left end.

    ``sheet`` lies flat, ``standing`` is what of the part is bent already, seen from above. ``edge`` is the
    stretch the blade must lie along, ``letters`` the corners of its side with a place beside each. ``words``
    name stock, blade, die and finger.
    """

    sheet: tuple[Ring, ...]
    standing: tuple[Ring, ...]
    bend: tuple[Point, Point]
    die: Ring
    stock: Ring
    blade: Ring
    finger: Ring
    edge: tuple[Point, Point]
    letters: tuple[tuple[str, Point], ...]
    words: tuple[tuple[str, Ring], ...]

    def draw(self, pen: Pen, x: float, y: float, width: float, height: float) -> float:
        """Draw into that box of the page; returns the scale."""
        every = (*self.sheet, *self.standing, self.die, self.stock, self.blade, self.finger)
        points = [p for ring in every for p in ring]
        x0, x1 = min(p[0] for p in points), max(p[0] for p in points)
        y0, y1 = min(p[1] for p in points), max(p[1] for p in points)
        scale = min((width - 2 * AIR_MM) / (x1 - x0), (height - 2 * AIR_MM) / (y1 - y0))
        left, low = x + width / 2 - scale * (x0 + x1) / 2, y + height / 2 - scale * (y0 + y1) / 2

        def page(ring: Ring) -> list[Point]:
            return [(left + scale * p[0], low + scale * p[1]) for p in ring]

        pen.stroke(THIN)
        pen.polygon(page(self.die), fill=TOOL)
        pen.polygon(page(self.finger), fill=TOOL)
        pen.stroke(MEDIUM)
        for ring in self.sheet:
            pen.polygon(page(ring), fill=LIGHT)
        pen.stroke(THIN)
        for ring in self.standing:
            pen.polygon(page(ring), fill=LIGHT)
        # the sheet hides the die: its faces are seen through it
        pen.stroke(THIN, GREY, DASH)
        for line in self._hidden():
            pen.polygon(page(line), closed=False)
        pen.polygon(page(self.bend), closed=False)
        pen.stroke(MEDIUM)
        for ring in (self.stock, self.blade):
            pen.polygon(page(ring), fill=WHITE)
        pen.stroke(THICK)
        pen.polygon(page(self.edge), closed=False)
        within = (x + 0.5, y + 0.5, x + width - 0.5, y + height - 0.5)
        tools = [(text, page(ring)) for text, ring in self.words]
        letters = [(text, page((place,))[0]) for text, place in self.letters]
        pen.stroke(THIN)
        part = [page(ring) for ring in (*self.sheet, *self.standing)]
        for one in named(letters, tools, part, within, [page(self.die)]):
            if one.lead is not None:
                pen.line(*one.lead[0], *one.lead[1])
            pen.text(*one.at, one.text, one.size_mm, grey=BLACK)
        return scale

    def _hidden(self) -> Iterator[Ring]:
        """What the sheet hides of the die's two faces."""
        cover = joined([Polygon(ring) for ring in self.sheet])
        xs = [p[0] for p in self.die]
        for at in sorted({p[1] for p in self.die}):
            lines = shapely.LineString([(min(xs), at), (max(xs), at)]).intersection(cover)
            for line in getattr(lines, "geoms", [lines]):
                if not line.is_empty and line.length > CLEAN_MM:
                    yield tuple((float(a), float(b)) for a, b in line.coords)


def plan_view(plan: PartPlan, step: AnyStep, machines: Machines, units: UnitSystem) -> PlanView | None:
    """The picture of a step whose sheet is squared by an edge; None for any other.

    Raises ``KeyError`` for tools the brake has not.
    """
    if not isinstance(step, Step) or (square := step.stop.square) is None:
        return None
    pair = square_edge(plan, step)
    if pair is None:
        return None
    bend = next(b for b in plan.bends if b.name == step.bend)
    laid = PartShape(plan=plan).laid(bend, frozenset(step.done), step.child_rear)
    half = tools_of(step, machines, plan.thickness_mm)[1].width_mm / 2
    low, high = square.die_span(laid.length)
    end, at = square.x + square.way * square.stock_mm, -half if square.face == "front" else half
    face = _ring(square.x + square.way * BLADE_MM, at, end, at - math.copysign(FACE_MM, at))
    die, (stock, blade, along) = _ring(low, -half, high, half), _laid_square(plan, step, square, half)
    gauge, stop = machines.brake.gauge, step.stop
    middle, wide = _finger_at(stop, gauge.finger_width_mm), gauge.finger_width_mm / 2
    finger = _ring(middle - wide, stop.distance_mm, middle + wide, stop.distance_mm + FINGER_MM)
    held, needed = square_lengths(plan, step, square, units)
    out = bend_allowance(bend, plan.thickness_mm) / 2
    own = box(0.0, -out - OVERLAP_MM, laid.length, out + OVERLAP_MM)
    return PlanView(
        sheet=tuple(_rings(joined([laid.rear.flat, own, laid.front.flat]))),
        standing=tuple(_rings(_standing(laid))),
        bend=((0.0, 0.0), (laid.length, 0.0)),
        die=die,
        stock=stock,
        blade=blade,
        finger=finger,
        edge=along,
        letters=tuple(_letters(plan, step, square, pair)),
        words=(
            (f"stock {held}", stock),
            (f"blade {needed} or more", blade),
            (f"die, its {square.face} face", face),
            ("finger", finger),
        ),
    )


def _finger_at(stop: Stop, wide_mm: float) -> float:
    """The middle of a finger along the bend: on the middle of what it touches, or as near as it has room."""
    low, high = stop.fingers_x
    return max(min((stop.low_x + stop.high_x) / 2, high - wide_mm / 2), low + wide_mm / 2)


def _laid_square(
    plan: PartPlan, step: Step, square: Square, half: float
) -> tuple[Ring, Ring, tuple[Point, Point]]:
    """Stock and blade as they lie, and the stretch of edge the blade must lie along."""
    front = square.face == "front"
    face, out = (-half, -1.0) if front else (half, 1.0)
    toward = 1.0 if front == square.over else -1.0
    begins, ends = sorted((toward * (square.low_y - face), toward * (square.high_y - face)))
    need = max(begins, 0.0) + square_mm(plan, step.bend)
    far = max(min(ends, LONG_MM), need)
    stock = _ring(square.x, face, square.x + square.way * square.stock_mm, face + out * STOCK_THICK_MM)
    blade = _ring(square.x, face, square.x + square.way * BLADE_MM, face + toward * far)
    along = ((square.x, face + toward * max(begins, 0.0)), (square.x, face + toward * need))
    return stock, blade, along


def _letters(
    plan: PartPlan, step: Step, square: Square, pair: tuple[str, str]
) -> Iterator[tuple[str, Point]]:
    """The corners of the edge, each with a place off it, on the sheet's outer side."""
    flat = flat_pattern(plan)
    frame = bend_frame(flat, step)
    side = next(ends for letters, ends in sides_of(flat) if letters == pair)
    for letter, (u, v) in zip(pair, side, strict=True):
        off = sum((p - s) * o for p, s, o in zip((u, v), frame.start, frame.out_uv, strict=True))
        yield letter, (frame.along_of(frame.along((u, v))) + square.way * OUT_MM, off)


def _standing(laid: Laid) -> BaseGeometry:
    """What stands off the sheet, seen from above."""
    pieces = (*laid.rear.pieces, *laid.front.pieces)
    return joined([MultiPoint(np.asarray(corners_of_piece(p))[:, :2]).convex_hull for p in pieces])


def _rings(shape: BaseGeometry) -> Iterator[Ring]:
    for part in getattr(shape, "geoms", [shape]):
        if isinstance(part, Polygon) and not part.is_empty:
            corners = shapely.get_coordinates(part.exterior.simplify(CLEAN_MM))[:-1]
            yield tuple((float(a), float(b)) for a, b in corners)


def _ring(x0: float, y0: float, x1: float, y1: float) -> Ring:
    (a, c), (b, d) = sorted((x0, x1)), sorted((y0, y1))
    return (a, b), (c, b), (c, d), (a, d)
