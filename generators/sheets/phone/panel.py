"""A panel for the width of a phone: discs that do not merge, numbers off what is in the way."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import Polygon

from generators.drawing.template.callouts import PAD, Placed, Placer
from generators.geometry.contours import polyline
from generators.model.plan import PanelHole
from generators.sheets.panel_view import MARK_MM, PanelView

APART, LEAST_MM = 0.7, 0.4
"""A disc against the way to the next hole, and the smallest."""

CAPITAL, AIR_MM = 0.72, 0.35
"""Height of a figure against its size, and how near to it a leader ends."""

GRID_MM, UNDER = 0.8, 2.0
"""Points of a thing under a number, and what each costs, a point of another word being 1."""


class PhonePanel(PanelView):
    """The picture of paper, with what a small one asks for besides."""

    def _drawn_dia(self, hole: PanelHole) -> float:
        u, v = hole.u_mm, hole.v_mm
        others = (math.hypot(h.u_mm - u, h.v_mm - v) for h in self.layout.holes if h is not hole)
        near = min((gap for gap in others if gap > 0), default=math.inf) * self.scale
        return max(hole.final_dia_mm * self.scale, min(MARK_MM, max(APART * near, LEAST_MM)))

    def _drawn_over(self, placer: Placer) -> None:
        """A number in a grey body, in a part or in a wide hole reads as its name."""
        for contour in self._outlines():
            body = Polygon(polyline(self._contour(contour)))
            x0, y0, x1, y1 = body.bounds
            x, y = np.meshgrid(np.arange(x0, x1, GRID_MM), np.arange(y0, y1, GRID_MM))
            inside = shapely.contains_xy(body, x, y)
            placer.rather_not(np.column_stack((x[inside], y[inside])), UNDER)
        for hole in self.layout.holes:
            placer.rather_not(np.array([self._place(hole.u_mm, hole.v_mm)]), 2.0)

    def _leader(self, label: Placed) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """Every number has one, up to its figures: a gap there reads as another hole's."""
        if label.leader is None:
            return None
        x, y = label.leader[0]
        left, low, right, _high = label.box
        up = CAPITAL * label.lines[0].size
        end = (
            min(max(x, left + PAD - AIR_MM), right - PAD + AIR_MM),
            min(max(y, low + PAD - AIR_MM), low + PAD + up + AIR_MM),
        )
        return label.leader[0], end
