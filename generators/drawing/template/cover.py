"""Page one of a template: is the print true, and which sheets follow, each with its small picture.

The three lengths to measure are a right-angled triangle whose lower left, lower right and upper right
corners are ticks; who made the sheets puts the readings into ``pedalplate calibrate``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.drawing.paper.furniture import (
    BAND_MM,
    MARGIN_MM,
    PLAIN,
    SMALL,
    Words,
    band,
    shrunk,
    tick_arrows,
)
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THIN, Pen, wrap_text
from generators.drawing.paper.signs import draw_legend
from generators.drawing.paper.sizes import PaperChoice, paper_choices
from generators.drawing.paper.waived import MARK, shorter_lists
from generators.drawing.template.view import legend
from generators.geometry.contours import Placement, polyline, transformed
from generators.geometry.printing import PAGE_ENDS_MM, ScaleTest, scale_test
from generators.model.install import ScaleLengths
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.titles import asked
from generators.model.words import CAUTIONS, NEW, Face
from generators.units import UNIT_SYSTEMS, UnitSystem

LEAST_THUMB_MM = 14.0
HEADING_MM, ROW_MM, NAMED_MM = 7.0, 4.0, 60.0
READING_LINE_MM, READING_FROM_MM, READING_TO_MM = 7.0, 68.0, 104.0
CLOSE_LINE_MM = 5.0
"""Lines to write on where room is short: still apart enough for a pencil (common practice, no source)."""

CAPTION_MM = 7.4
GUTTER_MM = 4.0
STUB_MM = 22.0
TITLE = "SCALE TEST: PRINT THIS PAGE FIRST"
STEPS = (
    "1. Print this page alone, at 100 %, no fit-to-page.",
    "2. With a steel rule measure the three lengths between the ticks and write them here.",
    "3. All three right to {right}: print the rest the same way, on the same printer.",
    "4. Otherwise do not drill by it. Give the three readings to {asked}: the next sheets come out true on "
    "your printer.",
)
CAME_PRINTED = "1. It came printed. If you print it again: this page alone first, at 100 %, no fit-to-page."
OF_PRINTED = (
    CAME_PRINTED,
    STEPS[1],
    "3. All three right to {right}: drill by these sheets. Printed again: print the rest the same way, on "
    "the same printer.",
    STEPS[3],
)
RIGHT: dict[UnitSystem, str] = {"metric": "half a millimetre", "inch": "1/64 in"}
"""How true each of the three lengths must be: what a steel rule shows by eye (common practice, no source)."""

NOTHING_NEW = "Nothing to drill with this set: hold it to the metal; every ring must lie round its hole."
USES = {
    "cab": "Drill by one set only, this one, the patches or the sheet round the fold: all show the same "
    "holes. Order of work and deburring: install sheet.",
    "engine": "For checking from behind that nothing is in the way, and for holes whose label does not say "
    "to drill from the cab side. The same holes as on the cab set: no hole is drilled twice.",
}
CORRECTED = (
    *STEPS[:3],
    "4. Otherwise do not drill by it. This page is corrected already, so its readings are of no use: ask "
    "{asked} for a plain scale test and measure that one.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Thumb:
    """One sheet of the list: its page, where it lies, its tile in panel mm and the holes on it.

    ``cell`` is its column and row among the sheets it is joined to, as seen on the paper.
    """

    number: int
    where: str
    box: tuple[int, int, int, int]
    holes: tuple[PanelHole, ...]
    cell: tuple[int, int] | None = None


def cover_size(choice: PaperChoice) -> tuple[float, float]:
    """Page of the scale test, mm: what is drawn on of an upright sheet, or as long as it needs off a roll."""
    width, height = choice.drawn_mm
    if height is not None:
        return width, height
    up = max(scale_test(choice.width_mm, 10 * choice.width_mm, units).up_mm for units in UNIT_SYSTEMS)
    return choice.width_mm, up + PAGE_ENDS_MM


def cover_test(choice: PaperChoice, units: UnitSystem = "metric") -> ScaleTest:
    """The triangle printed on that paper, for people who measure in ``units``."""
    width, height = choice.drawn_mm
    return scale_test(width, 10 * width if height is None else height, units)


def lengths_of(paper: str, test: ScaleTest) -> ScaleLengths:
    """The three lengths of a scale test as page one prints them and the steps repeat them."""
    return ScaleLengths(
        paper=paper,
        across=test.said(test.across_mm),
        up=test.said(test.up_mm),
        diagonal=test.said(test.diagonal_mm),
        right=RIGHT[test.units],
    )


def draw_cover(
    pen: Pen, words: Words, test: ScaleTest, count: int, layout: PanelLayout | None, thumbs: Sequence[Thumb]
) -> None:
    """Everything on the page that was just begun; ``count`` is the number of pages of the file."""
    left, right = MARGIN_MM, pen.width - MARGIN_MM
    top = pen.height - MARGIN_MM
    band(
        pen,
        words.face,
        left,
        top - BAND_MM,
        right - left,
        f"scale test · paper {words.paper}",
        f"page 1 of {count}",
    )
    x0 = max(MARGIN_MM + 1.0, (pen.width - test.across_mm) / 2 - 5.0)
    y0 = MARGIN_MM + 5.0
    draw_triangle(pen, test, x0, y0)
    width = test.across_mm - 14.0
    y = _words(pen, words, test, x0, top - BAND_MM - 2.0, width)
    if layout is not None:
        use = USES[words.face] if any(h.status in NEW for h in layout.holes) else NOTHING_NEW
        face: Face = "engine" if words.face == "engine" else "cab"
        means = legend((layout, face, t.box) for t in thumbs)
        for text, bold in ((use, True), (means, False)):
            for line in wrap_text(text, SMALL * 1.05, width - 4):
                y -= SMALL * 1.4
                pen.text(x0, y, line, SMALL * 1.05, bold=bold)
        y = draw_legend(pen, layout.holes, x0, y - 1.5, width - 4, SMALL) - 2.0
    foot = draw_cautions(pen, x0 + STUB_MM + 4, y0 + 8.0, width - STUB_MM - 4)
    if words.waived:
        y -= _waived(pen, words, thumbs, (x0, y, width, y - foot - 5.0))
    if layout is not None:
        _thumbs(pen, layout, words.face == "engine", thumbs, (x0, foot + 3.0, width, y - foot - 5.0))


def _waived(
    pen: Pen, words: Words, thumbs: Sequence[Thumb], room: tuple[float, float, float, float]
) -> float:
    """List what was waived, as fully as the sheets' list leaves room for; returns the height it takes."""
    x0, top, width, free = room
    lists = list(shorter_lists(words.waived, width - 4.0))
    heights = [found.size()[1] + 3.0 for found in lists]
    rooms = [free - HEADING_MM - height for height in heights]
    fits = [k for k, room_mm in enumerate(rooms) if _pictured(thumbs, width, room_mm)[1] >= LEAST_THUMB_MM]
    fits += [k for k, room_mm in enumerate(rooms) if _rows(thumbs, width) * ROW_MM <= room_mm]
    best = fits[0] if fits else len(lists) - 1
    lists[best].draw(pen, x0, top)
    return heights[best]


