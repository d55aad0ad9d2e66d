"""One view of a place in the vehicle: lines seen and hidden, names, gaps, the driver's foot, axes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property

import numpy as np
import shapely

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THIN, Pen, text_width
from generators.drawing.part.views import Camera
from generators.drawing.space.sights import Sight
from generators.drawing.space.views import Drawn, Window, box_on_paper, samples, scene_view, within
from generators.geometry.frames import Matrix
from generators.model.words import BodyKind
from generators.sheets.document import Picture
from generators.sheets.space.marks import Marks, arrow, gap_words
from generators.sheets.space.sheet import FOOT_MM, SpaceSheet
from generators.solve.bodies.near import NearPair
from generators.space.pieces import Array

HEAD_MM = 9.0
RIM_MM = 5.0
"""Room for names round what is shown; above and below it a kind of view may have more."""
STEP_MM = 0.8
"""Sampling of lines, on paper."""
FEW, FINE_MM = 6, 0.02
"""Lines of more points are thinned to within that of themselves."""
SOFT_MM, SOFT = 1.5, 0.5
"""How far apart points of lines are kept in mind for names, and what a name over one of them costs."""
SCALES = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)
PEDAL = 0.5
SQUARE, ASKEW = 0.8, 0.3
"""An arrow that a square or an oblique view shows shorter than that share of itself is not drawn in it."""
PALE = 0.6
LEAST_SEEN_MM, LEAST_THERE_MM, LEAST_PART_MM = 4.0, 15.0, 2.0
"""Less of a thing's lines, or of what the vehicle has, gets no name, nor a bracket seen on its edge: another
view shows it."""
DASHED, PHANTOM = (1.4, 0.9), (3.0, 0.7, 0.7, 0.7)
"""Hidden lines, and places something moves to (ISO 128)."""

WIDTHS: dict[BodyKind, tuple[float, float]] = {
    "obstacle": (THIN, GREY),
    "bolt": (THIN, BLACK),
    "clamp": (THIN, BLACK),
    "pedal": (PEDAL, BLACK),
    "pad": (PEDAL, BLACK),
}
"""Width and grey of lines; all others are of medium width and black."""

DASHED_KINDS: frozenset[BodyKind] = frozenset({"cylinder", "reservoir", "hose", "pedal", "pad"})
"""What is looked for behind a panel; of everything else hidden lines are left out."""

NAMED: tuple[BodyKind, ...] = (
    "pad",
    "stop",
    "cylinder",
    "reservoir",
    "hose",
    "part",
    "panel",
    "fitting",
    "obstacle",
    "zone",
)
"""What gets its name, the first ones first."""


def _named(sight: Sight) -> bool:
    """True for what is there: a pedal at its stop has its name at rest."""
    return sight.hides or sight.kind == "zone"


class SpaceView(Picture):
    """A view to scale, as wide as the text: the window is widened to the page, as names need the room.

    It holds what lies in its window and no more: what changes elsewhere leaves it as it is.
    """

    soft = (SOFT_MM, SOFT)
    choosy = False
    rim_mm = RIM_MM

    def __init__(
        self,
        sheet: SpaceSheet,
        sights: Sequence[Sight],
        camera: Camera,
        *,
        shown: Sequence[tuple[Array, Array]],
        words: str,
        width_mm: float,
        tallest_mm: float,
        marked: Sequence[tuple[str, NearPair]] = (),
        frames: bool = False,
        headed: bool = True,
        least: float = SCALES[0],
    ) -> None:
        """``shown`` are boxes the window must hold; ``frames`` draws the panels' u and v.

        Without ``headed`` name, scale, words and axes are left to whoever shows it. ``least`` is the largest
        scale it may have, as the number after ``1:``.
        """
        boxes = np.array([box_on_paper(low, high, camera) for low, high in shown])
        (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0).tolist(), boxes[:, 2:].max(axis=0).tolist()
        wanted = max((x1 - x0) / (width_mm - 2 * RIM_MM), (y1 - y0) / (tallest_mm - 2 * self.rim_mm), least)
        self.ratio = next((s for s in SCALES if s >= wanted), math.ceil(wanted))
        tall = (y1 - y0) / self.ratio + 2 * self.rim_mm
        side = (width_mm * self.ratio - (x1 - x0)) / 2
        rise = self.rim_mm * self.ratio
        self.window: Window = (x0 - side, y0 - rise, x1 + side, y1 + rise)
        super().__init__(width_mm, tall + (HEAD_MM if headed else 0.0))
        self._headed = headed
        self._box = (0.0, 0.0, width_mm, tall)
        self._camera, self._words = camera, words
        self._marked, self._frames = tuple(marked), frames
        self._pressed = sheet.feet
        self._origins = tuple((layout.title, matrix) for layout, matrix in sheet.panels) if frames else ()
        self.sights = tuple(sight for sight in sights if within(sight, camera, self.window))
        self.told_by_itself()

    @cached_property
    def drawn(self) -> tuple[Drawn, ...]:
        """The lines of the view, worked out once it is painted."""
        return tuple(scene_view(self.sights, self._camera, STEP_MM * self.ratio, self.window))

    @property
    def axes(self) -> tuple[list[float], list[float]]:
        """The vehicle's directions that lie to the right and up in the picture, as unit vectors (x, y, z)."""
        right, up = self._camera.right.tolist(), self._camera.up.tolist()
        return right, up

    def place(self, point: Sequence[float] | Array) -> tuple[float, float]:
        """Where a point of the vehicle lies in the picture, mm."""
        x, y = self._camera.project(np.asarray(point, dtype=float)[None, :])[0]
        return self._page(float(x), float(y))

    def _page(self, x: float, y: float) -> tuple[float, float]:
        return (x - self.window[0]) / self.ratio, (y - self.window[1]) / self.ratio

    def paint(self, pen: Pen) -> None:
        """Title, lines from faint to strong, then what is said of them."""
        if self._headed:
            self._head(pen)
        lines: list[Matrix] = []
        with pen.clipped(*self._box):
            order = sorted(self.drawn, key=lambda d: d.sight.kind != "obstacle")
            for drawn in order:
                if drawn.sight.hides and drawn.sight.kind in DASHED_KINDS:
                    pen.stroke(THIN, PALE, DASHED)
                    self._strokes(pen, drawn, hidden=True)
            for drawn in order:
                if drawn.sight.hides:
                    pen.stroke(*WIDTHS.get(drawn.sight.kind, (MEDIUM, BLACK)))
                elif drawn.sight.kind == "zone":
                    pen.stroke(THIN, GREY, DASHED)
                else:
                    pen.stroke(THIN, BLACK, PHANTOM)
                lines += self._strokes(pen, drawn, hidden=False)
        pen.stroke(THIN, GREY)
        pen.rect(*self._box)
        marks = Marks(self._box, choosy=self.choosy)
        if lines:
            apart, cost = self.soft
            marks.placer.rather_not(samples(lines, apart)[0], cost)
        if self._headed:
            self._axes(pen, marks)
        if self._frames:
            self._panel_axes(pen, marks)
        self._feet(pen, marks)
        for letter, pair in self._marked:
            marks.gap(
                pen, self.place(pair.gap.at), self.place(pair.gap.to), gap_words(letter, pair.gap.gap_mm)
            )
        self._names(marks)
        marks.paint(pen)

    def _head(self, pen: Pen) -> None:
        name, up = self._camera.name, self.size[1] - 3.4
        pen.text(0, up, name, 3.2, bold=True)
        pen.text(text_width(name, 3.2, bold=True) + 3, up, f"scale 1 : {self.ratio:g}", 2.8)
        pen.text(0, self.size[1] - 7.2, self._words, 2.5, grey=GREY)

    def _strokes(self, pen: Pen, drawn: Drawn, *, hidden: bool) -> list[Matrix]:
        """Draw what is hidden, or what is seen, of a thing; where, in page mm."""
        out: list[Matrix] = []
        for stroke in drawn.strokes:
            if stroke.hidden != hidden:
                continue
            flat = (stroke.points - self.window[:2]) / self.ratio
            if len(flat) > FEW:
                flat = shapely.get_coordinates(shapely.simplify(shapely.LineString(flat), FINE_MM))
            pen.polygon([(x, y) for x, y in flat.tolist()], closed=False)
            out.append(flat)
        return out

    def _feet(self, pen: Pen, marks: Marks) -> None:
        """An arrow onto each pad, where the view shows its way."""
        for foot in self._pressed:
            end, back = self.place(foot.at), self.place(np.array(foot.at) - np.array(foot.way) * FOOT_MM)
            if math.dist(end, back) * self.ratio >= (ASKEW if self._frames else SQUARE) * FOOT_MM:
                marks.arrow(pen, back, end, f"driver's foot, {foot.pedal}", at=back)

    def _panel_axes(self, pen: Pen, marks: Marks) -> None:
        """u and v of each panel from its origin."""
        found: dict[tuple[float, ...], list[str]] = {}
        for title, matrix in self._origins:
            for word, way in (("u", matrix[:3, 0]), ("v", matrix[:3, 1])):
                key = tuple(np.round([*matrix[:3, 3], *way], 3) + 0.0)
                found.setdefault(key, []).append(f"{word}, {title}")
        for key, titles in found.items():
            origin, way = np.array(key[:3]), np.array(key[3:])
            start, end = self.place(origin), self.place(origin + way * 16.0 * self.ratio)
            words = " and ".join([titles[0], *(title[3:] for title in titles[1:])])
            marks.arrow(pen, start, end, words, at=end)
        for corner in dict.fromkeys(key[:3] for key in found):
            words = "origin " + ", ".join(f"{c:g}" for c in np.round(corner, 1) + 0.0)
            marks.name([self.place(corner)], words, dot=True)

    def _axes(self, pen: Pen, marks: Marks) -> None:
        """The vehicle's axes in a corner: how the view looks, not where the origin is."""
        flat = [
            (word, self._camera.project(np.eye(3)[k : k + 1])[0] * 9.0)
            for k, word in enumerate(("x rearward", "y right", "z up"))
        ]
        flat = [(word, way) for word, way in flat if np.linalg.norm(way) > 1.0]
        low = np.min([np.zeros(2), *(way for _word, way in flat)], axis=0)
        high = np.max([np.zeros(2), *(way for _word, way in flat)], axis=0)
        left, bottom = marks.corner((float(high[0] - low[0]) + 22.0, float(high[1] - low[1]) + 8.0))
        start = (left + 4.0 - float(low[0]), bottom + 4.0 - float(low[1]))
        for word, (dx, dy) in flat:
            end = (start[0] + float(dx), start[1] + float(dy))
            arrow(pen, start, end, MEDIUM)
            below = -2.6 if dy < -5.0 else -0.8
            pen.text(end[0] + 1.2, end[1] + below, word, 2.4)

    def _names(self, marks: Marks) -> None:
        order = {kind: k for k, kind in enumerate(NAMED)}
        chosen = [d for d in self.drawn if d.sight.kind in order and d.sight.title and _named(d.sight)]
        for drawn in sorted(chosen, key=lambda d: order[d.sight.kind]):
            wide, tall, length = (each / self.ratio for each in drawn.seen)
            there = drawn.sight.kind in ("obstacle", "zone")
            least = LEAST_THERE_MM if there else LEAST_SEEN_MM
            if length < least or (drawn.sight.kind == "part" and min(wide, tall) < LEAST_PART_MM):
                continue
            grey = GREY if there else BLACK
            marks.name([self._page(*spot) for spot in drawn.spots], drawn.sight.title, grey=grey, dot=True)
