"""A flowing document of paragraphs, tables and pictures, with the job's head and foot on each page."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any, Self
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageTemplate,
    Spacer,
    Table,
    TableStyle,
)
from reportlab.platypus import Paragraph as Flowing

from generators.drawing.paper.pdf_pen import CANVAS, PdfPen, label_document
from generators.drawing.paper.pen import BOLD, REGULAR, Pen, text_width
from generators.drawing.paper.sizes import PaperChoice, paper_choice, paper_choices
from generators.drawing.paper.waived import LEAD, MARK, grouped
from generators.drawing.paper.waived import TITLE as WAIVED_TITLE
from generators.drawing.pieces import put
from generators.model.findings import Waived
from generators.model.words import CAUTIONS

MARGIN, HEAD, FOOT = 14.0, 12.0, 18.0
MARK_MM, MARK_UP = 4.0, 0.6  # capitals end 3.5 mm above the margin, so 10.5 mm off the edge
BODY = ParagraphStyle("body", fontName=REGULAR, fontSize=9.5, leading=12.5, spaceAfter=3)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=8, leading=10, spaceAfter=0)
SMALL_BOLD = ParagraphStyle("small bold", parent=SMALL, fontName=BOLD)
TITLE = ParagraphStyle("title", parent=BODY, fontName=BOLD, fontSize=18, leading=22, spaceAfter=4)
HEADING = ParagraphStyle(
    "heading", parent=BODY, fontName=BOLD, fontSize=12.5, leading=16, spaceBefore=9, spaceAfter=3
)
STEP = ParagraphStyle(
    "step", parent=BODY, leftIndent=9 * mm, firstLineIndent=-9 * mm, spaceBefore=2, spaceAfter=4
)
WARNING = ParagraphStyle("warning", parent=BODY, fontName=BOLD, spaceAfter=2)
GRID = TableStyle(
    [
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.25, colors.grey),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ]
)


class Paragraph(Flowing):
    """A paragraph that is broken into lines once for each width: a table asks three times and more."""

    _asked: float | None = None
    _broken: Any = None

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803 - reportlab's
        """Width and height in points in a column of that width."""
        if self._asked != availWidth or self._broken is not getattr(self, "blPara", None):
            super().wrap(availWidth, availHeight)
            self._asked, self._broken = availWidth, self.blPara  # type: ignore[attr-defined]  # not in the stub
        return self.width, self.height


class Picture(Flowable, ABC):
    """A drawing made with a ``Pen`` in a box of the text's width; subclasses draw in ``paint``.

    What it is built with is all it draws from, plain data that nobody changes: so one that was built with the
    same is drawn once (``drawing.pieces``). One that takes little of much calls ``told_by_itself``.
    """

    made_of: partial[Any]

    def __new__(cls, *args: Any, **given: Any) -> Self:
        """Keep what it is built with."""
        made = super().__new__(cls)
        made.made_of = partial(cls, *map(_plain, args), **{name: _plain(one) for name, one in given.items()})
        return made

    def __init__(self, width_mm: float, height_mm: float) -> None:
        super().__init__()
        self.width, self.height = width_mm * mm, height_mm * mm
        self.size = (width_mm, height_mm)

    def told_by_itself(self) -> None:
        """Called last when it is built: it draws from what it holds now, not from all it was built with.

        So a change to the rest leaves it as it is. What it holds must be plain data.
        """
        held = {name: _plain(one) for name, one in vars(self).items() if name != "made_of"}
        self.made_of = partial(type(self), **held)

    def draw(self) -> None:
        """Called by the layout engine with the origin at the box's lower left."""
        if not getattr(self.canv, "counted", False):
            put(PdfPen.over(self.canv, *self.size), self.made_of, self._painted)

    def _painted(self, pen: PdfPen) -> tuple[str, ...]:
        pen.width, pen.height = self.size
        self.paint(pen)
        return ()

    @abstractmethod
    def paint(self, pen: Pen) -> None:
        """Draw; the box is ``self.size`` mm."""


def _plain(given: Any) -> Any:
    """What a picture within another is built with, in its place."""
    return given.made_of if isinstance(given, Picture) else given


Finish = Callable[[Any, int, int], None]
"""What is drawn on a page once its number and the number of pages are known."""