def draw_triangle(pen: Pen, test: ScaleTest, x0: float, y0: float) -> None:
    """The three lengths to measure, their lower left corner at ``(x0, y0)``."""
    corner, end = (x0 + test.across_mm, y0), (x0 + test.across_mm, y0 + test.up_mm)
    tick_arrows(pen, (x0, y0), corner)
    tick_arrows(pen, corner, end)
    pen.text(
        x0 + test.across_mm / 2,
        y0 + 1.4,
        f"ACROSS {test.said(test.across_mm)}",
        PLAIN,
        bold=True,
        align="centre",
    )
    pen.text(
        corner[0] - 1.4,
        y0 + test.up_mm / 2,
        f"UP {test.said(test.up_mm)}",
        PLAIN,
        bold=True,
        align="centre",
        angle_deg=90,
    )
    # only the two ends of the long side: the rule lies between them, and the words stay legible
    du, dv = test.across_mm / test.diagonal_mm, test.up_mm / test.diagonal_mm
    pen.stroke(THIN)
    pen.line(x0, y0, x0 + STUB_MM * du, y0 + STUB_MM * dv)
    pen.line(end[0] - STUB_MM * du, end[1] - STUB_MM * dv, *end)
    for (x, y), sign in (((x0, y0), 1), (end, -1)):
        back = (x + sign * 4 * du, y + sign * 4 * dv)
        pen.polygon(
            [(x, y), (back[0] - 1.1 * dv, back[1] + 1.1 * du), (back[0] + 1.1 * dv, back[1] - 1.1 * du)],
            fill=BLACK,
            edge=False,
        )
    angle = math.degrees(math.atan2(dv, du))
    pen.text(
        x0 + 6 * du - 1.2 * dv,
        y0 + 6 * dv + 1.2 * du,
        f"DIAGONAL {test.said(test.diagonal_mm)}",
        SMALL,
        angle_deg=angle,
    )


