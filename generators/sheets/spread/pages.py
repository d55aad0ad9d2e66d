"""The page of a spread: one figure, which step fails, which inputs matter, and what would lift it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THIN, WHITE, Pen, text_width
from generators.sheets.document import (
    SMALL,
    TITLE,
    Picture,
    body_width,
    gap,
    heading,
    paragraph,
    table,
    together,
    write_document,
)
from generators.sheets.plots import BAR

CAUTION = (
    "A chance is a sum of guesses until vehicles were measured. It says what to change; it does not say that "
    "the next kit fits, and it replaces no trial fit."
)
ROW_MM, BAR_MM, TEXT_MM = 4.6, 3.0, 2.6
NAME_SHARE = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A row of bars: its name, a value from 0 to 1 with its interval, and what is written after it.

    ``light`` is a second value, drawn behind: the total index behind the first-order one.
    """

    name: str
    value: float
    low: float
    high: float
    said: str
    light: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadSheet:
    """What the page says."""

    title: str
    figure: str
    lines: tuple[str, ...]
    steps: tuple[Bar, ...]
    inputs: tuple[Bar, ...]
    changes: tuple[Bar, ...]
    idle: str
    changed: tuple[tuple[str, ...], ...]


def sheet_words(sheet: SpreadSheet) -> tuple[str, ...]:
    """What a reader must find on the finished page."""
    bars = [bar for bars in (sheet.steps, sheet.inputs, sheet.changes) for bar in bars]
    cells = [cell for row in sheet.changed for cell in row]
    said = (sheet.figure, *sheet.lines, sheet.idle, *(b.said for b in bars), *cells)
    return tuple(dict.fromkeys(" ".join(word.split()) for word in said if word.strip()))


class Bars(Picture):
    """Named bars under each other, each from 0 to ``most``, with its interval as a line."""

    def __init__(self, bars: Sequence[Bar], *, width_mm: float, most: float = 1.0) -> None:
        super().__init__(width_mm, ROW_MM * len(bars) + 2)
        self._bars, self._most = tuple(bars), most

    def paint(self, pen: Pen) -> None:
        """Draw them."""
        left = self.size[0] * NAME_SHARE
        room = self.size[0] - left - 34
        for k, bar in enumerate(self._bars):
            low = self.size[1] - ROW_MM * (k + 1)
            pen.text(0, low + 0.9, _cut(bar.name, left - 3), TEXT_MM)
            pen.stroke(THIN, GREY)
            if bar.light is not None:
                pen.rect(left, low, room * self._share(bar.light), BAR_MM, fill=WHITE)
            pen.rect(left, low, max(room * self._share(bar.value), 0.2), BAR_MM, fill=BAR)
            pen.stroke(MEDIUM, BLACK)
            ends = left + room * self._share(bar.low), left + room * self._share(bar.high)
            pen.line(ends[0], low + BAR_MM / 2, ends[1], low + BAR_MM / 2)
            after = left + room * max(self._share(v) for v in (bar.value, bar.high, bar.light or 0.0))
            pen.text(after + 1.5, low + 0.7, bar.said, TEXT_MM)

    def _share(self, value: float) -> float:
        return min(max(value / self._most, 0.0), 1.0)


def _cut(text: str, room_mm: float) -> str:
    """The text, with dots for what has no room."""
    if text_width(text, TEXT_MM) <= room_mm:
        return text
    while text and text_width(f"{text}…", TEXT_MM) > room_mm:
        text = text[:-1]
    return f"{text.rstrip()}…"


def write_spread(path: Path, *, sheet: SpreadSheet, subject: str, revision: str, paper: str) -> None:
    """Write the page. Raises ``OSError``."""
    width = body_width(paper)
    story: list[Any] = [paragraph(sheet.title, TITLE), *heading(sheet.figure)]
    story += [paragraph(line) for line in sheet.lines]
    for name, said, bars in (
        ("What fails, and how often", "Of all installs; the line is the 95 % interval.", sheet.steps),
        (
            "Which inputs matter",
            "Grey: what goes with that input alone, of the spread of the least room left. White: with all it "
            "acts together with.",
            sheet.inputs,
        ),
        ("The change to make", "Each with those above it; tried by solving the job again.", sheet.changes),
    ):
        if bars:
            most = max(0.05, *(max(b.high, b.light or 0.0) for b in bars)) if bars is sheet.steps else 1.0
            story.append(
                together([*heading(name), paragraph(said), Bars(bars, width_mm=width, most=most), gap(1)])
            )
        if bars is sheet.inputs and sheet.idle:
            story.append(paragraph(sheet.idle, SMALL))
    if sheet.changed:
        story += heading("Changes tried")
        story.append(
            table(
                ("change", "goes together", "cost", "it brings"),
                sheet.changed,
                (width * 0.4, width * 0.24, width * 0.22, width * 0.14),
            )
        )
    story += [gap(1), paragraph(CAUTION, SMALL)]
    write_document(
        path, story, title=f"{subject}: {sheet.title}", subject=subject, revision=revision, paper=paper
    )
