"""Small pictures of one thing in its place: which way up, which face lies on what, where its ports look."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.drawing.paper.pen import GREY, MEDIUM, THIN, Pen, text_width
from generators.drawing.part.views import Camera
from generators.drawing.space.sights import Sight
from generators.drawing.space.views import FROM_BEHIND, FROM_LEFT
from generators.drawing.template.taken import ring
from generators.figures import format_short
from generators.geometry.frames import apply
from generators.model.install import Guide, PlacePicture
from generators.model.words import HoseSide
from generators.sheetmetal.folding import folded_frames
from generators.sheets.hose_words import LinesSheet
from generators.sheets.space.marks import DOT_MM, Marks, arrow
from generators.sheets.space.picture import SpaceView
from generators.sheets.space.sheet import SpaceSheet
from generators.space.pieces import Array, Point3

SEEN: dict[HoseSide, tuple[Camera, str]] = {
    "side": (FROM_LEFT, "from the vehicle's left"),
    "driver": (FROM_BEHIND, "as the driver sees it"),
}
MOVED = ("pedal", "pad", "rod")
"""Bodies of a pedal, whose names begin with its title."""

TALLEST_MM, NAMES_MM = 44.0, 8.0
"""Of a picture, and of it above and below the thing: there is a name's line, beside it often none."""

LEAST_AROUND_MM, AROUND, LEAST_MM = 15.0, 0.15, 90.0
"""What is shown round the thing, in the vehicle, and as a share of its size; and the least that is shown."""

ARROW_MM = 6.0
CLEAR_MM = 1.7
"""Foot of a word over the middle of its arrow: the wings of the head reach 0.8."""
ARC_DASH = (1.6, 0.8)
SAME_MM = 1.0
LINE_MM, LINE = 0.8, 20.0
"""Points of lines as names see them, and what one of them costs: more than to go to the rim of the picture. A
small picture is all outline, so a name that lies on a line hides what the picture is about."""


def view_words(picture: PlacePicture) -> str:
    """What stands over the picture."""
    return f"{picture.title}, {SEEN[picture.view][1]}"


def picture_words(guide: Guide) -> tuple[str, ...]:
    """What read-back must find over the pictures of a guide."""
    return tuple(
        view_words(picture)
        for step in guide.steps
        for picture in step.pictures
        if isinstance(picture, PlacePicture)
    )


