"""The setup sheet: a strip of facts, then each step, its picture on the left and what to set beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from generators.bending.setting import Machines
from generators.bending.steps import AnyStep, Step
from generators.bending.steps import Sequence as Bends
from generators.drawing.bending.blank import LETTERED, draw_blank
from generators.drawing.bending.blank import TITLE as TITLE_OF_BLANK
from generators.drawing.bending.figures import shown
from generators.drawing.bending.instead import all_steps, instead_lines
from generators.drawing.bending.machine_words import tool_lines
from generators.drawing.bending.scribe import square_edge
from generators.drawing.bending.views.plan_view import plan_view
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
from generators.model.spec.titles import named_part, questions
from generators.sheetmetal.joggle import joggles
from generators.units import UnitSystem

TITLE = "SETUP SHEET: BENDING"
NONE_FOUND = "NO ORDER OF BENDS WAS FOUND ON THIS BRAKE"
OFFSET_DIE = "OFFSET DIE: ask for one that makes these bends in one stroke:"
NOT_TRIED = "the order with it was not tried; find it before the sheet is cut. On other tools:"
STEP_MM, STEP_MOST_MM, SQUARED_MOST_MM = 50.0, 100.0, 125.0
"""Least height of a step, and what it is given of the room left over; a squared one has two views."""

PICTURE = 0.46
"""Share of a step's width that its picture has."""

PLAN_MM, PLAN = 38.0, 0.42
"""Least height of the view from above of a squared sheet, and its share of its step."""

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
        return [LETTERED, *meant_lines(self.steps, self.machines, self.plan, self.units)]

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
        named=f"{named_part(plan.name, plan.etch)}: {plan.title}",
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
                # room left over goes to the blank first, whose letters are small
                spare = top - foot - math.fsum(least)
                top = _blank(pen, sheet, top, max(_blank_mm(sheet), min(spare, BLANK_MOST_MM)))
            more = (top - foot - math.fsum(least)) / max(len(steps), 1)
            for index, (step, high) in enumerate(zip(steps, least, strict=True), first):
                limit = SQUARED_MOST_MM if _squared(sheet, step) else STEP_MOST_MM
                top = _step(pen, sheet, index, step, top, max(high, min(high + more, limit)))
    pen.finish()


def _shared(sheet: _Sheet) -> list[tuple[int, tuple[AnyStep, ...]]]:
    """Steps for each page with the index of the first, on as few pages as they fit on under head and facts.

    Of all ways to share them among so many pages that whose emptiest one is fullest: a last page with a lone
    step is turned over for little.
    """
    high = [_step_mm(sheet, index) for index in range(len(sheet.steps))]
    taken = sheet.facts_mm(sheet.fact_texts) + (_blank_mm(sheet) if high else 0.0)
    pages, at = [], 0
    for count in evenly(high, sheet.free_mm - taken, sheet.free_mm):
        pages.append((at, sheet.steps[at : at + count]))
        at += count
    return pages


def evenly(high: Sequence[float], first: float, free: float) -> tuple[int, ...]:
    """How many steps, each so ``high``, stand on each page; ``first`` mm are free on the first.

    What is too high for a whole page has one of its own.
    """
    whole = [first, *[free] * len(high)]

    @cache
    def best(at: int, page: int) -> tuple[int, float, tuple[int, ...]] | None:
        """Pages, how little the emptiest has on it, and the shares, from a step and a page on."""
        if at == len(high) and page:
            return 0, math.inf, ()
        found = []
        for count in range(0 if page == 0 else 1, len(high) - at + 1):
            used = math.fsum(high[at : at + count])
            if used > whole[page] and (count > 1 or page == 0):
                break
            if (rest := best(at + count, page + 1)) is not None:
                # the first page has the facts and the blank on it, however few steps stand under them
                on_it = used + free - first if page == 0 else used
                found.append((1 + rest[0], min(on_it, rest[1]), (count, *rest[2])))
        return min(found, key=lambda f: (f[0], -f[1]), default=None)

    chosen = best(0, 0)
    return chosen[2] if chosen is not None else (0,)


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


def _squared(sheet: _Sheet, step: AnyStep) -> bool:
    """True for a step with a view from above."""
    return isinstance(step, Step) and square_edge(sheet.plan, step) is not None


def _step_mm(sheet: _Sheet, index: int) -> float:
    """Height that a step needs for its words, mm."""
    room = sheet.inner - sheet.inner * PICTURE - 2 * PAD_MM
    title = wrap_text(_title(sheet, index), LOUD, room, bold=True)
    rows = sum(PLAIN * LINE * len(wrap_text(text, PLAIN, room)) + GAP_MM for text in _said(sheet, index))
    pictures = STEP_MM + (PLAN_MM if _squared(sheet, sheet.steps[index]) else 0.0)
    return max(pictures, len(title) * LOUD * LINE + rows + 2 * PAD_MM)


def _step(pen: Pen, sheet: _Sheet, index: int, step: AnyStep, top: float, high: float) -> float:
    """A step in a box of its own."""
    low, wide = top - high, sheet.inner * PICTURE
    squared = plan_view(sheet.plan, step, sheet.machines, sheet.units)
    under = 0.0 if squared is None else max(PLAN_MM, high * PLAN)
    if squared is not None:
        squared.draw(pen, MARGIN_MM + 1, low + 1, wide - 2, under - 1)
        pen.stroke(THIN, GREY)
        pen.line(MARGIN_MM, low + under, MARGIN_MM + wide, low + under)
    view = side_view(sheet.plan, step, sheet.machines)
    view.draw(pen, MARGIN_MM + 1, low + under + 1, wide - 2, high - under - 2)
    pen.stroke(THIN, GREY)
    pen.line(MARGIN_MM + wide, low, MARGIN_MM + wide, top)
    sheet.rule(pen, low)
    x, room = MARGIN_MM + wide + PAD_MM, sheet.inner - wide - 2 * PAD_MM
    y = paragraphs(pen, [_title(sheet, index)], (x, top - PAD_MM - LOUD), room, LOUD, bold=True)
    paragraphs(pen, _said(sheet, index), (x, y), room, PLAIN, gap=GAP_MM)
    return low
