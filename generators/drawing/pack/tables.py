"""The hole tables of a pack: every hole of every panel once, and the distances to check."""

from __future__ import annotations

from collections.abc import Sequence

from generators.drawing.pack.choice import Head, SheetSet
from generators.drawing.pack.first_page import plain_page
from generators.drawing.paper.furniture import BAND_MM, MARGIN_MM, Live
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.sizes import PaperChoice
from generators.drawing.template.table import SIZE, Block, TableFlow, draw_tables
from generators.drawing.template.tiles import EXISTING
from generators.geometry.sight import Reached
from generators.model.plan import PanelHole, PanelLayout

ABOUT_MM, CAUTIONS_MM = 7.0, 13.0
SMALLER_MM = (SIZE - 0.1, SIZE - 0.2)
"""Of the type: smaller where that saves a page."""


def tabled(layouts: Sequence[PanelLayout], sets: Sequence[SheetSet]) -> list[PanelLayout]:
    """What has a table of its own: each panel, but two that are marked together round their fold."""
    out: list[PanelLayout] = []
    for layout in layouts:
        # a panel may go round the fold on one face and be by itself on the other: each hole has one line
        mine = sorted((x for x in sets if layout.panel in x.panels), key=lambda x: -len(x.panels))
        found = mine[0].layout if mine else layout
        if layout.holes and all(x.panel != found.panel for x in out):
            out.append(found)
    return out


def shown_on(layout: PanelLayout, sets: Sequence[SheetSet]) -> tuple[PanelHole, ...]:
    """The holes of a table that are whole on a sheet of the pack; all where no sheet is printed."""
    numbers = {h.number for h in layout.holes}
    mine = [x for x in sets if any(h.number in numbers for h in x.layout.holes)]
    shown = {h.number for x in mine for h in x.layout.holes if any(leaf.shows(h) for leaf in x.way.leaves)}
    return tuple(h for h in layout.holes if not mine or h.number in shown)


def tables_live(choice: PaperChoice) -> Live:
    """Where the tables stand on a page one reads."""
    width, height = choice.drawn_mm[0], choice.drawn_mm[1] or 0.0
    low = MARGIN_MM + CAUTIONS_MM
    return Live(
        x=MARGIN_MM - 3.0,
        y=low,
        width=int(width - 2 * MARGIN_MM) + 6,
        height=int(height - MARGIN_MM - BAND_MM - ABOUT_MM - low),
    )


def pack_tables(
    layouts: Sequence[PanelLayout], sets: Sequence[SheetSet], choice: PaperChoice, type_scale: float
) -> tuple[tuple[Block, ...], ...]:
    """The blocks of each page of tables, on as few pages as the smallest type needs."""
    asked = _flow(layouts, sets, choice, SIZE * type_scale)
    smaller = SMALLER_MM if asked.size <= SIZE else (0.95 * asked.size, 0.9 * asked.size)
    tried = [asked, *(_flow(layouts, sets, choice, size) for size in smaller)]
    return min((flow.pages for flow in tried), key=len)


def _flow(
    layouts: Sequence[PanelLayout], sets: Sequence[SheetSet], choice: PaperChoice, size: float
) -> TableFlow:
    flow = TableFlow(tables_live(choice), size, layouts[0].units if layouts else "metric")
    for layout in tabled(layouts, sets):
        shown = shown_on(layout, sets)
        flow.holes(layout.holes, shown, "cab", layout.seen("cab"), f": {layout.title}")
        # what is in the panel is there to measure from, on the paper or not
        measured = tuple(h for h in layout.holes if h in shown or h.status in EXISTING)
        flow.checks(measured, layout.wraps, f": {layout.title}", Reached(layout))
    return flow


def draw_table_page(
    pen: PdfPen, choice: PaperChoice, head: Head, blocks: Sequence[Block], number: int, count: int
) -> None:
    """One page of tables."""
    plain_page(pen, choice, head, "HOLE TABLE", "every hole of a panel once", number, count)
    draw_tables(pen, blocks, tables_live(choice))