class StandView(SpaceView):
    """One thing with what carries it, front and up marked, its ports or holes named."""

    soft = (LINE_MM, LINE)
    choosy = True
    rim_mm = NAMES_MM

    def __init__(
        self,
        sheet: SpaceSheet,
        lines: LinesSheet,
        picture: PlacePicture,
        *,
        width_mm: float,
        headed: bool = True,
    ) -> None:
        """Without ``headed`` its words are left to whoever shows it."""
        # only what it draws from, all before the rest is built: by that it is told from others
        self._picture, self._units = picture, lines.units
        self._spots = tuple(_spots(sheet, lines, picture))
        camera, _words = SEEN[picture.view]
        chosen, low, high = _chosen(sheet, picture)
        if picture.arc_mm and self._spots:
            middle = np.array(self._spots[0][1])
            low, high = np.minimum(low, middle - picture.arc_mm), np.maximum(high, middle + picture.arc_mm)
        more = np.maximum((high - low) * (0.0 if picture.arc_mm else AROUND), LEAST_AROUND_MM)
        # what is small leaves its names no room
        more = np.maximum(more, (LEAST_MM - (high - low)) / 2)
        super().__init__(
            sheet,
            chosen,
            camera,
            shown=[(low - more, high + more)],
            words=view_words(picture),
            width_mm=width_mm,
            tallest_mm=TALLEST_MM,
            headed=headed,
        )

    @property
    def words(self) -> str:
        """What it shows, and from where."""
        return view_words(self._picture)

    def _head(self, pen: Pen) -> None:
        for k, words in enumerate((self.words, f"about 1 : {self.ratio:g}; picture only")):
            size = min(2.6, 2.6 * self.size[0] / max(text_width(words, 2.6), 1.0))
            pen.text(0, self.size[1] - 3.4 - 3.4 * k, words, size, grey=GREY)

    def _axes(self, pen: Pen, marks: Marks) -> None:
        """Up, and front where it lies in the picture."""
        for _words, at in self._spots:
            marks.placer.keep_clear(ring(*self.place(at), DOT_MM / 2))
        ways = [("up", (0.0, ARROW_MM))]
        if self._picture.view == "side":
            ways.append(("front", (-ARROW_MM, 0.0)))
        left, bottom = marks.corner((ARROW_MM + 10.0, ARROW_MM + 5.0))
        start = (left + ARROW_MM + 4.0, bottom + 1.5)
        for word, (dx, dy) in ways:
            end = (start[0] + dx, start[1] + dy)
            arrow(pen, start, end, MEDIUM)
            if dy:
                pen.text(end[0] + 1.0, end[1] - 1.0, word, 2.4, bold=True)
            else:
                # its end keeps off the other arrow
                pen.text(end[0] - CLEAR_MM, end[1] + CLEAR_MM, word, 2.4, bold=True)

    def _feet(self, pen: Pen, marks: Marks) -> None:
        """The points that are named, instead of the driver's foot; and the arc something ends on."""
        if not self._headed:
            self._axes(pen, marks)
        for words, at in self._spots:
            marks.name([self.place(at)], words, bold=True, dot=True)
        if not self._picture.arc_mm or not self._spots:
            return
        x, y = self.place(self._spots[0][1])
        radius = self._picture.arc_mm / self.ratio
        with pen.clipped(*self._box):
            pen.stroke(THIN, GREY, ARC_DASH)
            pen.circle(x, y, 2 * radius)
        far = f"its other bolt: on this arc, {format_short(self._picture.arc_mm, self._units, 0)}"
        turns = np.radians([60, 120, 90, 30, 150, 0, 180])
        rim = [(x + radius * float(np.cos(t)), y + radius * float(np.sin(t))) for t in turns]
        marks.name(rim, far, dot=True)


def _chosen(sheet: SpaceSheet, picture: PlacePicture) -> tuple[list[Sight], Array, Array]:
    """What is drawn, and the room of what it is about."""
    about: list[Sight] = []
    around: list[Sight] = []
    for sight in sheet.sights():
        moved = sight.kind in MOVED and sight.hides and sight.name.startswith(f"{picture.thing} ")
        if moved or sight.name == picture.thing:
            about.append(sight)
        elif sight.name in picture.carriers:
            around.append(sight)
    # a bracket is shown whole; a panel is as large as the vehicle
    parts = [*about, *(s for s in around if s.kind == "part")] or around
    if not parts:
        return [], np.zeros(3), np.zeros(3)
    low = np.min([sight.low for sight in parts], axis=0)
    high = np.max([sight.high for sight in parts], axis=0)
    if picture.view == "driver":
        # what stands before the panel would not be seen for it
        around = [s for s in around if s.kind != "panel" or s.low[0] + SAME_MM < float(low[0])]
    return [*about, *around], low, high


def _spots(sheet: SpaceSheet, lines: LinesSheet, picture: PlacePicture) -> Iterator[tuple[str, Point3]]:
    """Points of the vehicle with their words: ports, and openings of parts in the middle of their sheet."""
    for words, name in picture.marks:
        if name in lines.ports:
            yield words, lines.ports[name]
            continue
        part, _, opening = name.partition(".")
        for plan, matrix in sheet.parts:
            for flange in plan.flanges if plan.name == part else ():
                found = next((o for o in flange.openings if o.name == opening), None)
                if found is not None:
                    at = np.array([[found.u_mm, found.v_mm, plan.thickness_mm / 2]])
                    x, y, z = apply(matrix @ folded_frames(plan)[flange.name], at)[0].tolist()
                    yield words, (x, y, z)
