"""The inspection sheet: facts, a map of the blank with the items on it, and a table to fill in."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.drawing.inspection.item import Item, printed
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.place_map import draw_map, drawn_mm
from generators.drawing.paper.bench_sheet import MARGIN_MM, PAD_MM, SMALL, BenchSheet, page_size, part_words
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import LIGHT, THIN, Pen, wrap_text
from generators.figures import fixed
from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.model.spec.titles import named_part, questions
from generators.units import UnitSystem

TITLE = "INSPECTION SHEET"
MAP_MM = (92.0, 82.0, 72.0, 66.0, 62.0, 54.0)
ROW_MM, LINE_MM = 6.2, 3.2
LOWER_MM = (6.2, 6.0)
"""Heights of the map and of a row: the first, unless a lower one saves a sheet, a row's before the map's. No
row is lower: below 6 mm a hand has no room to write (common practice, no source)."""

READ_MM, READ_LEAST_MM, READ_EACH_MM = 48.0, 30.0, 3.2
"""A map is lowered as long as the blank's longer side is so long on it: shorter, its numbers crowd. A few
have room on less, by so much each. Ours."""

FEW = 5
"""So many rows at least are on the last sheet: it is not turned over, or lost, for one."""

SECTION_MM = 5.0
COLUMNS = ("No.", "measure", "with", "nominal", "least", "most", "measured", "ok")
WIDTHS = (10.0, 0.0, 33.0, 12.5, 12.5, 12.5, 25.0, 8.0)
"""Mm; the second column has what is left."""

FLAT, BENT = "ON THE BLANK, BEFORE IT IS BENT", "ON THE BENT PART"
PLATE = "ON THE PLATE"
TO_WELD, WELDED = "ON THE BENT PART, BEFORE IT IS WELDED", "ON THE WELDED PART, ONCE IT IS COOL"
HOW = (
    "Numbers of holes are those of the drawing. Write what you read into the column measured; tick ok where "
    "it lies between least and most. Lengths are in {unit}. Burrs off, part clean and cool, caliper at zero "
    "before and after. Over the far rims: inside jaws against the two rims furthest apart. One sheet for "
    "each piece. Send it back with a piece that is out"
)
ON_PANEL = (
    ": where that is bolted to holes of a panel, those who issued this sheet can reckon from it whether it "
    "still fits"
)
CAUTIONS = (
    "A part with an item out of its limits, a crack along a bend or a burr in a pivot is not fitted: set it "
    "apart and ask. Gloves off near turning tools, on for edges.",
)
SIGNED = ("measured by", "instruments", "date")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet(BenchSheet):
    """The sheet of one part."""

    plan: PartPlan
    items: tuple[Item, ...]

    @property
    def fact_texts(self) -> tuple[str, ...]:
        """What stands under the head of the first page."""
        unit = "mm" if self.units == "metric" else "inches"
        mates = any(o.mates for flange in self.plan.flanges for o in flange.openings)
        return part_words(self.plan, self.units), f"{HOW.format(unit=unit)}{ON_PANEL if mates else ''}."

    @property
    def strip_mm(self) -> float:
        """Height of the facts and the line to sign."""
        return self.facts_mm(self.fact_texts) + ROW_MM

    @property
    def widths(self) -> tuple[float, ...]:
        """Columns of the table, mm."""
        rest = self.inner - sum(WIDTHS)
        return tuple(w or rest for w in WIDTHS)


@dataclass(frozen=True, slots=True)
class _Row:
    """A line of the table, or a section's name where it has no cells."""

    cells: tuple[str, ...]
    lines: tuple[str, ...]
    height: float
    tried: bool = False


def write_inspection_sheet(
    plan: PartPlan,
    path: Path,
    *,
    job_title: str,
    revision: str,
    paper: str = "A4",
    waived: Sequence[Waived] = (),
    units: UnitSystem = "metric",
    contact: str = "",
    date: str = "",
    pulled: Sequence[str] = (),
) -> None:
    """Write the inspection sheet of a cut part as a PDF, upright on ``paper``, lengths in ``units``.

    ``pulled`` are numbers of openings that are measured again after bending (``bending.words.pulled``).
    Raises ``LookupFault`` for unknown paper, ``GeometryFault`` when the plan has no flat pattern,
    ``ExportError`` when the file cannot be written.
    """
    width, height = page_size(paper)
    sheet = _Sheet(
        title=TITLE,
        named=f"{named_part(plan.name, plan.etch)}: {plan.title}",
        asked=questions(contact),
        date=date,
        cautions=CAUTIONS,
        job_title=job_title,
        revision=revision,
        waived=tuple(waived),
        units=units,
        width=width,
        height=height,
        plan=plan,
        items=inspected(plan, pulled),
    )
    pen = PdfPen(path, title=f"{job_title}: {plan.title}, inspection", subject=f"part {plan.name} {revision}")
    map_mm, pages = _pages(sheet)
    for number, rows in enumerate(pages, 1):
        with sheet.page(pen, number, len(pages)) as (below, _):
            top = _first(pen, sheet, below, map_mm) if number == 1 else below
            _table(pen, sheet, rows, top)
    pen.finish()