def _words(pen: Pen, words: Words, test: ScaleTest, x: float, top: float, width: float) -> float:
    y = top - 5.2
    pen.text(x, y, TITLE, 5.0, bold=True)
    about = f"{words.panel} · {words.job} · revision {words.revision}"
    lines = [about] if words.job else []
    lines += [words.printer_note] if words.printer_note else []
    lines += [f"{MARK} below"] if words.waived else []
    for text in lines:
        for line in wrap_text(text, PLAIN, width - 4):
            y -= PLAIN * 1.35
            pen.text(x, y, line, PLAIN, bold=text != about)
    return draw_readings(pen, words, test, x, y - 1.5, width)


def draw_readings(
    pen: Pen,
    words: Words,
    test: ScaleTest,
    x: float,
    y: float,
    width: float,
    *,
    close: bool = False,
    printed: bool = False,
) -> float:
    """What to do with the scale test, and lines to write what it measures; returns their lower edge.

    ``close`` sets the lines nearer to each other, for a page that has much else to say; ``printed`` where the
    sheets lie printed in a kit.
    """
    pitch = CLOSE_LINE_MM if close else READING_LINE_MM
    steps = CORRECTED if words.printer_note else OF_PRINTED if printed else STEPS
    for text in (step.format(right=RIGHT[test.units], asked=asked(words.contact)) for step in steps):
        for k, line in enumerate(wrap_text(text, PLAIN, width - 8)):
            y -= PLAIN * 1.4
            pen.text(x + (4.0 if k else 0.0), y, line, PLAIN)
    y -= 0.0 if close else 2.0
    drawn = lengths_of(words.paper, test)
    for name, length in (("across", drawn.across), ("up", drawn.up), ("diagonal", drawn.diagonal)):
        y -= pitch
        pen.text(x + 4, y, f"{name}, drawn {length}, measures", PLAIN, bold=True)
        pen.stroke(THIN)
        pen.line(x + READING_FROM_MM, y - 0.8, x + READING_TO_MM, y - 0.8)
        pen.text(x + READING_TO_MM + 1.0, y, "mm" if test.units == "metric" else "in", PLAIN)
    return y - (2.5 if close else 4.0)


def draw_cautions(pen: Pen, x: float, y: float, width: float) -> float:
    """The cautions above the lower bar; returns their upper edge."""
    lines = [line for text in CAUTIONS for line in wrap_text(text, SMALL, width)]
    top = y + len(lines) * SMALL * 1.3
    for k, line in enumerate(lines, 1):
        pen.text(x, top - k * SMALL * 1.3, line, SMALL)
    return top


