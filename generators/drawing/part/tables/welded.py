"""What a part with welds must be once it is welded, for drawing and inspection: a weld pulls as it cools."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.geometry.contours import bounds
from generators.model.plan import Flange, PartPlan
from generators.sheetmetal.lying import lying
from generators.sheetmetal.seams import seams

FLATNESS = ((120.0, 0.5), (400.0, 1.0), (1000.0, 1.5), (2000.0, 2.0))
"""Flatness up to a length, mm: ISO 13920 class E, from memory (M-high). It begins at 30 mm; a shorter
face has its first step."""


def welded_flanges(plan: PartPlan) -> tuple[str, ...]:
    """The flanges that a weld joins to each other, or that a boss is welded on, in the plan's order."""
    joined = {name for pair, seam in seams(plan) if seam is not None for name in pair}
    return tuple(flange.name for flange in plan.flanges if flange.name in joined or _bossed(flange))


def flat_face(plan: PartPlan) -> tuple[str, float] | None:
    """The welded flange that is bolted down, as people read it, and how far off flat it may be, mm.

    By its longer side. None where no weld joins it, and for feet on one panel, which are held together
    (``feet_limit``).
    """
    on, *others = lying(plan)
    if others or on[0].name not in welded_flanges(plan) or not any(o.mates for o in on[0].openings):
        return None
    u0, v0, u1, v1 = bounds(on[0].contour)
    long = max(u1 - u0, v1 - v0)
    within = next((by for to, by in FLATNESS if long <= to), FLATNESS[-1][1])
    return on[0].name.replace("_", " "), within


def welded_lines(plan: PartPlan) -> Iterator[str]:
    """What the drawing says of it."""
    names = welded_flanges(plan)
    if not names:
        return
    shown = ", ".join(name.replace("_", " ") for name in names)
    face = ""
    if (found := flat_face(plan)) is not None:
        face = f"; lower side of {found[0]} flat within {found[1]:g} mm (ISO 13920 E)"
    yield (
        f"ONCE WELDED and cool {shown}: outside lengths ±{plan.bent_mm:g} mm, angles of their bends "
        f"±{math.degrees(plan.bent_rad):g}°{face}; straighten what the weld pulled."
    )


def _bossed(flange: Flange) -> bool:
    return any(
        hole.finish is not None and hole.finish.ring is not None and hole.finish.ring.welded
        for hole in flange.holes
    )
