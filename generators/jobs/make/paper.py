"""Paper of a job's sheets: size and projection."""

from __future__ import annotations

from generators.drawing.paper.sizes import BOTH
from generators.reading import JobFile
from generators.standards import projection_of

BY_PAPER = "by_paper"
SHEET_PAPER = {"A3": "A4", "tabloid": "letter", BOTH: "A4"}


def sheet_paper(paper: str) -> str:
    """Paper of sheets one reads: the reading size that goes with the template's paper."""
    if paper.startswith("roll:"):
        return "A4"
    return SHEET_PAPER.get(paper, paper)


def sheet_projection(file: JobFile, paper: str) -> str:
    """``first`` or ``third``: as the shop asks, else as is usual on that paper."""
    asked = file.shop.drawing.projection
    return projection_of(sheet_paper(paper)) if asked == BY_PAPER else asked
