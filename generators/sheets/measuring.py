"""The list to take to the vehicle: what to measure, with what, room to write it down, and where it goes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Table, TableStyle

from generators.sheets.document import (
    GRID,
    SMALL,
    SMALL_BOLD,
    TITLE,
    body_width,
    boxed,
    gap,
    paragraph,
    together,
    write_document,
)

HEADS = ("no.", "measure", "with", "it is", "in the spec")
SHARES = (0.05, 0.29, 0.14, 0.24, 0.28)
BLANK = "__________________________"
LEAD = (
    "Write each number with its unit, as you read it: 38 mm, 1 1/2 in. Measure from edges and holes that are "
    "there, not from each other's marks; twice, and a third time where the two differ.",
    "Whoever types it in finds each number by the key at its right. The figures that stand in the spec until "
    "then are invented.",
)
CAUTIONS = (
    "Chock the wheels, switch off, disconnect the battery. Nothing hot, nothing under pressure, no jack "
    "alone under the vehicle. Brake fluid harms eyes and paint: gloves and glasses.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToMeasure:
    """One line of the list. ``thing`` heads it, ``key`` is where it goes and ``line`` which line that is.

    ``across`` numbers are written beside each other, in ``down`` rows.
    """

    thing: str
    what: str
    tool: str
    key: str
    line: int
    across: int = 1
    down: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuringList:
    """The list of one spec, ``file``; its lines by thing, in the order of the spec."""

    title: str
    file: str
    rows: tuple[ToMeasure, ...]


def list_words(measuring: MeasuringList) -> tuple[str, ...]:
    """What a reader must find on the finished list."""
    numbers = (f"{number}." for number in range(1, len(measuring.rows) + 1))
    lines = (f"line {row.line}:" for row in measuring.rows)
    return (*numbers, *lines, *sorted({row.tool for row in measuring.rows}), *LEAD, *CAUTIONS)


def write_measuring_list(path: Path, *, measuring: MeasuringList, revision: str, paper: str) -> None:
    """Write the list. Raises ``OSError``."""
    width = body_width(paper)
    story = [paragraph(measuring.title, TITLE), boxed(CAUTIONS, width), gap(2)]
    story += [paragraph(line) for line in LEAD]
    tools = sorted({row.tool for row in measuring.rows})
    story += [paragraph(f"At hand: {', '.join(tools)}; pencil, paper, a lamp."), gap(2)]
    story.append(_table(measuring.rows, [width * share for share in SHARES]))
    story += [gap(4), together([paragraph(f"Measured by {BLANK}{BLANK}   day {BLANK}")])]
    subject = f"Measuring list, {measuring.file}"
    write_document(path, story, title=measuring.title, subject=subject, revision=revision, paper=paper)


def _table(rows: Sequence[ToMeasure], widths_mm: Sequence[float]) -> Table:
    """All lines, those of one thing under its name; a name never stands alone at a page's foot."""
    body: list[list[Any]] = [[paragraph(head, SMALL_BOLD) for head in HEADS]]
    # room for a pencil
    style: list[Any] = [("TOPPADDING", (0, 1), (-1, -1), 4), ("BOTTOMPADDING", (0, 1), (-1, -1), 4)]
    number = 0
    for thing, own in groupby(rows, key=lambda row: row.thing):
        at = len(body)
        body.append([paragraph(thing, SMALL_BOLD)])
        style += [
            ("SPAN", (0, at), (-1, at)),
            ("NOSPLIT", (0, at), (-1, at + 1)),
            ("TOPPADDING", (0, at), (-1, at), 7),
        ]
        for row in own:
            number += 1
            blanks = [
                paragraph("   ".join([BLANK[: 26 // row.across]] * row.across), SMALL)
                for _ in range(row.down)
            ]
            place = f"line {row.line}: {row.key}"
            body.append(
                [
                    paragraph(f"{number}.", SMALL),
                    paragraph(row.what, SMALL),
                    paragraph(row.tool, SMALL),
                    blanks,
                    paragraph(place, SMALL),
                ]
            )
    return Table(
        body,
        colWidths=[w * mm for w in widths_mm],
        repeatRows=1,
        style=TableStyle(style, parent=GRID),
        hAlign="LEFT",
    )
