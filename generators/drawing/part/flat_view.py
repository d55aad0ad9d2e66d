"""The flat blank on a drawing: true shape at scale, ordinates from two datums, numbered holes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from shapely.geometry import LinearRing, Polygon, box

from generators.drawing.paper.dimensions import (
    CAP_HEIGHT,
    EXTENSION_GAP_MM,
    TEXT_MM,
    Clutter,
    Point,
    aligned,
    arrow,
    centre_cross,
    disc,
    number,
    place_along,
    place_label,
    turned_box,
)
from generators.drawing.paper.grain_sign import draw_grain
from generators.drawing.paper.pen import GREY, MEDIUM, THIN, Pen, text_width
from generators.drawing.paper.sheet_layout import Cell
from generators.drawing.part.peg_views import pegs_from_the_front, pegs_from_the_side
from generators.drawing.part.tables.bolt_circles import bolt_circles
from generators.drawing.part.tables.corners import Corner
from generators.drawing.part.tables.datums import Datums
from generators.drawing.part.tables.openings import Opening
from generators.drawing.part.weld_signs import draw_sign, weld_signs
from generators.geometry.contours import (
    bounds,
    polyline,
    stadium,
    transformed,
)
from generators.model.contour import Contour, Vertex
from generators.model.plan import Hole, PartPlan, Peg, Slot
from generators.sheetmetal.folding import FlatBend, FlatPattern
from generators.sheetmetal.grain import grain_axis
from generators.sheetmetal.marking.etching import etching

PageMap = Callable[[float, float], Point]

CAPTION_MM = 8.5
OVERALL_OFFSET_MM = 6.0
OVERALL_ROOM_MM = 10.0
THICKNESS_ROOM_MM = 22.0
CAPTION, WITHIN = 10.0, 2.0
"""What it costs a symbol to lie on this view's caption, and within its outline. Ours."""
DATUM_ROOM_MM, DATUM_AXIS_MM, DATUM_ARROW_MM = 8.0, 4.5, 8.0
SHARP_SHOWN_MM = 1.0
CHAIN = (6.0, 1.2, 0.8, 1.2)
BIG_HOLE_MM = 9.0
FLANGE_NAME_GREY = 0.5
NUMBER_MM = 4.5
"""So far off a hole's rim its number reaches, mm on paper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatView:
    """A blank to draw at ``scale`` (paper mm per mm)."""

    plan: PartPlan
    flat: FlatPattern
    openings: tuple[Opening, ...]
    datums: Datums
    corners: tuple[Corner, ...]
    scale: float
    scale_text: str
    first_angle: bool = False

    @property
    def pegs(self) -> tuple[Peg, ...]:
        """Pegs of a printed block, hidden behind it."""
        return self.plan.flanges[0].pegs

    @property
    def depth_mm(self) -> float:
        """Depth of the edge view: the thickness and the highest peg."""
        return self.plan.thickness_mm + max((p.height_mm for p in self.pegs), default=0.0)

    def captions(self) -> tuple[str, str]:
        """Title and datum line above the view."""
        title = f"FLAT BLANK {self.scale_text}" if self.plan.bends else f"PLATE {self.scale_text}"
        title += ", upper side"
        if self.plan.printed:
            title = f"BLOCK {self.scale_text}, from the side of the drill"
        return title, f"X0: {self.datums.u_words}. Y0: {self.datums.v_words}."

    def margins(self) -> tuple[float, float, float, float]:
        """Room left, below, right and above the outline, mm on paper."""
        left = below = DATUM_ROOM_MM
        right = OVERALL_ROOM_MM if self.plan.bends else OVERALL_ROOM_MM + THICKNESS_ROOM_MM
        return left, below, right, OVERALL_ROOM_MM + CAPTION_MM

    def size(self) -> tuple[float, float]:
        """Width and height on paper, mm."""
        u0, v0, u1, v1 = bounds(self.flat.contour)
        left, below, right, above = self.margins()
        wide = (u1 - u0) * self.scale
        if not self.plan.bends:
            wide += self.depth_mm * self.scale
        words = max(text_width(t, 3.0, bold=True) for t in self.captions())
        return max(words, left + wide + right), below + (v1 - v0) * self.scale + above

    def draw(self, pen: Pen, cell: Cell, taken: Clutter) -> None:
        """Draw in the middle of a cell; welding symbols keep off what is ``taken`` of the sheet.

        What this view covers is added to it.
        """
        u0, v0, u1, v1 = bounds(self.flat.contour)
        left, below, _right, _above = self.margins()
        width, height = self.size()
        s = self.scale
        x0 = cell.x + (cell.width - width) / 2 + left
        y0 = cell.y + (cell.height - height) / 2 + below

        def page(u: float, v: float) -> Point:
            return x0 + (u - u0) * s, y0 + (v - v0) * s

        clutter = Clutter()
        x1, y1 = page(u1, v1)
        title, datum_line = self.captions()
        pen.text(x0 - left + 1, y1 + OVERALL_ROOM_MM + 4.6, title, 3.0, bold=True)
        pen.text(x0 - left + 1, y1 + OVERALL_ROOM_MM + 1.0, datum_line, TEXT_MM)
        self._datums(pen, clutter, page, (x0, y0))
        self._outline(pen, clutter, page)
        letters = etching(self.plan, self.flat)
        pen.stroke(THIN)
        for stroke in letters.strokes if letters is not None else ():
            pen.polygon([page(u, v) for u, v in stroke], closed=False)
            clutter.add_line([page(u, v) for u, v in stroke], 2.0)
        pegs_from_the_front(pen, clutter, self.pegs, page, s)
        right, top = (1.0, 0.0), (0.0, 1.0)
        upper = self._touching(page, top=True)
        aligned(
            pen,
            clutter,
            ((x0, upper[0]), (x1, upper[1])),
            top,
            y1 - max(upper) + OVERALL_OFFSET_MM,
            f"({number(u1 - u0)})",
        )
        side = self._touching(page, top=False)
        aligned(
            pen,
            clutter,
            ((side[0], y0), (side[1], y1)),
            right,
            x1 - max(side) + OVERALL_OFFSET_MM,
            f"({number(v1 - v0)})",
        )
        if not self.plan.bends:
            edge = x1 + OVERALL_ROOM_MM + 8.0
            thick = self.plan.thickness_mm * s
            if self.first_angle:
                # what stands to the right of a view in first-angle is seen from the left
                edge += self.depth_mm * s - thick
            self._edge_view(pen, clutter, edge, y0, y1)
            pegs_from_the_side(
                pen,
                clutter,
                self.pegs,
                lambda v: page(0.0, v)[1],
                edge if self.first_angle else edge + thick,
                -s if self.first_angle else s,
                (y0, y1),
            )
        area = box(cell.x, cell.y, cell.x + cell.width, cell.y + cell.height)
        for strip in self.flat.bends:
            self._bend(pen, clutter, strip, page, area)
        self._numbers(pen, clutter, page, area)
        self._corners(pen, clutter, page, area)
        if axis := grain_axis(self.plan):
            shape = Polygon([page(u, v) for u, v in polyline(self.flat.contour, 0.05)])
            draw_grain(pen, clutter, shape, axis)
        if self.plan.bends:
            name_flanges(pen, clutter, self.plan, self.flat, page)
        for drawn, weight in zip(clutter.shapes, clutter.weights, strict=True):
            taken.add(drawn, weight)
        words = max(text_width(t, 3.0, bold=True) for t in (title, datum_line))
        foot = y1 + OVERALL_ROOM_MM
        taken.add(box(x0 - left, foot, x0 - left + words + 2, foot + 8.0), CAPTION)
        # a symbol of another view is not looked for here
        taken.add(Polygon([page(u, v) for u, v in polyline(self.flat.contour, 0.05)]), WITHIN)
        if self.plan.bends:
            return
        for sign in weld_signs(self.plan):
            tips = [page(float(tip.at[0]), float(tip.at[1])) for tip in sign.tips]
            draw_sign(pen, taken, sign, tips, area)

    def _touching(self, page: PageMap, *, top: bool) -> tuple[float, float]:
        """Where the extension lines of an overall dimension start: the outline's own extremes."""
        points = [page(u, v) for u, v in polyline(self.flat.contour, 0.05)]
        key, other = (0, 1) if top else (1, 0)
        low, high = min(p[key] for p in points), max(p[key] for p in points)
        return (
            max(p[other] for p in points if p[key] < low + 0.01),
            max(p[other] for p in points if p[key] > high - 0.01),
        )

    def _datums(self, pen: Pen, clutter: Clutter, page: PageMap, corner: Point) -> None:
        """Where X and Y begin and which way they run: a tick and an arrow outside the outline."""
        x, y = page(self.datums.u_mm, self.datums.v_mm)
        half = CAP_HEIGHT * TEXT_MM / 2

        def mark(place: Callable[[float, float], Point], name: str) -> None:
            tick = [place(0.0, EXTENSION_GAP_MM), place(0.0, DATUM_AXIS_MM + 1.2)]
            axis = [place(0.0, DATUM_AXIS_MM), place(DATUM_ARROW_MM, DATUM_AXIS_MM)]
            pen.stroke(THIN)
            for line in (tick, axis):
                pen.line(*line[0], *line[1])
                clutter.add_line(line)
            arrow(pen, axis[1], math.atan2(axis[1][1] - axis[0][1], axis[1][0] - axis[0][0]))
            tip = place(DATUM_ARROW_MM + 2.0, DATUM_AXIS_MM)
            pen.text(tip[0], tip[1] - half, name, TEXT_MM, align="centre", bold=True)
            clutter.add(turned_box(tip, 2.4, 2.4, 0.0), 4.0)

        mark(lambda along, out: (x + along, corner[1] - out), "X")
        mark(lambda along, out: (corner[0] - out, y + along), "Y")

    def _outline(self, pen: Pen, clutter: Clutter, page: PageMap) -> None:
        ring = Contour(tuple(Vertex(*page(p.u, p.v), p.bulge) for p in self.flat.contour.vertices))
        for strip in self.flat.bends:
            pen.stroke(THIN, GREY)
            for line in (strip.near, strip.far):
                pen.line(*page(*line[0]), *page(*line[1]))
            pen.stroke(THIN, dash=CHAIN)
            pen.line(*page(*strip.middle[0]), *page(*strip.middle[1]))
            corners = [page(*p) for p in (*strip.near, *strip.far[::-1])]
            clutter.add(Polygon(corners), 0.6)
            clutter.add_line(corners[:2], 0.6)
        for opening in self.openings:
            item = opening.item
            x, y = page(item.u_mm, item.v_mm)
            if isinstance(item, Hole):
                diameter = item.diameter_mm * self.scale
                centre_cross(pen, clutter, x, y, diameter)
                pen.stroke(MEDIUM, dash=(1.2, 0.8) if opening.marked else None)
                pen.circle(x, y, diameter)
                clutter.add(disc(x, y, diameter).boundary, 2.0)
                if diameter <= BIG_HOLE_MM:
                    clutter.add(disc(x, y, diameter), 2.0)
                continue
            width, travel = item.width_mm * self.scale, item.travel_mm * self.scale
            for side in (-1, 1):
                shift = side * travel / 2
                du, dv = math.cos(item.angle_rad) * shift, math.sin(item.angle_rad) * shift
                centre_cross(pen, clutter, x + du, y + dv, width)
            pen.stroke(MEDIUM, dash=(1.2, 0.8) if opening.marked else None)
            pen.contour(stadium(x, y, width, travel, item.angle_rad))
            clutter.add(turned_box((x, y), width + travel, width, item.angle_rad), 2.0)
        for ring_of_holes in bolt_circles(self.openings, self.datums):
            x, y = page(ring_of_holes.u_mm, ring_of_holes.v_mm)
            pen.stroke(THIN, GREY, dash=CHAIN)
            pen.circle(x, y, ring_of_holes.diameter_mm * self.scale)
            clutter.add(disc(x, y, ring_of_holes.diameter_mm * self.scale).boundary, 1.0)
        pen.stroke(MEDIUM)
        pen.contour(ring)
        clutter.add(LinearRing(polyline(ring, 0.05)), 2.0)

    def _edge_view(self, pen: Pen, clutter: Clutter, x: float, y0: float, y1: float) -> None:
        thick = self.plan.thickness_mm * self.scale
        pen.stroke(MEDIUM)
        pen.rect(x, y0, thick, y1 - y0)
        text = f"({number(self.plan.thickness_mm)})"
        aligned(pen, clutter, ((x, y0), (x + thick, y0)), (0.0, -1.0), 4.0, text)

    def _bend(self, pen: Pen, clutter: Clutter, strip: FlatBend, page: PageMap, area: Polygon) -> None:
        bend = strip.bend
        text = (
            f"{bend.name.replace('_', ' ')} {bend.direction.upper()} {number(math.degrees(bend.angle_rad))}°"
        )
        line = page(*strip.middle[0]), page(*strip.middle[1])
        lift = strip.allowance_mm * self.scale / 2 + 1.1
        # a hole has its number beside it, which is written after this
        aside = [
            disc(*page(o.item.u_mm, o.item.v_mm), _wide_mm(o.item) * self.scale + 2 * NUMBER_MM)
            for o in self.openings
        ]
        if place_along(pen, clutter, line, lift, text, aside=aside):
            return
        middle = (line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2
        place_label(pen, clutter, middle, 0.0, text, within=area, pointed=True)

    def _numbers(self, pen: Pen, clutter: Clutter, page: PageMap, area: Polygon) -> None:
        for opening in self.openings:
            item = opening.item
            anchor = page(item.u_mm, item.v_mm)
            if isinstance(item, Hole):
                radius = item.diameter_mm * self.scale / 2
                if 2 * radius > BIG_HOLE_MM:  # room for the number inside
                    radius = 0.4
            else:
                radius = item.width_mm * self.scale / 2
            place_label(pen, clutter, anchor, radius, opening.number, bold=True, within=area)
        for i, peg in enumerate(self.pegs, 1):
            radius = peg.diameter_mm * self.scale / 2
            anchor = page(peg.u_mm, peg.v_mm)
            reach = 0.4 if 2 * radius > BIG_HOLE_MM else radius
            place_label(pen, clutter, anchor, reach, f"P{i}", bold=True, within=area)

    def _corners(self, pen: Pen, clutter: Clutter, page: PageMap, area: Polygon) -> None:
        """Thin lines out to the theoretical sharp corners, and the letter of each."""
        for corner in self.corners:
            if corner.radius_mm * self.scale > SHARP_SHOWN_MM and not corner.round:
                tip = page(*corner.place)
                pen.stroke(THIN, GREY)
                for end in (corner.enters, corner.leaves):
                    pen.line(*page(*end), *tip)
                    clutter.add_line((page(*end), tip), 0.3)
        for corner in self.corners if len(self.corners) > 1 else ():
            place_label(pen, clutter, page(*corner.seen), 0.4, corner.letter, within=area)


def _wide_mm(item: Hole | Slot) -> float:
    """How wide an opening is, all over, mm."""
    return item.diameter_mm if isinstance(item, Hole) else item.width_mm + item.travel_mm


def name_flanges(pen: Pen, clutter: Clutter, plan: PartPlan, flat: FlatPattern, page: PageMap) -> None:
    """Names of the flanges on their blank, in grey, where there is room."""
    for flange in plan.flanges:
        face = Polygon(
            [page(u, v) for u, v in polyline(transformed(flange.contour, flat.placements[flange.name]), 0.05)]
        )
        name = flange.name.replace("_", " ")
        width = text_width(name, TEXT_MM)
        x0, y0, x1, y1 = face.bounds
        spots = [
            (x0 + (x1 - x0) * (0.5 + i * 0.08), y0 + (y1 - y0) * (0.5 + j * 0.08))
            for i in (0, -1, 1, -2, 2, -3, 3, -4, 4)
            for j in (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5)
        ]
        areas = [turned_box(p, width + 2, TEXT_MM + 0.6, 0.0) for p in spots]
        costs = clutter.costs(areas)
        free = [p for p, a, c in zip(spots, areas, costs, strict=True) if c == 0 and face.contains(a)]
        if free:
            x, y = free[0]
            pen.text(x, y - TEXT_MM * 0.3, name, TEXT_MM, align="centre", grey=FLANGE_NAME_GREY)
            clutter.add(turned_box((x, y), width, TEXT_MM, 0.0), 2.0)
