"""What would let a part be bent: each mend is tried by searching again, and said if that finds an order."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache, partial

from shapely.geometry import Polygon, box

from generators.bending.folder.mends import folder_tries
from generators.bending.folder.trial import FolderSetting
from generators.bending.force import bending_force
from generators.bending.mended import MOST_TRIED, Budget, Mend
from generators.bending.search import Bench, Search
from generators.bending.steps import Refusal, Sequence
from generators.bending.tools import dies_of, plain_die, punches_of
from generators.bending.trial import Setting
from generators.bending.widen import between, widened
from generators.geometry.contours import bounds
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.machines import BentOn
from generators.model.spec.tools.press import Punch
from generators.sheetmetal.folding import bend_length

GOOSENECKS_MM = (
    (150.0, 30.0),
    (200.0, 30.0),
    (200.0, 50.0),
    (250.0, 50.0),
    (250.0, 75.0),
    (300.0, 75.0),
    (300.0, 100.0),
    (400.0, 140.0),
)
"""Height and neck of goosenecks to be tried, the least first; ours, of sizes such punches come in."""

NECK_BODY_MM, NECK_ANGLE = 24.0, math.radians(80)
ROOM_MM = 5.0
FINEST_MM = 1.0
OVER_MM = 0.1
"""More than the least the die carries."""


Others = tuple[tuple[BentOn, Bench, str], ...]


def main_refusal(sequence: Sequence) -> Refusal:
    """The refusal that says most: what meets something, as late in the stroke as any."""
    return max(sequence.refusals, key=lambda r: (len(r.done), r.why == "meets", r.angle_rad))


def deep_mm(plan: PartPlan, refusal: Refusal) -> float | None:
    """How far the flange that is in the way reaches from its bend, mm; None for the root, or no flange."""
    if not any(b.child == refusal.flange for b in plan.bends):
        return None
    return bounds(plan.flange(refusal.flange).contour)[3]


@lru_cache(maxsize=128)
def mends(
    plan: PartPlan, setting: Setting | FolderSetting, sequence: Sequence, others: Others = ()
) -> tuple[Mend, ...]:
    """Mends that were tried and hold, the least first: a flange less deep, another tool, a trim, a weld.

    All together try ``MOST_TRIED`` ways to make a bend, shared out evenly; what one leaves the next has.
    ``others`` are machines it might be bent on instead: the word for ``bent_on``, and what they are called.
    """
    refusal = main_refusal(sequence)
    tries: list[Callable[[Budget], Mend | None]] = [
        partial(_elsewhere, plan, bench, word, called) for word, bench, called in others
    ]
    if refusal.flange:
        tries.append(partial(_shorter, plan, setting, refusal))
        tries.append(partial(_wider, plan, setting, refusal))
    if isinstance(setting, FolderSetting):
        tries += [partial(tried, plan, setting) for tried in folder_tries(refusal)]
    else:
        if refusal.why == "meets" and refusal.tool in ("punch", "ram"):
            tries.append(partial(_gooseneck, plan, setting))
        if refusal.why in ("support", "pieces"):
            tries.append(partial(_trimmed, plan, setting, refusal))
    own: tuple[Mend, ...] = ()
    if refusal.why == "force" and refusal.tool and isinstance(setting, Setting):
        tries = [
            *tries[: len(others)],
            partial(_bearing, plan, setting, refusal),
            partial(_over_wider, plan, setting),
        ]
    elif refusal.why in ("force", "length", "opening") and isinstance(setting, Setting):
        own, tries = _of_the_machine(plan, setting, refusal), tries[: len(others)]
    else:
        tries.append(partial(_welded, plan, setting, sequence))
    whole, found = Budget(MOST_TRIED), []
    for index, tried in enumerate(tries):
        share = whole.part(len(tries) - index)
        given = share.left
        found.append(tried(share))
        whole.left -= given - share.left
    return *(mend for mend in found if mend is not None), *own


def _elsewhere(plan: PartPlan, bench: Bench, word: BentOn, called: str, budget: Budget) -> Mend | None:
    """The part on another machine."""
    if not budget.finds(Search(plan=plan, setting=bench)):
        return None
    return Mend(words=f'bend it on {called}: bent_on = "{word}"', bent_on=word)


OPENING = (
    "take a lower punch or die where what is bent stands too high, a higher one where the ram stops short"
)


def _of_the_machine(plan: PartPlan, setting: Setting, refusal: Refusal) -> tuple[Mend, ...]:
    """What helps where the press itself is too weak, too short or opens too little."""
    brake = setting.brake
    bend = next(b for b in plan.bends if b.name == refusal.bend)
    if refusal.why == "length":
        return (Mend(words=f"have it bent on a brake of {bend_length(bend):.0f} mm or longer"),)
    if refusal.why == "opening":
        return (Mend(words=OPENING),)
    opening = setting.opening_mm or max(d.opening_mm for d in dies_of(brake, None, plan.thickness_mm))
    need = bending_force(setting.tensile_mpa, bend_length(bend), plan.thickness_mm, plain_die(opening))
    wide = opening * need / brake.force_n
    words = (
        f"bend it over a V of {math.ceil(wide):.0f} mm or wider (its R and least flange grow with it), "
        f"or on a press of {math.ceil(need / 1000):.0f} kN or more"
    )
    return (Mend(words=words),)


def _bearing(plan: PartPlan, setting: Setting, refusal: Refusal, budget: Budget) -> Mend | None:
    """The same punch or die marked for more: for what the steps then ask of it, in whole kN."""
    brake = setting.brake

    def marked(most_n: float | None) -> Setting:
        """The brake with every such tool marked for no less than that; None: for anything."""

        def to(now: float | None) -> float | None:
            return None if most_n is None else max(now or most_n, most_n)

        if refusal.tool == "die":
            dies = tuple(replace(d, force_per_m_n=to(d.force_per_m_n)) for d in brake.die)
            return replace(setting, brake=replace(brake, die=dies))
        punches = tuple(replace(p, force_per_m_n=to(p.force_per_m_n)) for p in brake.punch)
        return replace(setting, brake=replace(brake, punch=punches))

    unmarked = Search(plan=plan, setting=marked(None), brief=True)
    if not budget.finds(unmarked):
        return None
    ask = max(step.metre_n for step in unmarked.run().on_brake)
    kilo = math.ceil(ask / 1000)
    if not budget.finds(Search(plan=plan, setting=marked(kilo * 1000.0))):
        return None
    return Mend(words=f"take a {refusal.tool} that may take {kilo} kN on a metre, of the same form")


def _over_wider(plan: PartPlan, setting: Setting, budget: Budget) -> Mend | None:
    """The next wider die of the brake over which the same part can be bent."""
    used = setting.opening_mm
    if used is None:
        return None
    for opening in sorted({d.opening_mm for d in setting.brake.die if d.opening_mm > used}):
        if budget.finds(Search(plan=plan, setting=replace(setting, opening_mm=opening))):
            return Mend(words=f"bend it over V {opening:g} (its R and least flange grow with it)")
    return None


def _shorter(plan: PartPlan, setting: Bench, refusal: Refusal, budget: Budget) -> Mend | None:
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
        return budget.finds(again)

    carried = setting.least_leg_mm(bend, plan.thickness_mm)
    low, high = min(carried + OVER_MM, depth / 2), depth
    if not holds(low):
        return None
    while high - low > FINEST_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    to = math.floor(low)
    words = f"make flange {refusal.flange} {depth - to:.0f} mm less deep ({to:.0f} mm behind its bend)"
    return Mend(words=words, from_mm=depth, to_mm=float(to))


def _wider(plan: PartPlan, setting: Bench, refusal: Refusal, budget: Budget) -> Mend | None:
    """The flange between the bend and that of the one in the way, made wider: halved in to 1 mm."""
    bend = next(b for b in plan.bends if b.name == refusal.bend)
    other = next((b for b in plan.bends if refusal.flange in (b.parent, b.child) and b is not bend), None)
    web = between(plan, bend, other) if other is not None else ""
    if other is None or not web:
        return None

    def holds(by: float) -> bool:
        return budget.finds(Search(plan=widened(plan, web, bend, other, by), setting=setting))

    low, high = 0.0, deep_mm(plan, refusal) or 0.0
    if high <= FINEST_MM or not holds(high):
        return None
    while high - low > FINEST_MM:
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    words = f"make flange {web} {math.ceil(high)} mm wider between bends {other.name} and {bend.name}"
    return Mend(words=words)


def _gooseneck(plan: PartPlan, setting: Setting, budget: Budget) -> Mend | None:
    """The least deep and least high gooseneck under which an order is found."""
    own = punches_of(setting.brake)
    pieces = max((p.segments_mm for p in own), key=len)
    for height, neck in GOOSENECKS_MM:
        start = math.ceil((neck + NECK_BODY_MM) / math.tan(NECK_ANGLE / 2) + 1)
        punch = Punch(
            name="gooseneck to get",
            height_mm=height,
            angle_rad=NECK_ANGLE,
            tip_radius_mm=1.0,
            width_mm=NECK_BODY_MM,
            neck_depth_mm=neck,
            neck_from_mm=float(start),
            segments_mm=pieces,
        )
        brake = replace(setting.brake, punch=(*own, punch))
        if budget.finds(Search(plan=plan, setting=replace(setting, brake=brake))):
            return Mend(
                words=f"take a gooseneck punch {height:.0f} mm high, its neck {neck:.0f} mm back from "
                f"{start} mm above the tip on, and state it under [brake] in shop.toml"
            )
    return None


def _trimmed(plan: PartPlan, setting: Setting, refusal: Refusal, budget: Budget) -> Mend | None:
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
    if not budget.finds(search):
        return None
    return Mend(
        words=f"leave flange {bend.child} square to {reach:.0f} mm from its bend, and trim it after bending"
    )


def _welded(plan: PartPlan, setting: Bench, sequence: Sequence, budget: Budget) -> Mend | None:
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
            welds=tuple(w for w in plan.welds if not gone & set(w)),
        )
        if budget.finds(Search(plan=rest, setting=setting)):
            return Mend(
                words=f"cut flange {bend.child} as a piece of its own and weld it on along bend {bend.name}"
            )
    return None


def _hung_on(plan: PartPlan, bend: Bend) -> set[str]:
    gone = {bend.child}
    while more := {b.child for b in plan.bends if b.parent in gone} - gone:
        gone |= more
    return gone
