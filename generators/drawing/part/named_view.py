"""One view with named dimensions stacked around it and named places led out of it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from shapely.geometry import box

from generators.drawing.paper.dimensions import TEXT_MM, Clutter, Point, aligned, place_label
from generators.drawing.paper.pen import Pen, text_width
from generators.drawing.paper.sheet_layout import Block, Cell
from generators.drawing.part.folded_view import leg_offset

FIRST_MM, LEVEL_MM, AIR_MM = 6.0, 5.2, 12.0
CAPTION_MM = 7.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Dim:
    """A dimension of a view, in mm of the part: both ends, the way out, the text."""

    ends: tuple[Point, Point]
    away: Point
    text: str

    def interval(self, scale: float) -> tuple[float, float]:
        """What it takes of its line, mm on paper; a text that is too long stands past its end."""
        along = 0 if self.away[0] == 0 else 1
        start, end = (point[along] * scale for point in self.ends)
        width = text_width(self.text, TEXT_MM)
        past = 4.0 if abs(end - start) >= width + 1 else width + 2.5
        # the end may lie below the start
        return (start - 4.0, end + past) if end >= start else (end - past, start + 4.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A text with a leader to a place of a view, in mm of the part."""

    place: Point
    radius: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedView:
    """One view of the picture with all that is written around it."""

    name: str
    box: tuple[float, float, float, float]
    draw: Callable[[Pen, Clutter, float, Point], None]
    dims: tuple[Dim, ...] = ()
    notes: tuple[Note, ...] = ()
    skew: tuple[Dim, ...] = ()

    def levels(self, scale: float) -> dict[Point, list[tuple[Dim, int]]]:
        """For each side its dimensions with the line they stand on, shortest nearest."""
        sides: dict[Point, list[tuple[Dim, int]]] = {}
        for dim in sorted(self.dims, key=lambda d: (math.dist(*d.ends), d.text)):
            placed = sides.setdefault(dim.away, [])
            low, high = dim.interval(scale)
            taken = {n for d, n in placed if d.interval(scale)[0] < high and low < d.interval(scale)[1]}
            placed.append((dim, next(n for n in range(len(placed) + 1) if n not in taken)))
        return sides

    def margins(self, scale: float) -> tuple[float, float, float, float]:
        """Room left, below, right and above, mm."""
        sides = self.levels(scale)

        def room(away: Point) -> float:
            lines = 1 + max((n for _, n in sides.get(away, [])), default=-1)
            return AIR_MM + (FIRST_MM + lines * LEVEL_MM if lines else 0.0)

        past_right, past_top = 0.0, 0.0
        for placed in sides.values():
            for dim, _ in placed:
                end = dim.interval(scale)[1]
                if dim.away[0] == 0:
                    past_right = max(past_right, end - self.box[2] * scale)
                else:
                    past_top = max(past_top, end - self.box[3] * scale)
        notes = max((text_width(n.text, TEXT_MM) for n in self.notes), default=0.0) * 0.5
        return (
            room((-1.0, 0.0)) + notes,
            room((0.0, -1.0)) + CAPTION_MM,
            max(room((1.0, 0.0)), past_right) + notes,
            max(room((0.0, 1.0)), past_top),
        )

    def block(self, scale: float) -> Block:
        """Its size on paper."""
        left, below, right, above = self.margins(scale)
        x0, y0, x1, y1 = self.box
        return Block(self.name, left + (x1 - x0) * scale + right, below + (y1 - y0) * scale + above)

    def put(self, pen: Pen, scale: float, cell: Cell) -> None:
        """Draw it in the middle of a cell."""
        left, below, _right, _above = self.margins(scale)
        size = self.block(scale)
        x0, y0, x1, y1 = self.box
        shift = (
            cell.x + (cell.width - size.width) / 2 + left - x0 * scale,
            cell.y + (cell.height - size.height) / 2 + below - y0 * scale,
        )
        clutter = Clutter()
        self.draw(pen, clutter, scale, shift)

        def page(p: Point) -> Point:
            return p[0] * scale + shift[0], p[1] * scale + shift[1]

        low, high = page((x0, y0)), page((x1, y1))
        for away, placed in self.levels(scale).items():
            edge = max(low[0] * away[0] + low[1] * away[1], high[0] * away[0] + high[1] * away[1])
            for dim, line in placed:
                ends = page(dim.ends[0]), page(dim.ends[1])
                own = max(p[0] * away[0] + p[1] * away[1] for p in ends)
                aligned(pen, clutter, ends, away, edge - own + FIRST_MM + line * LEVEL_MM, dim.text)
        for dim in self.skew:
            ends = page(dim.ends[0]), page(dim.ends[1])
            aligned(pen, clutter, ends, dim.away, leg_offset(clutter, ends, dim.away, low, high), dim.text)
        area = box(cell.x, cell.y, cell.x + cell.width, cell.y + cell.height)
        for note in self.notes:
            place_label(
                pen, clutter, page(note.place), note.radius * scale, note.text, within=area, pointed=True
            )
        foot = min(shape.bounds[1] for shape in clutter.shapes) - TEXT_MM - 1.5
        pen.text((low[0] + high[0]) / 2, foot, self.name, TEXT_MM, align="centre", bold=True)
