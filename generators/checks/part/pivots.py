"""The rule on pivot bores in line: does the shaft go through both cheeks as they come off the brake?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.checks.part.finishing.bearings import check_bearing_seats
from generators.checks.rule import SAME_MM, Rule, finding, mm, more, short_of
from generators.figures import fixed, signed
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.sheetmetal.in_line import inner_sides, pivot_pairs

PIVOT_IN_LINE = Rule(
    code="pivot-in-line",
    title="Shaft may not go through both pivot bores",
    meaning=(
        "Two bores cut in the flat meet only as well as the part is bent: each bend may be off by its "
        "angle and each bent length by its tolerance. At worst the bores lean and lie aside of each other, "
        "and a shaft that is nearly as thick as the bore does not go through, or binds. pivot_shaft says "
        "what goes through."
    ),
    formula="shaft <= D cos(a) - t sin(a), a = bends x angle tolerance + atan(2 hypot(bent, position) / W)",
    source="plane geometry; the tolerances are the shop's ([position] in the shop file, ours)",
    trust="C",
    mend='A larger bore, or `pivot_build = "reamed"`: pilots are cut, and reamed in line after bending.',
)

PRESS_FIT = Rule(
    code="press-fit",
    title="Pressed bush or bearing may not hold",
    meaning=(
        "A bush is held in its bore by what it is larger. The smallest bush in the largest bore of the "
        "tolerance must still be larger, or it turns, creeps out, and the pivot wears the cheek. So with a "
        "ball bearing that the press alone holds; one that a circlip or a shoulder keeps may be loose, for "
        "the load stands still on its outer ring (ANSI/ABMA 7: J7)."
    ),
    formula="least outside - (D + ES) >= 0; a bush's bore is H7, a bearing's as its class says",
    source="ISO 3547-1 and -6 for wrapped bushes, ISO 492 class Normal for bearings; ISO 286",
    trust="R2",
    mend="A bush of the standard's outside, or one turned larger; or glue it in, as its maker says. A "
    "bearing wants a circlip, a shoulder, or class P7.",
)

REAM = 'give pivot_build = "reamed": a pilot is cut and both are reamed in line after bending; or open them'

SPACER_SEAT = Rule(
    code="spacer-seat",
    title="Spacer tube finds no seat",
    meaning=(
        "The pivot bolt pulls the cheeks onto the ends of the spacer tube. A tube hardly wider than the bore "
        "sinks into it or bends the rim, and the bolt comes loose. What counts is the width of the ring that "
        "is in touch: with the cheek, with the flange of a bush, or with a boss that stands inside."
    ),
    formula="(least outside of tube, boss and flange - larger of bore and tube's inside) / 2 >= 2 mm; fail "
    "below 0",
    source="ours, no source",
    trust="CP",
    mend="A wider tube, or bushes with a flange that it stands on.",
)
LEAST_SEAT_MM = 2.0

RULES = (PIVOT_IN_LINE, PRESS_FIT, SPACER_SEAT)


def check_pivots(plan: PartPlan) -> Iterator[Finding]:
    """A note for each pair of bores that the shaft may not go through, and what is pressed and may not hold.

    Raises nothing.
    """
    yield from _pressed(plan)
    yield from check_bearing_seats(plan)
    yield from _spacer(plan)
    if plan.shaft_mm is None:
        return
    for pair in pivot_pairs(plan):
        # a shaft goes by the name of its bush, and has the clearance it needs itself
        nominal = plan.bush.inside_mm if plan.bush is not None else pair.bore_mm
        if pair.reamed and plan.shaft_mm <= nominal + SAME_MM:
            continue  # both are one bore: the fit decides, not how the part was bent
        if plan.shaft_mm > pair.passes_mm + SAME_MM:
            yield finding(
                PIVOT_IN_LINE,
                Severity.FAIL if plan.shaft_mm > nominal + SAME_MM else Severity.NOTE,
                f"part:{plan.name} flanges {pair.flanges[0]} and {pair.flanges[1]}",
                value=plan.shaft_mm,
                limit=pair.passes_mm,
                found=f"a shaft of {mm(plan.shaft_mm)} in bores of {mm(nominal)}",
                wanted=f"{fixed(math.floor(pair.passes_mm * 100) / 100, 2)} mm or less: the bores may be "
                f"{fixed(pair.offset_mm, 2)} mm aside and lean {math.degrees(pair.lean_rad):.2f} deg",
                advice=REAM,
            )


def _spacer(plan: PartPlan) -> Iterator[Finding]:
    if plan.spacer is None:
        return
    bores = [h.diameter_mm for f in plan.flanges for h in f.holes if h.name.startswith("pivot")]
    inner = inner_sides(plan)
    # a boss inside and the flange of a bush carry the tube as far as they reach, a flange up to its own bore
    wide = [plan.spacer.outside_mm] + [
        h.finish.ring.outside_mm
        for f in plan.flanges
        for h in f.holes
        if h.finish is not None and h.finish.ring is not None and h.finish.side == inner.get((f.name, h.name))
    ]
    bore = max(bores, default=0.0)
    if plan.bush is not None and plan.bush.flange_mm:
        wide, bore = [*wide, plan.bush.flange_mm], plan.bush.inside_mm
    seat = (min(wide) - max(bore, plan.spacer.inside_mm)) / 2
    severity = short_of(seat, LEAST_SEAT_MM, 0.0)
    if severity:
        yield finding(
            SPACER_SEAT,
            severity,
            f"part:{plan.name} spacer tube",
            value=seat,
            limit=LEAST_SEAT_MM,
            floor=0.0,
            advice=f"take a tube {more(2 * (LEAST_SEAT_MM - seat))} wider, or bushes with a flange"
            if min(wide) == plan.spacer.outside_mm
            else f"take a boss or a flange of the bush {more(2 * (LEAST_SEAT_MM - seat))} wider",
        )


def _pressed(plan: PartPlan) -> Iterator[Finding]:
    bush = plan.bush
    if bush is None or (bush.bearing is not None and bush.bearing.kept != "press"):
        return
    for flange in plan.flanges:
        for hole in flange.holes:
            if hole.tolerance != bush.fit:
                continue
            least, most = bush.interference_mm(hole.diameter_mm)
            if least < -SAME_MM:
                largest = bush.fit.limits_mm(hole.diameter_mm)[1]
                yield finding(
                    PRESS_FIT,
                    Severity.FAIL,
                    f"part:{plan.name} flange {flange.name}, hole {hole.name}",
                    value=bush.least_mm,
                    limit=largest,
                    found=f"a {bush.what} of {fixed(bush.least_mm, 3)} mm at least ({bush.source}), "
                    f"{signed(least, 3)} to {signed(most, 3)} mm of interference",
                    wanted=f"{fixed(largest, 3)} mm, the most of a bore {hole.diameter_mm:g} {bush.fit.name}",
                    advice="take a bush as the standard has it, or give its limits as pivot_bush_outside"
                    if bush.bearing is None
                    else 'give pivot_bearing_class = "P7", or pivot_bearing_kept = "circlip" or "shoulder"',
                )
