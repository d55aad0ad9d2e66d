"""The setup sheet: a strip of facts, then each step, its picture on the left and what to set beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.bending.setting import Machines
from generators.bending.steps import AnyStep
from generators.bending.steps import Sequence as Bends
from generators.drawing.bending.blank import LETTERED, draw_blank
from generators.drawing.bending.blank import TITLE as TITLE_OF_BLANK
from generators.drawing.bending.figures import shown
from generators.drawing.bending.instead import all_steps, instead_lines
from generators.drawing.bending.machine_words import tool_lines
from generators.drawing.bending.views.side_view import side_view
from generators.drawing.bending.words import cautions, head, lines, meant_lines, part_lines
from generators.drawing.paper.bench_sheet import (
    LINE,
    LOUD,
    MARGIN_MM,
    PAD_MM,
    PLAIN,
    SMALL,
    BenchSheet,
    page_size,
    paragraphs,
)
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import GREY, THIN, Pen, wrap_text
from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.model.spec.titles import questions
from generators.sheetmetal.joggle import joggles
from generators.units import UnitSystem

TITLE = "SETUP SHEET: BENDING"
NONE_FOUND = "NO ORDER OF BENDS WAS FOUND ON THIS BRAKE"
OFFSET_DIE = "OFFSET DIE: ask for one that makes these bends in one stroke:"
NOT_TRIED = "the order with it was not tried; find it before the sheet is cut. On other tools:"
STEP_MM, STEP_MOST_MM = 50.0, 100.0
"""Least height of a step, and what it is given of the room left over on its page."""

PICTURE = 0.46
"""Share of a step's width that its picture has."""

GAP_MM = 1.0
BLANK_MM, BLANK_MOST_MM = 40.0, 80.0
"""Height of the blank's picture: more where the first page has room left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet(BenchSheet):
    """The sheet of one part on the shop's machines."""

    plan: PartPlan
    bends: Bends
    instead: Bends | None
    machines: Machines

    @property
    def steps(self) -> tuple[AnyStep, ...]:
        """Steps of the order, then those on the brake instead."""
        return all_steps(self.bends, self.instead)

    @property
    def fact_texts(self) -> list[str]:
        """What stands under the head of the first page."""
        order = (
            [
                *tool_lines(self.steps, self.machines, self.plan, self.units),
                *instead_lines(self.bends, self.instead),
            ]
            if self.bends.found
            else self._refusals()
        )
        return [*part_lines(self.plan, self.machines, self.steps, self.units), *order]

    @property
    def blank_texts(self) -> list[str]:
        """What stands beside the picture of the blank: how words and pictures of the steps are meant."""
        return [LETTERED, *meant_lines(self.steps, self.machines)]

    def _refusals(self) -> Iterator[str]:
        """Why there is no order of bends, and what may help."""
        pairs = ", ".join(
            f"{shown(a)} and {shown(b)}"
            for a, b in joggles(self.plan, self.machines.opening_mm or 8 * self.plan.thickness_mm)
        )
        yield f"{OFFSET_DIE} {pairs}: {NOT_TRIED}" if pairs else NONE_FOUND
        for refusal in self.bends.refusals[:6]:
            done = f" after {', '.join(map(shown, refusal.done))}" if refusal.done else ""
            yield f"Bend {shown(refusal.bend)}{done}: {refusal.words}."


def write_setup_sheet(
    plan: PartPlan,
    path: Path,
    *,
    bends: Bends,
    machines: Machines,
    job_title: str,
    revision: str,
    paper: str = "A4",
    waived: Sequence[Waived] = (),
    units: UnitSystem = "metric",
    contact: str = "",
    date: str = "",
    instead: Bends | None = None,
) -> None:
    """Write the setup sheet of a part as a PDF, upright on ``paper``, ``units`` first.

    ``instead`` is the order on the brake alone of a part that is bent on the folder.
    Raises ``LookupFault`` for unknown paper, ``ExportError`` when the file cannot be written.
    """
    width, height = page_size(paper)
    sheet = _Sheet(
        title=TITLE,
        named=f"part {plan.name}: {plan.title}",
        asked=questions(contact),
        date=date,
        cautions=cautions(all_steps(bends, instead)),
        job_title=job_title,
        revision=revision,
        waived=tuple(waived),
        units=units,
        width=width,
        height=height,
        plan=plan,
        bends=bends,
        instead=instead,
        machines=machines,
    )
    pen = PdfPen(path, title=f"{job_title}: {plan.title}, bending", subject=f"part {plan.name} {revision}")
    pages = _shared(sheet)
    for number, (first, steps) in enumerate(pages, 1):
        with sheet.page(pen, number, len(pages)) as (below, foot):
            top = _facts(pen, sheet, below) if number == 1 else below
            least = [_step_mm(sheet, first + i) for i in range(len(steps))]
            if number == 1 and sheet.steps:
                # the blank takes what is left where no step does
                spare = top - foot - math.fsum(least)
                least_mm = _blank_mm(sheet)
                top = _blank(pen, sheet, top, least_mm if steps else min(spare, BLANK_MOST_MM))
            more = (top - foot - math.fsum(least)) / max(len(steps), 1)
            for index, (step, high) in enumerate(zip(steps, least, strict=True), first):
                top = _step(pen, sheet, index, step, top, max(high, min(high + more, STEP_MOST_MM)))
    pen.finish()


