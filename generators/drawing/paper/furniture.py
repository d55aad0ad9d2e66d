"""What stands around the drawing on every page of a template: which face, which way is up, is it true.

The page from top to bottom: the face band, the words with the page map and the UP arrow, the live
area (the only place where the panel is drawn), and the foot with the check bars. The upright bars
stand in a strip at the left.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THIN, WHITE, Pen, text_width, wrap_text
from generators.drawing.paper.waived import MARK
from generators.model.findings import Waived
from generators.model.plan import PanelHole
from generators.model.words import CAUTIONS, Face, TemplateFace
from generators.units import UnitSystem

MARGIN_MM = 10.0
BAND_MM = 13.0
FOOT_MM = 25.0
GAP_MM = 1.5
COLUMN_MM = 8.0
WIDE_MM = 230.0  # from this width on the words need fewer lines
WORDS_MM, WORDS_WIDE_MM = 25.0, 20.0
BARS: tuple[tuple[str, float], ...] = (("100 mm", 100.0), ("4 in", 101.6))
SMALL, PLAIN, LOUD = 2.7, 3.2, 4.4
UP_MM = 21.0
MAP_MM = 34.0
CAPTION_MM = 28.0

FACE_WORDS = {"cab": "CAB FACE", "engine": "ENGINE FACE"}
NO_UP = ("BEND CHECK",)
FACE_SENTENCES = {
    "FILING SHEET": "For the bench: cut the hole out of the paper and stick the sheet on by its rim. "
    "UP as on the drawing of this part or panel.",
    "BEND CHECK": "For the bench: the bent part's profile at full size, to hold it against.",
    "cab": "Printed side toward the driver. Tape to the panel from inside the cab.",
    "engine": "Printed side toward the engine. Tape to the panel from the engine bay. "
    "Mirror image of the cab template.",
}
MEASURE = (
    "Measure all four bars before drilling. If one is wrong, do not use this sheet: "
    "print at 100 %, no fit-to-page."
)
DRILL_HERE = "Drill from this side unless a label says otherwise."
PRINTED_FOR = "Made for printer {} only: from any other its size is wrong."
JOIN = (
    "Join: trim one sheet at its frame, lay marks with the same u and v on each other (a needle through "
    "both). A label without words: see the hole table."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """The live area of a page, in page mm; its size is whole mm."""

    x: float
    y: float
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What the pages of one template say alike; ``of`` names what they are counted in, if not the file."""

    face: TemplateFace
    job: str
    panel: str
    material: str
    revision: str
    paper: str
    witness_note: str
    waived: tuple[Waived, ...] = ()
    printer_note: str = ""
    notes: tuple[str, ...] = ()
    lay: str = ""
    drill: str = ""
    join: str = JOIN
    contact: str = ""
    of: str = ""
    units: UnitSystem = "metric"

    @property
    def bars(self) -> tuple[tuple[str, float], ...]:
        """The check bars: what people measure in first."""
        return BARS if self.units == "metric" else BARS[::-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class PageMap:
    """The pages as seen on the paper: columns from the left, rows from the top, from 0.

    ``pages`` gives the page number of each printed cell; ``here`` is the cell of this page, or
    ``None`` on a table page.
    """

    columns: int
    rows: int
    pages: dict[tuple[int, int], int]
    here: tuple[int, int] | None


def live_area(width: float, height: float) -> Live:
    """The live area of a page of that size in mm. Raises ``ValueError`` on a page too small."""
    left = MARGIN_MM + _strip(height)
    bottom = MARGIN_MM + FOOT_MM + GAP_MM
    top = height - MARGIN_MM - BAND_MM - _words(width) - GAP_MM
    w, h = math.floor(width - MARGIN_MM - left), math.floor(top - bottom)
    if w < 100 or h < 60:
        raise ValueError(f"a page of {width:g} x {height:g} mm has no room for a template")
    return Live(x=left, y=top - h, width=w, height=h)


def page_for(live_width: int, live_height: int) -> tuple[float, float]:
    """The smallest page (mm) with at least that live area: for a roll, cut as long as needed."""
    height = live_height + 2 * MARGIN_MM + FOOT_MM + BAND_MM + 2 * GAP_MM + WORDS_MM
    height = max(height, 2 * MARGIN_MM + BAND_MM + WORDS_MM + BARS[1][1] + 8)
    width = max(live_width + 2 * MARGIN_MM + 2 * COLUMN_MM + 1, 2 * MARGIN_MM + 190.0)
    return math.ceil(width), math.ceil(height)


def _words(width: float) -> float:
    return WORDS_WIDE_MM if width >= WIDE_MM else WORDS_MM


def _strip(height: float) -> float:
    """Width of the strip of upright bars: one column when they fit one above the other."""
    room = height - 2 * MARGIN_MM - BAND_MM - WORDS_MM
    return COLUMN_MM + 1 if room >= sum(length for _, length in BARS) + 5 else 2 * COLUMN_MM + 1


def draw_furniture(
    pen: Pen, words: Words, where: str, number: int, count: int, page_map: PageMap | None
) -> None:
    """Everything of the current page but the live area's content. ``where`` is like ``row 1, column 2``.

    Sheets that are not joined have no ``page_map``.
    """
    left, right = MARGIN_MM, pen.width - MARGIN_MM
    top = pen.height - MARGIN_MM
    band(
        pen,
        words.face,
        left,
        top - BAND_MM,
        right - left,
        f"{where} · paper {words.paper}",
        f"page {number} of {count}{words.of}",
    )
    words_top = top - BAND_MM
    height = _words(pen.width)
    if words.face not in NO_UP:
        _up_arrow(pen, right - UP_MM, words_top - height, UP_MM, height - 1)
    beside = CAPTION_MM if pen.width >= WIDE_MM else 0.0
    map_left = right - UP_MM - MAP_MM - beside
    if page_map is None:
        map_left = right - UP_MM
    else:
        _map(pen, page_map, map_left, words_top - height, MAP_MM - 2, height - 1.5, beside)
    _text_block(pen, words, left, words_top - 1.2, map_left - left - 3, height)
    live = live_area(pen.width, pen.height)
    pen.stroke(MEDIUM)
    pen.rect(live.x, live.y, live.width, live.height)
    strip = _strip(pen.height)
    _upright_bars(pen, words, left, MARGIN_MM, strip)
    _foot(pen, words, left + strip, MARGIN_MM, right - left - strip)


def band(pen: Pen, name: TemplateFace | str, x: float, y: float, width: float, where: str, page: str) -> None:
    """Solid for the cab, outlined for the engine bay: told apart at a glance, in any print.

    A page that belongs to no face is outlined and says what it is, its ``name``.
    """
    cab = name == "cab"
    if cab:
        pen.stroke(THIN)
        pen.rect(x, y, width, BAND_MM, fill=BLACK)
    else:
        pen.stroke(1.2)
        pen.rect(x + 0.6, y + 0.6, width - 1.2, BAND_MM - 1.2, fill=WHITE)
        pen.stroke(MEDIUM)
        pen.rect(x + 2, y + 2, width - 4, BAND_MM - 4)
    ink = WHITE if cab else BLACK
    pen.text(x + 5, y + 3.2, FACE_WORDS.get(name, name), 9.4, bold=True, grey=ink)
    pen.text(x + width - 5, y + 7.4, page, 4.0, bold=True, grey=ink, align="right")
    pen.text(x + width - 5, y + 3.2, where, 3.2, grey=ink, align="right")


def _up_arrow(pen: Pen, x: float, y: float, width: float, height: float) -> None:
    middle = x + width / 2
    head = height * 0.45
    foot = y + 6.2
    tip = y + height - 1
    half, shaft = min(8.0, head), 3.4
    pen.stroke(THIN)
    pen.polygon(
        [
            (middle, tip),
            (middle - half, tip - head),
            (middle - shaft, tip - head),
            (middle - shaft, foot),
            (middle + shaft, foot),
            (middle + shaft, tip - head),
            (middle + half, tip - head),
        ],
        fill=BLACK,
    )
    pen.text(middle, y + 0.6, "UP", 6.4, bold=True, align="centre")


def _map(pen: Pen, page_map: PageMap, x: float, y: float, width: float, height: float, beside: float) -> None:
    """Where this page sits: numbered cells are printed, dashed ones are not.

    The caption stands under the map, or in ``beside`` mm left of it where there is room.
    """
    skipped = page_map.columns * page_map.rows - len(page_map.pages)
    captions = ("dashed: nothing to", "mark, not printed") if skipped else ("page map",)
    for k, caption in enumerate(reversed(captions)):
        if beside:
            pen.text(x + beside - 3, y + height - 3.1 * (len(captions) - k), caption, SMALL, align="right")
        else:
            pen.text(x + width / 2, y + k * 3.1, caption, SMALL, align="centre")
    x += beside
    room = height if beside else height - 1.0 - 3.1 * len(captions)
    cell_w, cell_h = min(width / page_map.columns, 14.0), min(room / page_map.rows, 14.0)
    left = x + (width - cell_w * page_map.columns) / 2
    top = y + height
    size = min(3.6, cell_h * 0.75, cell_w * 0.6)
    for row in range(page_map.rows):
        for column in range(page_map.columns):
            page = page_map.pages.get((column, row))
            here = page_map.here == (column, row)
            pen.stroke(MEDIUM if page else THIN, BLACK if page else GREY, None if page else (0.8, 0.8))
            cx, cy = left + column * cell_w, top - (row + 1) * cell_h
            pen.rect(cx + 0.4, cy + 0.4, cell_w - 0.8, cell_h - 0.8, fill=BLACK if here else WHITE)
            if page:
                ink = WHITE if here else BLACK
                pen.text(
                    cx + cell_w / 2,
                    cy + cell_h / 2 - size * 0.36,
                    str(page),
                    size,
                    bold=True,
                    align="centre",
                    grey=ink,
                )


def shrunk(text: str, size: float, width: float, *, bold: bool = False) -> float:
    """The size at which a line fits: words that read-back looks for are never cut."""
    wide = text_width(text, size, bold=bold)
    return size if wide <= width else size * width / wide


def _text_block(pen: Pen, words: Words, x: float, top: float, width: float, height: float) -> None:
    sentence = wrap_text(f"{FACE_SENTENCES[words.face]} {words.drill}", PLAIN, width, bold=True)
    note = wrap_text(words.witness_note, PLAIN, width)
    lines: list[tuple[str, float, bool]] = []
    if words.waived:
        lines.append((f"{MARK} on page 1", PLAIN, True))
    if words.printer_note:
        lines += [(line, PLAIN, True) for line in wrap_text(words.printer_note, PLAIN, width)]
    lines.append((words.panel, LOUD, True))
    about = f"{words.job} · {words.material} · revision {words.revision}"
    lines += [(line, PLAIN, False) for line in wrap_text(about, PLAIN, width)]
    lines += [(line, PLAIN, True) for line in sentence] + [(line, PLAIN, False) for line in note]
    lines += [(line, PLAIN, True) for line in wrap_text(words.lay, PLAIN, width)]
    lines += [(line, SMALL, False) for text in words.notes for line in wrap_text(text, SMALL, width)]
    full = sum(size * 1.32 for _, size, _ in lines)
    squeeze = min(1.0, (height - 1.5) / full)
    y = top
    for text, size, bold in lines:
        y -= size * 1.32 * squeeze
        pen.text(
            x,
            y + size * 0.25,
            text,
            shrunk(text, size * min(1.0, squeeze * 1.06), width, bold=bold),
            bold=bold,
        )


def tick_arrows(pen: Pen, a: tuple[float, float], b: tuple[float, float]) -> None:
    """A bar from ``a`` to ``b``: the line, an edge across each end, arrows whose tips touch them."""
    length = math.dist(a, b)
    du, dv = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    pen.stroke(THIN)
    pen.line(*a, *b)
    for (x, y), sign in ((a, 1), (b, -1)):
        pen.stroke(THIN)
        pen.line(x - 3 * dv, y + 3 * du, x + 3 * dv, y - 3 * du)
        back = (x + sign * 4 * du, y + sign * 4 * dv)
        pen.polygon(
            [(x, y), (back[0] - 1.1 * dv, back[1] + 1.1 * du), (back[0] + 1.1 * dv, back[1] - 1.1 * du)],
            fill=BLACK,
            edge=False,
        )


def _upright_bars(pen: Pen, words: Words, x: float, y: float, strip: float) -> None:
    at_x, at_y = x + 5.0, y + 0.5
    for label, length in words.bars:
        tick_arrows(pen, (at_x, at_y), (at_x, at_y + length))
        pen.text(at_x - 1.2, at_y + length / 2, label, PLAIN, bold=True, align="centre", angle_deg=90)
        if strip > COLUMN_MM + 1:
            at_x += COLUMN_MM
        else:
            at_y += length + 3.5


def _foot(pen: Pen, words: Words, x: float, y: float, width: float) -> None:
    at_x = x + 0.5
    for (label, length), at_y in zip(words.bars, (y + 14.0, y + 4.0), strict=True):
        tick_arrows(pen, (at_x, at_y), (at_x + length, at_y))
        pen.text(at_x + length / 2, at_y + 1.2, label, PLAIN, bold=True, align="centre")
    left = x + BARS[1][1] + 4
    room = width - BARS[1][1] - 4
    size = PLAIN
    while size > 2.2:
        measured = MEASURE.replace("drilling", "use") if words.face in NO_UP else MEASURE
        measure = wrap_text(measured, size * 1.05, room, bold=True)
        # nothing is drilled by a sheet that a bent part stands on
        legal = CAUTIONS[:1] if words.face in NO_UP else CAUTIONS
        said = (words.join, *legal) if words.join else legal
        cautions = [line for text in said for line in wrap_text(text, size, room)]
        if (len(measure) * 1.05 + len(cautions)) * size * 1.22 <= FOOT_MM - 2.0:
            break
        size -= 0.05
    line_y = y + FOOT_MM - 1.5
    for line in measure:
        line_y -= size * 1.05 * 1.22
        pen.text(left, line_y, line, size * 1.05, bold=True)
    line_y -= 0.6
    for line in cautions:
        line_y -= size * 1.22
        pen.text(left, line_y, line, size)


def witness_note(hole: PanelHole | None, middle: float, face: Face) -> str:
    """The sentence that shows a flipped sheet; ``middle`` is the panel's middle in u (mm)."""
    if hole is None:
        return "No existing hole tells left from right on this panel: check the face twice."
    side = "LEFT" if (hole.u_mm < middle) == (face == "cab") else "RIGHT"
    return (
        f"Right way round only if hole {hole.number} ({hole.purpose}) is to the {side} of the panel's middle."
    )
