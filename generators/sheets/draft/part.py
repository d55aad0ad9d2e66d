"""A part as a draft: its flat blank reduced, and the folded part beside it."""

from __future__ import annotations

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THICK, THIN, WHITE, Pen
from generators.drawing.paper.sheet_layout import Cell
from generators.drawing.part.body import folded_body
from generators.drawing.part.folded_view import draw_picture
from generators.figures import format_length
from generators.geometry.contours import bounds, stadium
from generators.model.contour import Contour, Vertex
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.sheets.document import Picture
from generators.sheets.draft.mark import reduced
from generators.units import UnitSystem

GAP_MM, EDGE_MM, FOOT_MM = 6.0, 3.0, 5.0
FOLDED_SHARE = 0.42
"""Of the width, for the folded part."""
CHAIN = (4.0, 0.9, 0.6, 0.9)


class PartDraft(Picture):
    """Blank with openings and bend lines at a reduced scale of ISO 5455; the folded part not to scale."""

    def __init__(self, plan: PartPlan, *, room: tuple[float, float], units: UnitSystem = "metric") -> None:
        self._plan, self._flat = plan, flat_pattern(plan)
        folded = bool(plan.bends or plan.printed)
        self._beside = room[0] * FOLDED_SHARE if folded else 0.0
        u0, v0, u1, v1 = bounds(self._flat.contour)
        wide = room[0] - self._beside - GAP_MM - 2 * EDGE_MM
        self.ratio = reduced(u1 - u0, v1 - v0, (wide, room[1] - FOOT_MM - 2 * EDGE_MM))
        self._low = (u0, v0)
        self._said = f"{format_length(u1 - u0, units)} by {format_length(v1 - v0, units)}"
        tall = max((v1 - v0) / self.ratio, 50.0 if folded else 0.0)
        super().__init__(
            max((u1 - u0) / self.ratio + 2 * EDGE_MM + (self._beside + GAP_MM if folded else 0.0), 90.0),
            tall + FOOT_MM + 2 * EDGE_MM,
        )
        self._left = (u1 - u0) / self.ratio + 2 * EDGE_MM

    @property
    def words(self) -> str:
        """What it shows, and how small."""
        plan = self._plan
        made = "printed in" if plan.printed else "blank in"
        return f"{plan.title}: {made} {plan.material}, {plan.thickness_mm:g} mm, 1:{self.ratio}"

    def _contour(self, contour: Contour) -> Contour:
        return Contour(tuple(Vertex(*self._place(p.u, p.v), p.bulge) for p in contour.vertices))

    def _place(self, u: float, v: float) -> tuple[float, float]:
        return (
            EDGE_MM + (u - self._low[0]) / self.ratio,
            EDGE_MM + FOOT_MM + (v - self._low[1]) / self.ratio,
        )

    def paint(self, pen: Pen) -> None:
        """Outline, openings, bend lines with their angle, then the folded part."""
        flat = self._flat
        pen.stroke(THICK)
        pen.contour(self._contour(flat.contour))
        pen.stroke(MEDIUM, BLACK)
        for hole in flat.holes:
            pen.circle(*self._place(hole.u_mm, hole.v_mm), hole.diameter_mm / self.ratio, fill=WHITE)
        for slot in flat.slots:
            rim = stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad)
            pen.contour(self._contour(rim), fill=WHITE)
        for strip in flat.bends:
            pen.stroke(THIN, GREY, CHAIN)
            (a, b), (c, d) = strip.middle
            pen.line(*self._place(a, b), *self._place(c, d))
        pen.text(EDGE_MM, 1.4, f"around it {self._said}", 2.4, grey=GREY)
        if self._beside:
            cell = Cell(self._left + GAP_MM, 0.0, self.size[0] - self._left - GAP_MM, self.size[1])
            # never at full size: a draft is not cut or measured from
            draw_picture(pen, folded_body(self._plan), cell, 0.5)
