"""Feet of a part that stand on one panel: how far off one plane they may be, for drawing and inspection."""

from __future__ import annotations

from collections.abc import Iterator

from generators.geometry.contours import bounds, transformed
from generators.model.plan import PartPlan
from generators.sheetmetal.lying import lying

FLATNESS = ((10.0, 0.1), (30.0, 0.2), (100.0, 0.4), (300.0, 0.8), (1000.0, 1.2), (3000.0, 1.6))
"""Flatness up to a length, mm: ISO 2768-2 class L, from memory (M-high)."""


def feet_limit(plan: PartPlan) -> tuple[tuple[str, ...], float] | None:
    """The flanges that stand on one panel apart from each other, and how far off one plane they may be, mm.

    By the longer side of all of them together; None for a part that stands on one flange.
    """
    feet = lying(plan)
    if plan.printed or len(feet) < 2:
        return None
    boxes = [bounds(transformed(flange.contour, place)) for flange, place in feet]
    long = max(max(b[axis + 2] for b in boxes) - min(b[axis] for b in boxes) for axis in (0, 1))
    within = next((by for to, by in FLATNESS if long <= to), FLATNESS[-1][1])
    return tuple(flange.name.replace("_", " ") for flange, _ in feet), within


def feet_lines(plan: PartPlan) -> Iterator[str]:
    """What the drawing says of them."""
    if (found := feet_limit(plan)) is not None:
        names, within = found
        yield (
            f"FEET {', '.join(names)}: lower sides on one plane within {within:g} mm once bent "
            "(ISO 2768-2 L), not pulled down."
        )
