"""A sheet that lies on the bench beside the work: frame, head, what the page is for, cautions at the foot.

The setup sheet, the inspection sheet and the overview of a nest are such sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from generators.drawing.metal import metal_words
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import MEDIUM, THICK, Pen, fit_text, text_width, wrap_text
from generators.drawing.paper.title_block import MIRRORED
from generators.drawing.paper.waived import MARK, WaivedList, waived_list
from generators.figures import format_length
from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.model.words import CAUTIONS as LEGAL
from generators.standards import paper as paper_row
from generators.units import UnitSystem

MARGIN_MM, PAD_MM = 10.0, 2.0
LOUD, PLAIN, SMALL = 4.4, 3.0, 2.5
LINE = 1.36
TITLE_MM, JOB_MM, NAMED_MM = 6.0, 11.5, 17.0
"""Baselines of the head, below the frame's upper side."""

BELOW_MM, MARK_ROW_MM = 3.0, 5.0
ASKED_ROW_MM, APART_MM = 4.5, 6.0
RISE_MM = 0.6
"""How far a line of small text stands above the lower side of its row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSheet:
    """What every page says alike; lengths in mm.

    ``named`` is a line of the head by itself, if any; ``asked`` is who answers questions, in words, beside
    it or below; ``date`` is the job's, if it has one; ``cautions`` are those of this work, before the one
    that stands on every sheet; ``leaf`` is what a page is called where it is counted.
    """

    title: str
    named: str = ""
    asked: str = ""
    date: str = ""
    cautions: tuple[str, ...]
    leaf: str = "sheet"
    job_title: str
    revision: str
    waived: tuple[Waived, ...]
    units: UnitSystem
    width: float
    height: float

    @property
    def inner(self) -> float:
        """Width inside the frame."""
        return self.width - 2 * MARGIN_MM

    @property
    def room(self) -> float:
        """Width that text has inside the frame."""
        return self.inner - 2 * PAD_MM

    @property
    def head_mm(self) -> float:
        """Height of the head."""
        lowest = NAMED_MM if self.named else JOB_MM
        lowest += 0.0 if self._asked_beside else ASKED_ROW_MM
        return lowest + BELOW_MM + (MARK_ROW_MM if self.waived else 0.0)

    @property
    def foot_mm(self) -> float:
        """Height of the foot."""
        return self._rows_mm(self._foot_texts, bold=True) + 2 * PAD_MM

    @property
    def free_mm(self) -> float:
        """Height between head and foot."""
        return self.height - 2 * MARGIN_MM - self.head_mm - self.foot_mm

    @property
    def _asked_beside(self) -> bool:
        """Whether who is asked stands at the right of the name's line, or needs one of its own."""
        named = text_width(self.named, PLAIN, bold=True)
        return not self.asked or named + APART_MM + text_width(self.asked, SMALL) <= self.room

    @property
    def _foot_texts(self) -> tuple[str, ...]:
        return (*self.cautions, LEGAL[0])

    @property
    def _waivers(self) -> WaivedList | None:
        return waived_list(self.waived, self.room) if self.waived else None

    def facts_mm(self, texts: Sequence[str]) -> float:
        """Height of ``facts``."""
        waivers = self._waivers
        listed = waivers.size()[1] + PAD_MM if waivers is not None else 0.0
        return self._rows_mm(texts) + 2 * PAD_MM + listed

    @contextmanager
    def page(self, pen: PdfPen, number: int, pages: int, title: str = "") -> Iterator[tuple[float, float]]:
        """A new page with its head and, once its content is drawn, foot and frame.

        Gives the upper and the lower side of what is free between them.
        """
        pen.page(self.width, self.height)
        foot = MARGIN_MM + self.foot_mm
        yield self._head(pen, number, pages, title or self.title), foot
        self.rule(pen, foot)
        self._small(pen, self._foot_texts, foot, bold=True)
        # last, over whatever shades its inner half
        pen.stroke(THICK)
        pen.rect(MARGIN_MM, MARGIN_MM, self.inner, self.height - 2 * MARGIN_MM)

    def facts(self, pen: Pen, texts: Sequence[str], top: float) -> float:
        """Paragraphs under the head of the first page, then the waived rules; returns their lower side."""
        self._small(pen, texts, top)
        low = top - self.facts_mm(texts)
        waivers = self._waivers
        if waivers is not None:
            waivers.draw(pen, MARGIN_MM + PAD_MM, low + PAD_MM + waivers.size()[1])
        return low

    def rule(self, pen: Pen, y: float) -> None:
        """A line from side to side of the frame."""
        pen.stroke(MEDIUM)
        pen.line(MARGIN_MM, y, self.width - MARGIN_MM, y)

    def _head(self, pen: Pen, number: int, pages: int, title: str) -> float:
        top, x, right = self.height - MARGIN_MM, MARGIN_MM + PAD_MM, self.width - MARGIN_MM - PAD_MM
        count = f"{self.leaf} {number} of {pages}"
        pen.text(x, top - TITLE_MM, title, LOUD, bold=True)
        stamp = f"revision {self.revision}" + (f", {self.date}" if self.date else "")
        pen.text(right, top - TITLE_MM, stamp, PLAIN, bold=True, align="right")
        beside = self.room - text_width(count, PLAIN) - 4
        pen.text(x, top - JOB_MM, fit_text(self.job_title, PLAIN, beside), PLAIN)
        if self.named:
            pen.text(x, top - NAMED_MM, fit_text(self.named, PLAIN, self.room, bold=True), PLAIN, bold=True)
        if self.asked and self._asked_beside:
            pen.text(right, top - NAMED_MM, self.asked, SMALL, align="right")
        elif self.asked:
            size = SMALL * min(1.0, self.room / text_width(self.asked, SMALL))
            pen.text(x, top - NAMED_MM - ASKED_ROW_MM, self.asked, size)
        pen.text(right, top - JOB_MM, count, PLAIN, align="right")
        low = top - self.head_mm
        if self.waived:
            pen.text(x, low + 2.0, MARK, PLAIN, bold=True)
        self.rule(pen, low)
        return low

    def _rows_mm(self, texts: Sequence[str], *, bold: bool = False) -> float:
        return sum(len(wrap_text(text, SMALL, self.room, bold=bold)) for text in texts) * SMALL * LINE

    def _small(self, pen: Pen, texts: Sequence[str], top: float, *, bold: bool = False) -> None:
        first = top - PAD_MM - SMALL * LINE + RISE_MM
        paragraphs(pen, texts, (MARGIN_MM + PAD_MM, first), self.room, SMALL, bold=bold)


def paragraphs(
    pen: Pen,
    texts: Sequence[str],
    at: tuple[float, float],
    room: float,
    size: float,
    *,
    bold: bool = False,
    gap: float = 0.0,
) -> float:
    """Wrapped texts, the first baseline at ``at``, ``gap`` after each; returns where the next baseline is."""
    x, y = at
    for text in texts:
        for line in wrap_text(text, size, room, bold=bold):
            pen.text(x, y, line, size, bold=bold)
            y -= size * LINE
        y -= gap
    return y


def page_size(paper: str, *, lying: bool = False) -> tuple[float, float]:
    """Width and height of a page, mm. Raises ``LookupFault`` for unknown paper."""
    row = paper_row(paper)
    short, long = sorted((row.width_mm, row.height_mm))
    return (long, short) if lying else (short, long)


def part_words(plan: PartPlan, units: UnitSystem) -> str:
    """``5052-H32, ASTM B209, 4 mm; quantity 2``: what a part is made of, and which hand it is."""
    hand = f"; {MIRRORED}" if plan.mirrored else ""
    thick = format_length(plan.thickness_mm, units)
    return f"{metal_words(plan)}, {thick}; quantity {plan.quantity}{hand}"
