"""Tables of a finished drawing, read by where words stand: a column's cells end or begin with its head."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from generators.verify.pdf.content import Content, PdfFile, Word

ALIGNED_MM = 0.4
"""Boxes are those of the ink: letters differ by so much in what they leave free at their sides."""

ROW_MM = 4.2
"""The step of the rows."""

BELOW_MM, OVER_MM = 1.0, 2.6
"""Where the middle of a word may lie off its row's line of writing."""

Row = dict[str, str]


def table_rows(pdf: PdfFile, heads: Sequence[str], also: Sequence[str] = ()) -> list[Row]:
    """Every row of every table that has ``heads`` side by side, as texts by head, in reading order.

    The first head's column must have a word in every row. ``also`` are heads a table may have or not.
    """
    return [row for page in pdf.pages for row in _page_rows(page, heads, also)]


def _page_rows(page: Content, heads: Sequence[str], also: Sequence[str]) -> Iterator[Row]:
    words = [w for w in page.words if w.text.strip()]
    firsts = sorted((w for w in words if w.text.strip() == heads[0]), key=lambda w: (w.box[0], -w.box[1]))
    for first in firsts:
        level = sorted(
            (w for w in words if w.box[0] >= first.box[0] and _on(w, first.box[1])), key=lambda w: w.box[0]
        )
        columns = _columns(level, heads, also)
        if columns is None:
            continue
        for number in itertools.count(1):
            base = columns[heads[1]].box[1] - number * ROW_MM
            row = {h: cell for h, column in columns.items() if (cell := _cell(words, column, base))}
            if heads[0] not in row:
                break
            yield row


def _on(word: Word, base: float) -> bool:
    """True for a word on the line of writing at that height."""
    return base - BELOW_MM < (word.box[1] + word.box[3]) / 2 < base + OVER_MM


def _columns(level: Sequence[Word], heads: Sequence[str], also: Sequence[str]) -> dict[str, Word] | None:
    """The nearest head of each name right of the first, if they are all there before one comes again."""
    out: dict[str, Word] = {}
    for word in level:
        text = word.text.strip()
        if text in out:
            break
        if text in heads or text in also:
            out[text] = word
    return out if all(head in out for head in heads) else None


def _cell(words: Sequence[Word], column: Word, base: float) -> str:
    found = (
        w.text.strip()
        for w in words
        if _on(w, base) and min(abs(w.box[0] - column.box[0]), abs(w.box[2] - column.box[2])) < ALIGNED_MM
    )
    return next(found, "")
