"""The blank on the setup sheet: its corners by the drawing's letters, so that a stop's edge has a name."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.bending.steps import AnyStep, FoldStep
from generators.drawing.bending.figures import shown
from generators.drawing.paper.pen import BLACK, GREY, LIGHT, MEDIUM, THIN, WHITE, Pen, text_width
from generators.drawing.part.tables.corners import corners_of
from generators.geometry.contours import bounds, polyline, stadium
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import FlatPattern, flat_pattern

Point = tuple[float, float]
SAME_MM = 0.02
LETTER_MM, NAME_MM = 2.6, 2.2
AIR_MM, OUT_MM, DASH = 4.5, 2.2, (1.6, 0.9)
FINE_MM = 0.1
STEPS = 20
"""A bend's name goes on its line by so many parts of it. Ours."""

TITLE = "The blank, upper side up"
LETTERED = "Corners by the drawing's letters: a stop is against the edge between two of them."


def edge_letters(plan: PartPlan, step: AnyStep) -> tuple[str, str] | None:
    """The two corners between which the edge lies that a step's stop touches; None for other stops."""
    if step.stop.on != "edge":
        return None
    flat = flat_pattern(plan)
    touched = _touched(flat, step)
    return next((pair for pair, side in sides_of(flat) if on_side(touched, *side)), None)


def between(plan: PartPlan, step: AnyStep) -> str:
    """`` c to d``, the corners of the edge a stop is against; empty where it has none."""
    pair = edge_letters(plan, step)
    return f" {pair[0]} to {pair[1]}" if pair else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BendFrame:
    """The blank seen from a bend about to be made: along its middle line, and out to the leg at the gauge."""

    start: Point
    along_uv: Point
    out_uv: Point
    long_mm: float
    turned: bool
    line_mm: float

    def along_of(self, x: float) -> float:
        """Where a place along the machine lies along the middle line, mm from its start."""
        return self.long_mm - x if self.turned else x

    def along(self, p: Point) -> float:
        """The same of a point of the blank."""
        return sum((p[i] - self.start[i]) * self.along_uv[i] for i in (0, 1))

    def at(self, along: float, distance_mm: float) -> Point:
        """A point of the blank so far along the bend and, as its stop is given, behind it."""
        out = distance_mm + self.line_mm
        u, v = (self.start[i] + self.along_uv[i] * along + self.out_uv[i] * out for i in (0, 1))
        return u, v

    def ends(self, distance_mm: float, low: float, high: float) -> tuple[Point, Point]:
        """Two such points."""
        return self.at(low, distance_mm), self.at(high, distance_mm)


def bend_frame(flat: FlatPattern, step: AnyStep) -> BendFrame:
    """How places on a machine are those on the blank, at one step."""
    strip = next(b for b in flat.bends if b.bend.name == step.bend)
    (au, av), (bu, bv) = strip.middle
    long = math.dist((au, av), (bu, bv))
    out = tuple(sum(p[i] for p in strip.far) / 2 - sum(p[i] for p in strip.near) / 2 for i in (0, 1))
    rear = (1.0 if step.child_rear else -1.0) / math.hypot(*out)
    return BendFrame(
        start=(au, av),
        along_uv=((bu - au) / long, (bv - av) / long),
        out_uv=(out[0] * rear, out[1] * rear),
        long_mm=long,
        turned=(strip.bend.direction == "up") == step.child_rear,
        # a folder's stop is measured from its noses, the bend line lies line_mm before them
        line_mm=step.line_mm if isinstance(step, FoldStep) else 0.0,
    )


def _touched(flat: FlatPattern, step: AnyStep) -> Point:
    """The middle of what a stop touches, on the blank."""
    frame, stop = bend_frame(flat, step), step.stop
    return frame.at(frame.along_of((stop.low_x + stop.high_x) / 2), stop.distance_mm)


def sides_of(flat: FlatPattern) -> Iterator[tuple[tuple[str, str], tuple[Point, Point]]]:
    """Each straight side of a blank: the letters of the corners at its ends, and where it begins and ends."""
    corners = corners_of(flat.contour)
    for one, two in zip(corners, (*corners[1:], *corners[:1]), strict=True):
        yield (one.letter, two.letter), (one.leaves, two.enters)


