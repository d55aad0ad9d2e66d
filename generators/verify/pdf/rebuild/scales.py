"""The scale in a sheet's title block against those its views say."""

from __future__ import annotations

import re
from collections.abc import Iterator

from generators.verify.pdf.content import Content, PdfFile
from generators.verify.pdf.drawing_projection import FRONT, THIRD_ANGLE_SIDES, words_of_views

FLAT = re.compile(r"(?:FLAT BLANK|PLATE|BLOCK) (\d+:\d+)")
OWN = re.compile(r"scale (\d+:\d+)")
VIEWS = (FRONT, *THIRD_ANGLE_SIDES)
UNDER_MM, BESIDE_MM = 9.0, 3.0
"""Where the value stands under the word ``scale``, on paper."""


def scale_problems(pdf: PdfFile) -> Iterator[str]:
    """Title blocks with another scale than their views: ``as shown`` for several, ``-`` for none.

    A folded view without a scale of its own has that of the flat blank, on whichever sheet that is.
    """
    said_of = [[word.text.strip() for word in words_of_views(page)] for page in pdf.pages]
    flats = [m[1] for words in said_of for text in words if (m := FLAT.match(text))]
    for i, (page, words) in enumerate(zip(pdf.pages, said_of, strict=True)):
        views = {m[1] for text in words if (m := FLAT.match(text))}
        views |= {m[1] for text in words if (m := OWN.fullmatch(text))}
        if any(text in VIEWS for text in words) and not any(OWN.fullmatch(text) for text in words):
            views |= set(flats)
        wanted = (next(iter(views)) if len(views) == 1 else "as shown") if views else "-"
        said = scale_said(page)
        if said != wanted:
            yield f"sheet {i + 1}: the title block says scale {said!r}, the views of the sheet {wanted!r}"


def scale_said(page: Content) -> str:
    """The word under ``scale`` in the title block: the lowest on the page."""
    labels = sorted((w for w in page.words if w.text.strip() == "scale"), key=lambda w: w.box[1])
    if not labels:
        return ""
    x, y = labels[0].box[:2]
    under = [w for w in page.words if abs(w.box[0] - x) < BESIDE_MM and 0 < y - w.box[1] < UNDER_MM]
    return under[0].text.strip() if under else ""
