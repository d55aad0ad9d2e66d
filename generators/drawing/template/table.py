"""The last pages of a template: every hole in a table, and the distances to check with a steel rule."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from generators.drawing.paper.furniture import MARGIN_MM, Live, shrunk
from generators.drawing.paper.pen import LIGHT, MEDIUM, THIN, Pen, text_width, wrap_text
from generators.drawing.template.hole_words import ACTIONS
from generators.figures import fixed, format_limits, format_short
from generators.layout.distances import Reaches, at_rim, checks, everywhere, paper_alone
from generators.model.folds import Wrap
from generators.model.hole_work import table_rules, work_words
from generators.model.plan import PanelHole
from generators.model.words import Face
from generators.units import INCH_MM, UnitSystem

SIZE = 2.7
LINE = 1.25
RULES_LINE = 1.35
SHRINK = 0.05
TITLE_MM = 9.0
HEAD_MM = 5.0
NUMBER = re.compile(r"(\d) (?=\d+/\d|mm|in\b)")
"""Where a line must not end: within a mixed number, and before its unit."""

SIDES = re.compile(r"\b(left|right)\b")
NOTES = {
    "cab": "Diameters in {}. Left and right {}; u counts to the right.",
    "engine": "Diameters in {}. Left and right {}; u counts to the left.",
}
RIM = "rim of "
"""Before the letter of a hole that is there: the nearest edge of the bare hole, whatever sits in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column: its heading, and whether its words may run over several lines."""

    head: str
    wraps: bool = False


def hole_columns(units: UnitSystem) -> tuple[Column, ...]:
    """The columns of the hole table."""
    short = "mm" if units == "metric" else "in"
    return (
        Column(head="no."),
        Column(head="what", wraps=True),
        Column(head="pilot"),
        Column(head="final"),
        Column(head="may be"),
        Column(head="tool", wraps=True),
        Column(head=f"u {short}"),
        Column(head=f"v {short}"),
        Column(head="where, from what", wraps=True),
        Column(head="when and how", wraps=True),
    )


def check_columns(units: UnitSystem) -> tuple[Column, ...]:
    """The columns of the check distances: what people measure in first."""
    heads = ("mm", "inch") if units == "metric" else ("inch", "mm")
    return tuple(Column(head=head) for head in ("from", "to", *heads))


PAD_MM = 2.2
ROW_PAD = 0.9
AIR_MM = 20.0  # a wider gap between columns is hard to read across
ENDLESS_MM = 100_000
TABLE_END_MM = 12.0
LEAST_WRAP_MM = 16.0
CONTINUED = ", continued"
LEAST_ROWS = 4  # of a table that begins under another one
CHECK_MM = 56.0  # room for one run of check distances

Row = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One table on one page: its words, the columns' widths (mm), rows of wrapped cells, left edge.

    ``note`` stands beside the title, the lines of ``under`` between title and head.
    """

    title: str
    note: str
    columns: tuple[Column, ...]
    widths: tuple[float, ...]
    rows: tuple[Row, ...]
    x: float
    size: float = SIZE
    under: tuple[str, ...] = ()


def _widths(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], width: float, size: float
) -> tuple[float, ...]:
    """Each column as wide as its words; those that may wrap give and take what is over."""
    natural = [
        max([text_width(c.head, size, bold=True), *(text_width(r[k], size, bold=k == 0) for r in rows)])
        + PAD_MM
        for k, c in enumerate(columns)
    ]
    spare = width - sum(natural)
    flexible = [k for k, c in enumerate(columns) if c.wraps] or list(range(len(columns)))
    if spare >= 0:
        air = min(spare / len(flexible), AIR_MM)
        return tuple(mm + (air if k in flexible else 0.0) for k, mm in enumerate(natural))
    # the longer a column's words, the more of the room; by the root, so that one long cell does not take all
    out = list(natural)
    room = width - sum(natural) + sum(natural[k] for k in flexible)
    for k in sorted(flexible, key=lambda k: natural[k]):
        left = [n for n in flexible if natural[n] >= natural[k]]
        share = room * math.sqrt(natural[k]) / sum(math.sqrt(natural[n]) for n in left)
        head = text_width(columns[k].head, size, bold=True) + PAD_MM
        out[k] = min(natural[k], max(share, LEAST_WRAP_MM, head))
        room -= out[k]
        flexible = [n for n in flexible if n != k]
    return tuple(out)


def _wrapped(columns: Sequence[Column], cells: Sequence[str], widths: Sequence[float], size: float) -> Row:
    out: list[tuple[str, ...]] = []
    for column, cell, width in zip(columns, cells, widths, strict=True):
        lines = wrap_text(cell, size, width - PAD_MM) if column.wraps else [cell]
        out.append(tuple(lines) or ("",))
    return tuple(out)


def _row_height(row: Sequence[Sequence[str]], size: float) -> float:
    return max(len(cell) for cell in row) * size * LINE + ROW_PAD


