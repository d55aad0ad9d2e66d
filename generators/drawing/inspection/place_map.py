"""Where the items are: the blank in outline with its numbers, and the part as it stands once bent."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely.geometry import LinearRing, Polygon, box
from shapely.geometry import Point as ShapelyPoint

from generators.drawing.inspection.item import Item
from generators.drawing.inspection.side_view import LEAST_MM, draw_side, side_mm, side_of
from generators.drawing.paper.dimensions import (
    CAP_HEIGHT,
    TEXT_MM,
    Clutter,
    Point,
    disc,
    place_label,
    turned_box,
)
from generators.drawing.paper.pen import GREY, MEDIUM, THIN, Pen, text_width
from generators.drawing.paper.sheet_layout import Cell
from generators.drawing.part.body import folded_body
from generators.drawing.part.flat_view import name_flanges
from generators.drawing.part.folded_view import draw_picture
from generators.drawing.part.tables.welds import made_welds
from generators.geometry.contours import bounds, polyline, stadium, transformed
from generators.model.contour import Contour, Vertex
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import FlatPattern, flat_pattern

PICTURE_SHARE = 0.36
"""Of the width, for a bent part's picture."""

SIDE_SHARE = 0.58
"""Of that, for the view from the side beside it."""

BESIDE_MM = 26.0
"""So long the longer side of that view is at least where a picture takes room from it. Ours."""

GAP_MM, WORDS_MM, CAPTION_MM = 10.0, 5.0, 6.0
LARGEST = 2.0
PageMap = Callable[[float, float], Point]
MAP_TITLE = "the blank, upper side, not to scale: numbers as in the table"
AIR_MM = 1.0
"""Kept about a number, so that it touches no line and two are not read as one. Ours."""

BEND_COST = 2.0
"""What it costs a number to lie on a bend's line, beside 2 for an edge: it reads as the bend's. Ours."""

OTHERS_MM, OTHERS_COST = 2.0, 0.1
"""So near to another hole a number might be that one's: what that costs, beside 2 for a line. Ours."""

STEP_MM, STEPS, FAR_COST, OUTSIDE_COST = 1.0, 14, 0.02, 1.0
"""How far room is looked for about a length's place; what a mm and leaving its flange cost."""


def draw_map(
    pen: Pen, plan: PartPlan, items: Sequence[Item], area: tuple[float, float, float, float]
) -> None:
    """Draw both into an area: left, lower side, width, height in mm of the page."""
    x, y, width, height = area
    flat = flat_pattern(plan)
    if not plan.bends:
        _flat_map(pen, plan, flat, items, Cell(x, y, width, height))
        return
    u0, _, u1, _ = bounds(flat.contour)
    blank = (u1 - u0) * _scale(flat, width * (1 - PICTURE_SHARE), height) + 2 * GAP_MM
    taken = min(max(blank, text_width(MAP_TITLE, TEXT_MM) + 4), width * (1 - PICTURE_SHARE))
    _flat_map(pen, plan, flat, items, Cell(x, y, taken, height))
    _pictures(pen, plan, items, Cell(x + taken, y + 2, width - taken - 2, height - 4))


def _pictures(pen: Pen, plan: PartPlan, items: Sequence[Item], cell: Cell) -> None:
    """The part once bent: as a picture, and from the side with what is measured there.

    Beside each other or one over the other, as the side is larger; where it has no room beside the picture
    it stands alone, for rows are found in it.
    """
    body = folded_body(plan)
    side = side_of(plan, items, body)
    if side is None:
        draw_picture(pen, body, cell, LARGEST)
        return
    half, wide = cell.height / 2, cell.width * SIDE_SHARE
    ways: list[tuple[Cell | None, Cell]] = [
        (
            Cell(cell.x, cell.y, cell.width - wide, cell.height),
            Cell(cell.x + cell.width - wide, cell.y, wide, cell.height),
        ),
        (Cell(cell.x, cell.y + half, cell.width, half), Cell(cell.x, cell.y, cell.width, half)),
    ]
    sizes = [side_mm(plan, body, own, side, LARGEST) for _, own in ways]
    if max(sizes) < BESIDE_MM:
        ways, sizes = [(None, cell)], [side_mm(plan, body, cell, side, LARGEST)]
    picture, own = ways[sizes.index(max(sizes))]
    if max(sizes) < LEAST_MM:
        draw_picture(pen, body, cell, LARGEST)
        return
    if picture is not None:
        draw_picture(pen, body, picture, LARGEST)
    draw_side(pen, plan, body, own, side, LARGEST)


def drawn_mm(plan: PartPlan, width: float, height: float) -> float:
    """How long the blank's longer side is in a map of that size, mm of the page."""
    flat = flat_pattern(plan)
    u0, v0, u1, v1 = bounds(flat.contour)
    room = width * (1 - PICTURE_SHARE) if plan.bends else width
    return max(u1 - u0, v1 - v0) * _scale(flat, room, height)


def _scale(flat: FlatPattern, width: float, height: float) -> float:
    """The largest scale at which the blank with its numbers has room."""
    u0, v0, u1, v1 = bounds(flat.contour)
    return min(LARGEST, (width - 2 * GAP_MM) / (u1 - u0), (height - 2 * WORDS_MM - CAPTION_MM) / (v1 - v0))


