"""Frame, notes and title block of a part drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generators.drawing.paper.pen import MEDIUM, THICK, THIN, Pen, fit_text, text_width, wrap_text
from generators.figures import fixed
from generators.model.spec.titles import number_words, questions
from generators.model.words import CAUTIONS

MARGIN_MM = 10.0
TEXT_MM = 2.4
SMALLEST_MM = 2.2
LINE_MM = 3.3
FACT_ROW_MM = 3.5
PAD_MM = 1.5
FACT_COLUMN_MM = 84.0
TITLE_COLUMN_MM = 78.0
WIDE_PAGE_MM = 250.0
FACT_LABEL_MM = 20.0
TITLE_SHARE = 0.48
"""Of a narrow page's width, for the title."""

PART_MM, ROW_MM, ASKED_MM, TITLE_FOOT_MM = 14.6, 3.4, 0.6, 11.0
"""Baseline of the part's name below the title's upper side, how far below it its number and hand follow; what
is left under them; its foot."""

# Our own figures for laser-cut, press-braked sheet: common practice, no source.
TOLERANCES = (
    "Unless stated: holes {hole} mm, hole and edge positions ±{position} mm across and up in the flat, "
    "bent lengths ±{bent} mm, bend angles ±{angle}°, inside radii as they come; all else {general}."
)
FLAT_TOLERANCES = (
    "Unless stated: holes {hole} mm, hole positions ±{position} mm across and up; all else {general}."
)
PROJECTION = {"first": "First-angle projection.", "third": "Third-angle projection."}
MIRRORED = "MIRRORED (opposite hand)"
EDGES = "Remove burrs, break edges 0.2 to 0.5."
"""Common practice, no source."""