def on_side(p: Point, a: Point, b: Point) -> bool:
    """True for a point on the side from ``a`` to ``b``."""
    long = math.dist(a, b)
    if long < SAME_MM:
        return False
    eu, ev = (b[0] - a[0]) / long, (b[1] - a[1]) / long
    along = (p[0] - a[0]) * eu + (p[1] - a[1]) * ev
    off = (p[0] - a[0]) * ev - (p[1] - a[1]) * eu
    return abs(off) < SAME_MM and -SAME_MM < along < long + SAME_MM


def draw_blank(pen: Pen, plan: PartPlan, x: float, y: float, width: float, height: float) -> None:
    """The blank as on the drawing, X to the right, as large as the box takes it."""
    flat = flat_pattern(plan)
    u0, v0, u1, v1 = bounds(flat.contour)
    scale = min((width - 2 * AIR_MM) / (u1 - u0), (height - 2 * AIR_MM) / (v1 - v0))
    left, low = x + width / 2 - scale * (u0 + u1) / 2, y + height / 2 - scale * (v0 + v1) / 2

    def page(p: Point) -> Point:
        return left + scale * p[0], low + scale * p[1]

    pen.stroke(MEDIUM)
    pen.polygon([page((float(u), float(v))) for u, v in polyline(flat.contour, FINE_MM)], fill=LIGHT)
    pen.stroke(THIN)
    openings: list[BaseGeometry] = []
    for hole in flat.holes:
        pen.circle(*page((hole.u_mm, hole.v_mm)), scale * hole.diameter_mm, fill=WHITE)
        openings.append(ShapelyPoint(page((hole.u_mm, hole.v_mm))).buffer(scale * hole.diameter_mm / 2))
    for slot in flat.slots:
        rim = stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad)
        seen = [page((float(u), float(v))) for u, v in polyline(rim, FINE_MM)]
        pen.polygon(seen, fill=WHITE)
        openings.append(Polygon(seen))
    for strip in flat.bends:
        pen.stroke(THIN, GREY, DASH)
        a, b = (page(p) for p in strip.middle)
        pen.line(*a, *b)
        name = shown(strip.bend.name)
        wide = text_width(name, NAME_MM)
        at = _beside_openings(a, b, wide, openings)
        pen.rect(at[0] - 0.4, at[1] - 0.5, wide + 0.8, NAME_MM + 0.6, fill=LIGHT, edge=False)
        pen.text(*at, name, NAME_MM, grey=BLACK)
    pen.stroke(MEDIUM)
    corners = corners_of(flat.contour)
    count = len(corners)
    for index, corner in enumerate(corners if count > 1 else ()):
        before, after = corners[index - 1].seen, corners[(index + 1) % count].seen
        at, out = page(corner.seen), _outward(before, corner.seen, after)
        wide = text_width(corner.letter, LETTER_MM)
        spot = at[0] + out[0] * OUT_MM - wide / 2, at[1] + out[1] * OUT_MM - LETTER_MM / 3
        pen.text(*spot, corner.letter, LETTER_MM, grey=BLACK)


def _beside_openings(a: Point, b: Point, wide: float, openings: Sequence[BaseGeometry]) -> Point:
    """Where a bend's name begins on its line: in the middle, or as near to it as covers no opening."""
    spots: list[tuple[float, int, Point]] = []
    for share in (0.5 + sign * step / STEPS for step in range(STEPS // 2) for sign in (1, -1)):
        x, y = a[0] + (b[0] - a[0]) * share - wide / 2, a[1] + (b[1] - a[1]) * share - NAME_MM / 3
        ground = box(x - 0.4, y - 0.5, x + wide + 0.4, y + NAME_MM + 0.1)
        spots.append((sum(ground.intersection(o).area for o in openings), len(spots), (x, y)))
    return min(spots)[2]


def _outward(before: Point, here: Point, after: Point) -> Point:
    """Out of a counter-clockwise outline at a corner, half-way between its sides; also at a hollow one."""
    out = [0.0, 0.0]
    for a, b in ((before, here), (here, after)):
        long = math.dist(a, b) or 1.0
        out[0] += (b[1] - a[1]) / long
        out[1] -= (b[0] - a[0]) / long
    far = math.hypot(*out) or 1.0
    return out[0] / far, out[1] / far
