"""What the drawing says of two cheeks at their pivots: angles alone would let them stand too far apart."""

from __future__ import annotations

from collections.abc import Iterator

from generators.drawing.part.tables.welded import welded_flanges
from generators.figures import fixed
from generators.model.plan import PartPlan
from generators.sheetmetal.in_line import cheeks


def cheek_lines(plan: PartPlan) -> Iterator[str]:
    """The free width at each pair of pivots and what it may be off, mm, on the part as it is finished."""
    for pair in cheeks(plan):
        one, other = (name.replace("_", " ") for name in pair.flanges)
        first, second = pair.numbers
        done = "welded and cool" if welded_flanges(plan) else "bent"
        yield (
            f"CHEEKS {one}, {other}: {fixed(pair.free_mm, 2)} ±{pair.off_mm:g} mm free between them once "
            f"{done}, all round pivot bores {first} and {second}{pair.state}; set them to it."
        )
