"""An existing slot on a page: its outline, dashed, as long and as turned as the plan says."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generators.model.plan import PanelHole
from generators.verify.pdf.content import Content, Point, Shape

SLOT_MM = 0.1


def slot_problems(page: Content, hole: PanelHole, ends: Sequence[Point]) -> list[str]:
    """A problem where no dashed outline is that slot, whose end centres lie at ``ends`` of the page, mm."""
    if any(shape.dashed and _is_slot(shape, ends, hole.final_dia_mm / 2) for shape in page.shapes):
        return []
    long = hole.final_dia_mm + hole.travel_mm
    return [f"hole {hole.number} is no slot of {hole.final_dia_mm:.2f} by {long:.2f} mm on the page"]


def _is_slot(shape: Shape, ends: Sequence[Point], radius: float) -> bool:
    """True for an outline all of whose points lie on the slot's, with a point at each end of both flanks."""
    (ax, ay), (bx, by) = ends
    length = math.dist(ends[0], ends[1])
    along = ((bx - ax) / length, (by - ay) / length)
    aside = (-along[1] * radius, along[0] * radius)
    corners = [(x + s * aside[0], y + s * aside[1]) for x, y in ends for s in (-1, 1)]
    if not all(any(math.dist(p, c) <= SLOT_MM for p in shape.points) for c in corners):
        return False
    for x, y in shape.points:
        t = min(length, max(0.0, (x - ax) * along[0] + (y - ay) * along[1]))
        off = math.hypot(x - ax - t * along[0], y - ay - t * along[1])
        if abs(off - radius) > SLOT_MM:
            return False
    return True
