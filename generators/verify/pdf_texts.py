"""What stands on the pages of a finished PDF as text, looked at once however many readers ask.

Paper, words and the mark of waived rules are asked of one file by several readers in turn. To open it again
for each takes longer than to read what it says.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path

import pypdfium2

MARK = "WAIVED: see list"
"""What every page says of a job some of whose rules were waived."""

KEPT = 3
"""Files whose text is held: one that is read, and two that are read as a pair."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One page: its size in points, its text, and for each ``MARK`` the boxes of its letters, in points.

    A box is left, bottom, right, top.
    """

    size: tuple[float, float]
    text: str
    marks: tuple[tuple[Box, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """The pages that can be read, and what the library says of the first one that cannot."""

    pages: tuple[Said, ...]
    fault: pypdfium2.PdfiumError | None = None


_KNOWN: OrderedDict[bytes, Texts] = OrderedDict()


def texts_of(path: Path) -> Texts:
    """Every page of a file. Raises ``PdfiumError`` for what is no PDF, and ``OSError``."""
    data = path.read_bytes()
    known = _KNOWN.get(data)
    if known is not None:
        return known
    document = pypdfium2.PdfDocument(data)
    pages: list[Said] = []
    fault = None
    try:
        for index in range(len(document)):
            page = document[index]
            pages.append(said_on(page, page.get_textpage()))
    except pypdfium2.PdfiumError as error:
        fault = error
    finally:
        document.close()
    return remember(data, Texts(pages=tuple(pages), fault=fault))


def said_on(page: pypdfium2.PdfPage, words: pypdfium2.PdfTextPage) -> Said:
    """What an open page says; ``words`` is its text. Raises ``PdfiumError``."""
    text = words.get_text_range()
    found = words.search(MARK, match_case=True)
    marks: list[tuple[Box, ...]] = []
    while (place := found.get_next()) is not None:
        marks.append(tuple(words.get_charbox(i) for i in range(place[0], place[0] + place[1])))
    return Said(size=page.get_size(), text=text, marks=tuple(marks))


def remember(data: bytes, texts: Texts) -> Texts:
    """Keep what the pages of a file of those bytes say, for whoever asks next; the oldest is forgotten."""
    _KNOWN[data] = texts
    while len(_KNOWN) > KEPT:
        _KNOWN.popitem(last=False)
    return texts
