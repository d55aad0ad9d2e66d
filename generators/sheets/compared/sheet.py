"""The sheet itself: what differs, panel by panel, part by part, and what may still be used."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generators.model.plan import PanelLayout
from generators.model.words import CAUTIONS
from generators.sheets.compared.view import ChangedView
from generators.sheets.document import (
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    table,
    together,
    write_document,
)
from generators.solve.comparing.holes import HoleChange

CAUTION = (
    "This sheet tells what differs. Drill, cut and make up from the sheets of one revision only, never from "
    "two."
)
HOLES = ("hole", "for", "from", "to", "far", "what")
HOLE_SHARES = (0.08, 0.2, 0.2, 0.2, 0.1, 0.22)
THINGS = ("what", "title", "then")
THING_SHARES = (0.1, 0.3, 0.6)
NUMBERS = ("pedal", "number", "before", "after")
NUMBER_SHARES = (0.14, 0.42, 0.22, 0.22)
GHOSTS = (
    "Filled circles are holes that differ, as they are now; broken ones without a number or letter are where "
    "they were. An arrow leads from one to the other, a cross is a hole that is gone."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedSheet:
    """What the sheet says, in words but for the panels, which are as they are after.

    ``holes`` are rows under ``HOLES`` by panel; ``things`` under ``THINGS``, ``numbers`` under ``NUMBERS``.
    """

    title: str
    states: tuple[str, ...]
    remarks: tuple[str, ...]
    panels: tuple[tuple[PanelLayout, tuple[HoleChange, ...], tuple[tuple[str, ...], ...]], ...]
    things: tuple[tuple[str, ...], ...]
    numbers: tuple[tuple[str, ...], ...]
    won: tuple[str, ...]
    lost: tuple[str, ...]
    usable: tuple[str, ...]


def sheet_words(sheet: ComparedSheet) -> tuple[str, ...]:
    """What a reader must find on the finished sheet."""
    cells = [cell for _, _, rows in sheet.panels for row in rows for cell in row]
    cells += [cell for row in (*sheet.things, *sheet.numbers) for cell in row]
    said = (*sheet.states, *sheet.remarks, *cells, *sheet.won, *sheet.lost, *sheet.usable)
    return tuple(dict.fromkeys(" ".join(word.split()) for word in said if word.strip()))


def write_compared(path: Path, *, sheet: ComparedSheet, subject: str, revision: str, paper: str) -> None:
    """Write the sheet. Raises ``OSError``."""
    width = body_width(paper)
    story: list[Any] = [paragraph(sheet.title, TITLE), gap(2), boxed([*CAUTIONS, CAUTION], width), gap(2)]
    story += [paragraph(line) for line in (*sheet.states, *sheet.remarks)]
    story += heading("May still be used")
    story += [paragraph(line) for line in sheet.usable or ("nothing of it",)]
    for number, (layout, changes, rows) in enumerate(sheet.panels):
        story += heading(f"Holes of the {layout.title.lower()}", 90.0)
        if number == 0:
            story.append(paragraph(GHOSTS))
        story.append(together([ChangedView(layout, changes, width_mm=width)]))
        story.append(table(HOLES, rows, _widths(HOLE_SHARES, width)))
    if sheet.things:
        story += heading("Parts, hoses and lines")
        story.append(table(THINGS, sheet.things, _widths(THING_SHARES, width)))
    if sheet.numbers:
        story += heading("Hydraulics")
        story.append(table(NUMBERS, sheet.numbers, _widths(NUMBER_SHARES, width)))
    for head, lines in (("New findings", sheet.won), ("Findings gone", sheet.lost)):
        if lines:
            story += heading(head)
            story += [paragraph(line) for line in lines]
    write_document(
        path, story, title=f"{subject}: {sheet.title}", subject=subject, revision=revision, paper=paper
    )


def _widths(shares: Sequence[float], width: float) -> list[float]:
    return [width * share for share in shares]
