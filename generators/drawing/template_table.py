"""The last pages of a template: every hole in a table, and the distances to check with a steel rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generators.drawing.distances import checks
from generators.drawing.furniture import Live
from generators.drawing.hole_words import ACTIONS, inches, millimetres
from generators.drawing.pen import LIGHT, MEDIUM, THIN, Pen, text_width, wrap_text
from generators.model.plan import PanelHole

SIZE = 2.7
ROW_LINE = SIZE * 1.25
TITLE_MM = 9.0
HEAD_MM = 5.0
FOLLOWED = "Where paper and rule disagree, the rule and these numbers are right."


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column: heading, share of the width, and whether its words may run over several lines."""

    head: str
    share: float
    wraps: bool = False


HOLE_COLUMNS = (
    Column(head="no.", share=7),
    Column(head="what", share=37, wraps=True),
    Column(head="pilot mm", share=13),
    Column(head="final mm", share=13),
    Column(head="final in", share=15),
    Column(head="tool", share=24, wraps=True),
    Column(head="u mm", share=15),
    Column(head="v mm", share=15),
    Column(head="where, from what", share=40, wraps=True),
    Column(head="face", share=12),
)
CHECK_COLUMNS = (
    Column(head="from", share=10),
    Column(head="to", share=10),
    Column(head="mm", share=18),
    Column(head="inch", share=24),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One table on one page: its title, columns, rows of wrapped cells, and left edge and width."""

    title: str
    note: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[tuple[str, ...], ...], ...]
    x: float
    width: float


def _wrapped(columns: Sequence[Column], cells: Sequence[str], width: float) -> tuple[tuple[str, ...], ...]:
    total = sum(c.share for c in columns)
    out: list[tuple[str, ...]] = []
    for column, cell in zip(columns, cells, strict=True):
        room = width * column.share / total - 1.6
        lines = wrap_text(cell, SIZE, room) if column.wraps else [cell]
        out.append(tuple(lines) or ("",))
    return tuple(out)


def _row_height(row: Sequence[Sequence[str]]) -> float:
    return max(len(cell) for cell in row) * ROW_LINE + 1.3


def _hole_cells(hole: PanelHole) -> tuple[str, ...]:
    new = hole.status == "drill"
    what = hole.purpose if new else f"{ACTIONS[hole.status]}: {hole.purpose}"
    return (
        hole.number,
        what,
        millimetres(hole.pilot_dia_mm) if new and hole.pilot_dia_mm else "–",
        millimetres(hole.final_dia_mm),
        inches(hole.final_dia_mm).removesuffix(" in"),
        hole.tool or "–",
        f"{hole.u_mm:.2f}",
        f"{hole.v_mm:.2f}",
        hole.position_note or "–",
        hole.drill_face if new else "–",
    )


def table_pages(holes: Sequence[PanelHole], live: Live) -> tuple[tuple[Block, ...], ...]:
    """The blocks of each table page that fit a live area of that size (mm)."""
    pages: list[list[Block]] = []
    note = "u right and v up as the driver sees the panel, from the panel's origin."
    every = [_wrapped(HOLE_COLUMNS, _hole_cells(h), live.width - 6) for h in holes]
    left = live.height
    for rows in _filled(every, live.height - TITLE_MM - HEAD_MM - 6):
        title = "HOLE TABLE" if not pages else "HOLE TABLE, continued"
        block = Block(
            title=title, note=note, columns=HOLE_COLUMNS, rows=rows, x=live.x + 3, width=live.width - 6
        )
        pages.append([block])
        left = live.height - _block_height(block)
    lines = [
        (c.a.number, c.b.number, f"{c.mm:.2f}", f"{inches(c.mm).removesuffix(' in')}")
        for c in checks(holes)
    ]
    side = 3 if live.width >= 240 else 2
    width = (live.width - 6 - (side - 1) * 4) / side
    cells = [_wrapped(CHECK_COLUMNS, line, width) for line in lines]
    while cells:
        per = int((left - TITLE_MM - HEAD_MM - 8) / (ROW_LINE + 1.3))
        if per < min(6, -(-len(cells) // side)):
            pages.append([])
            left = live.height
            continue
        per = min(per, -(-len(cells) // side))
        for k in range(side):
            part = tuple(cells[k * per : (k + 1) * per])
            if part:
                pages[-1].append(
                    Block(
                        title="CHECK DISTANCES" if k == 0 else "",
                        note=FOLLOWED if k == 0 else "",
                        columns=CHECK_COLUMNS,
                        rows=part,
                        x=live.x + 3 + k * (width + 4),
                        width=width,
                    )
                )
        cells = cells[side * per :]
        left = 0.0
    return tuple(tuple(page) for page in pages)


def _filled(
    rows: Sequence[tuple[tuple[str, ...], ...]], room: float
) -> list[tuple[tuple[tuple[str, ...], ...], ...]]:
    """Rows shared out over pages."""
    pages: list[list[tuple[tuple[str, ...], ...]]] = [[]]
    used = 0.0
    for row in rows:
        height = _row_height(row)
        if pages[-1] and used + height > room:
            pages.append([])
            used = 0.0
        pages[-1].append(row)
        used += height
    return [tuple(page) for page in pages]


def _block_height(block: Block) -> float:
    return TITLE_MM + HEAD_MM + 3 + sum(_row_height(row) for row in block.rows)


def tables_height(holes: Sequence[PanelHole], width: int) -> int:
    """Live height (mm) at which both tables fit one page of that live width: for a roll."""
    height = 60
    while len(table_pages(holes, Live(x=0.0, y=0.0, width=width, height=height))) > 1:
        height += 10
    return height


def draw_tables(pen: Pen, blocks: Sequence[Block], live: Live) -> None:
    """Draw the blocks of one page from the top of its live area down."""
    top = live.y + live.height - 2
    below = top
    for block in blocks:
        if block.title and block.columns is not blocks[0].columns:
            top = below
        below = min(below, _draw(pen, block, top))


def _draw(pen: Pen, block: Block, top: float) -> float:
    if block.title:
        pen.text(block.x, top - 5.5, block.title, 4.6, bold=True)
        pen.text(block.x + text_width(block.title, 4.6, bold=True) + 5, top - 5.5, block.note, 2.9)
    y = top - TITLE_MM
    total = sum(c.share for c in block.columns)
    lefts: list[float] = []
    x = block.x
    for column in block.columns:
        lefts.append(x)
        x += block.width * column.share / total
    pen.stroke(MEDIUM)
    pen.rect(block.x, y - HEAD_MM, block.width, HEAD_MM, fill=LIGHT)
    for left, column in zip(lefts, block.columns, strict=True):
        pen.text(left + 0.8, y - HEAD_MM + 1.5, column.head, SIZE, bold=True)
    y -= HEAD_MM
    for row in block.rows:
        height = _row_height(row)
        for left, cell in zip(lefts, row, strict=True):
            for k, text in enumerate(cell):
                pen.text(left + 0.8, y - SIZE - k * ROW_LINE + 0.1, text, SIZE, bold=left == lefts[0])
        y -= height
        pen.stroke(THIN)
        pen.line(block.x, y, block.x + block.width, y)
    return y - 3
