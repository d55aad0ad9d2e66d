"""Rules beside a hose's path: lengths stated for it, places searched for it, the order of work."""

from __future__ import annotations

from generators.checks.hose import rules_hoses as rules
from generators.checks.rule import SAME_MM, finding, listed, mm
from generators.model.findings import Finding, Severity
from generators.model.hose_results import HoseLength, Placement

STATED_RATIO = 0.01
"""What a length measured on the bench may differ by: ours."""


def check_stated(pedal: str, hose: str, stated_mm: float, length: HoseLength) -> list[Finding]:
    """The finding on a length stated for a pedal's line beside the hose it names; none when they agree."""
    low, high = (1 - STATED_RATIO) * length.cut_mm, (1 + STATED_RATIO) * length.made_up_mm
    if low - SAME_MM <= stated_mm <= high + SAME_MM:
        return []
    return [
        finding(
            rules.HOSE_STATED,
            Severity.WARN,
            f"pedal:{pedal} {hose}",
            value=f"{mm(stated_mm)} stated",
            limit=f"{mm(length.cut_mm)} of hose, {mm(length.made_up_mm)} from seat to seat",
            advice="take the length out of the pedal's line",
        )
    ]


def check_place(name: str, place: Placement, row: bool = False) -> list[Finding]:
    """The finding on a place that was searched for: a note, or a fail when none met every rule.

    The place of a ``row`` of clamps is how far along its line the first and the last are, else (u, v).
    """
    bound = listed(dict.fromkeys(binding.name for binding in place.bound_by))
    a, b = place.at[0], place.at[1]
    at = (
        f"first clamp {a:.0f} mm and last {b:.0f} mm along its line" if row else f"u {a:.0f} mm, v {b:.0f} mm"
    )
    return [
        finding(
            rules.PLACE_BEST,
            Severity.NOTE if place.found else Severity.FAIL,
            f"hose:{name}",
            value=f"{at}, {place.length_mm:.0f} mm of hose"
            if place.found
            else f"no place of {place.tried} tried meets every rule",
            limit=f"stopped there by {bound}" if bound else "no rule stops it there",
            advice="mark it as the template has it"
            if place.found
            else "give it a place of your own, or relax the limit named",
        )
    ]


def check_order(loop: str) -> list[Finding]:
    """The finding on a loop in the order of work, in words; none for an empty text."""
    if not loop:
        return []
    return [
        finding(
            rules.ORDER_CYCLE,
            Severity.FAIL,
            "order",
            value=loop,
            limit="what fixes a position comes before what depends on it",
            advice="take out one of the `after` or `decides` named there",
        )
    ]
