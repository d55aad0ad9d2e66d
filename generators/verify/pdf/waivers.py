"""The mark of waived rules in a finished PDF: on every page, within it, and the list it points to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2

from generators.model.findings import Waived
from generators.verify.pdf_texts import MARK, Said, texts_of
from generators.verify.readback import ReadBack

TITLE = "WAIVED RULES"
POINTS_PER_MM = 72 / 25.4
MARGIN_MM = 9.9
"""No printer of ours prints nearer to the paper's edge than 10 mm."""
HYPHENS = "-\u00ad\u0002\ufffe"


def waiver_problems(
    path: Path, waived: Sequence[Waived], *, on_first: bool = False, reasons: bool = True
) -> list[str]:
    """Pages that lack the mark, or carry one although nothing was waived; codes and reasons not listed.

    The list is looked for in the whole file, or ``on_first`` page alone; there ``reasons`` may be cut.
    """
    try:
        texts = texts_of(path)
    except (pypdfium2.PdfiumError, OSError):
        return []  # the reader of that sheet has said so
    if texts.fault is not None:
        return []  # the same
    told = [page.text for page in texts.pages]
    problems = [
        f"page {number} {said}"
        for number, page in enumerate(texts.pages, 1)
        for said in _mark(page, bool(waived))
    ]
    if waived:
        where = told[:1] if on_first else told
        problems += _list("".join(where), waived, reasons)
    elif any(_plain(TITLE) in _plain(text) and _plain(MARK) in _plain(text) for text in told):
        problems.append("has a list of waived rules, and none was waived")
    return problems


def read_with_waivers(
    path: Path, *, reader: Callable[..., ReadBack], waived: Sequence[Waived], **wanted: Any
) -> ReadBack:
    """What ``reader`` finds in a sheet, held against ``wanted``, and what is amiss with its waivers."""
    reading = reader(path, **wanted)
    return replace(reading, problems=(*reading.problems, *waiver_problems(path, waived)))


def dxf_waiver_problems(path: Path, waived: Sequence[Waived]) -> list[str]:
    """The same of a DXF file, whose words are plain text."""
    try:
        told = path.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return []  # the reader of that file has said so
    if not waived:
        return ["says a rule was waived, and none was"] if MARK in told else []
    problems = [] if MARK in told else [f"does not say {MARK!r}"]
    return problems + list(_list(told, waived, reasons=False))


def _mark(page: Said, wanted: bool) -> Iterator[str]:
    width, height = (side / POINTS_PER_MM for side in page.size)
    for boxes in page.marks:
        left, low = (min(b[k] for b in boxes) / POINTS_PER_MM for k in (0, 1))
        right, top = (max(b[k] for b in boxes) / POINTS_PER_MM for k in (2, 3))
        if min(left, low, width - right, height - top) < MARGIN_MM:
            yield f"has the mark {MARK!r} off the paper or at its very edge"
    if wanted and not page.marks:
        yield f"does not say {MARK!r}"
    if page.marks and not wanted:
        yield "says a rule was waived, and none was"


def _list(told: str, waived: Sequence[Waived], reasons: bool) -> Iterator[str]:
    told = _plain(told)
    if _plain(TITLE) not in told:
        yield f"has no list {TITLE!r}"
    for item in waived:
        if _plain(item.code) not in told:
            yield f"does not list the waived rule {item.code!r}"
        elif reasons and not all(_plain(piece) in told for piece in _shown(item.reason)):
            yield f"does not give the reason {item.reason!r} for waiving {item.code!r}"


def _shown(text: str) -> list[str]:
    """The parts of a text that the sheet's plain font can show."""
    return "".join(c if c.encode("cp1252", "ignore") else "\0" for c in text).split("\0")


def _plain(text: str) -> str:
    """Without blanks, and without hyphens: at the end of a line one is read back as another character."""
    return "".join("".join(text.split()).translate(dict.fromkeys(map(ord, HYPHENS))))
