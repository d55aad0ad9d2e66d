"""The sheet of what is done again when something was fixed in the wrong place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.figures import format_limits, format_opening
from generators.model.hole_work import work_words
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import CAUTIONS
from generators.sheets.document import (
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    step,
    table,
    write_document,
)

HOSE_HEADS = ("hose", "along its path", "made up, seat to seat", "slack")
HOLE_HEADS = ("hole", "for", "when and how", "with", "final", "may be", "measured")
HOSE_SHARES = (0.4, 0.2, 0.25, 0.15)
HOLE_SHARES = (0.06, 0.18, 0.24, 0.12, 0.13, 0.11, 0.16)


@dataclass(frozen=True, slots=True, kw_only=True)
class Redone:
    """What the sheet says. ``wrong`` tells what sits where it should not; ``steps`` are done one by one.

    ``hoses`` are rows under ``HOSE_HEADS``; ``holes`` are holes to make or to close, each with its panel;
    ``others`` are the other ways that clear it, in words.
    """

    title: str
    cautions: tuple[str, ...]
    wrong: tuple[str, ...]
    steps: tuple[str, ...]
    hoses: tuple[tuple[str, ...], ...] = ()
    holes: tuple[tuple[PanelLayout, tuple[PanelHole, ...]], ...] = ()
    others: tuple[str, ...] = ()


def redo_words(redo: Redone) -> tuple[str, ...]:
    """What a reader must find on the finished sheet."""
    return (*redo.wrong, *redo.steps, *(cell for row in redo.hoses for cell in row), *redo.others)


def write_redo(path: Path, *, redo: Redone, subject: str, revision: str, paper: str) -> None:
    """Write the sheet. Raises ``OSError``."""
    width = body_width(paper)
    story = [paragraph(redo.title, TITLE), gap(2), boxed([*CAUTIONS, *redo.cautions], width), gap(2)]
    story += heading("As it is now")
    story += [paragraph(line) for line in redo.wrong]
    story += heading("To do, in this order")
    story += [step(number, words) for number, words in enumerate(redo.steps, 1)]
    for layout, holes in redo.holes:
        story += heading(f"Holes of the {layout.title.lower()}")
        story.append(table(HOLE_HEADS, [_row(layout, h) for h in holes], _widths(HOLE_SHARES, width)))
    if redo.hoses:
        story += heading("Hoses and lines as they then are")
        story.append(table(HOSE_HEADS, redo.hoses, _widths(HOSE_SHARES, width)))
    if redo.others:
        story += heading("What would do as well")
        story += [paragraph(line) for line in redo.others]
    write_document(
        path, story, title=f"{subject}: {redo.title}", subject=subject, revision=revision, paper=paper
    )


def _widths(shares: Sequence[float], width: float) -> list[float]:
    return [width * share for share in shares]


def _row(layout: PanelLayout, hole: PanelHole) -> tuple[str, ...]:
    return (
        hole.number,
        hole.purpose,
        work_words(hole, layout.units),
        hole.tool or "–",
        format_opening(hole.final_dia_mm, layout.units),
        format_limits(hole.least_mm, hole.most_mm, layout.units) or "–",
        hole.position_note or "–",
    )
