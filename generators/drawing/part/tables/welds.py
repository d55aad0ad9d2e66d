"""What the drawing says of welds between flanges of the part: in words, as ISO 2553 has it in symbols."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.drawing.part.tables.corners import Corner
from generators.figures import fixed
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.seams import Seam, seams
from generators.standards import GROWN_GAP_MM, WIDEST_GAP_MM

SAME_MM = 0.02
LIMITS = (
    f"Over {GROWN_GAP_MM:.1f} mm make the leg larger by the gap; over {WIDEST_GAP_MM:.1f} mm do not weld it "
    "(AWS D1.1)."
)


def weld_lines(plan: PartPlan, corners: Sequence[Corner]) -> Iterator[str]:
    """A line for each weld: edge, face, kind, leg, length, sides, and the gap as bent."""
    placed = flat_pattern(plan).placements
    for index, (_, seam) in enumerate((pair for pair in seams(plan) if pair[1] is not None), 1):
        if seam is None:
            continue
        ends = tuple(placed[seam.edge].apply(*end) for end in seam.ends)
        edge, onto = seam.edge.replace("_", " "), seam.onto.replace("_", " ")
        side = " and ".join(seam.sides) or "either"
        face = "upper" if seam.upper else "lower"
        low, high = max(seam.gap_mm - plan.bent_mm, 0.0), seam.most_mm + plan.bent_mm
        yield (
            f"WELD {index}: edge {_letters(corners, ends)} of {edge} to the {face} side of {onto}, fillet "
            f"(triangle of ISO 2553), leg z{_leg(seam)}, {fixed(seam.length_mm, 0)} mm long, on the {side} "
            f"side of {edge}, after bending. Gap {fixed(seam.most_mm, 1)} mm, {fixed(low, 1)} to "
            f"{fixed(high, 1)} as bent. {LIMITS}"
        )


def _leg(seam: Seam) -> str:
    return fixed(math.ceil(seam.leg_mm * 2 - 1e-6) / 2, 1).removesuffix(".0")


def _letters(corners: Sequence[Corner], ends: Sequence[tuple[float, float]]) -> str:
    """``k to m``: the corners at the two ends, rounded ones by their arc."""
    names = []
    for end in ends:
        near = [c for c in corners if min(math.dist(end, c.enters), math.dist(end, c.leaves)) < SAME_MM]
        names.append(near[0].letter if near else "?")
    return " to ".join(names)
