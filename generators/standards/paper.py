"""Paper sizes, exact: a 1:1 template may not be drawn on a rounded sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["Paper", "paper", "paper_rows", "projection_of"]

FIRST_ANGLE_SOURCE = "ISO"


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A sheet, upright: the width is the shorter side."""

    name: str
    width_mm: float
    height_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def paper_rows() -> tuple[Paper, ...]:
    """Every sheet: A4, A3, letter, tabloid. Raises nothing."""
    return tuple(
        Paper(
            name=row.text("name"),
            width_mm=row.length_mm("width"),
            height_mm=row.length_mm("height"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("paper")
    )


@cache
def _by_name() -> Mapping[str, Paper]:
    return index("paper.csv", ((row.name, row) for row in paper_rows()))


def paper(name: str) -> Paper:
    """The sheet called ``name``, in mm.

    Raises ``LookupFault`` for an unknown name. Source: ISO 216; ASME Y14.1 sizes A and B.
    """
    return find(_by_name(), name, "paper")


def projection_of(name: str) -> str:
    """``first`` or ``third``: how drawings on the sheet called ``name`` are projected.

    ISO 5456-2 allows both and ASME Y14.3 asks for third-angle where nothing is said; that drawings on ISO
    sheets are first-angle is common practice, no source. Raises ``LookupFault`` for an unknown name.
    """
    return "first" if paper(name).source.startswith(FIRST_ANGLE_SOURCE) else "third"
