"""The pictures of the steps, drawn by the pens of the paper for the width of a phone."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from generators.drawing.paper.pen import BLACK, MEDIUM
from generators.drawing.paper.svg_pen import SvgPen
from generators.drawing.pieces import Piece, kept
from generators.model.install import HosePicture, PanelPicture, Picture, PlacePicture
from generators.model.plan import PanelLayout
from generators.model.spec.titles import capital
from generators.model.words import NEW
from generators.sheets.document import Picture as Drawn
from generators.sheets.hose_views import HoseView
from generators.sheets.hose_words import LinesSheet, end_words
from generators.sheets.phone.elements import Element, el, element, inline_svg, markup
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

WIDTHS_MM = (WIDTH_MM, *(WIDTH_MM * share for share in WIDER))


View = TypeVar("View", bound=Drawn)


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


def _says_all(picture: Element, wanted: Collection[str]) -> bool:
    """True where all that is wanted stands in it; words too long for the picture stand in lines."""
    said = [node.text or "" for node in picture.iter("text")]
    return all(words in said or (" " in words and words in " ".join(said)) for words in wanted)


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

        views = [
            PhonePanel(
                layout,
                width_mm=width_mm,
                face=picture.face,
                lit=picture.lit,
                name_all=picture.name_all,
                headed=False,
            )
            for width_mm in WIDTHS_MM
        ]
        return self.framed(views, views[0].words, wanted, self._middle)

    def _hose(self, picture: HosePicture) -> Element:
        spec = self._lines.hose(picture.hose).spec
        wanted = {capital(end_words(self._lines, end)) for end in (spec.from_, spec.to)}
        views = [
            HoseView(self._lines, width_mm=width_mm, view=picture.view, lit=picture.hose, headed=False)
            for width_mm in WIDTHS_MM
        ]
        return self.framed(views, f"{views[0].words}; picture only", wanted, lambda _view: "0.5")

    def _place(self, picture: PlacePicture) -> Element:
        wanted = {words for words, _at in picture.marks}

        views = [
            StandView(self._space, self._lines, picture, width_mm=width_mm, headed=False)
            for width_mm in WIDTHS_MM
        ]
        return self.framed(views, f"{views[0].words}; picture only", wanted, lambda _view: "0.5")

    @staticmethod
    def _middle(view: PhonePanel) -> str:
        """How far across the lit holes lie, 0 to 1; nothing where none is."""
        places = view.lit_places()
        return f"{sum(x for x, _ in places) / len(places) / view.size[0]:.3f}" if places else ""

    def framed(
        self,
        views: Sequence[View],
        words: str,
        wanted: Collection[str] = (),
        middle: Callable[[View], str] = lambda _view: "",
    ) -> Element:
        """The narrowest of the views that says all that is wanted and is not crowded, or the last one.

        Its words stand under it; opened, it begins with its ``middle`` in sight.
        """
        told: Any = tuple(view.made_of for view in views)
        made_of = partial(_drawn, told, words, tuple(sorted(wanted)), self._count)
        piece = kept(made_of, partial(_drawn, views, words, wanted, self._count))
        tried = int(piece.said[0])
        self._count += tried
        box = el("div", element(piece.code), class_="picture")
        share = middle(views[tried - 1])
        if share:
            box.set("data-middle", share)
        return el("figure", box, el("figcaption", words + "."))


def _drawn(views: Sequence[Drawn], words: str, wanted: Collection[str], before: int) -> Piece:
    """The element of the view that is chosen, and how many were drawn, after those drawn ``before``."""
    tried = 0
    for view in views:
        tried += 1
        out = _svg(view, words, f"p{before + tried}-")
        if not getattr(view, "crowded", False) and _says_all(out, wanted):
            break
    return Piece(markup(out), (), (str(tried),))


def _svg(drawn: Drawn, words: str, own: str) -> Element:
    """The picture as an element; ``words`` stand for it where it is not seen."""
    pen = _FinePen(Path(), *drawn.size, title=words, subject=words)
    drawn.paint(pen)
    # its own size: no smaller than its letters can be read
    return inline_svg(pen.drawn(), own, words, PX_PER_MM)
