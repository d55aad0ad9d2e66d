"""Rules beside a hose's path: lengths stated for it, places searched for it, the order of work."""

from __future__ import annotations

from generators.checks.rule import SAME_MM, Rule, finding, listed, mm
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.hose_results import HoseLength, Placement

STATED_RATIO = 0.01
"""What a length measured on the bench may differ by: ours."""


HOSE_STATED = Rule(
    code="hose-stated-length",
    title="Length stated for a pedal's line is not its hose's",
    meaning=(
        "A pedal's line names its hose and states a length as well, and the layout gives another. The "
        "layout's is used: swell and fluid follow the hose as cut."
    ),
    formula="hose alone - 1 % <= stated length <= seat to seat + 1 %",
    source="closed form: length of straights and arcs; the 1 % ours",
    trust="C",
    mend="Take the length out of the pedal's line, or mend the layout if the vehicle says otherwise.",
)

PLACE_BEST = Rule(
    code="place-best",
    title="Place found for a bulkhead fitting or a row of clamps",
    meaning=(
        "It was put where the hoses through it are shortest while bend radius, straight runs, support "
        "spacing, clearances, edge distance, hole spacing and keep-outs are all met. The rule named "
        "stopped it there: relax that one first. The search is local and no proof; rise is judged apart."
    ),
    formula="least sum of path lengths within all rules",
    source="search over the panel; the rules' own limits",
    trust="C",
    mend=("Nothing to mend when a place was found; else give it a place yourself, or relax the limit named."),
)

ORDER_CYCLE = Rule(
    code="order-cycle",
    title="No order of work is possible",
    meaning=(
        "What fixes a position comes before what depends on it. Here things wait for each other in a circle, "
        "so whichever is fitted first is fitted in the wrong place. No order is printed for any of them."
    ),
    formula="the graph of what waits for what has no loop",
    source="topological order",
    trust="C",
    mend="Take out one of the `after` or `decides` the finding names.",
)

RULES = (
    HOSE_STATED,
    PLACE_BEST,
    ORDER_CYCLE,
)


def check_stated(pedal: str, hose: str, stated_mm: float, length: HoseLength) -> list[Finding]:
    """The finding on a length stated for a pedal's line beside the hose it names; none when they agree."""
    low, high = (1 - STATED_RATIO) * length.cut_mm, (1 + STATED_RATIO) * length.made_up_mm
    if low - SAME_MM <= stated_mm <= high + SAME_MM:
        return []
    return [
        finding(
            HOSE_STATED,
            Severity.WARN,
            f"pedal:{pedal} {hose}",
            value=stated_mm,
            found=f"{mm(stated_mm)} stated",
            limit=length.cut_mm,
            wanted=f"{mm(length.cut_mm)} of hose, {mm(length.made_up_mm)} from seat to seat",
            advice="take the length out of the pedal's line",
            proposals=(_as_cut(pedal, hose, length),),
        )
    ]


def _as_cut(pedal: str, hose: str, length: HoseLength) -> Proposal:
    """The length stated as the layout cuts it."""
    change = Change(path=f"pedal[{pedal}].line[{hose}].length", to=length.cut_mm)
    return Proposal(words=f"state the length of {hose} as it is cut", steps=(change,))


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
            PLACE_BEST,
            Severity.NOTE if place.found else Severity.FAIL,
            f"hose:{name}",
            value=place.length_mm if place.found else None,
            found=f"{at}, {place.length_mm:.0f} mm of hose"
            if place.found
            else f"no place of {place.tried} tried meets every rule",
            wanted=f"stopped there by {bound}" if bound else "no rule stops it there",
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
            ORDER_CYCLE,
            Severity.FAIL,
            "order",
            found=loop,
            wanted="what fixes a position comes before what depends on it",
            advice="take out one of the `after` or `decides` named there",
        )
    ]
