"""The map on an inspection sheet: the blank's holes in their places at one scale, with their numbers."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.sheetmetal.folding import FlatPattern
from generators.verify.pdf.content import Content, as_circle

CIRCLE_MM = 0.05


def map_problems(page: Content, flat: FlatPattern) -> Iterator[str]:
    """The map has the blank's outline, every hole in its place at one scale, and every number."""
    head = next((w for w in page.words if w.text.strip() == "nominal"), None)
    if head is None:
        return
    above = [w.text.strip() for w in page.words if w.box[1] > head.box[3]]
    for number in range(1, len(flat.holes) + len(flat.slots) + 1):
        if str(number) not in above:
            yield f"the map does not show number {number}"
    circles = [c for s in page.shapes if (c := as_circle(s, CIRCLE_MM)) is not None]
    if not flat.holes:
        return
    first = max(flat.holes, key=lambda h: h.diameter_mm)
    best = len(flat.holes)
    for start in circles:
        ratio = start.diameter / first.diameter_mm
        missing = 0
        for h in flat.holes:
            x = start.x + (h.u_mm - first.u_mm) * ratio
            y = start.y + (h.v_mm - first.v_mm) * ratio
            near = (
                math.hypot(c.x - x, c.y - y) for c in circles if _alike(c.diameter, h.diameter_mm * ratio)
            )
            missing += min(near, default=math.inf) > 2 * CIRCLE_MM
        best = min(best, missing)
    if best:
        yield f"the map has {best} of {len(flat.holes)} holes out of place"


def _alike(a: float, b: float) -> bool:
    return abs(a - b) <= CIRCLE_MM
