"""The sheet of a sweep: every wish against every key, wishes against each other, and the best rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THIN, WHITE, Pen
from generators.model.words import CAUTIONS
from generators.sheets.document import (
    TITLE,
    Picture,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    table,
    together,
    write_document,
)
from generators.sheets.plots import BAND, Plot, draw_axes, draw_curve, span_of

Array = NDArray[np.float64]
CAUTION = (
    "Rows are estimates of rules and sizes. Make, check and prove the one that is chosen; a row that fails a "
    "rule is none to choose."
)
POINTS = (
    "Each mark is a row: full where no rule fails, open where one does, ringed on the front of the best. The "
    "line is the middle of each group of rows of one value; the share beside it tells how much of the spread "
    "goes with that key alone, from 0 to 1."
)
MARK_MM, RING_MM = 1.1, 2.4
ACROSS = 3
TALL_MM = 48.0
ROW_MM = 11.0
LABEL_MM = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One small plot. ``words`` name the places of a key of words; ``line`` is drawn through groups."""

    x_label: str
    y_label: str
    xs: Array
    ys: Array
    words: tuple[str, ...] = ()
    line: tuple[Array, Array] | None = None
    said: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepSheet:
    """What the sheet says. ``good`` and ``best`` tell of each row if it fails no rule and is on the front.

    ``effects`` has a row of cells for each wish, one a key; ``wishes`` are wishes against each other;
    ``rows`` are the best, under ``heads``.
    """

    title: str
    lines: tuple[str, ...]
    effects: tuple[tuple[str, tuple[Cell, ...]], ...]
    wishes: tuple[Cell, ...]
    good: tuple[bool, ...]
    best: tuple[bool, ...]
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    faults: tuple[str, ...]


def sheet_words(sheet: SweepSheet) -> tuple[str, ...]:
    """What a reader must find on the finished sheet."""
    cells = [cell for row in sheet.rows for cell in row]
    shares = [cell.said for _, row in sheet.effects for cell in row if cell.said]
    said = (*sheet.lines, *cells, *shares, *sheet.faults)
    return tuple(dict.fromkeys(" ".join(word.split()) for word in said if word.strip()))


class Cells(Picture):
    """Small plots side by side."""

    def __init__(
        self, cells: Sequence[Cell], good: Sequence[bool], best: Sequence[bool], *, width_mm: float
    ) -> None:
        super().__init__(width_mm, TALL_MM)
        self._cells, self._good, self._best = tuple(cells), tuple(good), tuple(best)

    def paint(self, pen: Pen) -> None:
        """Draw each cell."""
        wide = self.size[0] / ACROSS
        for k, cell in enumerate(self._cells):
            self._cell(pen, cell, k * wide, wide)

    def _cell(self, pen: Pen, cell: Cell, left: float, wide: float) -> None:
        there = np.isfinite(cell.xs) & np.isfinite(cell.ys)
        pen.text(left + 2, self.size[1] - 3.2, cell.y_label, LABEL_MM, bold=True)
        if cell.said:
            pen.text(left + wide - 3, self.size[1] - 6.4, cell.said, LABEL_MM, align="right", grey=GREY)
        if not there.any():
            pen.text(left + 4, self.size[1] / 2, "no row has it", LABEL_MM)
            return
        xs, ys = cell.xs[there], cell.ys[there]
        plot = Plot(
            left=left + 11,
            bottom=11.0,
            width=wide - 16,
            height=self.size[1] - 20,
            x=span_of(float(xs.min()), float(xs.max()), 4),
            y=span_of(float(ys.min()), float(ys.max()), 5),
        )
        if cell.words:
            plot = Plot(
                left=plot.left,
                bottom=plot.bottom,
                width=plot.width,
                height=plot.height,
                x=span_of(-1.0, float(len(cell.words)), len(cell.words) + 1),
                y=plot.y,
            )
        draw_axes(pen, plot, numbers=not cell.words)
        pen.text(plot.left + plot.width / 2, 1.8, cell.x_label, LABEL_MM, align="centre")
        for place, word in enumerate(cell.words):
            pen.text(plot.at_x(float(place)), plot.bottom - 3.8, word, 2.0, align="centre")
        if cell.line is not None:
            draw_curve(pen, plot, *cell.line, width=0.5, grey=GREY)
        for x, y, good, best in zip(cell.xs, cell.ys, self._good, self._best, strict=True):
            if not (np.isfinite(x) and np.isfinite(y)):
                continue
            at = plot.at_x(float(x)), plot.at_y(float(y))
            if best:
                pen.stroke(MEDIUM, BLACK)
                pen.circle(*at, RING_MM, fill=BAND)
            pen.stroke(THIN, BLACK)
            pen.circle(*at, MARK_MM, fill=BLACK if good else WHITE)


def write_sweep(path: Path, *, sheet: SweepSheet, subject: str, revision: str, paper: str) -> None:
    """Write the sheet. Raises ``OSError``."""
    width = body_width(paper)
    story: list[Any] = [paragraph(sheet.title, TITLE), gap(2), boxed([*CAUTIONS, CAUTION], width), gap(2)]
    story += [paragraph(line) for line in sheet.lines]
    if sheet.rows:
        story += heading("The front of the best")
        wide = (width - ROW_MM) / (len(sheet.heads) - 1)
        story.append(table(sheet.heads, sheet.rows, [ROW_MM, *[wide] * (len(sheet.heads) - 1)]))
    for number, (name, cells) in enumerate(sheet.effects):
        story += heading(f"What each key does to {name}", 60.0)
        if number == 0:
            story.append(paragraph(POINTS))
        for start in range(0, len(cells), ACROSS):
            row = cells[start : start + ACROSS]
            story.append(together([Cells(row, sheet.good, sheet.best, width_mm=width)]))
    if sheet.wishes:
        story += heading("Wishes against each other", 60.0)
        for start in range(0, len(sheet.wishes), ACROSS):
            row = sheet.wishes[start : start + ACROSS]
            story.append(together([Cells(row, sheet.good, sheet.best, width_mm=width)]))
    if sheet.faults:
        story += heading("Rows that could not be solved")
        story += [paragraph(line) for line in sheet.faults]
    write_document(
        path, story, title=f"{subject}: {sheet.title}", subject=subject, revision=revision, paper=paper
    )