def limit_words(item: Item, units: UnitSystem) -> tuple[str, str, str]:
    """Nominal, least and most of an item as they are printed, limits rounded inward."""
    said = printed(item, units)
    sign = "°" if item.unit == "angle" else ""
    if item.unit == "go":
        return (f"Ø {fixed(said.nominal, said.places)}", "goes through", "")
    nominal, least, most = (
        "–" if x is None else f"{fixed(x, said.places)}{sign}" for x in (said.nominal, said.least, said.most)
    )
    return nominal, least, most


def _rows(sheet: _Sheet, row_mm: float) -> Iterator[_Row]:
    """Every line of the table, none lower than ``row_mm``, with a section before the first of each."""
    section = ""
    bent = TO_WELD if any(item.welded for item in sheet.items) else BENT
    for item in sheet.items:
        wanted = WELDED if item.welded else bent if item.bent else FLAT if sheet.plan.bends else PLATE
        if wanted != section:
            section = wanted
            yield _Row((section,), (), SECTION_MM)
        lines = tuple(wrap_text(item.what, SMALL, sheet.widths[1] - 2))
        cells = (item.key, "", item.using, *limit_words(item, sheet.units), "", "")
        yield _Row(cells, lines, max(row_mm, len(lines) * LINE_MM + 1.6), item.unit == "go")


def _pages(sheet: _Sheet) -> tuple[float, list[list[_Row]]]:
    """Height of the map, rows for each page, lower where that saves one; no few are left for the last."""
    marks = sum(1 for item in sheet.items if len(item.at) == 1)
    read = min(READ_MM, max(READ_LEAST_MM, READ_EACH_MM * marks))
    maps = [m for m in MAP_MM if m == MAP_MM[0] or drawn_mm(sheet.plan, sheet.inner, m) >= read]
    tried = itertools.product(maps, LOWER_MM)
    map_mm, each = min(
        ((map_mm, _filled(sheet, list(_rows(sheet, row_mm)), map_mm)) for map_mm, row_mm in tried),
        key=lambda found: len(found[1]),
    )  # of as many pages the first, whose map and rows are highest
    if len(each) > 1:
        *_, before, last = each
        while len(last) < FEW and len(before) > FEW:
            last.insert(0, before.pop())
            if len(before[-1].cells) == 1:
                last.insert(0, before.pop())
    return map_mm, each


def _filled(sheet: _Sheet, rows: Sequence[_Row], map_mm: float) -> list[list[_Row]]:
    """Rows for each page, as many as it has room for; a section's name never stands last on one."""
    room = sheet.free_mm - ROW_MM
    left = room - sheet.strip_mm - map_mm
    pages: list[list[_Row]] = [[]]
    for row, after in zip(rows, [*rows[1:], None], strict=True):
        needs = row.height + (after.height if after is not None and len(row.cells) == 1 else 0.0)
        if needs > left:
            pages.append([])
            left = room
        pages[-1].append(row)
        left -= row.height
    return pages


def _first(pen: Pen, sheet: _Sheet, top: float, map_mm: float) -> float:
    """What the part is, how to measure and who did, then the map; returns where the table begins."""
    sheet.facts(pen, sheet.fact_texts, top)
    low = top - sheet.strip_mm
    each = sheet.inner / (len(SIGNED) + 1)
    piece = f"piece            of {sheet.plan.quantity}"
    for i, word in enumerate((piece, *SIGNED)):
        x = MARGIN_MM + i * each
        pen.text(x + PAD_MM, low + 2.0, word, SMALL, grey=0.3)
        pen.stroke(THIN)
        pen.rect(x, low, each, ROW_MM)
    sheet.rule(pen, low)
    draw_map(pen, sheet.plan, sheet.items, (MARGIN_MM, low - map_mm, sheet.inner, map_mm))
    return low - map_mm


def _table(pen: Pen, sheet: _Sheet, rows: Sequence[_Row], top: float) -> None:
    """The heads, then each row with its cells, the last two of them empty."""
    lefts = [MARGIN_MM + sum(sheet.widths[:i]) for i in range(len(COLUMNS))]
    right = sheet.width - MARGIN_MM
    pen.stroke(THIN)
    pen.rect(MARGIN_MM, top - ROW_MM, sheet.inner, ROW_MM, fill=LIGHT, edge=False)
    for left, word in zip(lefts, COLUMNS, strict=True):
        pen.text(left + 1, top - ROW_MM + 2.0, word, SMALL, bold=True)
    y = top - ROW_MM
    pen.line(MARGIN_MM, y, right, y)
    for row in rows:
        low = y - row.height
        if len(row.cells) == 1:
            pen.rect(MARGIN_MM, low, sheet.inner, row.height, fill=0.93, edge=False)
            pen.text(MARGIN_MM + 1, low + 1.5, row.cells[0], SMALL, bold=True)
        else:
            first = y - (row.height - (len(row.lines) - 1) * LINE_MM) / 2 - 0.9
            for left, text in zip(lefts, row.cells, strict=True):
                if text:
                    pen.text(left + 1, first, text, SMALL, bold=left == lefts[0])
            for i, line in enumerate(row.lines):
                pen.text(lefts[1] + 1, first - i * LINE_MM, line, SMALL)
            pen.stroke(THIN)
            for word, left in zip(COLUMNS[1:], lefts[1:], strict=True):
                # what is tried has no least and no most: its words go over both
                if not (row.tried and word == "most"):
                    pen.line(left, low, left, y)
        pen.stroke(THIN)
        pen.line(MARGIN_MM, low, right, low)
        y = low
