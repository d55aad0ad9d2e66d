"""``print_me.pdf``: everything one prints for a job, in the order it is used."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from generators.drawing.pack.choice import OF_PACK, Head, SheetSet
from generators.drawing.pack.entries import NONE, Entry, sheet_entries
from generators.drawing.pack.first_page import FirstPage, draw_first_page, draw_more
from generators.drawing.pack.tables import draw_table_page, pack_tables
from generators.drawing.paper.pdf_pen import PdfPen, label_document
from generators.drawing.paper.sizes import PaperChoice, paper_choice
from generators.drawing.template.pdf import print_map_of
from generators.drawing.template.sheet import draw_leaf, page_map
from generators.errors import ExportError
from generators.model.install import Guide
from generators.model.plan import PanelLayout
from generators.sheets.document import HeldCanvas, flow
from generators.sheets.hose_words import LinesSheet
from generators.sheets.install.sheet import flow_guide
from generators.sheets.pack.overview import overview_pages, overview_story
from generators.sheets.space.sheet import SpaceSheet

SOME_PAGES = 99
"""Of the install sheet, as long as nobody has counted them: as wide in the list as any number of them."""

READING = "A4"
"""Paper of the pages one reads, where the sheets come off a roll."""


def write_pack(
    path: Path,
    *,
    layouts: Sequence[PanelLayout],
    sets: Sequence[SheetSet],
    paper: PaperChoice,
    head: Head,
    page: FirstPage,
    guide: Guide,
    lines: LinesSheet,
    space: SpaceSheet,
) -> tuple[str, ...]:
    """Write the pack of a job on one paper; returns what the sheets could not show in full.

    ``sets`` are the sheets chosen, ``guide`` the steps that tell how to lay them.
    Raises ``ExportError`` when the file cannot be written.
    """
    canvas = HeldCanvas(path)
    label_document(canvas, title=f"{head.job}: print me", subject=head.job, one_sided=True)
    pack = _Pack(canvas, layouts, sets, paper, head, page)
    flow_guide(canvas, guide, layouts, lines, pack.reading, space, of=OF_PACK)
    install = canvas.count
    lost = pack.draw(install)
    try:
        canvas.write(install)
    except OSError as fault:
        raise ExportError(f"{path.name}: {fault}") from fault
    return (
        (f"{path.name}: no room for the label of hole {', '.join(sorted(lost))}; see its table",)
        if lost
        else ()
    )


def first_sheet(
    layouts: Sequence[PanelLayout],
    sets: Sequence[SheetSet],
    paper: PaperChoice,
    head: Head,
    page: FirstPage,
) -> int:
    """The page of the first sheet to mark from; it hangs on no words of the install sheet."""
    pack = _Pack(HeldCanvas(Path("never written")), layouts, sets, paper, head, page)
    entries = pack.entries(pack.more(SOME_PAGES), SOME_PAGES)
    return next((e.first for e in entries if e.is_sheet), 0)


class _Pack:
    """The pages before the install sheet; off a roll those one reads come after those one lays on metal."""

    def __init__(
        self,
        canvas: HeldCanvas,
        layouts: Sequence[PanelLayout],
        sets: Sequence[SheetSet],
        paper: PaperChoice,
        head: Head,
        page: FirstPage,
    ) -> None:
        self.canvas, self.paper, self.head, self.page = canvas, paper, head, page
        self.layouts = layouts
        self.reading = paper_choice(READING) if paper.is_roll else paper
        self.sets = tuple(sets)
        self.pictures = overview_pages(layouts, self.sets, self.reading)
        self.tables = pack_tables(layouts, self.sets, self.reading, page.type_scale)
        self.leaves = sum(len(found.way.leaves) for found in self.sets)

    @property
    def overview(self) -> int:
        """Pages of the overview: none where there is no panel with a hole."""
        return len(self.pictures)

    def entries(self, more: int, install: int) -> list[Entry]:
        """The list, with ``more`` pages for itself after page one."""
        at = 2 + more
        whole = [
            Entry(first=1, last=1 + more, name="this page", panel="–", side=NONE, use="scale test, this list")
        ]

        def plain(count: int, name: str, panel: str, use: str) -> None:
            nonlocal at
            if count:
                whole.append(Entry(first=at, last=at + count - 1, name=name, panel=panel, side=NONE, use=use))
                at += count

        def over() -> None:
            plain(self.overview, "overview", "all", "what lies where; not to drill by")

        if not self.paper.is_roll:
            over()
        whole += sheet_entries(self.sets, at)
        at += self.leaves
        if self.paper.is_roll:
            over()
        plain(len(self.tables), "hole table", "all", "size, tool and place of every hole; distances to check")
        plain(install, "install sheet", "–", "the steps, one after the other")
        return whole

    def draw(self, install: int) -> set[str]:
        """Draw them, ``install`` pages to follow; returns numbers of holes whose label found no room."""
        more = self.more(install)
        front = 1 + more + self.overview + self.leaves + len(self.tables)
        count = front + install
        entries = self.entries(more, install)
        first = next((e.first for e in entries if e.is_sheet), 0)
        pen = PdfPen.pages_on(self.canvas, print_map_of(self.head.printer))
        rest = draw_first_page(pen, self.paper, self.head, self.page, self.sets, entries, count)
        for number in range(2, 2 + more):
            rest = draw_more(pen, self.reading, self.head, rest, number, count)
        pen.end()
        if not self.paper.is_roll:
            self._overview(first)
        lost = self._sheets(pen, first, count)
        if self.paper.is_roll:
            self._overview(first)
        for number, blocks in enumerate(self.tables, front - len(self.tables) + 1):
            draw_table_page(pen, self.reading, self.head, blocks, number, count)
        if self.tables:
            pen.end()
        return lost

    def more(self, install: int) -> int:
        """Pages the list needs beside page one: counted on a canvas nobody sees."""
        pen = PdfPen.pages_on(HeldCanvas(Path("never written")))
        entries = self.entries(0, install)
        rest = draw_first_page(pen, self.paper, self.head, self.page, self.sets, entries, 99)
        more = 0
        while rest:
            rest = draw_more(pen, self.reading, self.head, rest, 9, 99)
            more += 1
        return more

    def _overview(self, first: int) -> None:
        if self.overview:
            flow(
                self.canvas,
                overview_story(self.pictures, self.sets, first, self.reading),
                self.reading,
                subject=self.head.job,
                revision=self.head.revision,
                waived=self.head.waived,
                of=OF_PACK,
            )

    def _sheets(self, pen: PdfPen, first: int, count: int) -> set[str]:
        lost: set[str] = set()
        number = first
        for found in self.sets:
            start = number
            for leaf in found.way.leaves:
                joined = page_map(found.way.leaves, start, leaf.cell)
                lost |= draw_leaf(pen, leaf, self.paper, number, count, joined, self.page.type_scale)
                number += 1
        if self.leaves:
            pen.end()
        return lost & {number for found in self.sets for number in found.marks}