def _seen_from(note: str, face: Face) -> str:
    """A note of where a hole is, in the words of who looks at that face: right is left from behind."""
    if face == "cab":
        return note
    return SIDES.sub(lambda found: "right" if found[0] == "left" else "left", note)


def _bare(mm: float, units: UnitSystem) -> str:
    """A diameter without its unit, which the head names."""
    return format_short(mm, units).rpartition(" ")[0]


def _place(mm: float, units: UnitSystem) -> str:
    return fixed(mm, 2) if units == "metric" else fixed(mm / INCH_MM, 3)


def _hole_cells(hole: PanelHole, face: Face, shown: bool, units: UnitSystem) -> tuple[str, ...]:
    new = hole.status == "drill"
    what = hole.purpose if new else f"{ACTIONS[hole.status]}: {hole.purpose}"
    return (
        hole.number,
        what,
        _bare(hole.pilot_dia_mm, units) if new and hole.pilot_dia_mm else "–",
        _bare(hole.final_dia_mm, units),
        format_limits(hole.least_mm, hole.most_mm, units).rpartition(" ")[0] or "–",
        NUMBER.sub("\\1\u00a0", hole.tool) or "–",
        _place(hole.u_mm, units),
        _place(hole.v_mm, units),
        (_seen_from(hole.position_note, face) or "–") + ("" if shown else "; whole on no sheet"),
        work_words(hole, units),
    )


def table_pages(
    holes: Sequence[PanelHole],
    shown: Sequence[PanelHole],
    live: Live,
    face: Face,
    seen: str,
    type_scale: float = 1.0,
    wraps: Sequence[Wrap] = (),
    units: UnitSystem = "metric",
    reaches: Reaches = everywhere,
) -> tuple[tuple[Block, ...], ...]:
    """The blocks of each table page that fit a live area of that size (mm).

    All ``holes`` are listed; check distances run between those ``shown`` on the sheets, for a distance
    to a hole nobody sees on the paper cannot overrule it, nor one round a fold. ``face`` turns
    left and right, and ``seen`` says from where that is (`PanelLayout.seen`).
    """
    flow = TableFlow(live, SIZE * type_scale, units)
    flow.holes(holes, shown, face, seen)
    flow.checks(shown, wraps, reaches=reaches)
    return flow.pages


