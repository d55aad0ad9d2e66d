"""The setup sheet: a strip of facts, then each step, its picture on the left and what to set beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.bending.steps import Sequence as Bends
from generators.bending.steps import Step
from generators.drawing.bending.side_view import side_view
from generators.drawing.bending.words import CAUTIONS, head, lines, shown, tool_lines
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import GREY, MEDIUM, THICK, THIN, Pen, fit_text, text_width, wrap_text
from generators.drawing.paper.waived import MARK, WaivedList, waived_list
from generators.errors import ExportError
from generators.figures import format_length
from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.model.spec.tools.press import Brake
from generators.model.words import CAUTIONS as LEGAL
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.grain import grain_words
from generators.sheetmetal.joggle import joggles
from generators.standards import paper as paper_row
from generators.units import UnitSystem

MARGIN_MM = 10.0
PAD_MM = 2.0
TITLE = "SETUP SHEET: BENDING"
NONE_FOUND = "NO ORDER OF BENDS WAS FOUND ON THIS BRAKE"
OFFSET_DIE = "OFFSET DIE: ask for one that makes these bends in one stroke:"
NOT_TRIED = "the order with it was not tried; find it before the sheet is cut. On other tools:"
SEEN = (
    "Pictures are seen from the right end of the brake, gauge on the right: dashed as laid in, grey as bent."
)
STOPS = "A stop is set from the middle of the die, the sheet flat; it draws back as the stroke begins."
SIDES = "Upper and lower side as on the drawing: an up bend is made with the upper side up."
LOUD, PLAIN, SMALL = 4.4, 3.0, 2.5
LINE = 1.36
STEP_MM = (70.0, 64.0, 58.0)
"""Height of a step: less where that saves a sheet."""

PICTURE = 0.52
"""Share of a step's width that its picture has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """What every page says alike."""

    plan: PartPlan
    bends: Bends
    brake: Brake
    opening_mm: float | None
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
    def waivers(self) -> WaivedList | None:
        """The list of waived rules, for the first page."""
        return waived_list(self.waived, self.inner - 2 * PAD_MM) if self.waived else None

    def facts(self) -> Iterator[str]:
        """Lines under the title of the first page."""
        plan = self.plan
        yield (
            f"{plan.material}, {format_length(plan.thickness_mm, self.units)}; quantity {plan.quantity}"
            + ("; MIRRORED (opposite hand)" if plan.mirrored else "")
        )
        if said := grain_words(plan, flat_pattern(plan)):
            yield f"{said}. Look for it on the blank before the first bend."
        yield f"Brake: {self.brake.name or 'a plain one (ours, invented)'}."
        if self.bends.found:
            yield from tool_lines(self.bends.steps, self.brake, self.opening_mm, plan, self.units)
            yield f"{SIDES} {SEEN}"
            yield STOPS
        else:
            pairs = ", ".join(
                f"{shown(a)} and {shown(b)}"
                for a, b in joggles(plan, self.opening_mm or 8 * plan.thickness_mm)
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
    brake: Brake,
    opening_mm: float | None,
    job_title: str,
    revision: str,
    paper: str = "A4",
    waived: Sequence[Waived] = (),
    units: UnitSystem = "metric",
) -> None:
    """Write the setup sheet of a part as a PDF, upright on ``paper``, ``units`` first.

    Raises ``LookupFault`` for unknown paper, ``ExportError`` when the file cannot be written.
    """
    row = paper_row(paper)
    sheet = _Sheet(
        plan=plan,
        bends=bends,
        brake=brake,
        opening_mm=opening_mm,
        job_title=job_title,
        revision=revision,
        waived=tuple(waived),
        units=units,
        width=min(row.width_mm, row.height_mm),
        height=max(row.width_mm, row.height_mm),
    )
    pen = PdfPen(path, title=f"{job_title}: {plan.title}, bending", subject=f"part {plan.name} {revision}")
    high, pages = min(((mm, _shared(sheet, mm)) for mm in STEP_MM), key=lambda p: (len(p[1]), -p[0]))
    for number, (first, steps) in enumerate(pages, 1):
        pen.page(sheet.width, sheet.height)
        top = _head(pen, sheet, number, len(pages))
        if number == 1:
            top = _facts(pen, sheet, top)
        for index, step in enumerate(steps, first):
            top = _step(pen, sheet, index, step, top, high)
        _foot(pen, sheet)
    try:
        pen.close()
    except OSError as fault:
        raise ExportError(f"{path.name}: {fault}") from fault


