"""Sheets of labels: one for each bag with its content, one for each end of a hose."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import THIN, Pen, text_width, wrap_text
from generators.model.sold.packing import Box, Packing
from generators.model.spec.selling.labels import LabelFormat
from generators.model.spec.titles import capital
from generators.standards import paper as paper_row

PAD_MM = 2.0
HEAD_MM, BODY_MM, FOOT_MM = 3.6, 2.8, 2.5
LEADING = 1.25
PLAIN_BAG, PLAIN_HOSE = (90.0, 54.0), (90.0, 30.0)
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


SCALES = (1.0, 0.9, 0.8, 0.7, 0.6)
"""Letters of a label, of their usual size: 10, 8 and 7 point; at 0.6 the smallest are 1.5 mm (ours)."""


class LabelTooSmallError(Exception):
    """What must stand on a label does not go on it at the smallest letters; the text names it."""


def _height_mm(label: Label, form: LabelFormat, scale: float) -> float:
    """What a label takes at that size of letters."""
    room = form.width_mm - 2 * PAD_MM
    heads = len(wrap_text(label.head, HEAD_MM * scale, room, bold=True))
    lines = sum(len(wrap_text(text, BODY_MM * scale, room)) for text in label.lines)
    return 2 * PAD_MM + (heads * HEAD_MM + lines * BODY_MM + FOOT_MM) * LEADING * scale


def scale_of(label: Label, form: LabelFormat) -> float:
    """The largest letters at which a label holds all of it. Raises ``LabelTooSmallError``."""
    for scale in SCALES:
        if _height_mm(label, form, scale) <= form.height_mm:
            return scale
    raise LabelTooSmallError(label.head)


def bag_labels(packing: Packing, form: LabelFormat, foot: str) -> tuple[Label, ...]:
    """A label for each bag; more where its content does not go on one. Of several boxes each has its own.

    Raises ``LabelTooSmallError`` where not even one line of it does.
    """
    out = []
    for box in packing.boxes:
        if len(packing.boxes) > 1:
            empty = Label(head=packing.box_head(box), lines=(), foot=foot)
            out += [replace(empty, lines=lines) for lines in _portions(empty, _of_box(box), form)]
        for bag in box.bags:
            empty = Label(head=packing.head(bag), lines=(), foot=f"{packing.box_number(box)}; {foot}")
            texts = [*([capital(bag.note)] if bag.note else []), *(x.sized for x in bag.things)]
            out += [replace(empty, lines=lines) for lines in _portions(empty, texts, form)]
    return tuple(out)


def _of_box(box: Box) -> list[str]:
    """What the label of a box says is in it."""
    numbers = [bag.number for bag in box.bags]
    bags = f"bags {numbers[0]} to {numbers[-1]}" if numbers else ""
    bags = f"bag {numbers[0]}" if len(numbers) == 1 else bags
    return [*([bags] if bags else []), *(thing.sized for thing in box.loose)]


def _portions(empty: Label, texts: Sequence[str], form: LabelFormat) -> Iterator[tuple[str, ...]]:
    """Whole lines, label by label, at the largest letters any one goes on at; all but the last say so."""
    if _height_mm(replace(empty, lines=tuple(texts)), form, 1.0) <= form.height_mm:
        yield tuple(texts)
        return
    longest = max(texts, key=len)
    most = replace(empty, lines=(longest, GOES_ON) if len(texts) > 1 else (longest,))
    scale = min(1.0, scale_of(most, form))
    portion: list[str] = []
    for number, text in enumerate(texts):
        more = (GOES_ON,) if number < len(texts) - 1 else ()
        trial = replace(empty, lines=(*portion, text, *more))
        if portion and _height_mm(trial, form, scale) > form.height_mm:
            yield (*portion, GOES_ON)
            portion = []
        portion.append(text)
    yield tuple(portion)


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
    room, y, scale = form.width_mm - 2 * PAD_MM, top, scale_of(label, form)
    head, body, foot = HEAD_MM * scale, BODY_MM * scale, FOOT_MM * scale
    for line in wrap_text(label.head, head, room, bold=True):
        y -= head * LEADING
        pen.text(x, y + 0.25 * head, line, head, bold=True)
    for text in label.lines:
        for line in wrap_text(text, body, room):
            y -= body * LEADING
            pen.text(x, y + 0.25 * body, line, body)
    low = top + PAD_MM - form.height_mm + PAD_MM
    size = foot * min(1.0, room / max(1e-6, text_width(label.foot, foot)))
    pen.text(x, low, label.foot, size)