def _grid(count: int, aspect: float, width: float, height: float) -> tuple[int, float]:
    """Columns and picture width of the list that uses the room best; ``aspect`` is height over width."""
    best = (1, 0.0)
    for columns in range(1, count + 1):
        rows = -(-count // columns)
        across = (width - (columns - 1) * GUTTER_MM) / columns
        across = min(across, (height / rows - CAPTION_MM - GUTTER_MM) / aspect, width / 3)
        if across > best[1]:
            best = columns, across
    return best


def _thumbs(
    pen: Pen,
    layout: PanelLayout,
    mirror: bool,
    thumbs: Sequence[Thumb],
    room: tuple[float, float, float, float],
) -> None:
    x0, y0, width, height = room
    heading = "SHEETS OF THIS TEMPLATE"
    pen.text(x0, y0 + height - 3.6, heading, 3.6, bold=True)
    height -= HEADING_MM
    box = thumbs[0].box
    cells, across = _pictured(thumbs, width, height)
    if across < LEAST_THUMB_MM:
        rows = _rows(thumbs, width)
        pitch = min(ROW_MM, height / rows)
        for k, thumb in enumerate(thumbs):
            column, row = divmod(k, rows)
            text = _caption(thumb)
            size = shrunk(text, min(SMALL, 0.7 * pitch), NAMED_MM - 1.0)
            pen.text(x0 + column * NAMED_MM, y0 + height - pitch * (row + 1), text, size)
        return
    scale = across / (box[2] - box[0])
    tall = (box[3] - box[1]) * scale
    for (column, row), thumb in zip(cells, thumbs, strict=True):
        x = x0 + column * (across + GUTTER_MM)
        y = y0 + height - (row + 1) * (tall + CAPTION_MM + GUTTER_MM) + CAPTION_MM + GUTTER_MM
        _thumb(pen, layout, thumb, (x, y, across, tall), scale, mirror)


def _pictured(thumbs: Sequence[Thumb], width: float, height: float) -> tuple[list[tuple[int, int]], float]:
    """Column and row of each picture, and how wide all of them are in that room, mm."""
    box = thumbs[0].box
    aspect = (box[3] - box[1]) / (box[2] - box[0])
    cells = _cells(thumbs)
    if cells is None:
        columns, across = _grid(len(thumbs), aspect, width, height)
        return [divmod(k, columns)[::-1] for k in range(len(thumbs))], across
    # as they are joined, so that the list is a map too
    columns, rows = (max(c[k] for c in cells) + 1 for k in (0, 1))
    across = (width - (columns - 1) * GUTTER_MM) / columns
    return cells, min(across, (height / rows - CAPTION_MM - GUTTER_MM) / aspect, width / 3)


def _rows(thumbs: Sequence[Thumb], width: float) -> int:
    """Rows of the list without pictures."""
    return -(-len(thumbs) // max(1, int(width // NAMED_MM)))


def _cells(thumbs: Sequence[Thumb]) -> list[tuple[int, int]] | None:
    """Columns and rows of sheets that are joined, or None for sheets that are not."""
    cells = [t.cell for t in thumbs if t.cell is not None]
    return cells if len(cells) == len(thumbs) else None


def _caption(thumb: Thumb) -> str:
    return f"page {thumb.number}: {thumb.where}"


def _thumb(
    pen: Pen,
    layout: PanelLayout,
    thumb: Thumb,
    at: tuple[float, float, float, float],
    scale: float,
    mirror: bool,
) -> None:
    x, y, width, height = at
    u0, v0, u1, _ = thumb.box

    def point(u: float, v: float) -> tuple[float, float]:
        along = u1 - u if mirror else u - u0
        return x + along * scale, y + (v - v0) * scale

    with pen.clipped(x, y, width, height):
        place = Placement(du=u1 if mirror else -u0, dv=-v0, mirror=mirror)
        outline = polyline(transformed(layout.contour, place), 0.5)
        pen.stroke(THIN, GREY)
        pen.polygon([(x + u * scale, y + v * scale) for u, v in outline])
        for fold in layout.folds:
            pen.stroke(THIN, GREY, (2.0, 0.8))
            pen.line(*point(*fold.start), *point(*fold.end))
        for hole in thumb.holes:
            pen.stroke(THIN, BLACK, None if hole.status in NEW else (0.6, 0.4))
            pen.circle(*point(hole.u_mm, hole.v_mm), max(hole.final_dia_mm * scale, 0.7))
    pen.stroke(MEDIUM)
    pen.rect(x, y, width, height)
    caption = _caption(thumb)
    pen.text(
        x, y - SMALL * 1.2, caption, shrunk(caption, SMALL, width + GUTTER_MM - 1.0, bold=True), bold=True
    )
    numbers = " ".join(
        h.number for h in thumb.holes if thumb.box[0] < h.u_mm < u1 and v0 < h.v_mm < thumb.box[3]
    )
    text = f"holes {numbers}"
    pen.text(x, y - SMALL * 2.3, text, shrunk(text, SMALL, width + 1.0))


def write_scale_test(path: Path, paper: str, units: UnitSystem = "metric") -> ScaleTest:
    """A scale test alone, for any job: what a printer does, before a template is made for it.

    Raises ``ExportError`` when the file cannot be written, and what ``paper_choices`` raises.
    """
    choice = paper_choices(paper)[0]
    test = cover_test(choice, units)
    pen = PdfPen(path, title="Scale test", subject=f"{choice.name}, 1:1")
    size = cover_size(choice)
    pen.page(*size, lying=False, on=choice.sheet_of(*size))
    words = Words(
        face="SCALE TEST", job="", panel="", material="", revision="", paper=choice.name, witness_note=""
    )
    draw_cover(pen, words, test, 1, None, ())
    pen.finish()
    return test
