"""Page one of a pack: whose it is, what is in the box, is the print true, what follows, how to lay it."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas

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
from generators.drawing.paper.pen import THIN, Pen, text_width, wrap_text
from generators.drawing.paper.sizes import PaperChoice
from generators.drawing.paper.waived import MARK, WaivedList, shorter_lists
from generators.drawing.template.cover import (
    STUB_MM,
    TITLE,
    cover_size,
    cover_test,
    draw_cautions,
    draw_readings,
    draw_triangle,
)
from generators.model.words import Face

LEADING = 1.3
SCALE_TITLE_MM = 5.6
LIST_TITLE_MM = 6.0
LEAST_ROOM_MM = 60.0
LIST_MM = 2.95
LEAST_LIST_MM = 2.6
SHARES = (0.09, 0.2, 0.17, 0.09)
"""Of the width, the most that each column but the last may take."""

WORD_SHARE = 0.14
"""What a column may take more than its share so that no word is broken in it, in large type."""

HEADS = ("page", "sheet", "panel", "side", "for")
FIELD_MM = 24.0
SCALE_STEP = 0.05
COLUMN_GAP_MM = 2.0
BOX_TYPE, HOW_TYPE = 1.08, 1.05
"""Of the least type, where there is room for more."""

BARS_UP_MM = (8.0, 17.0)
BARS_MM = 24.0
FOR_WHOM = (
    "For whoever drills and fits. Print this file, all of it or the pages you need, and no other paper of "
    "the job: it has every hole of a panel once; what is drilled elsewhere is at its step. {page}"
)
FOR_WHOM_PRINTED = (
    "For whoever drills and fits. This file comes printed, in {}: measure the three lengths below all the "
    "same before you drill by it, and print it again only where they are wrong or a page is spoiled. It has "
    "every hole of a panel once; what is drilled elsewhere is at its step. {page}"
)
WORK_BY = (
    "Work by the install sheet at its end, or by the page install.html on a phone: the same steps with the "
    "same numbers."
)
LIST_TITLE = "THESE SHEETS FOLLOW, IN THIS ORDER"
BOX_TITLE = "IN THE BOX"
BOXES_TITLE = "IN THE {} BOXES"
HOW_TITLE = "HOW TO PRINT AND LAY THEM"
ONE_SIDE = ("One side.", "Print on one side of the paper only, on one printer, at 100 %.")
WHY = "Why these."
JOINED = JOIN.removeprefix("Join: ")
OTHERS = (
    "No others.",
    "The folder panels/ has other sheets with the same holes, and those of the engine bay to check by: you "
    "need none of them. Drill by one set only.",
)
NO_OTHERS = ("No others.", "Every hole is on these sheets once: drill by them and by no other print of it.")
LOOSE = (
    "Loose sheets.",
    "Cut each to a handy size. Lay it by the existing holes on it; where it has one or none, by the "
    "distances written in its head too, which go to the rim of an existing hole whatever sits in it: "
    "the edge of its metal, a grommet's lip pushed aside.",
)
BAY = (
    "Engine bay.",
    "Sheets headed ENGINE FACE are marked and drilled from the engine bay, all others from inside the cab.",
)
ROLLED = (
    "Paper.",
    "This page and the sheets to lay on the metal come off the roll; the pages to read are {}: print those "
    "by themselves.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPage:
    """What page one says beside the list: ``box`` are kinds of things with their words.

    ``reading`` names the paper of the pages one reads, where it is not that of the sheets. Of a kit ``boxes``
    are how many boxes it comes in, ``printed`` is where the sheets lie that come printed.
    """

    box: tuple[tuple[str, str], ...] = ()
    contact: str = ""
    reading: str = ""
    type_scale: float = 1.0
    boxes: int = 0
    printed: str = ""


def how_words(sets: Sequence[SheetSet], page: FirstPage) -> tuple[tuple[str, str], ...]:
    """How to print and lay the sheets of this job, and no others: a few words in bold, and the rest."""
    leaves = [leaf for found in sets for leaf in found.way.leaves]
    out = [ONE_SIDE]
    out += [(ROLLED[0], ROLLED[1].format(page.reading))] if page.reading else []
    if any(leaf.cell is not None for leaf in leaves):
        out.append(("Joined sheets.", f"{JOINED[0].upper()}{JOINED[1:]}"))
    if any(leaf.laid for leaf in leaves):
        out.append(LOOSE)
    if any(found.face == "engine" for found in sets):
        out.append(BAY)
    last = ((WHY, " ".join(why_words(sets))), NO_OTHERS if page.boxes else OTHERS) if sets else ()
    return (*out, *last)


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
    test = cover_test(choice, head.units)
    left, right, top = MARGIN_MM, pen.width - MARGIN_MM, pen.height - MARGIN_MM
    where = f"scale test, list of sheets · paper {choice.name}"
    band(pen, "PRINT ME", left, top - BAND_MM, right - left, where, f"page 1 of {count} of the pack")
    x0, y0 = max(MARGIN_MM + 1.0, (pen.width - test.across_mm) / 2 - 5.0), MARGIN_MM + 5.0
    draw_triangle(pen, test, x0, y0)
    room = test.across_mm - 14.0
    words = _words(head, choice)
    _bars(pen, words, x0 + STUB_MM + 4, y0)
    foot = draw_cautions(pen, x0 + STUB_MM + 4, y0 + BARS_MM, room - STUB_MM - 4) + 1.5
    top -= BAND_MM + 2.0
    scale, came = page.type_scale, bool(page.printed)
    ways = [(scale, close) for scale in _scales(page.type_scale) for close in (False, True)]
    for scale, close in ways:
        readings = -draw_readings(nowhere(), words, test, 0.0, 0.0, room, close=close, printed=came)
        # where room is short the type of all words is the least there is, before lines go to another page
        above = _about(head, page, room, SMALL * scale * (1.0 if close else BOX_TYPE))
        below = _how(sets, page, room, SMALL * scale * (1.0 if close else HOW_TYPE))
        free = top - foot - readings - SCALE_TITLE_MM - _tall(above) - _tall(below)
        waived = _waived(head, room, free)
        free -= waived.size()[1] + 2.0 if waived is not None else 0.0
        least = LEAST_LIST_MM if scale <= 1.0 else LIST_MM * scale
        if _list_height(entries, room, least) <= free:
            break
    y = _put(pen, above, x0, top)
    pen.text(x0, y - 4.6, TITLE, PLAIN * 1.25, bold=True)
    y = draw_readings(pen, words, test, x0, y - SCALE_TITLE_MM, room, close=close, printed=came)
    rest, y = _list(pen, entries, (x0, y, room, free), scale)
    if waived is not None:
        waived.draw(pen, x0, y - 1.0)
        y -= waived.size()[1] + 2.0
    _put(pen, below, x0, y)
    return rest


def _scales(largest: float) -> list[float]:
    """Type scales to try, the largest first, down to the plain size."""
    steps = max(0, math.ceil((largest - 1.0) / SCALE_STEP - 1e-9))
    return [max(1.0, largest - SCALE_STEP * k) for k in range(steps + 1)]


def nowhere() -> PdfPen:
    """A pen on a page that is never written, to learn how much room something takes."""
    return PdfPen.pages_on(Canvas(io.BytesIO()))


def _waived(head: Head, room: float, free: float) -> WaivedList | None:
    """The list of waived rules, as fully as leaves the list of sheets its room."""
    lists = list(shorter_lists(head.waived, room)) if head.waived else []
    return next((x for x in lists if free - x.size()[1] > LEAST_ROOM_MM), lists[-1] if lists else None)


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
        units=head.units,
    )


Line = tuple[str, str, float, float]
"""Of a text: words in bold, words after them, the size of the type, the room above it; mm."""


def _led(lead: str, text: str, size: float, room: float) -> list[Line]:
    """A text that begins with words in bold."""
    indent = text_width(f"{lead} ", size, bold=True) if lead else 0.0
    first, rest = "", text.split()
    while rest and text_width(f"{first} {rest[0]}", size) <= room - indent:
        first = f"{first} {rest.pop(0)}".strip()
    more = wrap_text(" ".join(rest), size, room)
    return [(lead, first, size, 0.0), *(("", line, size, 0.0) for line in more)]


def _tall(lines: Sequence[Line]) -> float:
    return sum(size * LEADING + gap for _, _, size, gap in lines) + 1.5


def _put(pen: Pen, lines: Sequence[Line], x: float, y: float) -> float:
    """Write lines one below the other; returns their lower edge."""
    for bold, plain, size, gap in lines:
        y -= size * LEADING + gap
        if bold:
            pen.text(x, y, bold, size, bold=True)
        indent = text_width(f"{bold} ", size, bold=True) if bold else 0.0
        if plain:
            pen.text(x + indent, y, plain, size)
    return y - 1.5


def _about(head: Head, page: FirstPage, room: float, size: float) -> list[Line]:
    """Whose it is and what is in the box."""
    out: list[Line] = [(head.job, "", shrunk(head.job, 5.2, room, bold=True), 0.0)]
    whom = (FOR_WHOM_PRINTED if page.printed else FOR_WHOM).format(page.printed, page=WORK_BY)
    out += _led("", f"{whom} Every page of this file says revision {head.revision}.", size, room)
    if page.contact:
        out += _led("Questions:", page.contact, size, room)
    if head.printer is not None:
        out += [
            (line, "", size, 0.0)
            for line in wrap_text(PRINTED_FOR.format(head.printer.name), size, room, bold=True)
        ]
    if head.waived:
        out.append((f"{MARK} below", "", size, 0.0))
    if page.box:
        title = BOXES_TITLE.format(page.boxes) if page.boxes > 1 else BOX_TITLE
        out.append((title, "", PLAIN, 1.2))
        for kind, text in page.box:
            out += _led(f"{kind}:", text, size, room)
    return out


def _how(sets: Sequence[SheetSet], page: FirstPage, room: float, size: float) -> list[Line]:
    """How to print and lay the sheets, under a heading."""
    out: list[Line] = [(HOW_TITLE, "", PLAIN * 1.25, 1.5)]
    for lead, text in how_words(sets, page):
        out += _led(lead, text, size, room)
    return out


def _bars(pen: Pen, words: Words, x: float, y: float) -> None:
    """One bar in mm and one in inch, each with a line to write what it measures."""
    for (label, length), up in zip(words.bars, reversed(BARS_UP_MM), strict=True):
        unit = label.split()[1]
        tick_arrows(pen, (x, y + up), (x + length, y + up))
        pen.text(x + length / 2, y + up + 1.2, label, PLAIN, bold=True, align="centre")
        field = x + BARS[1][1] + 5.0
        pen.text(field, y + up - 1.0, "measures", SMALL)
        pen.stroke(THIN)
        pen.line(field + 13.0, y + up - 1.6, field + FIELD_MM, y + up - 1.6)
        pen.text(field + FIELD_MM + 1.0, y + up - 1.0, unit, SMALL)


Row = tuple[Entry, tuple[tuple[str, ...], ...]]


def _widths(entries: Sequence[Entry], room: float, size: float) -> list[float]:
    """Of the columns: page numbers unbroken, each other as its words up to its share, the last the rest."""
    need = []
    for column, head, share in zip(
        zip(*(e.cells for e in entries), strict=True), HEADS, SHARES, strict=False
    ):
        first = head == HEADS[0]
        whole, word = (
            max(text_width(head, size, bold=True), *(text_width(text, size, bold=first) for text in of))
            for of in (column, " ".join(column).split())
        )
        most = room if first else max(share * room, min(word + COLUMN_GAP_MM, WORD_SHARE * room))
        need.append(min(whole + COLUMN_GAP_MM, most))
    return [*need, room - sum(need)]


def _rows(entries: Sequence[Entry], room: float, size: float) -> list[Row]:
    """Each line of the list with its cells broken into lines."""
    widths = [width - COLUMN_GAP_MM for width in _widths(entries, room, size)]
    return [
        (e, tuple(tuple(wrap_text(cell, size, w)) for cell, w in zip(e.cells, widths, strict=True)))
        for e in entries
    ]


def _height(row: Row, size: float) -> float:
    return max(len(lines) for lines in row[1]) * size * 1.25 + 0.9


def _list_height(entries: Sequence[Entry], room: float, size: float) -> float:
    """What the whole list takes with its heading, mm."""
    return LIST_TITLE_MM + size * 1.6 + 1.0 + sum(_height(row, size) for row in _rows(entries, room, size))


def _list(
    pen: Pen, entries: Sequence[Entry], room: tuple[float, float, float, float], scale: float
) -> tuple[tuple[Entry, ...], float]:
    """Draw the list, smaller where that makes it fit; returns what is left over, and the lower edge."""
    x, top, width, height = room
    pen.text(x, top - 4.0, LIST_TITLE, PLAIN * 1.25, bold=True)
    size = LIST_MM * scale
    while size > LEAST_LIST_MM and _list_height(entries, width, size) > height:
        size = max(LEAST_LIST_MM, size - 0.05)
    rows = _rows(entries, width, size)
    return draw_list(pen, rows, (x, top - LIST_TITLE_MM, width, height - LIST_TITLE_MM), size)


def draw_list(
    pen: Pen, rows: Sequence[Row], room: tuple[float, float, float, float], size: float
) -> tuple[tuple[Entry, ...], float]:
    """Draw lines of the list as long as there is room; returns what is left over, and the lower edge."""
    x, y, width, height = room
    low = y - height
    widths = _widths([entry for entry, _ in rows], width, size)
    lefts = [x + sum(widths[:k]) for k in range(len(widths))]
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
    band(pen, name, left, top - BAND_MM, right - left, f"{where} · paper {choice.name}", numbered)
    about = f"{head.job} · revision {head.revision}" + (f" · {MARK} on page 1" if head.waived else "")
    if head.printer is not None:
        about += f" · {PRINTED_FOR.format(head.printer.name)}"
    y = top - BAND_MM - 4.6
    pen.text(left, y, about, shrunk(about, PLAIN, right - left))
    foot = draw_cautions(pen, left, MARGIN_MM, right - left) + 1.5
    return left, y - 2.0, right - left, y - 2.0 - foot
