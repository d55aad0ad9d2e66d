"""A panel at a glance: not to scale for drilling, with the holes of this step filled."""

from __future__ import annotations

from collections.abc import Collection

from generators.drawing.pen import BLACK, GREY, LIGHT, MEDIUM, THICK, THIN, Pen
from generators.geometry.contours import Placement, bounds, transformed
from generators.model.contour import Contour, Vertex
from generators.model.plan import PanelHole, PanelLayout
from generators.sheets.document import Picture

MARGIN_MM = 6.0
TALLEST_MM = 95.0
MARK_MM = 1.6


class PanelView(Picture):
    """The panel as seen from the cab or the engine bay, scaled to the width of the text."""

    def __init__(
        self,
        layout: PanelLayout,
        *,
        width_mm: float,
        face: str = "cab",
        lit: Collection[str] = (),
        name_all: bool = True,
    ) -> None:
        u0, v0, u1, v1 = bounds(layout.contour)
        self._scale = min((width_mm - 2 * MARGIN_MM) / (u1 - u0), TALLEST_MM / (v1 - v0))
        super().__init__(width_mm, (v1 - v0) * self._scale + 2 * MARGIN_MM + 4)
        self._layout = layout
        self._face = face
        self._lit = frozenset(lit)
        self._name_all = name_all
        self._low = (u0, v0)
        self._wide = (u1 - u0) * self._scale

    def _place(self, u: float, v: float) -> tuple[float, float]:
        x = (u - self._low[0]) * self._scale
        if self._face == "engine":
            x = self._wide - x
        return MARGIN_MM + x, MARGIN_MM + (v - self._low[1]) * self._scale

    def _contour(self, contour: Contour) -> Contour:
        if self._face == "engine":
            contour = transformed(contour, Placement(mirror=True))
            shift = self._low[0] * self._scale + self._wide + MARGIN_MM
        else:
            shift = MARGIN_MM - self._low[0] * self._scale
        rise = MARGIN_MM - self._low[1] * self._scale
        return Contour(
            tuple(
                Vertex(p.u * self._scale + shift, p.v * self._scale + rise, p.bulge) for p in contour.vertices
            )
        )

    def paint(self, pen: Pen) -> None:
        """Outline, what is in the way on this face, part outlines, holes with their numbers."""
        layout = self._layout
        seen = "as seen by the driver" if self._face == "cab" else "as seen from the engine bay"
        pen.text(
            0, self.size[1] - 3, f"{layout.title} {seen}; picture only, not for drilling", 2.6, grey=GREY
        )
        pen.stroke(THICK)
        pen.contour(self._contour(layout.contour))
        pen.stroke(THIN, GREY)
        for keepout in layout.keepouts:
            if keepout.face == self._face:
                pen.contour(self._contour(keepout.contour), fill=LIGHT)
                self._name(pen, keepout.contour, keepout.name)
        pen.stroke(MEDIUM, GREY)
        for footprint in layout.footprints:
            pen.stroke(MEDIUM, GREY, None if footprint.face == self._face else (1.2, 0.8))
            pen.contour(self._contour(footprint.contour))
        pen.stroke(MEDIUM, BLACK, (1.5, 1.0))
        for fold in layout.folds:
            pen.line(*self._place(*fold.start), *self._place(*fold.end))
        for hole in layout.holes:
            self._hole(pen, hole)

    def _name(self, pen: Pen, contour: Contour, name: str) -> None:
        u0, v0, u1, v1 = bounds(self._contour(contour))
        if v1 - v0 >= 4 and u1 - u0 >= 12:
            pen.text(
                (u0 + u1) / 2, (v0 + v1) / 2 - 0.8, name.replace("_", " "), 2.3, align="centre", grey=GREY
            )

    def _hole(self, pen: Pen, hole: PanelHole) -> None:
        x, y = self._place(hole.u_mm, hole.v_mm)
        size = max(hole.final_dia_mm * self._scale, MARK_MM)
        lit = hole.number in self._lit
        pen.stroke(MEDIUM, BLACK, None if hole.status == "drill" else (0.8, 0.6))
        pen.circle(x, y, size, fill=BLACK if lit else 1.0)
        if lit or self._name_all or hole.status != "drill":
            pen.text(x + size / 2 + 0.5, y + size / 4, hole.number, 2.8, bold=lit)
