"""A panel as a draft: holes, parts, what is in the way, hoses near it, and findings pinned where they are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THIN, Pen
from generators.drawing.template.callouts import Line, Placed, Placer
from generators.drawing.template.taken import Box, Floats, Point, along
from generators.geometry.contours import bounds, polyline
from generators.model.contour import Contour
from generators.model.plan import PanelLayout
from generators.model.words import Face
from generators.sheets.draft.content import Pin, Run
from generators.sheets.draft.mark import PIN_MM, PIN_PAD, across, draw_pin, head, pin_size, reduced
from generators.sheets.panel_view import HEAD_MM, MARGIN_MM, WORDS_MM, PanelView

END_MM = 2.2
HOSE_DASH = (2.4, 0.9)
NAME_MM = 2.3
SHARES = (0.5, 0.3, 0.7, 0.15, 0.85)
ASIDE = (0.5, 0.0, 1.0, -0.4, 1.4)
GRID_MM = 3.0
"""Between points over what a name had better not lie on: less than a name is wide."""


class PanelDraft(PanelView):
    """One face of a panel at a reduced scale of ISO 5455."""

    def __init__(
        self,
        layout: PanelLayout,
        face: Face,
        *,
        room: tuple[float, float],
        runs: Sequence[Run] = (),
        pins: Sequence[Pin] = (),
    ) -> None:
        """``room`` is the width and height it may take, mm; without its margins."""
        u0, v0, u1, v1 = bounds(layout.contour)
        self.ratio = reduced(u1 - u0, v1 - v0, room)
        super().__init__(
            layout,
            width_mm=(u1 - u0) / self.ratio + 2 * MARGIN_MM,
            face=face,
            tallest_mm=(v1 - v0) / self.ratio,
        )
        self._runs = tuple(r for r in runs if r.panel == layout.panel and r.face == face)
        self._pins = tuple(pins)
        self.pinned_at: list[tuple[int, float, float, float, float]] = []
        """Once painted: number, left, low, width and height of every pin, mm."""
        self.led: list[tuple[Point, Point]] = []
        """Once painted: the lines from names to the parts they lie off, mm."""

    @property
    def shows(self) -> tuple[PanelLayout, Face]:
        """The panel and the face of it that is drawn."""
        return self._layout, self._face

    @property
    def words(self) -> str:
        """What it shows, from where, and how small."""
        return f"{self._layout.title} {self._layout.seen(self._face)}, 1:{self.ratio}"

    def _heading(self, width_mm: float) -> tuple[tuple[str, float], ...]:
        """Room for the one line of a draft, whatever its width."""
        return ((self.words, WORDS_MM),)

    @property
    def frame(self) -> tuple[float, float, float, float]:
        """``(x0, y0, per_u, per_v)``: u, v lies x0 + per_u·u from the left and y0 + per_v·v from below."""
        x0, y0 = self._place(0.0, 0.0)
        return x0, y0, (-1.0 if self._face == "engine" else 1.0) / self.ratio, 1.0 / self.ratio

    def paint(self, pen: Pen) -> None:
        """The word under all of it, hoses, then the panel."""
        self.led = []
        across(pen, self.size[0], self.size[1] - HEAD_MM)
        words, self._head = self._head, ()
        for run in self._runs:
            pen.stroke(MEDIUM, GREY, HOSE_DASH)
            pen.polygon([self._place(u, v) for u, v in run.points], closed=False)
        super().paint(pen)
        self._head = words
        head(pen, self.size[1], self.size[0], self.words)

    def _beside(self, pen: Pen, placer: Placer) -> None:
        for run in self._runs:
            for u, v in run.ends:
                x, y = self._place(u, v)
                pen.stroke(MEDIUM, BLACK)
                pen.polygon([(x - END_MM, y), (x, y + END_MM), (x + END_MM, y), (x, y - END_MM)])
            placer.rather_not(along([self._place(u, v) for u, v in run.points]), 1.0)
        self._pinned(pen, placer)
        self._named(pen, placer)

    def _named(self, pen: Pen, placer: Placer) -> None:
        """Names of parts and hoses, where there is room: a part's with a line to it where it is outside."""
        for keepout in self._layout.keepouts:
            if keepout.face == self._face:
                placer.rather_not(_over(self._contour(keepout.contour)), 1.0)
        for footprint in self._layout.footprints:
            x0, y0, x1, y1 = bounds(self._contour(footprint.contour))
            spots = [(x0 + (x1 - x0) * a, y0 + (y1 - y0) * b) for b in SHARES for a in SHARES]
            spots += [(x0 + (x1 - x0) * a, y) for y in (y1 + 2.2, y0 - 2.2, y1 + 5, y0 - 5) for a in ASIDE]
            behind = "" if footprint.face == self._face else ", other face"
            label = self._put(pen, placer, spots, [f"{footprint.words}{behind}", footprint.words], BLACK)
            if label is not None:
                self._led(pen, placer, label.box, self._contour(footprint.contour))
        for run in self._runs:
            points = np.array([self._place(u, v) for u, v in run.points])
            some = points[:: max(1, len(points) // 12)]
            spots = [(float(x), float(y) + off) for off in (3.0, -3.0, 5.0, -5.0) for x, y in some]
            self._put(pen, placer, spots, [run.title], GREY)

    def _put(
        self,
        pen: Pen,
        placer: Placer,
        spots: Sequence[tuple[float, float]],
        texts: Sequence[str],
        grey: float,
    ) -> Placed | None:
        label = placer.anywhere(spots, [[Line(text, NAME_MM)] for text in texts])
        if label is not None:
            x0, y0, x1, _y1 = label.box
            pen.text((x0 + x1) / 2, y0 + 0.8, label.lines[0].text, NAME_MM, align="centre", grey=grey)
        return label

    def _led(self, pen: Pen, placer: Placer, box: Box, contour: Contour) -> None:
        """A line from a name that lies off its part to the nearest place of the part's rim."""
        shape, name = shapely.Polygon(polyline(contour)), shapely.box(*box)
        if shape.intersects(name):
            return
        start, end = (shapely.get_coordinates(shapely.shortest_line(name, shape))[k] for k in (0, 1))
        self.led.append(((float(start[0]), float(start[1])), (float(end[0]), float(end[1]))))
        pen.stroke(THIN, BLACK)
        pen.line(*self.led[-1][0], *self.led[-1][1])
        placer.keep_clear(along(self.led[-1]))

    def _pinned(self, pen: Pen, placer: Placer) -> None:
        """Numbers of findings beside what they are about, led out where there is no room."""
        self.pinned_at = []
        for pin in self._pins:
            for panel, u, v in pin.spots:
                if panel != self._layout.panel:
                    continue
                x, y = self._place(u, v)
                label = placer.callout(
                    x, y, 1.2, [[Line("0" * len(str(pin.number)), PIN_MM + PIN_PAD, bold=True)]]
                )
                if label is None:
                    continue
                x0, y0, x1, y1 = label.box
                width, height = pin_size(pin.number)
                if label.leader is not None:
                    pen.stroke(THIN, BLACK)
                    pen.line(x, y, *label.leader[1])
                left, low = (x0 + x1 - width) / 2, (y0 + y1 - height) / 2
                draw_pin(pen, left, low, pin)
                self.pinned_at.append((pin.number, left, low, width, height))
                placer.keep_clear(along([(x0, y0), (x1, y1)]))


def _over(contour: Contour) -> Floats:
    """Points all over an area, to keep words off it."""
    x0, y0, x1, y1 = bounds(contour)
    return np.array([(x, y) for x in np.arange(x0, x1, GRID_MM) for y in np.arange(y0, y1, GRID_MM)])
