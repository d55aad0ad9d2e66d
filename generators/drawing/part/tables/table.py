"""Text in rows and columns, as every table of a part drawing is drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.drawing.paper.pen import LIGHT, MEDIUM, THIN, Pen, fit_text, text_width, wrap_text

TABLE_TEXT_MM = 2.5
ROW_MM = 4.2
TITLE_MM = 5.0
NOTE_ROW_MM = 3.4
CELL_PAD_MM = 1.0
WIDEST_TEXT_MM = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Text in rows and columns; columns are as wide as their longest text."""

    name: str
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: tuple[bool, ...]
    notes: tuple[str, ...] = ()

    def widths(self) -> list[float]:
        """Column widths, mm."""
        columns = zip(self.heads, *self.rows, strict=True)
        return [
            min(
                WIDEST_TEXT_MM,
                max(text_width(t, TABLE_TEXT_MM, bold=i == 0) for i, t in enumerate(column)),
            )
            + 2 * CELL_PAD_MM
            for column in columns
        ]

    def note_lines(self) -> list[str]:
        """Notes broken to the table's width."""
        width = sum(self.widths())
        return [line for note in self.notes for line in wrap_text(note, TABLE_TEXT_MM, width)]

    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        height = TITLE_MM + ROW_MM * (len(self.rows) + 1)
        if self.notes:
            height += 1.0 + NOTE_ROW_MM * len(self.note_lines())
        return sum(self.widths()), height

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw with the upper left corner at ``(x, top)``."""
        widths = self.widths()
        pen.text(x, top - TITLE_MM + 1.6, self.title, 3.0, bold=True)
        y = top - TITLE_MM
        total = sum(widths)
        pen.stroke(THIN)
        pen.rect(x, y - ROW_MM, total, ROW_MM, fill=LIGHT, edge=False)
        for r, row in enumerate((self.heads, *self.rows)):
            left = x
            for text, width, is_left in zip(row, widths, self.left, strict=True):
                shown = fit_text(text, TABLE_TEXT_MM, width - 2 * CELL_PAD_MM + 0.01, bold=r == 0)
                base = y - ROW_MM + 1.2
                if is_left:
                    pen.text(left + CELL_PAD_MM, base, shown, TABLE_TEXT_MM, bold=r == 0)
                else:
                    pen.text(
                        left + width - CELL_PAD_MM, base, shown, TABLE_TEXT_MM, bold=r == 0, align="right"
                    )
                left += width
            y -= ROW_MM
            pen.stroke(THIN)
            pen.line(x, y, x + total, y)
        upper = top - TITLE_MM
        left = x
        for width in widths[:-1]:
            left += width
            pen.line(left, upper, left, y)
        pen.stroke(MEDIUM)
        pen.rect(x, y, total, upper - y)
        for line in self.note_lines():
            y -= NOTE_ROW_MM
            pen.text(x, y, line, TABLE_TEXT_MM)

    def split(self, height: float) -> list[Table]:
        """The same table in pieces no higher than ``height`` mm."""
        spare = height - (self.size()[1] - ROW_MM * len(self.rows))
        count = max(1, int(spare // ROW_MM))
        if count >= len(self.rows):
            return [self]
        # alike in length, so that no row stands alone
        count = math.ceil(len(self.rows) / math.ceil(len(self.rows) / count))
        return [
            Table(
                name=f"{self.name}{i}",
                title=self.title if i == 0 else f"{self.title} (continued)",
                heads=self.heads,
                rows=self.rows[i : i + count],
                left=self.left,
                notes=self.notes,
            )
            for i in range(0, len(self.rows), count)
        ]
