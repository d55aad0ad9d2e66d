"""A panel with what differs: ghosts of holes as they were, arrows to where they are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THIN, Pen
from generators.drawing.template.callouts import Placer
from generators.geometry.contours import bounds
from generators.model.plan import PanelLayout
from generators.sheets.panel_view import PanelView
from generators.solve.comparing.holes import HoleChange

GHOST = (0.9, 0.7)
HEAD_LONG_MM, HEAD_WIDE_MM = 2.2, 1.4
SHORTEST_MM = 1.0
"""An arrow shorter than this on paper is left out: the ghost shows the move."""
CROSS_MM = 1.6


class ChangedView(PanelView):
    """A panel as it is after, the holes that differ filled, with what was before in broken lines."""

    def __init__(self, layout: PanelLayout, changes: Sequence[HoleChange], *, width_mm: float) -> None:
        here = [c for c in changes if c.panel == layout.panel]
        super().__init__(
            _bare(layout),
            width_mm=width_mm,
            lit=[c.number for c in here if c.now is not None],
            name_all=False,
        )
        self._changes = here

    @property
    def words(self) -> str:
        """What it shows."""
        return f"{self._layout.title} {self._layout.seen(self._face)}; picture only, not for drilling"

    def _beside(self, pen: Pen, placer: Placer) -> None:
        for change in self._changes:
            if change.was is None:
                continue
            x, y = self._place(*change.was)
            size = max(change.was_dia_mm * self._scale, CROSS_MM)
            pen.stroke(MEDIUM, GREY, GHOST)
            pen.circle(x, y, size)
            if change.now is None:
                pen.stroke(MEDIUM, BLACK)
                pen.line(x - CROSS_MM, y - CROSS_MM, x + CROSS_MM, y + CROSS_MM)
                pen.line(x - CROSS_MM, y + CROSS_MM, x + CROSS_MM, y - CROSS_MM)
            elif change.moved:
                self._arrow(pen, (x, y), self._place(*change.now))

    def _arrow(self, pen: Pen, start: tuple[float, float], end: tuple[float, float]) -> None:
        far = math.dist(start, end)
        if far < SHORTEST_MM:
            return
        ux, uy = (end[0] - start[0]) / far, (end[1] - start[1]) / far
        pen.stroke(THIN, BLACK)
        pen.line(*start, *end)
        long = min(HEAD_LONG_MM, far * 0.6)
        foot = (end[0] - ux * long, end[1] - uy * long)
        wide = HEAD_WIDE_MM / 2 * long / HEAD_LONG_MM
        pen.polygon(
            [end, (foot[0] - uy * wide, foot[1] + ux * wide), (foot[0] + uy * wide, foot[1] - ux * wide)],
            fill=BLACK,
        )


def _bare(layout: PanelLayout) -> PanelLayout:
    """Outline and holes alone: what else is on the panel hides the arrows."""
    low = bounds(layout.contour)
    inside = tuple(h for h in layout.holes if low[0] <= h.u_mm <= low[2] and low[1] <= h.v_mm <= low[3])
    return replace(layout, keepouts=(), reaches=(), footprints=(), folds=(), holes=inside)
