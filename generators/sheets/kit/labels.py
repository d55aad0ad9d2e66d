"""Sheets of labels: one for each bag with its content, one for each end of a hose."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import THIN, Pen, fit_text, wrap_text
from generators.model.spec.selling.labels import LabelFormat
from generators.sheets.kit.packing import Packing
from generators.standards import paper as paper_row

PAD_MM = 2.0
HEAD_MM, BODY_MM, FOOT_MM = 3.4, 2.4, 2.1
LEADING = 1.25
PLAIN_BAG, PLAIN_HOSE = (90.0, 46.0), (90.0, 24.0)
"""Width and height of labels to cut from plain paper, mm (ours): two columns fit A4 and letter."""

MARGIN_MM = 12.0
GOES_ON = "more on the next label"


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One label: its head, lines under it, and a line at its foot."""

    head: str
    lines: tuple[str, ...]
    foot: str


def plain_format(paper: str, size: tuple[float, float]) -> LabelFormat:
    """Labels of that size on plain paper, to be cut out. Raises ``LookupFault`` for unknown paper."""
    row = paper_row(paper)
    width, height = row.width_mm, row.height_mm
    columns, rows = int((width - 2 * MARGIN_MM) // size[0]), int((height - 2 * MARGIN_MM) // size[1])
    return LabelFormat(
        sheet=(width, height),
        columns=columns,
        rows=rows,
        width_mm=size[0],
        height_mm=size[1],
        left_mm=(width - columns * size[0]) / 2,
        top_mm=(height - rows * size[1]) / 2,
        outlines=True,
    )


def bag_labels(packing: Packing, form: LabelFormat, foot: str) -> tuple[Label, ...]:
    """A label for each bag; more where its content does not go on one."""
    out = []
    for box in packing.boxes:
        for bag in box.bags:
            head = f"Bag {bag.number} of {len(packing.bags)}: {bag.title}"
            texts = [thing.words for thing in bag.things]
            where = f"Box {box.number}; {foot}"
            out += [Label(head=head, lines=lines, foot=where) for lines in _portions(head, texts, form)]
    return tuple(out)


def _portions(head: str, texts: Sequence[str], form: LabelFormat) -> Iterator[tuple[str, ...]]:
    """Whole lines, label by label; what does not fit goes on the next one, and each but the last says so."""
    room = _room_lines(head, form)
    portion: list[str] = []
    used = 0
    for number, text in enumerate(texts):
        takes = len(wrap_text(text, BODY_MM, form.width_mm - 2 * PAD_MM))
        spare = 0 if number == len(texts) - 1 else 1
        if portion and used + takes + spare > room:
            yield (*portion, GOES_ON)
            portion, used = [], 0
        portion.append(text)
        used += takes
    yield tuple(portion)


def _room_lines(head: str, form: LabelFormat) -> int:
    """Lines of text that go between head and foot."""
    heads = len(wrap_text(head, HEAD_MM, form.width_mm - 2 * PAD_MM, bold=True))
    free = form.height_mm - 2 * PAD_MM - heads * HEAD_MM * LEADING - FOOT_MM * LEADING
    return max(1, int(free // (BODY_MM * LEADING)))


def write_labels(path: Path, *, labels: Sequence[Label], form: LabelFormat, title: str, subject: str) -> None:
    """Write the sheets. Raises ``ExportError`` when the file cannot be written."""
    pen = PdfPen(path, title=title, subject=subject)
    across, down = form.pitch_mm
    for start in range(0, len(labels), form.count):
        pen.page(*form.sheet)
        for k, label in enumerate(labels[start : start + form.count]):
            row, column = divmod(k, form.columns)
            x = form.left_mm + column * across
            top = form.sheet[1] - form.top_mm - row * down
            if form.outlines:
                pen.stroke(THIN)
                pen.rect(x, top - form.height_mm, form.width_mm, form.height_mm)
            _draw(pen, label, x + PAD_MM, top - PAD_MM, form)
    pen.finish()


def _draw(pen: Pen, label: Label, x: float, top: float, form: LabelFormat) -> None:
    room, y = form.width_mm - 2 * PAD_MM, top
    for line in wrap_text(label.head, HEAD_MM, room, bold=True):
        y -= HEAD_MM * LEADING
        pen.text(x, y + 0.6, line, HEAD_MM, bold=True)
    for text in label.lines:
        for line in wrap_text(text, BODY_MM, room):
            y -= BODY_MM * LEADING
            pen.text(x, y + 0.4, line, BODY_MM)
    low = top + PAD_MM - form.height_mm + PAD_MM
    pen.text(x, low, fit_text(label.foot, FOOT_MM, room), FOOT_MM)
