"""What finished sheets say, and whether their letters lie on top of each other."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from pedal_specs import VARIANTS, write_spec

from generators.jobs.make.job_files import job_files
from generators.solve.job import Prepared, prepare

_TOUCHING_PT = 0.4
_MARGIN_PT = 10 * 72 / 25.4


def prepared(folder: Path, variant: str) -> Prepared:
    """The job of a variant, its failed rules waived."""
    spec = write_spec(folder, VARIANTS[variant])
    failed = {f.code: "a test of the sheets" for f in prepare(spec).findings if f.blocks}
    return prepare(spec, failed)


SHEETS = ("report", "install_sheet")


def write_sheets(
    folder: Path, job: Prepared, paper: str = "A4", kinds: Collection[str] = SHEETS
) -> dict[str, Path]:
    """Report and install sheet of a job, or those asked for, by kind."""
    paths = {}
    for artefact in job_files(job, paper):
        if artefact.entry.kind in kinds:
            paths[artefact.entry.kind] = folder / artefact.entry.path
            artefact.body(path=paths[artefact.entry.kind])
    return paths


@dataclass(frozen=True)
class Letters:
    """The level letters of a page: text and ink boxes (n, 4), points."""

    text: str
    boxes: np.ndarray
    width: float


def letters(path: Path) -> list[Letters]:
    """The letters of every page; a file is read once, however many ask."""
    return _letters(path, path.stat().st_mtime_ns)


@lru_cache(maxsize=32)
def _letters(path: Path, _written_ns: int) -> list[Letters]:
    document = pypdfium2.PdfDocument(path)
    pages = []
    for page in document:
        text = page.get_textpage()
        count = text.count_chars()
        level = [i for i in range(count) if abs(pdfium.FPDFText_GetCharAngle(text.raw, i)) < 1e-3]
        found = "".join(chr(pdfium.FPDFText_GetUnicode(text.raw, i)) for i in level)
        boxes = np.array([text.get_charbox(i) for i in level], dtype=float).reshape(-1, 4)
        pages.append(Letters(text=found, boxes=boxes, width=page.get_width()))
    document.close()
    return pages


def page_texts(path: Path) -> list[str]:
    """The text of each page with single blanks."""
    return [" ".join(page.text.split()) for page in letters(path)]


def overlaps(path: Path, only: Collection[int] | None = None) -> Iterator[tuple[int, str]]:
    """Places where ink boxes of two letters lie on each other, with the text around the first.

    With ``only``, those of the pages of these numbers.
    """
    for number, page in enumerate(letters(path), 1):
        if only is not None and number not in only:
            continue
        ink = np.array([not c.isspace() for c in page.text])
        where = np.flatnonzero(ink)
        x0, y0, x1, y1 = page.boxes[where].T
        wide = np.minimum.outer(x1, x1) - np.maximum.outer(x0, x0)
        tall = np.minimum.outer(y1, y1) - np.maximum.outer(y0, y0)
        for a, b in np.argwhere(np.triu((wide > _TOUCHING_PT) & (tall > _TOUCHING_PT), 1)):
            i, j = where[a], where[b]
            yield number, f"{page.text[max(i - 12, 0) : i + 12]!r} on {page.text[max(j - 12, 0) : j + 12]!r}"


def off_page(path: Path) -> Iterator[tuple[int, str]]:
    """Letters that come nearer than 10 mm to the left or right edge of the paper."""
    for number, page in enumerate(letters(path), 1):
        for char, box in zip(page.text, page.boxes, strict=True):
            if not char.isspace() and (box[0] < _MARGIN_PT or box[2] > page.width - _MARGIN_PT):
                yield number, char