READING = (
    "Dimensions in mm. {projection} Legs: outside, to where the outside faces meet; angles: how "
    f"far bent. {{kerf}} {EDGES}"
)
FLAT_READING = f"Dimensions in mm. {{projection}} {{kerf}} {EDGES}"
NO_KERF = "No kerf in these sizes"
PRINTED_READING = (
    "Dimensions in mm. {projection} Print solid round bores and pegs; take off strings and burrs."
)
# Common practice, no source.
PRINTED_TOLERANCES = (
    "Bores and pegs carry the clearances of the shop's printer: try a bush and a peg before you drill. "
    "A bush that is loose is glued in."
)
NOT_TO_SCALE = "Do not scale this drawing: it is not 1:1."
NOTHING_DRAWN, AS_SHOWN = "-", "as shown"
FULL_SIZE = "Drawn 1:1: true only when printed at 100 %."


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleBlock:
    """All that is written on the strip at the foot of every sheet.

    ``scale_text`` is that of the sheet's views, ``as shown`` where they differ, ``-`` where there are none.
    ``cut_file`` is what the cutter is given, ``kerf_mm`` how wide a cut its lines are moved for, if they are.
    ``coating``: what the part's finish does to its sizes. ``contact`` is who is asked about it, if named;
    ``date`` the day the job gives, if it does; ``number`` the part's own with its issue, if it has one.
    """

    job: str
    title: str
    name: str
    revision: str
    scale_text: str
    folded: bool
    printed: bool = False
    projection: str
    general: str
    within: Mapping[str, str]
    mirrored: bool = False
    facts: tuple[tuple[str, str], ...]
    part_notes: tuple[str, ...] = ()
    cut_file: str = ""
    kerf_mm: float | None = None
    coating: tuple[str, ...] = ()
    contact: str = ""
    date: str = ""
    number: str = ""

    @property
    def kerf(self) -> str:
        """Whether the width of the cut is in the sizes, and in the file that is cut from."""
        if not self.cut_file:
            return f"{NO_KERF}."
        if self.kerf_mm is None:
            return f"{NO_KERF} nor in {self.cut_file}, the finished edge."
        return f"{NO_KERF}; {self.cut_file} is offset for a cut {fixed(self.kerf_mm, 2)} mm wide."

    def notes(self) -> list[tuple[str, bool]]:
        """Paragraphs and whether they are bold."""
        scale = FULL_SIZE if self.scale_text == "1:1" else NOT_TO_SCALE
        reading = PRINTED_READING if self.printed else READING if self.folded else FLAT_READING
        tolerances = PRINTED_TOLERANCES if self.printed else TOLERANCES if self.folded else FLAT_TOLERANCES
        return [
            (reading.format(projection=PROJECTION[self.projection], kerf=self.kerf), False),
            (" ".join((tolerances.format(general=self.general, **self.within), *self.coating)), False),
            *((note, True) for note in self.part_notes),
            (f"{scale} {CAUTIONS[0]}", True),
        ]

    def _note_lines(self, width: float) -> list[tuple[str, bool]]:
        return [
            (line, bold)
            for text, bold in self.notes()
            for line in wrap_text(text, TEXT_MM, width - 2 * PAD_MM, bold=bold)
        ]

    def height(self, page_width: float) -> float:
        """Height of the strip on a page, mm."""
        inner = page_width - 2 * MARGIN_MM
        wide = page_width >= WIDE_PAGE_MM
        lines = self._fact_lines(FACT_COLUMN_MM if wide else inner * (1 - TITLE_SHARE))
        title = TITLE_COLUMN_MM if wide else inner * TITLE_SHARE
        rows = max(len(lines) * FACT_ROW_MM + 2 * PAD_MM, self._title_mm(title))
        if wide:
            notes = self._note_lines(inner - FACT_COLUMN_MM - TITLE_COLUMN_MM)
            return max(rows, len(notes) * LINE_MM + 2 * PAD_MM)
        return rows + len(self._note_lines(inner)) * LINE_MM + 2 * PAD_MM

    def draw(self, pen: Pen, sheet: int, sheets: int) -> None:
        """Frame the page and fill the strip."""
        inner = pen.width - 2 * MARGIN_MM
        height = self.height(pen.width)
        x, y = MARGIN_MM, MARGIN_MM
        pen.stroke(THICK)
        pen.rect(x, y, inner, pen.height - 2 * MARGIN_MM)
        pen.line(x, y + height, x + inner, y + height)
        if pen.width >= WIDE_PAGE_MM:
            notes_width = inner - FACT_COLUMN_MM - TITLE_COLUMN_MM
            self._notes(pen, x, y + height, notes_width)
            facts_x, strip = x + notes_width, height
            pen.stroke(MEDIUM)
            pen.line(facts_x, y, facts_x, y + height)
        else:
            strip = height - len(self._note_lines(inner)) * LINE_MM - 2 * PAD_MM
            self._notes(pen, x, y + height, inner)
            facts_x = x
            pen.stroke(MEDIUM)
            pen.line(x, y + strip, x + inner, y + strip)
        title_x = x + inner - (TITLE_COLUMN_MM if pen.width >= WIDE_PAGE_MM else inner * TITLE_SHARE)
        pen.line(title_x, y, title_x, y + strip)
        self._facts(pen, facts_x, y + strip, title_x - facts_x)
        self._title(pen, title_x, y, x + inner - title_x, strip, sheet, sheets)

    def _notes(self, pen: Pen, x: float, top: float, width: float) -> None:
        y = top - PAD_MM + LINE_MM - TEXT_MM
        for line, bold in self._note_lines(width):
            y -= LINE_MM
            pen.text(x + PAD_MM, y, line, TEXT_MM, bold=bold)

    def _facts(self, pen: Pen, x: float, top: float, width: float) -> None:
        y = top - PAD_MM
        for label, value in self._fact_lines(width):
            y -= FACT_ROW_MM
            if label:
                pen.text(x + PAD_MM, y + 1.0, label, TEXT_MM, grey=0.3)
            pen.text(x + PAD_MM + FACT_LABEL_MM, y + 1.0, value, TEXT_MM)

    def _fact_lines(self, width: float) -> list[tuple[str, str]]:
        """Label and words of each line in a column ``width`` wide; what goes on under it has no label."""
        room = width - FACT_LABEL_MM - 2 * PAD_MM
        return [
            (label if i == 0 else "", line)
            for label, value in self.facts
            for i, line in enumerate(wrap_text(value, TEXT_MM, room) or [""])
        ]

    def _asked(self, width: float) -> list[str]:
        return wrap_text(questions(self.contact), TEXT_MM, width - 2 * PAD_MM)

    def _title_mm(self, width: float) -> float:
        """Height that the title needs in a column ``width`` wide, mm."""
        return self._named_mm + len(self._asked(width)) * LINE_MM + PAD_MM + TITLE_FOOT_MM

    @property
    def _named_mm(self) -> float:
        """Lowest baseline of the names, below the upper side of the strip."""
        return PART_MM + ROW_MM * (bool(self.number) + self.mirrored)

    def _title(
        self, pen: Pen, x: float, y: float, width: float, height: float, sheet: int, sheets: int
    ) -> None:
        room = width - 2 * PAD_MM
        top = y + height
        for text, largest, bold, down in (
            (self.job, 3.0, False, 4.6),
            (self.title, 4.4, True, 10.2),
            (f"part {self.name}", 3.0, False, PART_MM),
            *([(number_words(self.number), 3.0, True, PART_MM + ROW_MM)] if self.number else []),
        ):
            size = min(largest, largest * room / max(1e-6, text_width(text, largest, bold=bold)))
            size = max(SMALLEST_MM, size)
            pen.text(x + PAD_MM, top - down, fit_text(text, size, room, bold=bold), size, bold=bold)
        if self.mirrored:
            pen.text(x + PAD_MM, top - self._named_mm, MIRRORED, 2.8, bold=True)
        for row, line in enumerate(self._asked(width), 1):
            pen.text(x + PAD_MM, top - self._named_mm - row * LINE_MM - ASKED_MM, line, TEXT_MM)
        cells = [
            ("scale", self.scale_text),
            ("revision", self.revision),
            *([("date", self.date)] if self.date else []),
            ("sheet", f"{sheet} of {sheets}"),
        ]
        foot = TITLE_FOOT_MM
        pen.stroke(THIN)
        pen.line(x, y + foot, x + width, y + foot)
        symbol = 17.0
        each = (width - symbol) / len(cells)
        for i, (label, value) in enumerate(cells):
            left = x + symbol + i * each
            pen.line(left, y, left, y + foot)
            pen.text(left + 1, y + foot - 3.2, label, 2.3, grey=0.3)
            size = min(4.0, 4.0 * (each - 2) / max(1.0, text_width(value, 4.0, bold=True)))
            pen.text(left + 1, y + 2.0, value, size, bold=True)
        _sign(pen, x + symbol / 2, y + foot / 2, first_angle=self.projection == "first")


def _sign(pen: Pen, x: float, y: float, *, first_angle: bool) -> None:
    """The projection sign of ISO 5456-2 (from memory): a cut cone, small end left, and its view from there.

    Third-angle puts that view on the side it is seen from, the left; first-angle on the other.
    """
    view, cone = (3.6, -6.4) if first_angle else (-3.6, 1.2)
    pen.stroke(MEDIUM)
    pen.circle(x + view, y, 5.6)
    pen.circle(x + view, y, 2.8)
    small, large = x + cone, x + cone + 5.2
    pen.polygon([(small, y - 1.4), (large, y - 2.8), (large, y + 2.8), (small, y + 1.4)])
    pen.stroke(THIN)
    pen.line(x - 7.2, y, x + 7.2, y)
    pen.line(x + view, y - 3.6, x + view, y + 3.6)
