"""What a sheet to work from must say of the holes that are made by it: tool, size and limits."""

from __future__ import annotations

import math
from collections.abc import Iterable

from generators.model.plan import PanelHole, PanelLayout

INCH_MM = 25.4
WHOLE = 1e-6


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
