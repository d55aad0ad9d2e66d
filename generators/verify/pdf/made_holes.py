"""What a sheet to work from must say of the holes that are made by it: tool, size, limits, when and how."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pypdfium2

from generators.model.plan import PanelHole, PanelLayout
from generators.verify.pdf.template.works import table_work_problems
from generators.verify.pdf_texts import texts_of

INCH_MM = 25.4
WHOLE = 1e-6
NONE = "–"
"""What the report says for the tool of a hole nothing is done to."""


def made_words(layouts: Iterable[PanelLayout]) -> tuple[str, ...]:
    """The tool of every hole somebody makes, and between which diameters it may come out."""
    words: dict[str, None] = {}
    for layout in layouts:
        for hole in layout.holes:
            if hole.status not in ("drill", "reuse") or not hole.tool:
                continue
            words[hole.tool] = None
            if hole.most_mm:
                words[_limits(hole, inch=layout.units == "inch")] = None
    return tuple(words)


def _limits(hole: PanelHole, *, inch: bool) -> str:
    """Both limits rounded toward each other, so that neither is overstepped."""
    one, digits, short = (INCH_MM, 3, "in") if inch else (1.0, 2, "mm")
    step = 10**digits
    low = math.ceil(hole.least_mm / one * step - WHOLE) / step
    high = math.floor(hole.most_mm / one * step + WHOLE) / step
    low, high = sorted((low, high))
    return f"{low:.{digits}f} to {high:.{digits}f} {short}"


def told_problems(path: Path, layouts: Iterable[PanelLayout]) -> Iterator[str]:
    """Holes whose row in a finished report does not say when, how, from which face and with what."""
    try:
        texts = texts_of(path)
    except (pypdfium2.PdfiumError, OSError) as error:
        yield f"is not a readable PDF: {error}"
        return
    if texts.fault is not None:
        yield f"has a page that cannot be read: {texts.fault}"
        return
    text = _bare("".join(page.text for page in texts.pages))
    for layout in layouts:
        for hole in layout.holes:
            begin, end = re.escape(_bare(hole.number + hole.purpose)), re.escape(_bare(hole.tool or NONE))
            said = [found[1] for found in re.finditer(f"(?={begin}(.*?){end})", text)]
            wrong = [list(table_work_problems(hole, words)) for words in said]
            if not wrong:
                yield f"has no row for hole {hole.number} with {hole.tool or 'no tool'}"
            elif all(wrong):
                yield from min(wrong, key=len)


class _Kept(dict[int, int | None]):
    """What becomes of each letter, worked out when it is first met."""

    def __missing__(self, letter: int) -> int | None:
        shown = not chr(letter).isspace() and chr(letter).encode("cp1252", "ignore")
        self[letter] = kept = letter if shown else None
        return kept


_KEPT = _Kept()


def _bare(text: str) -> str:
    """Without blanks, and without what the plain font cannot show."""
    return text.translate(_KEPT)
