"""What paint or plating does to a part's sizes, said once where its finish names one.

The sizes are those of the bare metal. Paint is some tenths thick where it runs: a pivot seizes, a thread
does not take its bolt, and under a bolt it creeps and lets the bolt go slack. Plating is thin, but bores and
threads are closer than that. Which sides are pressed on follows from the plan: those on the panel whole,
round what is bolted both, and of two cheeks those that hub and spacers stand between. Common practice, no
source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from generators.drawing.pack.entries import numbers_in_words
from generators.model.plan import PartPlan
from generators.model.words import FittingKind
from generators.sheetmetal.in_line import cheeks, inner_sides
from generators.sheetmetal.lying import lying

PAINT = re.compile(r"(?i)\b(?:paint\w*|primer|enamel\w*|lacquer\w*|powder\w*|coat\w*)")
PLATING = re.compile(r"(?i)\b(?:zinc|galvani[sz]\w*|plat(?:e|ed|ing)|anodi[sz]\w*)\b")
NONE = re.compile(r"(?i)\b(?:no|not|never|without|un)[ -]?(?:paint|coat|plat|primer)\w*")
BEFORE = "FINISH: sizes are before it"
THIN_UM = 25
"""The most primer that stays under what presses, µm: one coat, as bolted joints are primed. Common practice,
no source."""

BARE = f"bare or up to {THIN_UM} µm of primer where pressed on (paint creeps)"
AS_FAR = "as far as bolted over at the trial fit"
BORED, PIVOT = ("bore", "pivot"), "pivot"
THREADS = ("tapped", "extruded", "flow_drilled", "press_nut", "weld_nut", "press_stud")
LOOSE: tuple[FittingKind, ...] = ("plain", "grommet", "bore", "pivot", "lightening", "existing")
"""What goes through these presses on neither side of the sheet."""


def coating_lines(plan: PartPlan) -> Iterator[str]:
    """The drawing's line on a finish that is put on; none where the finish names none.

    Of paint it names bores and threads to mask and the sides that are pressed on; of plating the bores and
    threads to gauge again.
    """
    named = NONE.sub("", plan.finish)
    paint = PAINT.search(named) is not None
    if plan.printed or not (paint or PLATING.search(named)):
        return
    holes = [h for flange in plan.flanges for h in flange.holes]
    bores = [n for n, h in enumerate(holes, 1) if h.fitting.kind in BORED]
    threads = [n for n, h in enumerate(holes, 1) if h.finish is not None and h.finish.kind in THREADS]
    close = [_listed(what, these) for what, these in (("bore", bores), ("thread", threads)) if these]
    asked = []
    if close:
        named = " and ".join(close)
        asked.append(f"mask {named}" if paint else f"gauge {named} again after it")
    if paint and (sides := ", ".join(pressed_sides(plan))):
        asked.append(f"{BARE}: {sides}")
    yield f"{'; '.join([BEFORE, *asked])}."


def pressed_sides(plan: PartPlan) -> Iterator[str]:
    """The sides of flanges that another part, a head or a nut presses on; nothing where nothing does.

    ``lower side of web``, ``upper side round 2 to 7``: the lower side of what lies on the panel, all of it,
    and both sides round what is bolted, by the drawing's numbers. The pivot's bolt clamps both cheeks on a
    spacer between them. Else what is faced to the width between them (``cheeks``), or the flange of a bush,
    lies on the side toward the other cheek; a hub on ball bearings touches their inner rings alone.
    """
    laid = [f.name for f, _ in lying(plan) if plan.doubler or any(o.mates for o in f.openings)]
    if laid:
        yield f"lower side of {' and '.join(name.replace('_', ' ') for name in laid)}"
    inner, numbers = inner_sides(plan), _numbers(plan)
    faced = plan.bush is None or plan.bush.bearing is None
    paired = {number for pair in cheeks(plan) for number in pair.numbers} if faced else set()
    round_: dict[str, list[int]] = {"upper side": [], "lower side": [], "both sides": []}
    for flange in plan.flanges:
        for o in flange.openings:
            number = numbers[flange.name, o.name]
            if o.fitting.kind not in LOOSE:
                round_["upper side" if flange.name in laid else "both sides"].append(number)
            elif o.name.startswith(PIVOT) and (flange.name, o.name) in inner:
                if plan.spacer is not None:
                    round_["both sides"].append(number)
                elif number in paired:
                    round_[f"{inner[flange.name, o.name]} side"].append(number)
    said = [
        f"{side} round {numbers_in_words([str(n) for n in sorted(own)])}"
        for side, own in round_.items()
        if own
    ]
    if said:
        yield f"{', '.join(said)}, {AS_FAR}"


def _numbers(plan: PartPlan) -> dict[tuple[str, str], int]:
    """The drawing's number of each opening by flange and name: all holes, then all slots."""
    holes = [(flange.name, h.name) for flange in plan.flanges for h in flange.holes]
    slots = [(flange.name, s.name) for flange in plan.flanges for s in flange.slots]
    return {where: number for number, where in enumerate((*holes, *slots), 1)}


def _listed(what: str, numbers: Sequence[int]) -> str:
    """``bores 8 and 9``, ``bore 5``."""
    return f"{what}{'s' if len(numbers) > 1 else ''} {numbers_in_words([str(n) for n in numbers])}"
