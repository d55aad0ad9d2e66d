"""A panel with the readings to take drawn on it, each with its number."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generators.drawing.paper.pen import BLACK, MEDIUM, THIN, WHITE, Pen, text_width
from generators.drawing.template.callouts import Placer
from generators.drawing.template.taken import along
from generators.model.plan import PanelLayout
from generators.model.words import Face
from generators.sheets.form.content import Line
from generators.sheets.panel_view import PanelView

NUMBER_MM, RING_MM = 3.0, 5.6
ARROW_MM, ARROW_RAD = 2.2, 0.35
POINT_MM = 0.6
"""Air between a ring and the point of another arrow."""
OUT_MM = 17.0
"""How long a reading that leaves the panel is drawn, where its end is not in the picture."""


class FormView(PanelView):
    """The panel seen from one face with its readings."""

    def __init__(
        self, layout: PanelLayout, lines: Sequence[Line], *, width_mm: float, face: Face, tallest_mm: float
    ) -> None:
        super().__init__(
            layout,
            width_mm=width_mm,
            face=face,
            lit={_hole(layout, line.at) for line in lines},
            tallest_mm=tallest_mm,
        )
        self._lines = tuple(lines)

    def _drawn_over(self, placer: Placer) -> None:
        """Letters of holes keep off the arrows."""
        for line in self._lines:
            x0, y0, x1, y1 = self._drawn(line)
            placer.rather_not(along([(x0, y0), (x1, y1)]), 1.0)

    def paint(self, pen: Pen) -> None:
        """The panel, then each reading as an arrow with its number in a ring."""
        super().paint(pen)
        taken: list[tuple[float, float]] = list(self._lettered)
        drawn = [self._drawn(line) for line in self._lines]
        for line, (x0, y0, x1, y1) in zip(self._lines, drawn, strict=True):
            pen.stroke(MEDIUM, BLACK, (2.0, 1.0) if line.far else None)
            pen.line(x0, y0, x1, y1)
            pen.stroke(MEDIUM, BLACK)
            if math.hypot(x1 - x0, y1 - y0) > 1.0:
                _arrow(pen, x1, y1, math.atan2(y1 - y0, x1 - x0))
                if not line.far:
                    _arrow(pen, x0, y0, math.atan2(y0 - y1, x0 - x1))
        # numbers over all arrows, and off the points of the others
        for number, (line, ends) in enumerate(zip(self._lines, drawn, strict=True)):
            points = [(x1, y1) for k, (_, _, x1, y1) in enumerate(drawn) if k != number]
            at = self._free(*ends, taken, points)
            taken.append(at)
            pen.stroke(THIN, BLACK)
            pen.circle(*at, RING_MM, fill=WHITE)
            said = str(line.number)
            pen.text(
                at[0] - text_width(said, NUMBER_MM, bold=True) / 2, at[1] - 1.05, said, NUMBER_MM, bold=True
            )

    def _drawn(self, line: Line) -> tuple[float, float, float, float]:
        """Both ends of a reading as it is drawn."""
        (x0, y0), (x1, y1) = self._place(*line.at), self._place(*line.end)
        if line.far:
            x1, y1 = self._shortened(x0, y0, x1, y1)
        return x0, y0, x1, y1

    def _shortened(self, x0: float, y0: float, x1: float, y1: float) -> tuple[float, float]:
        """An end that is off the picture, brought near."""
        far = math.hypot(x1 - x0, y1 - y0)
        wide, high = self.size
        if 3 <= x1 <= wide - 3 and 3 <= y1 <= high - 8 and far > 4:
            return x1, y1
        if far < 1e-6:
            return x0 + OUT_MM * 0.7, y0 + OUT_MM * 0.7
        length = min(far, OUT_MM)
        return x0 + (x1 - x0) / far * length, y0 + (y1 - y0) / far * length

    def _free(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        taken: Sequence[tuple[float, float]],
        points: Sequence[tuple[float, float]],
    ) -> tuple[float, float]:
        """A place along the arrow off other numbers, the middle first.

        Off the points of other arrows where there is one; else a ring lies over a point, never off its arrow.
        """
        wide, high = self.size
        low = RING_MM / 2

        def inside(x: float, y: float) -> tuple[float, float]:
            return min(max(x, low), wide - low), min(max(y, low), high - low)

        on = [inside(x0 + (x1 - x0) * s, y0 + (y1 - y0) * s) for s in (0.5, 0.35, 0.65, 0.25, 0.75, 0.9)]
        beside = [
            inside(x0 + RING_MM * dx, y0 + RING_MM * dy)
            for dx in (1.5, -1.5, 2.8, -2.8)
            for dy in (1.2, -1.2)
        ]

        def room(spot: tuple[float, float]) -> float:
            return min((math.dist(spot, other) for other in taken), default=math.inf)

        free = [spot for spot in (*on, *beside) if room(spot) >= RING_MM + 0.4]
        clear = [s for s in free if s in on and all(math.dist(s, p) >= low + POINT_MM for p in points)]
        return next(iter([*clear, *free]), max((*on, *beside), key=room))


def _arrow(pen: Pen, x: float, y: float, way: float) -> None:
    for turn in (ARROW_RAD, -ARROW_RAD):
        pen.line(x, y, x - ARROW_MM * math.cos(way + turn), y - ARROW_MM * math.sin(way + turn))


def _hole(layout: PanelLayout, at: tuple[float, float]) -> str:
    return min(layout.holes, key=lambda h: math.dist((h.u_mm, h.v_mm), at)).number if layout.holes else ""