class HeldCanvas(Canvas):
    """Holds its pages back until all are there: then their order is settled, and they are numbered.

    ``page_finish`` is for the pages that are begun from now on.
    """

    page_finish: Finish | None = None
    counted = False
    """True where only the pages are counted: then pictures are not drawn."""

    def __init__(self, path: Path) -> None:
        super().__init__(str(path), **CANVAS)
        self._held: list[tuple[dict[str, Any], Finish | None]] = []

    @property
    def count(self) -> int:
        """Pages so far."""
        return len(self._held)

    def showPage(self) -> None:  # noqa: N802 - reportlab's name
        """Hold the page that was begun."""
        self._held.append((dict(self.__dict__), self.page_finish))
        self._startPage()  # type: ignore[attr-defined]  # not in the stub

    def take_back(self, first: int) -> None:
        """Throw away the pages from index ``first`` on: others are drawn instead of them."""
        self._pageNumber = self._held[first][0]["_pageNumber"]
        del self._held[first:]

    def write(self, first: int = 0) -> None:
        """Finish every page and write the file; those from index ``first`` on come before the others."""
        pages = [*self._held[first:], *self._held[:first]]
        for number, (state, finish) in enumerate(pages, 1):
            self.__dict__.update(state)
            if finish is not None:
                finish(self, number, len(pages))
            Canvas.showPage(self)
        # what is left is the page begun last, with nothing on it
        self._doc.SaveToFile(self._filename, self)  # type: ignore[attr-defined]  # as above


def drawn_size(paper: PaperChoice) -> tuple[float, float]:
    """Width and height of what is drawn on of a cut sheet, mm."""
    width, height = paper.drawn_mm
    return width, height or 0.0


def body_width(paper: PaperChoice | str) -> float:
    """Width of the text on that paper, mm."""
    return drawn_size(paper_choice(paper) if isinstance(paper, str) else paper)[0] - 2 * MARGIN


def body_height(paper: PaperChoice | str) -> float:
    """Height of the text on that paper, mm."""
    height = drawn_size(paper_choice(paper) if isinstance(paper, str) else paper)[1]
    return height - 2 * MARGIN - HEAD - FOOT + 8


def write_document(
    path: Path,
    story: Sequence[Any],
    *,
    title: str,
    subject: str,
    revision: str,
    paper: str,
    waived: Sequence[Waived] = (),
    mark: str = "",
) -> None:
    """Lay the story out on A4, A3, letter or tabloid pages and write the PDF; ``mark`` heads each."""
    canvas = HeldCanvas(path)
    label_document(canvas, title=title, subject=subject)
    (choice,) = paper_choices(paper)
    flow(canvas, story, choice, subject=subject, revision=revision, waived=waived, mark=mark)
    canvas.write()


