"""What a flowing sheet tells, its head and foot left out."""

from __future__ import annotations

from pathlib import Path

from generators.verify.pdf.content import plain, read_pdf


def told(path: Path, title: str) -> str:
    """All words of all pages without blanks, page after page. Raises ``UnreadablePdfError``."""
    pages = []
    for page in read_pdf(path).pages:
        text = plain(page.text)
        # head and foot are drawn last, when the pages are counted
        body, head, _ = text.rpartition(plain(f"{title} revision"))
        pages.append(body if head else text)
    return "".join(pages)
