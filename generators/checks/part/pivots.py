"""The rule on pivot bores in line: does the shaft go through both cheeks as they come off the brake?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.checks.rule import SAME_MM, Rule, finding, mm
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.sheetmetal.in_line import pivot_pairs

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
    mend="A larger bore with a welded bush, or bore under size and ream both in line after bending.",
)

RULES = (PIVOT_IN_LINE,)


def check_pivots(plan: PartPlan) -> Iterator[Finding]:
    """A note for each pair of bores that the shaft may not go through. Raises nothing."""
    if plan.shaft_mm is None:
        return
    for pair in pivot_pairs(plan):
        if plan.shaft_mm > pair.passes_mm + SAME_MM:
            yield finding(
                PIVOT_IN_LINE,
                Severity.FAIL if plan.shaft_mm > pair.bore_mm + SAME_MM else Severity.NOTE,
                f"part:{plan.name} flanges {pair.flanges[0]} and {pair.flanges[1]}",
                value=plan.shaft_mm,
                limit=pair.passes_mm,
                found=f"a shaft of {mm(plan.shaft_mm)} in bores of {mm(pair.bore_mm)}",
                wanted=f"{math.floor(pair.passes_mm * 100) / 100:.2f} mm or less: the bores may be "
                f"{pair.offset_mm:.2f} mm aside and lean {math.degrees(pair.lean_rad):.2f} deg",
                advice="bore both 1 mm under size and ream them in line after bending, or open them",
            )
