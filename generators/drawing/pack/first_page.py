"""Page one of a pack: whose it is, what is in the box, is the print true, what follows, how to lay it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generators.drawing.pack.choice import Head, SheetSet
from generators.drawing.pack.entries import Entry, why_words
from generators.drawing.paper.furniture import (
    BAND_MM,
    BARS,
    JOIN,
    MARGIN_MM,
    PLAIN,
    PRINTED_FOR,
    SMALL,
    Words,
    band,
    shrunk,
    tick_arrows,
)
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import THIN, Pen, wrap_text
from generators.drawing.paper.sizes import PaperChoice
from generators.drawing.paper.waived import MARK, shorter_lists
from generators.drawing.template.cover import (
    STUB_MM,
    TITLE,
    cover_size,
    cover_test,
    draw_cautions,
    draw_readings,
    draw_triangle,
)
from generators.drawing.template.patches import LAY
from generators.model.words import Face

LIST_MM = 2.95
LEAST_LIST_MM = 2.6
SHARES = (0.09, 0.25, 0.22, 0.13, 0.31)
HEADS = ("page", "sheet", "panel", "side", "for")
FIELD_MM = 24.0
BARS_UP_MM = (8.0, 17.0)
BARS_MM = 24.0
FOR_WHOM = (
    "For whoever drills and fits. Print this file, all of it or the pages you need, and nothing else: it has "
    "every hole once. Work by the install sheet at its end."
)
LIST_TITLE = "THESE SHEETS FOLLOW, IN THIS ORDER"
BOX_TITLE = "IN THE BOX"
ONE_SIDE = "Print on one side of the paper only, on one printer, at 100 %."
OTHERS = (
    "The folder panels/ has other sheets with the same holes, and those of the engine bay to check by: you "
    "need none of them. Drill by one set only."
)
BAY = "Sheets headed ENGINE FACE are marked and drilled from the engine bay, all others from inside the cab."
ROLLED = "The sheets to lay on the metal come off the roll, and this page with them; print the rest on {}."


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPage:
    """What page one says beside the list: ``box`` are kinds of things with their words.

    ``reading`` names the paper of the pages one reads, where it is not that of the sheets.
    """

    box: tuple[tuple[str, str], ...] = ()
    contact: str = ""
    reading: str = ""
    type_scale: float = 1.0


def how_words(sets: Sequence[SheetSet], page: FirstPage) -> tuple[str, ...]:
    """How to print and lay the sheets of this job, and no others."""
    leaves = [leaf for found in sets for leaf in found.way.leaves]
    out = [ONE_SIDE]
    if page.reading:
        out.append(ROLLED.format(page.reading))
    if any(leaf.cell is not None for leaf in leaves):
        out.append(f"Joined sheets. {JOIN}")
    if any(leaf.laid for leaf in leaves):
        out.append(f"Loose sheets. {LAY}")
    if any(found.face == "engine" for found in sets):
        out.append(BAY)
    return (*out, OTHERS)


def draw_first_page(
    pen: PdfPen,
    choice: PaperChoice,
    head: Head,
    page: FirstPage,
    sets: Sequence[SheetSet],
    entries: Sequence[Entry],
    count: int,
) -> tuple[Entry, ...]:
    """Begin page one and draw it; returns the lines of the list that found no room."""
    width, height = cover_size(choice)
    pen.page(width, height, lying=False, on=choice.sheet_of(width, height))
    test = cover_test(choice)
    left, right, top = MARGIN_MM, pen.width - MARGIN_MM, pen.height - MARGIN_MM
    where = f"scale test, list of sheets · paper {choice.name}"
    band(pen, "PRINT ME", left, top - BAND_MM, right - left, where, f"page 1 of {count} of the pack")
    x0, y0 = max(MARGIN_MM + 1.0, (pen.width - test.across_mm) / 2 - 5.0), MARGIN_MM + 5.0
    draw_triangle(pen, test, x0, y0)
    room = test.across_mm - 14.0
    y = _about(pen, head, page, x0, top - BAND_MM - 2.0, room)
    pen.text(x0, y - 4.6, TITLE, PLAIN * 1.25, bold=True)
    words = _words(head, choice)
    y = draw_readings(pen, words, test, x0, y - 5.6, room)
    _bars(pen, x0 + STUB_MM + 4, y0)
    foot = draw_cautions(pen, x0 + STUB_MM + 4, y0 + BARS_MM, room - STUB_MM - 4) + 1.5
    size = SMALL * 1.05
    last = [
        line for text in (*why_words(sets), *how_words(sets, page)) for line in wrap_text(text, size, room)
    ]
    under = len(last) * size * 1.32 + 2.0
    waived = [*shorter_lists(head.waived, room)] if head.waived else []
    shown = next((w for w in waived if y - foot - under - w.size()[1] > 60.0), waived[-1] if waived else None)
    if shown is not None:
        under += shown.size()[1] + 2.0
    rest, y = _list(pen, entries, (x0, y, room, y - foot - under), page.type_scale)
    if shown is not None:
        shown.draw(pen, x0, y - 1.0)
        y -= shown.size()[1] + 2.0
    for line in last:
        y -= size * 1.32
        pen.text(x0, y, line, size)
    return rest


def _words(head: Head, choice: PaperChoice) -> Words:
    """Of a page that belongs to no panel."""
    note = PRINTED_FOR.format(head.printer.name) if head.printer is not None else ""
    return Words(
        face="PRINT ME",
        job=head.job,
        panel="",
        material="",
        revision=head.revision,
        paper=choice.name,
        witness_note="",
        printer_note=note,
        waived=head.waived,
    )


def _about(pen: Pen, head: Head, page: FirstPage, x: float, top: float, room: float) -> float:
    """Whose it is and what is in the box; returns the lower edge."""
    y = top - 5.4
    pen.text(x, y, head.job, shrunk(head.job, 5.2, room, bold=True), bold=True)
    size = SMALL * 1.08
    lines = [(f"{FOR_WHOM} Revision {head.revision} on every page.", False)]
    if page.contact:
        lines.append((f"Questions: {page.contact}", True))
    if head.printer is not None:
        lines.append((PRINTED_FOR.format(head.printer.name), True))
    if head.waived:
        lines.append((f"{MARK} below", True))
    for text, bold in lines:
        for line in wrap_text(text, size, room, bold=bold):
            y -= size * 1.32
            pen.text(x, y, line, size, bold=bold)
    if page.box:
        y -= size * 1.32 + 1.2
        pen.text(x, y, BOX_TITLE, PLAIN, bold=True)
        for kind, text in page.box:
            for line in wrap_text(f"{kind}: {text}", size, room):
                y -= size * 1.28
                pen.text(x, y, line, size)
    return y - 1.5


def _bars(pen: Pen, x: float, y: float) -> None:
    """One bar in mm and one in inch, each with a line to write what it measures."""
    for (label, length), up in zip(BARS, reversed(BARS_UP_MM), strict=True):
        unit = label.split()[1]
        tick_arrows(pen, (x, y + up), (x + length, y + up))
        pen.text(x + length / 2, y + up + 1.2, label, PLAIN, bold=True, align="centre")
        field = x + BARS[1][1] + 5.0
        pen.text(field, y + up - 1.0, "measures", SMALL)
        pen.stroke(THIN)
        pen.line(field + 13.0, y + up - 1.6, field + FIELD_MM, y + up - 1.6)
        pen.text(field + FIELD_MM + 1.0, y + up - 1.0, unit, SMALL)


Row = tuple[Entry, tuple[tuple[str, ...], ...]]


def _rows(entries: Sequence[Entry], room: float, size: float) -> list[Row]:
    """Each line of the list with its cells broken into lines."""
    widths = [room * share - 2.0 for share in SHARES]
    return [
        (e, tuple(tuple(wrap_text(cell, size, w)) for cell, w in zip(e.cells, widths, strict=True)))
        for e in entries
    ]


def _height(row: Row, size: float) -> float:
    return max(len(lines) for lines in row[1]) * size * 1.25 + 0.9


def _list(
    pen: Pen, entries: Sequence[Entry], room: tuple[float, float, float, float], type_scale: float
) -> tuple[tuple[Entry, ...], float]:
    """Draw the list as large as asked for if it has room; returns what is left over, and the lower edge."""
    x, top, width, height = room
    pen.text(x, top - 4.0, LIST_TITLE, PLAIN * 1.25, bold=True)
    height -= 6.0
    size = LIST_MM * type_scale
    while True:
        rows = _rows(entries, width, size)
        if sum(_height(row, size) for row in rows) + size * 1.6 <= height or size <= LEAST_LIST_MM:
            break
        size = max(LEAST_LIST_MM, size - 0.05)
    return draw_list(pen, rows, (x, top - 6.0, width, height), size)


def draw_list(
    pen: Pen, rows: Sequence[Row], room: tuple[float, float, float, float], size: float
) -> tuple[tuple[Entry, ...], float]:
    """Draw lines of the list as long as there is room; returns what is left over, and the lower edge."""
    x, y, width, height = room
    low = y - height
    lefts = [x + width * sum(SHARES[:k]) for k in range(len(SHARES))]
    y -= size * 1.3
    for left, text in zip(lefts, HEADS, strict=True):
        pen.text(left, y, text, size, bold=True)
    y -= 0.8
    pen.stroke(THIN)
    pen.line(x, y, x + width, y)
    for k, row in enumerate(rows):
        if y - _height(row, size) < low:
            return tuple(entry for entry, _ in rows[k:]), y
        for left, lines in zip(lefts, row[1], strict=True):
            for n, line in enumerate(lines):
                pen.text(left, y - size * (1.0 + 1.25 * n) - 0.2, line, size, bold=left == x)
        y -= _height(row, size)
        pen.line(x, y, x + width, y)
    return (), y - 1.0


def draw_more(
    pen: PdfPen,
    choice: PaperChoice,
    head: Head,
    entries: Sequence[Entry],
    number: int,
    count: int,
) -> tuple[Entry, ...]:
    """A further page of the list; returns what found no room."""
    room = plain_page(pen, choice, head, "SHEETS, continued", "list of sheets", number, count)
    return draw_list(pen, _rows(entries, room[2], LIST_MM), room, LIST_MM)[0]


def plain_page(
    pen: PdfPen,
    choice: PaperChoice,
    head: Head,
    name: Face | str,
    where: str,
    number: int,
    count: int,
) -> tuple[float, float, float, float]:
    """Begin a page one reads; returns its free area: left edge, upper edge, width, height."""
    width, height = choice.drawn_mm[0], choice.drawn_mm[1] or 0.0
    pen.page(width, height, lying=False, on=choice.sheet_of(width, height))
    left, right, top = MARGIN_MM, width - MARGIN_MM, height - MARGIN_MM
    numbered = f"page {number} of {count} of the pack"
    band(pen, name, left, top - BAND_MM, right - left, f"{where} · paper {choice.name}", numbered)  # type: ignore[arg-type]
    about = f"{head.job} · revision {head.revision}" + (f" · {MARK} on page 1" if head.waived else "")
    if head.printer is not None:
        about += f" · {PRINTED_FOR.format(head.printer.name)}"
    y = top - BAND_MM - 4.6
    pen.text(left, y, about, shrunk(about, PLAIN, right - left))
    foot = draw_cautions(pen, left, MARGIN_MM, right - left) + 1.5
    return left, y - 2.0, right - left, y - 2.0 - foot