class TableFlow:
    """Tables one below the other, on as many pages with that live area (mm) as they need.

    ``size`` is that of the type; large type only as far as the columns still fit the sheet.
    """

    def __init__(self, live: Live, size: float, units: UnitSystem = "metric") -> None:
        self._live, self.size, self._units = live, size, units
        self._pages: list[list[Block]] = [[]]
        self._left = float(live.height)

    @property
    def pages(self) -> tuple[tuple[Block, ...], ...]:
        """The blocks of each page so far."""
        return tuple(tuple(page) for page in self._pages if page)

    def _turn(self) -> None:
        self._pages.append([])
        self._left = float(self._live.height)

    def holes(
        self,
        holes: Sequence[PanelHole],
        shown: Sequence[PanelHole],
        face: Face,
        seen: str,
        of: str = "",
    ) -> None:
        """The holes of a panel, ``seen`` from there; ``of`` names it where several stand in one file."""
        live, size, units = self._live, self.size, self._units
        texts = [_hole_cells(h, face, h in shown, units) for h in holes]
        columns = hole_columns(units)
        widths = _widths(columns, texts, live.width - 6, size)
        while sum(widths) > live.width - 6 and size > SIZE:
            size = max(SIZE, size - SHRINK)
            widths = _widths(columns, texts, live.width - 6, size)
        every = [_wrapped(columns, text, widths, size) for text in texts]
        around = TITLE_MM + HEAD_MM + 6
        if self._pages[-1] and self._left < around + sum(_row_height(r, size) for r in every[:LEAST_ROWS]):
            self._turn()
        title = f"HOLE TABLE{of}"
        for rows in _filled(every, live.height - around, size, self._left - around):
            if title.endswith(CONTINUED):
                self._turn()
            block = Block(
                title=title,
                note=NOTES[face].format("mm" if units == "metric" else "inches", seen),
                columns=columns,
                widths=widths,
                rows=rows,
                x=live.x + 3,
                size=size,
            )
            self._pages[-1].append(block)
            self._left -= _block_height(block)
            title = f"HOLE TABLE{of}{CONTINUED}"
        self.size = size

    def checks(
        self,
        shown: Sequence[PanelHole],
        wraps: Sequence[Wrap],
        of: str = "",
        reaches: Reaches = everywhere,
    ) -> None:
        """The distances to check of the panel whose holes came last; ``reaches`` tells what a rule can."""
        live, size, units = self._live, self.size, self._units
        found = checks(shown, wraps, reaches)
        lines = [(_end(c.a), _end(c.b), *_both(c.mm, units)) for c in found]
        distances = check_columns(units)
        side = max(2, int(live.width // (CHECK_MM * size / SIZE)))
        width = (live.width - 6 - (side - 1) * 4) / side
        cells = [tuple((text,) for text in line) for line in lines]
        said = f"{table_rules([h.work for h in shown], units)} {paper_alone(shown, found, wraps)}".rstrip()
        rules = wrap_text(said, size, live.width - 6)
        check_widths = _widths(distances, lines, width, size)
        while cells:
            room = self._left - TITLE_MM - HEAD_MM - 8 - RULES_LINE * size * len(rules)
            per = int(room / (size * LINE + ROW_PAD))
            if per < min(6, -(-len(cells) // side)):
                self._turn()
                continue
            per = min(per, -(-len(cells) // side))
            parts = [tuple(cells[k * per : (k + 1) * per]) for k in range(side)]
            blocks = [
                Block(
                    title=f"CHECK DISTANCES{of}" if k == 0 else "",
                    note="",
                    under=tuple(rules),
                    columns=distances,
                    widths=check_widths,
                    rows=part,
                    x=live.x + 3 + k * (width + 4),
                    size=size,
                )
                for k, part in enumerate(parts)
                if part
            ]
            self._pages[-1] += blocks
            self._left -= _block_height(blocks[0])
            cells = cells[side * per :]


def _end(hole: PanelHole) -> str:
    """Where one measures from: ``rim of B``, or the number of a new hole, of its middle."""
    return f"{RIM}{hole.number}" if at_rim(hole) else hole.number


def _both(mm: float, units: UnitSystem) -> tuple[str, str]:
    """A distance in both units, what people measure in first; no fraction among decimals of one column."""
    both = _place(mm, "metric"), _place(mm, "inch")
    return both if units == "metric" else (both[1], both[0])


def _filled(rows: Sequence[Row], room: float, size: float, first: float) -> list[tuple[Row, ...]]:
    """Rows shared out over pages with ``room`` mm for them, the first with ``first``."""
    pages: list[list[Row]] = [[]]
    left = first
    for row in rows:
        height = _row_height(row, size)
        if pages[-1] and height > left:
            pages.append([])
            left = room
        pages[-1].append(row)
        left -= height
    return [tuple(page) for page in pages]


def _top(block: Block) -> float:
    """From the top of a block down to the heads of its columns, mm."""
    return TITLE_MM + RULES_LINE * block.size * len(block.under)


def _block_height(block: Block) -> float:
    return _top(block) + HEAD_MM + 3 + sum(_row_height(row, block.size) for row in block.rows)


def tables_height(
    holes: Sequence[PanelHole],
    shown: Sequence[PanelHole],
    width: int,
    face: Face,
    seen: str,
    type_scale: float = 1.0,
    wraps: Sequence[Wrap] = (),
    units: UnitSystem = "metric",
    reaches: Reaches = everywhere,
) -> int:
    """Live height (mm) at which both tables fit one page of that live width: for a roll."""
    endless = Live(x=0.0, y=0.0, width=width, height=ENDLESS_MM)
    blocks = table_pages(holes, shown, endless, face, seen, type_scale, wraps, units, reaches)[0]
    return math.ceil(sum(_block_height(block) for block in blocks if block.title) + TABLE_END_MM)


def draw_tables(pen: Pen, blocks: Sequence[Block], live: Live) -> None:
    """Draw the blocks of one page from the top of its live area down."""
    top = live.y + live.height - 2
    below = top
    for block in blocks:
        if block.title:  # the others stand beside the one before
            top = below
        below = min(below, _draw(pen, block, top))


def _draw(pen: Pen, block: Block, top: float) -> float:
    if block.title:
        pen.text(block.x, top - 5.5, block.title, 4.6, bold=True)
        start = block.x + text_width(block.title, 4.6, bold=True) + 5
        room = pen.width - MARGIN_MM - 1.0 - start
        pen.text(start, top - 5.5, block.note, shrunk(block.note, 2.9, room))
        for k, line in enumerate(block.under, 1):
            pen.text(block.x, top - TITLE_MM + 1.2 - k * RULES_LINE * block.size, line, block.size)
    y = top - _top(block)
    lefts: list[float] = []
    x = block.x
    for wide in block.widths:
        lefts.append(x)
        x += wide
    pen.stroke(MEDIUM)
    pen.rect(block.x, y - HEAD_MM, x - block.x, HEAD_MM, fill=LIGHT)
    for left, column in zip(lefts, block.columns, strict=True):
        pen.text(left + 0.8, y - HEAD_MM + 1.5, column.head, block.size, bold=True)
    y -= HEAD_MM
    for row in block.rows:
        height = _row_height(row, block.size)
        for left, cell in zip(lefts, row, strict=True):
            for k, text in enumerate(cell):
                pen.text(
                    left + 0.8,
                    y - block.size - k * block.size * LINE - 0.15,
                    text,
                    block.size,
                    bold=left == lefts[0],
                )
        y -= height
        pen.stroke(THIN)
        pen.line(block.x, y, x, y)
    return y - 3