def _shared(sheet: _Sheet) -> list[tuple[int, tuple[AnyStep, ...]]]:
    """Steps for each page with the index of the first: as many as fit under head and facts."""
    steps = sheet.steps
    free = sheet.free_mm - sheet.facts_mm(sheet.fact_texts) - (_blank_mm(sheet) if steps else 0.0)
    pages: list[tuple[int, tuple[AnyStep, ...]]] = []
    at = 0
    while True:
        count, left = 0, free
        while at + count < len(steps) and _step_mm(sheet, at + count) <= left:
            left -= _step_mm(sheet, at + count)
            count += 1
        # a step too high for a whole page is drawn on one of its own
        count = max(count, 1) if pages and at < len(steps) else count
        pages.append((at, steps[at : at + count]))
        at, free = at + count, sheet.free_mm
        if at >= len(steps):
            return pages


def _facts(pen: Pen, sheet: _Sheet, top: float) -> float:
    low = sheet.facts(pen, sheet.fact_texts, top)
    sheet.rule(pen, low)
    return low


def _blank_mm(sheet: _Sheet) -> float:
    """Height that the blank's box needs for what stands beside its picture, mm."""
    room = sheet.inner - sheet.inner * PICTURE - 2 * PAD_MM
    rows = sum(SMALL * LINE * len(wrap_text(text, SMALL, room)) + GAP_MM for text in sheet.blank_texts)
    return max(BLANK_MM, LOUD * LINE + rows + 2 * PAD_MM)


def _blank(pen: Pen, sheet: _Sheet, top: float, high: float) -> float:
    """The blank with its letters, in a box of its own."""
    low, wide = top - high, sheet.inner * PICTURE
    draw_blank(pen, sheet.plan, MARGIN_MM + 1, low + 1, wide - 2, high - 2)
    pen.stroke(THIN, GREY)
    pen.line(MARGIN_MM + wide, low, MARGIN_MM + wide, top)
    sheet.rule(pen, low)
    x, room = MARGIN_MM + wide + PAD_MM, sheet.inner - wide - 2 * PAD_MM
    y = paragraphs(pen, [TITLE_OF_BLANK], (x, top - PAD_MM - LOUD), room, LOUD, bold=True)
    paragraphs(pen, sheet.blank_texts, (x, y), room, SMALL, gap=GAP_MM)
    return low


def _said(sheet: _Sheet, index: int) -> list[str]:
    """The lines of a step under its title."""
    steps = sheet.steps
    # the first of either order has nothing before it
    before = None if index in (0, len(sheet.bends.steps)) else steps[index - 1]
    return list(lines(steps[index], before, sheet.plan, sheet.units))


def _title(sheet: _Sheet, index: int) -> str:
    instead = index >= len(sheet.bends.steps)
    return head(index + 1, sheet.steps[index], sheet.plan, sheet.units, instead=instead)


def _step_mm(sheet: _Sheet, index: int) -> float:
    """Height that a step needs for its words, mm."""
    room = sheet.inner - sheet.inner * PICTURE - 2 * PAD_MM
    title = wrap_text(_title(sheet, index), LOUD, room, bold=True)
    rows = sum(PLAIN * LINE * len(wrap_text(text, PLAIN, room)) + GAP_MM for text in _said(sheet, index))
    return max(STEP_MM, len(title) * LOUD * LINE + rows + 2 * PAD_MM)


def _step(pen: Pen, sheet: _Sheet, index: int, step: AnyStep, top: float, high: float) -> float:
    """A step in a box of its own."""
    low, wide = top - high, sheet.inner * PICTURE
    view = side_view(sheet.plan, step, sheet.machines)
    view.draw(pen, MARGIN_MM + 1, low + 1, wide - 2, high - 2)
    pen.stroke(THIN, GREY)
    pen.line(MARGIN_MM + wide, low, MARGIN_MM + wide, top)
    sheet.rule(pen, low)
    x, room = MARGIN_MM + wide + PAD_MM, sheet.inner - wide - 2 * PAD_MM
    y = paragraphs(pen, [_title(sheet, index)], (x, top - PAD_MM - LOUD), room, LOUD, bold=True)
    paragraphs(pen, _said(sheet, index), (x, y), room, PLAIN, gap=GAP_MM)
    return low
