"""How far apart two cheeks stand at their pivots: what goes between them is faced to that width."""

from __future__ import annotations

from collections.abc import Iterator

from generators.drawing.inspection.item import Item, caliper, length, shown
from generators.model.plan import PartPlan
from generators.sheetmetal.in_line import cheeks


def between(plan: PartPlan) -> Iterator[Item]:
    """The free width at each pair of pivots, mm, within what the drawing says of it (``cheeks``)."""
    for count, pair in enumerate(cheeks(plan), 1):
        one, other = (shown(name) for name in pair.flanges)
        first, second = pair.numbers
        what = (
            f"free width between {one} and {other}, all round pivot bores {first} and {second}{pair.state}: "
            f"{_faced(plan)}"
        )
        off = (-pair.off_mm, pair.off_mm)
        yield length(f"U{count}", what, caliper(pair.free_mm, off), pair.free_mm, off, bent=True)


def _faced(plan: PartPlan) -> str:
    """What the shop that fits the pedal makes to this reading."""
    if plan.bush is not None and plan.bush.bearing is not None:
        return "the hub is shimmed to it"
    return "the spacer tube is faced to it" if plan.spacer is not None else "hub and spacers are faced to it"
