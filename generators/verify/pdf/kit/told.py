"""What a flowing sheet tells, its head and foot left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from generators.verify.pdf.content import UnreadablePdfError, plain, read_pdf
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.readback import ReadBack


def read_told(
    path: Path,
    problems: Callable[[str], Iterable[str]],
    *,
    rel: str,
    title: str,
    revision: str,
    facts: Sequence[str],
    words: Sequence[str] = (),
) -> ReadBack:
    """A sheet of a kit: what each page must say and ``words``, then what ``problems`` finds in all it tells.

    ``facts`` are what was looked at, for the report.
    """
    reading = read_sheet_pdf(path, title=title, revision=revision, rel=rel, words=words)
    if reading.problems:
        return reading
    try:
        text = told(path, title)
    except UnreadablePdfError as error:
        return replace(reading, problems=(str(error),))
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems(text)))


def told(path: Path, title: str) -> str:
    """All words of all pages without blanks, page after page. Raises ``UnreadablePdfError``."""
    pages = []
    for page in read_pdf(path).pages:
        text = plain(page.text)
        # head and foot are drawn last, when the pages are counted
        body, head, _ = text.rpartition(plain(f"{title} revision"))
        pages.append(body if head else text)
    return "".join(pages)
