"""The pictures of the steps, drawn by the pens of the paper for the width of a phone."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from generators.drawing.paper.pen import BLACK, MEDIUM
from generators.drawing.paper.svg_pen import SvgPen
from generators.model.install import HosePicture, PanelPicture, Picture, PlacePicture
from generators.model.plan import PanelLayout
from generators.model.spec.titles import capital
from generators.model.words import NEW
from generators.sheets.document import Picture as Drawn
from generators.sheets.hose_views import HoseView
from generators.sheets.hose_words import LinesSheet, end_words
from generators.sheets.phone.elements import Element, el, inline_svg
from generators.sheets.phone.panel import PhonePanel
from generators.sheets.space.sheet import SpaceSheet
from generators.sheets.space.stand import StandView

WIDTH_MM, PX_PER_MM = 45.0, 6.7
"""As wide as a phone's column, and the scale there: a letter of 2.4 mm has 16 px, the least we show."""

FINE = 0.7
"""Width of a line against that on paper."""

LEAST_MM, DARK = 2.4, 0.4
"""Size of letters, and the palest grey they have: 5.7 to 1 on white; text wants 4.5 (WCAG 2.2, 1.4.3)."""

WIDER = (1.5, 2.0, 3.0)
"""What has no room for its names is drawn wider until every one has its place.

It is shown as wide as the column, and opens at its own size.
"""


class _FinePen(SvgPen):
    """Lines thinner than on paper, as there is less room between them, and no letter too small to read."""

    def stroke(
        self, width_mm: float = MEDIUM, grey: float = BLACK, dash: Sequence[float] | None = None
    ) -> None:
        """As the pen's, at a part of the width."""
        super().stroke(width_mm * FINE, grey, dash)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = 3.0,
        *,
        bold: bool = False,
        align: str = "left",
        grey: float = BLACK,
        angle_deg: float = 0.0,
    ) -> None:
        """As the pen's, in letters of the least size or more."""
        size = max(size, LEAST_MM)
        super().text(x, y, text, size, bold=bold, align=align, grey=min(grey, DARK), angle_deg=angle_deg)


def _wide_enough(
    drawn: Callable[[float], Element], wanted: set[str], crowded: Callable[[], bool] = lambda: False
) -> Element:
    """The narrowest picture that says all that is wanted, the last one not ``crowded``; or the widest."""
    out = drawn(WIDTH_MM)
    for share in WIDER:
        said = [node.text or "" for node in out.iter("text")]
        # words too long for the picture stand in lines
        if not crowded() and all(
            words in said or (" " in words and words in " ".join(said)) for words in wanted
        ):
            break
        out = drawn(WIDTH_MM * share)
    return out


class Pictures:
    """Draws what the steps refer to; every picture has names of its own for its clips."""

    def __init__(self, layouts: Mapping[str, PanelLayout], lines: LinesSheet, space: SpaceSheet) -> None:
        self._layouts = layouts
        self._space = space
        self._lines = lines
        self._count = 0

    def figure(self, picture: Picture) -> Element:
        """A picture with its words under it."""
        match picture:
            case PanelPicture():
                return self._panel(picture)
            case HosePicture():
                return self._hose(picture)
            case PlacePicture():
                return self._place(picture)

    def _panel(self, picture: PanelPicture) -> Element:
        layout = self._layouts[picture.panel]
        # where nothing is lit, those that are there already are what it is about
        wanted = {
            h.number
            for h in layout.holes
            if picture.name_all or h.number in picture.lit or (not picture.lit and h.status not in NEW)
        }

        def drawn(width_mm: float) -> Element:
            view = PhonePanel(
                layout,
                width_mm=width_mm,
                face=picture.face,
                lit=picture.lit,
                name_all=picture.name_all,
                headed=False,
            )
            return self.framed(view, view.words, self._middle(view))

        return _wide_enough(drawn, wanted)

    def _hose(self, picture: HosePicture) -> Element:
        spec = self._lines.hose(picture.hose).spec
        wanted = {capital(end_words(self._lines, end)) for end in (spec.from_, spec.to)}
        tight: list[bool] = []

        def drawn(width_mm: float) -> Element:
            view = HoseView(self._lines, width_mm=width_mm, view=picture.view, lit=picture.hose, headed=False)
            out = self.framed(view, f"{view.words}; picture only", "0.5")
            tight[:] = [view.crowded]
            return out

        return _wide_enough(drawn, wanted, lambda: any(tight))

    def _place(self, picture: PlacePicture) -> Element:
        wanted = {words for words, _at in picture.marks}

        def drawn(width_mm: float) -> Element:
            view = StandView(self._space, self._lines, picture, width_mm=width_mm, headed=False)
            return self.framed(view, f"{view.words}; picture only", "0.5")

        return _wide_enough(drawn, wanted)

    @staticmethod
    def _middle(view: PhonePanel) -> str:
        """How far across the lit holes lie, 0 to 1; nothing where none is."""
        places = view.lit_places()
        return f"{sum(x for x, _ in places) / len(places) / view.size[0]:.3f}" if places else ""

    def framed(self, drawn: Drawn, words: str, middle: str = "") -> Element:
        """Anything drawn, with its words under it; opened, it begins with its ``middle`` in sight."""
        box = el("div", self.svg(drawn, words), class_="picture")
        if middle:
            box.set("data-middle", middle)
        return el("figure", box, el("figcaption", words + "."))

    def svg(self, drawn: Drawn, words: str) -> Element:
        """The picture as an element; ``words`` stand for it where it is not seen."""
        self._count += 1
        pen = _FinePen(Path(), *drawn.size, title=words, subject=words)
        drawn.paint(pen)
        # its own size: no smaller than its letters can be read
        return inline_svg(pen.drawn(), f"p{self._count}-", words, PX_PER_MM)
