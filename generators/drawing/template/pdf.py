"""Drill templates at full size: one for each face of a panel, tiled over the paper at hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.drawing.paper.furniture import (
    DRILL_HERE,
    PRINTED_FOR,
    Words,
    draw_furniture,
    live_area,
    page_for,
    witness_note,
)
from generators.drawing.paper.pdf_pen import LARGEST_PAGE_MM, PdfPen
from generators.drawing.paper.sizes import PaperChoice, paper_choice
from generators.drawing.template.cover import Thumb, cover_size, cover_test, draw_cover
from generators.drawing.template.hole_words import STARRED, limits_words
from generators.drawing.template.sheet import Leaf, Sheet, draw_leaf, page_map, registration_marks, sheet_for
from generators.drawing.template.table import draw_tables, table_pages, tables_height
from generators.drawing.template.tiles import (
    TilePlan,
    witness_hole,
)
from generators.drawing.template.tiling.printed import Cell
from generators.errors import ExportError
from generators.figures import fixed
from generators.geometry.contours import bounds
from generators.geometry.printing import PrintMap
from generators.geometry.sight import Reached
from generators.layout.distances import dimensioned
from generators.model.findings import Waived
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.shop import PaperPrinter
from generators.model.words import FACES, NEW, Face, PageKind
from generators.units import INCH_MM

FIRST_TILE = 2  # page one is the scale test


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplatePage:
    """One page: ``kind`` cover, tile or table; row and column from 1 as seen on the paper (0 but on tiles).

    ``box`` is the tile in panel mm: ``(u0, v0, u1, v1)``.
    """

    number: int
    kind: PageKind
    row: int
    column: int
    width_mm: float
    height_mm: float
    box: tuple[int, int, int, int] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateSheets:
    """What was written.

    ``skipped`` are ``(row, column)`` of tiles with nothing to mark; ``cut`` the numbers of holes
    whole on no page; ``unlabelled`` those whose label found no room (the table has them).
    """

    panel: str
    face: Face
    paper: str
    rows: int
    columns: int
    pages: tuple[TemplatePage, ...]
    skipped: tuple[tuple[int, int], ...] = ()
    cut: tuple[str, ...] = ()
    unlabelled: tuple[str, ...] = ()


def write_template(
    layout: PanelLayout,
    path: Path,
    *,
    face: Face,
    paper: str | PaperChoice,
    job: str,
    revision: str,
    waived: Sequence[Waived] = (),
    printer: PaperPrinter | None = None,
    type_scale: float = 1.0,
    other: PanelLayout | None = None,
) -> TemplateSheets:
    """Write the 1:1 template of one face; ``engine`` is mirrored in u.

    Round a fold the two faces are developed over different radii: ``other`` is the layout of the other face,
    so that both templates show the same holes.

    Page one is a scale test with the list of the sheets. ``job`` is the job's title. ``waived`` rules
    are marked on every page and listed on page one; for a calibrated ``printer`` every page is drawn
    the opposite way wrong and says so. ``type_scale`` enlarges labels and tables for eyes that need it.
    Raises ``ExportError`` when there is nothing to mark or the file cannot be written, and what
    ``paper_choice`` raises for the paper.
    """
    if face not in FACES:
        raise ExportError(f"no face {face!r}; known: {', '.join(FACES)}")
    choice = paper_choice(paper) if isinstance(paper, str) else paper
    words = template_words(layout, face, job, revision, choice.name, waived, printer)
    holes, sheet = sheet_for(layout, choice, other)
    leaves = tile_leaves(layout, sheet, face, words)
    table_w, table_h = _table_size(sheet, layout, holes, choice, face, type_scale)
    room = live_area(table_w, table_h)
    tables = table_pages(
        layout.holes,
        holes,
        room,
        face,
        layout.seen(face),
        type_scale,
        layout.wraps,
        layout.units,
        Reached(layout),
    )
    count = 1 + len(leaves) + len(tables)
    grid = sheet.tiles.grid
    pen = PdfPen(
        path,
        title=f"{layout.title}: {face} template",
        subject=f"{job}, revision {revision}, 1:1",
        print_map=print_map_of(printer),
    )
    cover_w, cover_h = cover_size(choice)
    pages = [TemplatePage(number=1, kind="cover", row=0, column=0, width_mm=cover_w, height_mm=cover_h)]
    pen.page(cover_w, cover_h, lying=False, on=choice.sheet_of(cover_w, cover_h))
    draw_cover(pen, words, cover_test(choice, layout.units), count, layout, thumbs_of(leaves, FIRST_TILE))
    lost: set[str] = set()
    for number, leaf in enumerate(leaves, FIRST_TILE):
        joined = page_map(leaves, FIRST_TILE, leaf.cell)
        lost |= draw_leaf(pen, leaf, choice, number, count, joined, type_scale)
        pages.append(page_of(leaf, number))
    for number, blocks in enumerate(tables, len(leaves) + FIRST_TILE):
        lying = sheet.lying and not choice.is_roll
        pen.page(table_w, table_h, lying=lying, on=choice.sheet_of(table_w, table_h))
        draw_tables(pen, blocks, live_area(table_w, table_h))
        joined = page_map(leaves, FIRST_TILE, None)
        draw_furniture(pen, words, "row –, column –: tables", number, count, joined)
        pages.append(
            TemplatePage(number=number, kind="table", row=0, column=0, width_mm=table_w, height_mm=table_h)
        )
    pen.finish()
    skipped = sorted(
        (row + 1, column + 1)
        for column, row in (_seen(c, grid.columns, grid.rows, face) for c in sheet.tiles.skipped)
    )
    return TemplateSheets(
        panel=layout.panel,
        face=face,
        paper=choice.name,
        rows=grid.rows,
        columns=grid.columns,
        pages=tuple(pages),
        skipped=tuple(skipped),
        cut=sheet.tiles.cut,
        unlabelled=tuple(sorted(lost)),
    )


def tile_leaves(
    layout: PanelLayout, sheet: Sheet, face: Face, words: Words, only: frozenset[str] | None = None
) -> tuple[Leaf, ...]:
    """The tiles of one face in the order they are read; with ``only``, these holes are worked by."""
    grid = sheet.tiles.grid
    marks = registration_marks(grid, layout.holes)
    links = dimensioned(layout.holes, layout.wraps)
    return tuple(
        Leaf(
            layout=layout,
            face=face,
            name=_where(row, column),
            where=_where(row, column),
            box=grid.box(cell),
            width=sheet.width,
            height=sheet.height,
            lying=sheet.lying,
            marks=marks[cell],
            links=links,
            words=words,
            cell=(column, row),
            grid=(grid.columns, grid.rows),
            only=only,
        )
        for cell, (column, row) in _reading_order(sheet.tiles, face)
    )


def thumbs_of(leaves: Sequence[Leaf], first: int) -> list[Thumb]:
    """The pictures of page one, the first sheet on page ``first``."""
    return [
        Thumb(number=n, where=leaf.name, box=leaf.box, holes=leaf.layout.holes, cell=leaf.cell)
        for n, leaf in enumerate(leaves, first)
    ]


def page_of(leaf: Leaf, number: int) -> TemplatePage:
    """What is told of a sheet once it is drawn."""
    column, row = leaf.cell if leaf.cell is not None else (-1, -1)
    return TemplatePage(
        number=number,
        kind="tile",
        row=row + 1,
        column=column + 1,
        width_mm=leaf.width,
        height_mm=leaf.height,
        box=leaf.box,
    )


def _table_size(
    sheet: Sheet,
    layout: PanelLayout,
    shown: tuple[PanelHole, ...],
    choice: PaperChoice,
    face: Face,
    type_scale: float,
) -> tuple[float, float]:
    """The page of the tables: as the tiles, or off the roll as long as the tables need."""
    if not choice.is_roll:
        return sheet.width, sheet.height
    probe = live_area(choice.width_mm, 400.0)
    height = page_for(
        0,
        tables_height(
            layout.holes,
            shown,
            probe.width,
            face,
            layout.seen(face),
            type_scale,
            layout.wraps,
            layout.units,
            Reached(layout),
        ),
    )[1]
    return choice.width_mm, min(height, LARGEST_PAGE_MM)


def _seen(cell: Cell, columns: int, rows: int, face: Face) -> tuple[int, int]:
    """``(column, row)`` from 0 as seen on the paper: from the left and from the top."""
    i, j = cell
    return (columns - 1 - i if face == "engine" else i), rows - 1 - j


def _reading_order(tiles: TilePlan, face: Face) -> list[tuple[Cell, tuple[int, int]]]:
    placed = [(cell, _seen(cell, tiles.grid.columns, tiles.grid.rows, face)) for cell in tiles.printed]
    return sorted(placed, key=lambda p: (p[1][1], p[1][0]))


def _where(row: int, column: int) -> str:
    return f"row {row + 1}, column {column + 1}"


def print_map_of(printer: PaperPrinter | None) -> PrintMap | None:
    """What a calibrated printer does, or None for sheets any true printer may print."""
    if printer is None:
        return None
    return PrintMap(x_scale=printer.x_scale, y_scale=printer.y_scale, skew_rad=printer.skew_rad)


def _sheet(layout: PanelLayout) -> str:
    """The panel's thickness: ``1.2 mm``, ``0.047 in``."""
    if layout.units == "metric":
        return f"{layout.thickness_mm:g} mm"
    return f"{fixed(layout.thickness_mm / INCH_MM, 3)} in"


def _drill_words(layout: PanelLayout, face: Face) -> Iterator[str]:
    """From which side, and where a size stands that a label had no room for."""
    if face == "cab" and any(h.status in NEW for h in layout.holes):
        yield DRILL_HERE
    if any(limits_words(h, layout.units) for h in layout.holes):
        yield STARRED


def template_words(
    layout: PanelLayout,
    face: Face,
    job: str,
    revision: str,
    paper: str,
    waived: Sequence[Waived],
    printer: PaperPrinter | None,
) -> Words:
    """What every page of this template says."""
    u0, _, u1, _ = bounds(layout.contour)
    return Words(
        face=face,
        job=job,
        panel=layout.title,
        material=f"{_sheet(layout)} {layout.material}" if layout.thickness_mm else layout.material,
        revision=revision,
        paper=paper,
        witness_note=witness_note(witness_hole(layout), (u0 + u1) / 2, face),
        printer_note=PRINTED_FOR.format(printer.name) if printer is not None else "",
        notes=layout.notes,
        units=layout.units,
        drill=" ".join(_drill_words(layout, face)),
        waived=tuple(waived),
        contact=layout.contact,
    )