def _shared(sheet: _Sheet, high: float) -> list[tuple[int, tuple[Step, ...]]]:
    """Steps for each page with the index of the first: as many as fit under head and facts."""
    room = sheet.height - 2 * MARGIN_MM - _head_mm(sheet) - _foot_mm(sheet)
    here = int((room - _facts_mm(sheet)) // high)
    pages: list[tuple[int, tuple[Step, ...]]] = []
    at, steps = 0, sheet.bends.steps
    while True:
        count = max(here, 0) if not pages else max(1, int(room // high))
        pages.append((at, steps[at : at + count]))
        at += count
        if at >= len(steps):
            return pages


def _head_mm(sheet: _Sheet) -> float:
    return 20.0 + (5.0 if sheet.waived else 0.0)


def _wrapped(texts: Sequence[str], size: float, width: float, *, bold: bool = False) -> list[str]:
    return [line for text in texts for line in wrap_text(text, size, width, bold=bold)]


def _facts_mm(sheet: _Sheet) -> float:
    wrapped = _wrapped(list(sheet.facts()), SMALL, sheet.inner - 2 * PAD_MM)
    waivers = sheet.waivers
    listed = waivers.size()[1] + PAD_MM if waivers else 0.0
    return len(wrapped) * SMALL * LINE + 2 * PAD_MM + listed


def _foot_lines(sheet: _Sheet) -> list[str]:
    return _wrapped((*CAUTIONS, LEGAL[0]), SMALL, sheet.inner - 2 * PAD_MM, bold=True)


def _foot_mm(sheet: _Sheet) -> float:
    return len(_foot_lines(sheet)) * SMALL * LINE + 2 * PAD_MM


def _head(pen: Pen, sheet: _Sheet, number: int, pages: int) -> float:
    """Frame and title; returns where what follows begins."""
    top = sheet.height - MARGIN_MM
    pen.stroke(THICK)
    pen.rect(MARGIN_MM, MARGIN_MM, sheet.inner, sheet.height - 2 * MARGIN_MM)
    x, right = MARGIN_MM + PAD_MM, sheet.width - MARGIN_MM - PAD_MM
    count = f"sheet {number} of {pages}"
    pen.text(x, top - 6.0, TITLE, LOUD, bold=True)
    pen.text(right, top - 6.0, f"revision {sheet.revision}", PLAIN, bold=True, align="right")
    room = sheet.inner - 2 * PAD_MM - text_width(count, PLAIN) - 4
    pen.text(x, top - 11.5, fit_text(sheet.job_title, PLAIN, room), PLAIN)
    part = f"part {sheet.plan.name}: {sheet.plan.title}"
    pen.text(x, top - 17.0, fit_text(part, PLAIN, sheet.inner - 2 * PAD_MM, bold=True), PLAIN, bold=True)
    pen.text(right, top - 11.5, count, PLAIN, align="right")
    low = top - _head_mm(sheet)
    if sheet.waived:
        pen.text(x, low + 2.0, MARK, PLAIN, bold=True)
    pen.stroke(MEDIUM)
    pen.line(MARGIN_MM, low, sheet.width - MARGIN_MM, low)
    return low


def _facts(pen: Pen, sheet: _Sheet, top: float) -> float:
    y = top - PAD_MM
    for line in _wrapped(list(sheet.facts()), SMALL, sheet.inner - 2 * PAD_MM):
        y -= SMALL * LINE
        pen.text(MARGIN_MM + PAD_MM, y + 0.6, line, SMALL)
    if sheet.waivers is not None:
        sheet.waivers.draw(pen, MARGIN_MM + PAD_MM, y - PAD_MM)
    low = top - _facts_mm(sheet)
    pen.stroke(MEDIUM)
    pen.line(MARGIN_MM, low, sheet.width - MARGIN_MM, low)
    return low


def _step(pen: Pen, sheet: _Sheet, index: int, step: Step, top: float, high: float) -> float:
    """A step in a box of its own."""
    low, wide = top - high, sheet.inner * PICTURE
    view = side_view(sheet.plan, step, sheet.brake, sheet.opening_mm)
    view.draw(pen, MARGIN_MM + 1, low + 1, wide - 2, high - 2)
    pen.stroke(THIN, GREY)
    pen.line(MARGIN_MM + wide, low, MARGIN_MM + wide, top)
    pen.stroke(MEDIUM)
    pen.line(MARGIN_MM, low, sheet.width - MARGIN_MM, low)
    x, room = MARGIN_MM + wide + PAD_MM, sheet.inner - wide - 2 * PAD_MM
    y = top - PAD_MM - LOUD
    for line in wrap_text(head(index + 1, step, sheet.plan, sheet.units), LOUD, room, bold=True):
        pen.text(x, y, line, LOUD, bold=True)
        y -= LOUD * LINE
    before = sheet.bends.steps[index - 1] if index else None
    for text in lines(step, before, sheet.plan, sheet.units):
        for line in wrap_text(text, PLAIN, room):
            pen.text(x, y, line, PLAIN)
            y -= PLAIN * LINE
        y -= 1.0
    return low


def _foot(pen: Pen, sheet: _Sheet) -> None:
    y = MARGIN_MM + _foot_mm(sheet)
    pen.stroke(MEDIUM)
    pen.line(MARGIN_MM, y, sheet.width - MARGIN_MM, y)
    y -= PAD_MM
    for line in _foot_lines(sheet):
        y -= SMALL * LINE
        pen.text(MARGIN_MM + PAD_MM, y + 0.6, line, SMALL, bold=True)
