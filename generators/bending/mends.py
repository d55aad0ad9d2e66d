"""What would let a part be bent: each mend is tried by searching again, and said if that finds an order."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from shapely.geometry import Polygon, box

from generators.bending.search import Search
from generators.bending.steps import Refusal, Sequence
from generators.bending.tools import punches_of
from generators.bending.trial import Setting
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Punch
from generators.sheetmetal.allowance import setback
from generators.sheetmetal.die import shoulder
from generators.sheetmetal.folding import bend_length

NECKS_MM = (30.0, 50.0, 75.0, 100.0, 140.0)
HEIGHTS_MM = (150.0, 200.0, 250.0, 300.0, 400.0)
NECK_BODY_MM, NECK_ANGLE = 24.0, math.radians(80)
ROOM_MM = 5.0
FINEST_MM = 1.0
OVER_MM = 0.1
"""More than the least the die carries."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """A change under which the part can be bent. ``from_mm`` and ``to_mm`` where a depth is changed."""

    words: str
    from_mm: float | None = None
    to_mm: float | None = None


def main_refusal(sequence: Sequence) -> Refusal:
    """The refusal that says most: what meets something, as late in the stroke as any."""
    return max(sequence.refusals, key=lambda r: (len(r.done), r.why == "meets", r.angle_rad))


def mends(plan: PartPlan, setting: Setting, sequence: Sequence) -> Iterator[Mend]:
    """Mends that were tried and hold, the least first: a flange less deep, a gooseneck, a trim, a weld."""
    refusal = main_refusal(sequence)
    if refusal.flange and (shorter := _shorter(plan, setting, refusal)) is not None:
        yield shorter
    if refusal.why == "meets" and refusal.tool in ("punch", "ram"):
        neck = _gooseneck(plan, setting)
        if neck is not None:
            yield neck
    if refusal.why in ("support", "pieces"):
        trim = _trimmed(plan, setting, refusal)
        if trim is not None:
            yield trim
    weld = _welded(plan, setting, sequence)
    if weld is not None:
        yield weld


def _shorter(plan: PartPlan, setting: Setting, refusal: Refusal) -> Mend | None:
    """The flange that is in the way, cut off square nearer to its bend: halved in until 1 mm is left."""
    bend = next((b for b in plan.bends if b.child == refusal.flange), None)
    if bend is None or any(b.parent == refusal.flange for b in plan.bends):
        return None
    search = Search(plan=plan, setting=setting)
    whole = search.shape.outlines[refusal.flange]
    depth = whole.bounds[3]

    def holds(to: float) -> bool:
        again = Search(plan=plan, setting=setting)
        cut = whole.intersection(box(-1e5, -1.0, 1e5, to))
        if not isinstance(cut, Polygon) or cut.is_empty:
            return False
        again.shape.outlines[refusal.flange] = cut
        return again.run().found

    opening = setting.opening_mm or 8 * plan.thickness_mm
    carried = shoulder(opening, bend.angle_rad)
    carried -= setback(bend.angle_rad, bend.inside_radius_mm, plan.thickness_mm)
    low, high = min(carried + OVER_MM, depth / 2), depth
    if not holds(low):
        return None
    while high - low > FINEST_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    to = math.floor(low)
    words = f"make flange {refusal.flange} {depth - to:.0f} mm less deep ({to:.0f} mm behind its bend)"
    return Mend(words=words, from_mm=depth, to_mm=float(to))


def _gooseneck(plan: PartPlan, setting: Setting) -> Mend | None:
    """The least deep and least high gooseneck under which an order is found."""
    for height in HEIGHTS_MM:
        for neck in NECKS_MM:
            start = math.ceil((neck + NECK_BODY_MM) / math.tan(NECK_ANGLE / 2) + 1)
            if start > height - 20:
                continue
            punch = Punch(
                name="gooseneck to get",
                height_mm=height,
                angle_rad=NECK_ANGLE,
                tip_radius_mm=1.0,
                width_mm=NECK_BODY_MM,
                neck_depth_mm=neck,
                neck_from_mm=float(start),
            )
            pieces = max((p.segments_mm for p in punches_of(setting.brake)), key=len)
            brake = replace(
                setting.brake, punch=(*punches_of(setting.brake), replace(punch, segments_mm=pieces))
            )
            if Search(plan=plan, setting=replace(setting, brake=brake)).run().found:
                return Mend(
                    words=f"take a gooseneck punch {height:.0f} mm high, its neck {neck:.0f} mm back from "
                    f"{start} mm above the tip on, and state it under [brake] in shop.toml"
                )
    return None


def _trimmed(plan: PartPlan, setting: Setting, refusal: Refusal) -> Mend | None:
    """Flanges left square and long enough for the die, cut to shape after bending."""
    bend = next(b for b in plan.bends if b.name == refusal.bend)
    if setting.opening_mm is None:
        return None
    reach = setting.opening_mm / 2 / math.cos(bend.angle_rad / 2) + 2.0
    search = Search(plan=plan, setting=setting)
    if any(b.parent == bend.child for b in plan.bends):
        return None
    was = search.shape.outlines[bend.child]
    square = was.union(box(0.0, 0.0, bend_length(bend), reach))
    if not isinstance(square, Polygon):
        return None
    search.shape.outlines[bend.child] = Polygon(square.exterior)
    if not search.run().found:
        return None
    return Mend(
        words=f"leave flange {bend.child} square to {reach:.0f} mm from its bend, and trim it after bending"
    )


def _welded(plan: PartPlan, setting: Setting, sequence: Sequence) -> Mend | None:
    """A flange made as a piece of its own and welded on: the least one without which the rest can be bent."""
    left = {r.bend for r in sequence.refusals}
    outlines = Search(plan=plan, setting=setting).shape.outlines
    for bend in sorted(
        (b for b in plan.bends if b.name in left), key=lambda b: (outlines[b.child].area, b.name)
    ):
        gone = _hung_on(plan, bend)
        rest = replace(
            plan,
            flanges=tuple(f for f in plan.flanges if f.name not in gone),
            bends=tuple(b for b in plan.bends if b.child not in gone),
        )
        if Search(plan=rest, setting=setting).run().found:
            return Mend(
                words=f"cut flange {bend.child} as a piece of its own and weld it on along bend {bend.name}"
            )
    return None


def _hung_on(plan: PartPlan, bend: Bend) -> set[str]:
    gone = {bend.child}
    while more := {b.child for b in plan.bends if b.parent in gone} - gone:
        gone |= more
    return gone