def _flat_map(pen: Pen, plan: PartPlan, flat: FlatPattern, items: Sequence[Item], cell: Cell) -> None:
    u0, v0, u1, v1 = bounds(flat.contour)
    scale = _scale(flat, cell.width, cell.height)
    left = cell.x + (cell.width - (u1 - u0) * scale) / 2
    low = cell.y + WORDS_MM + (cell.height - 2 * WORDS_MM - CAPTION_MM - (v1 - v0) * scale) / 2

    def page(u: float, v: float) -> Point:
        return left + (u - u0) * scale, low + (v - v0) * scale

    clutter = Clutter()
    ring = Contour(tuple(Vertex(*page(p.u, p.v), p.bulge) for p in flat.contour.vertices))
    for strip in flat.bends:
        ends = [page(*p) for p in strip.middle]
        pen.stroke(THIN, dash=(6.0, 1.2, 0.8, 1.2))
        pen.line(*ends[0], *ends[1])
        clutter.add_line(ends, BEND_COST)
    pen.stroke(MEDIUM)
    for h in flat.holes:
        at = page(h.u_mm, h.v_mm)
        pen.circle(*at, h.diameter_mm * scale)
        clutter.add(disc(*at, h.diameter_mm * scale), 2.0)
        clutter.add(disc(*at, h.diameter_mm * scale + 2 * OTHERS_MM), OTHERS_COST)
    for s in flat.slots:
        at = page(s.u_mm, s.v_mm)
        pen.contour(stadium(*at, s.width_mm * scale, s.travel_mm * scale, s.angle_rad))
        clutter.add(turned_box(at, (s.width_mm + s.travel_mm) * scale, s.width_mm * scale, s.angle_rad), 2.0)
    pen.contour(ring)
    clutter.add(LinearRing(polyline(ring, 0.05)), 2.0)
    _measured_lines(pen, clutter, items, page)
    area = box(cell.x + 1, cell.y + CAPTION_MM, cell.x + cell.width - 1, cell.y + cell.height - 1)
    sizes = {o.name: (o.diameter_mm / 2) for o in flat.holes} | {o.name: o.width_mm / 2 for o in flat.slots}
    faces = [
        Polygon([page(*p) for p in polyline(transformed(f.contour, flat.placements[f.name]), 0.05)])
        for f in plan.flanges
    ]
    for item in items:
        if len(item.at) != 1:
            continue
        if item.key[0] in "LW":
            _length_mark(pen, clutter, page(*item.at[0]), item.key, faces)
            continue
        radius = sizes.get(item.holes[0], 0.0) * scale if item.holes else 0.0
        place_label(pen, clutter, page(*item.at[0]), radius, item.key, bold=True, within=area, air=AIR_MM)
    _edge_marks(pen, clutter, items, page, area)
    _welds(pen, clutter, plan, flat, page)
    if plan.bends:
        name_flanges(pen, clutter, plan, flat, page)
    words = MAP_TITLE if plan.bends else MAP_TITLE.replace("blank", "plate")
    pen.text(cell.x + cell.width / 2, cell.y + 2.0, words, TEXT_MM, align="centre")


def _length_mark(pen: Pen, clutter: Clutter, at: Point, text: str, faces: Sequence[Polygon]) -> None:
    """The mark of a length in the middle of its place, or near it where that is free, in the same flange.

    A leader would point at nothing: it stands for the flange it is in.
    """
    own = next((f for f in faces if f.covers(ShapelyPoint(at))), None)
    width, height = text_width(text, TEXT_MM, bold=True), CAP_HEIGHT * TEXT_MM
    steps = [STEP_MM * i for i in range(-STEPS, STEPS + 1)]
    spots = sorted(((dx, dy) for dx in steps for dy in steps), key=lambda d: round(math.hypot(*d), 6))
    moved = np.array(spots)
    x, y = at[0] + moved[:, 0] - width / 2, at[1] + moved[:, 1] - height / 2
    areas = shapely.box(x - AIR_MM, y - AIR_MM, x + width + AIR_MM, y + height + AIR_MM)
    inside = np.ones(len(spots), dtype=bool) if own is None else shapely.contains(own, areas)
    costs = (
        np.array(clutter.costs(areas)) + FAR_COST * np.hypot(*moved.T) + np.where(inside, 0.0, OUTSIDE_COST)
    )
    area = areas[int(np.argmin(costs))]
    x0, y0, _, _ = area.bounds
    pen.text(x0 + AIR_MM, y0 + AIR_MM, text, TEXT_MM, bold=True)
    clutter.add(area, 4.0)


def _measured_lines(pen: Pen, clutter: Clutter, items: Sequence[Item], page: PageMap) -> None:
    """The distance all others of its kind start from, and what is read from an edge, in grey."""
    for item in items:
        if len(item.at) != 2 or (item.key[0] != "E" and item.key != "D1"):
            continue
        a, b = (page(*p) for p in item.at)
        pen.stroke(THIN, GREY, dash=(1.2, 0.8))
        pen.line(*a, *b)
        clutter.add_line([a, b], 0.3)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        if item.key == "D1" and math.dist(a, b) > 4.0:
            place_label(pen, clutter, middle, 0.0, item.key, bold=True, air=AIR_MM)


def _edge_marks(pen: Pen, clutter: Clutter, items: Sequence[Item], page: PageMap, area: Polygon) -> None:
    """Marks of what is read from an edge, at that edge; after the holes' numbers, which have less room."""
    for item in items:
        if len(item.at) == 2 and item.key[0] == "E":
            place_label(pen, clutter, page(*item.at[0]), 0.0, item.key, bold=True, within=area, air=AIR_MM)


def _welds(pen: Pen, clutter: Clutter, plan: PartPlan, flat: FlatPattern, page: PageMap) -> None:
    """Which edges are welded, by the numbers that rows and drawing give them."""
    for number, seam in made_welds(plan):
        ends = [page(*flat.placements[seam.edge].apply(*end)) for end in seam.ends]
        middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
        place_label(pen, clutter, middle, 0.0, f"WELD {number}", bold=True, pointed=True, air=AIR_MM)
