"""Reads a report or an install sheet back: paper, title, revision and cautions of each page, key numbers."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pypdfium2

from generators.standards import paper_rows
from generators.verify.pdf_texts import texts_of
from generators.verify.readback import ReadBack
from generators.verify.steps.asked import NOTHING, Asked

POINTS_PER_MM = 72 / 25.4
SIZE_TOLERANCE_MM = 0.01
CAUTION_WORDS = ("local codes", "Before drilling")


def read_sheet_pdf(
    path: Path,
    *,
    title: str,
    revision: str,
    rel: str,
    words: Sequence[str] = (),
    asked: Asked = NOTHING,
) -> ReadBack:
    """What a sheet must say on every page, the ``words`` it must say somewhere, what steps are ``asked``."""
    try:
        texts = texts_of(path)
    except (pypdfium2.PdfiumError, OSError) as error:
        return ReadBack(path=rel, problems=(f"is not a readable PDF: {error}",))
    problems: list[str] = []
    said: list[str] = []
    for number, page in enumerate(texts.pages, 1):
        width, height = (side / POINTS_PER_MM for side in page.size)
        known = any(
            abs(width - row.width_mm) < SIZE_TOLERANCE_MM and abs(height - row.height_mm) < SIZE_TOLERANCE_MM
            for row in paper_rows()
        )
        if not known:
            problems.append(f"page {number} is {width:.2f} x {height:.2f} mm, no known paper")
        text = " ".join(page.text.split())
        for word in (title, f"revision {revision}", *CAUTION_WORDS):
            if word not in text:
                problems.append(f"page {number} does not say {word!r}")
        said.append(text)
    if texts.fault is not None:
        return ReadBack(path=rel, problems=(*problems, f"has a page that cannot be read: {texts.fault}"))
    told = " ".join(said)
    problems += [f"does not say {word!r}" for word in words if word not in told]
    problems += asked.problems(said)
    facts = (f"{len(said)} pages, revision {revision}", *(f"says {word!r}" for word in words))
    return ReadBack(path=rel, facts=facts, problems=tuple(problems))