def flow(
    canvas: HeldCanvas,
    story: Sequence[Any],
    paper: PaperChoice,
    *,
    subject: str,
    revision: str,
    waived: Sequence[Waived] = (),
    of: str = "",
    mark: str = "",
) -> float:
    """Lay a story out on further pages of a canvas, with head and foot on each.

    They are counted in ``of``, if not in the file. ``mark`` heads each, where nothing is waived. Returns how
    much of the last page's height is used.
    """
    sheet_w, sheet_h = paper.width_mm, paper.height_mm or 0.0
    width, height = drawn_size(paper)
    left, low = (sheet_w - width) / 2, (sheet_h - height) / 2

    def furniture(on: Any, page: int, count: int) -> None:
        on.saveState()
        on.translate(left * mm, low * mm)
        pen = PdfPen.over(on, width, height)
        top = height - MARGIN
        pen.stroke(0.35)
        pen.line(MARGIN, top - 6, width - MARGIN, top - 6)
        said = f"revision {revision}   page {page} of {count}{of}"
        room, wide = width - 2 * MARGIN - text_width(said, 3.0) - 3, text_width(subject, 3.2, bold=True)
        pen.text(MARGIN, top - 4, subject, 3.2 * min(1.0, room / max(wide, 1e-6)), bold=True)
        pen.text(width - MARGIN, top - 4, said, 3.0, align="right")
        pen.line(MARGIN, MARGIN + 9, width - MARGIN, MARGIN + 9)
        for i, line in enumerate(CAUTIONS):
            pen.text(MARGIN, MARGIN + 5 - 4 * i, line, 2.6)
        if waived or mark:
            words = MARK if waived else mark
            pen.text(width / 2, height - MARGIN + MARK_UP, words, MARK_MM, bold=True, align="centre")
        on.restoreState()

    canvas.page_finish = furniture
    canvas.setPageSize((sheet_w * mm, sheet_h * mm))
    document = BaseDocTemplate("", pagesize=(sheet_w * mm, sheet_h * mm), initialFontName=REGULAR)
    document._doSave = 0  # type: ignore[attr-defined]  # the canvas is written when all its pages are there
    info = canvas._doc.info  # type: ignore[attr-defined]  # not in the stub
    kept = dict(vars(info))
    frame = Frame(
        (left + MARGIN) * mm,
        (low + MARGIN + FOOT - 6) * mm,
        (width - 2 * MARGIN) * mm,
        (height - 2 * MARGIN - HEAD - FOOT + 8) * mm,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    document.addPageTemplates([PageTemplate(id="page", frames=[frame])])
    document.build(list(story), canvasmaker=lambda *_, **__: canvas)
    vars(info).update(kept)
    canvas.page_finish = None
    left_over: float = frame._y - frame._y1p  # type: ignore[attr-defined]  # as above
    return float(1 - left_over / frame._aH)  # type: ignore[attr-defined]


def pages_of(story: Sequence[Any], paper: PaperChoice) -> float:
    """How many pages a story takes on that paper, the last one by what is used of it; writes nothing."""
    canvas = HeldCanvas(Path())
    canvas.counted = True
    used = flow(canvas, story, paper, subject="", revision="")
    return canvas.count - 1 + used


def waived_story(waived: Sequence[Waived], width: float) -> list[Any]:
    """What was waived and why, in a table of its own; nothing where nothing was."""
    if not waived:
        return []
    rows = [(codes, reason) for codes, reason in grouped(waived)]
    return [
        *heading(WAIVED_TITLE),
        paragraph(LEAD),
        table(("rule", "reason"), rows, (width * 0.4, width * 0.6)),
    ]


def paragraph(text: str, style: ParagraphStyle = BODY) -> Paragraph:
    """A paragraph of plain text; nothing in it is markup."""
    return Paragraph(escape(text), style)


def heading(text: str, room_mm: float = 30.0) -> Any:
    """A heading that does not stand alone at the foot of a page: ``room_mm`` with it, or the next page."""
    return [CondPageBreak(room_mm * mm), Paragraph(escape(text), HEADING)]


def step(number: int, text: str, bold: str = "") -> Paragraph:
    """A numbered step of work with a tick box."""
    # a box to tick, from one of the fonts every PDF reader has
    lead = f"<font name='ZapfDingbats'>&#x274F;</font>&nbsp;<b>{number}.</b>&nbsp;&nbsp;"
    strong = f"<b>{escape(bold)}</b> " if bold else ""
    # a long step says its own order line by line
    return Paragraph(f"{lead}{strong}{escape(text).replace(chr(10), '<br/>')}", STEP)


LONG, WHOLE_ROW_MM = 300, 100.0
"""Letters of a cell that may be high, and how high a row is that stays whole. Ours."""


def table(columns: Sequence[str], rows: Sequence[Sequence[str]], widths_mm: Sequence[float]) -> Table:
    """A ruled table whose head repeats on each page; cells wrap. No page begins with its last row alone."""
    body = [[Paragraph(escape(c), SMALL_BOLD) for c in columns]]
    body += [[Paragraph(escape(str(c)), SMALL) for c in row] for row in rows]
    return ruled(body, widths_mm)


def ruled(body: Sequence[list[Any]], widths_mm: Sequence[float], *, last_two: bool = True) -> Table:
    """A table of its cells, the first row its head; ``last_two`` rows stay together.

    A row that may be as high as a page goes on where the next one begins.
    """
    widths = [w * mm for w in widths_mm]
    high = any(
        len(cell.getPlainText()) > LONG and cell.wrap(wide, 1e6)[1] > WHOLE_ROW_MM * mm
        for row in body
        for cell, wide in zip(row, widths, strict=True)
    )
    kept = last_two and not high and len(body) > 3
    return Table(
        body,
        colWidths=widths,
        repeatRows=1,
        style=TableStyle([("NOSPLIT", (0, -2), (-1, -1))], parent=GRID) if kept else GRID,
        hAlign="LEFT",
        splitInRow=1 if high else 0,
    )


def side_by_side(left: Any, right: Any, widths_mm: tuple[float, float]) -> Table:
    """Two things in a row, tops level."""
    style = TableStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 0),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
        ]
    )
    return Table([[left, right]], colWidths=[w * mm for w in widths_mm], style=style, hAlign="LEFT")


def tall_mm(items: Sequence[Any], width_mm: float) -> float:
    """How high things stand one below the other, mm, in a column so wide."""
    high = 0.0
    for item in items:
        high += float(item.wrap(width_mm * mm, 1e6)[1] + item.getSpaceBefore() + item.getSpaceAfter())
    return high / mm


def boxed(lines: Sequence[str], width_mm: float) -> Table:
    """Warnings in a frame."""
    style = TableStyle([("BOX", (0, 0), (-1, -1), 1.2, colors.black)])
    return Table([[[paragraph(line, WARNING) for line in lines]]], colWidths=[width_mm * mm], style=style)


def together(items: Sequence[Any]) -> Any:
    """Items that stay on one page."""
    return KeepTogether(list(items))


def gap(height_mm: float) -> Spacer:
    """White space."""
    return Spacer(1, height_mm * mm)
