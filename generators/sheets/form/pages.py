"""The measuring form on paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from generators.drawing.paper.sizes import paper_choices
from generators.model.words import CAUTIONS
from generators.sheets.document import (
    SMALL,
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    pages_of,
    paragraph,
    table,
    together,
    write_document,
)
from generators.sheets.form.content import HOW, SAFE, FormSheet
from generators.sheets.form.picture import FormView

TALLEST_MM = (44.0, 39.0, 34.0, 29.0)
"""Of the pictures: the first that takes the fewest pages."""
LARGER_MM = (90.0, 74.0, 62.0, 56.0, 50.0)
"""And of one picture after the other where those pages have room for it."""

BLANK = " "
HEADS = ("no.", "measure", "how", "first reading", "again")


def _widths(width: float) -> tuple[float, ...]:
    return tuple(width * share for share in (0.06, 0.34, 0.26, 0.2, 0.14))


def sheet_words(sheet: FormSheet) -> tuple[str, ...]:
    """What a reader must find on the finished form."""
    said = (*HOW, *SAFE, *(line.words for line in sheet.lines), *sheet.untold, *HEADS)
    return tuple(dict.fromkeys(" ".join(word.split()) for word in said if word.strip()))


def write_form(path: Path, *, sheet: FormSheet, revision: str, paper: str) -> None:
    """Write the form, its pictures as large as the fewest pages leave room for. Raises ``OSError``."""
    (choice,) = paper_choices(paper)
    width = body_width(paper)

    def count(talls: Sequence[float]) -> int:
        return math.ceil(pages_of(_story(sheet, width, talls), choice))

    many = len(sheet.views())
    counts = [count([tall] * many) for tall in TALLEST_MM]
    talls = [TALLEST_MM[counts.index(min(counts))]] * many
    for k in reversed(range(many)):
        larger = ([*talls[:k], tall, *talls[k + 1 :]] for tall in LARGER_MM)
        talls = next((each for each in larger if count(each) <= min(counts)), talls)
    write_document(
        path,
        _story(sheet, width, talls),
        title=f"{sheet.title}: measuring form",
        subject=sheet.title,
        revision=revision,
        paper=paper,
    )


def _story(sheet: FormSheet, width: float, talls: Sequence[float]) -> list[Any]:
    story: list[Any] = [
        paragraph("What is your vehicle like?", TITLE),
        paragraph(
            f"{len(sheet.lines)} readings, about {5 + 3 * len(sheet.lines)} minutes, with a tape"
            f"{', a caliper' if any(x.kind == 'size' for x in sheet.lines) else ''}"
            f"{' and a telephone with a level' if any(x.kind == 'lean' for x in sheet.lines) else ''}. "
            "With them we know before you drill whether the kit fits your vehicle."
        ),
        gap(2),
        paragraph(f"Order number {'_' * 24}   date {'_' * 14}   filled in by {'_' * 24}"),
        gap(1),
        boxed([*SAFE, *CAUTIONS], width),
        gap(1),
    ]
    story += [paragraph(f"{k}. {line}", SMALL) for k, line in enumerate(HOW, 1)]
    for (layout, face, lines), tall in zip(sheet.views(), talls, strict=True):
        rows = [(str(x.number), x.words, x.how, BLANK, BLANK) for x in lines]
        picture = FormView(layout, lines, width_mm=width, face=face, tallest_mm=tall)
        filled = table(HEADS, rows, _widths(width))
        story.append(together([*heading(f"{layout.title}, {layout.seen(face)}"), picture, gap(1), filled]))
    if sheet.leans:
        rows = [(str(x.number), x.words, x.how, BLANK, BLANK) for x in sheet.leans]
        story.append(together([*heading("How they lean"), table(HEADS, rows, _widths(width))]))
    if sheet.untold:
        story += heading("What these readings cannot tell", 12.0)
        story += [paragraph(line, SMALL) for line in sheet.untold]
    if sheet.contact:
        story += [gap(1), paragraph(f"Send it to {sheet.contact}.")]
    return story
