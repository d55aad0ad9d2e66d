"""Rules on the gap of a weld, at its widest and at its narrowest: what bends leave between two flanges."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.rule import SAME_MM, Rule, finding, listed, mm, more, short_of
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import past_limit
from generators.sheetmetal.seams import CLEAR_MM, Seam, closes, seams
from generators.standards import GROWN_GAP_MM, WIDEST_GAP_MM

WELD_GAP = Rule(
    code="weld-gap",
    title="Gap too wide to weld",
    meaning=(
        "Where two flanges meet and are to be welded, the gap follows from the flat sizes and the bends, "
        "and is judged at its widest: bent lengths, blank and the sheet's thickness at their limits, added "
        "up. Over 1/16 in the legs of a fillet weld must grow by the gap (a warning); over 3/16 in it is no "
        "fillet weld any more (a fail), and so it is where no edge comes near the other flange. Off square "
        "an end opens more: it is clamped square before it is tacked (common practice, no source). The "
        "drawing says gap, leg, length and side; the weld is not counted on for strength."
    ),
    formula="gap + bent lengths + blank + sheet <= 1.59 mm, or <= 4.76 mm with legs that grow by it",
    source="AWS D1.1, root opening of fillet welds, as welders quote it",
    trust="R2",
    mend="Make the edge longer, or the gap it leaves smaller.",
)

WELD_GAP_CLOSES = Rule(
    code="weld-gap-closes",
    title="Gap of a weld closes before the bends are made",
    meaning=(
        "The gap of a weld at its narrowest, anywhere along its edge: each bend on the way at that limit of "
        "its angle which closes it, bent lengths, blank and thickness at theirs, all at once. Below zero the "
        "two flanges meet before the last bend has its angle, and the part cannot be bent to its drawing. A "
        "bend that would close a gap so is drawn as one that may never end past its angle, unless the part "
        "says how far it may (`bend_past`)."
    ),
    formula="gap - bent lengths - blank - sheet - what the angles take at the edge >= 0.1 mm; fail below 0",
    source="common practice, no source",
    trust="CP",
    mend="Let its bends never end past their angle, leave a larger gap, or bend lengths closer.",
)

RULES = (WELD_GAP, WELD_GAP_CLOSES)


def check_weld_gaps(plan: PartPlan) -> Iterator[Finding]:
    """A finding for each pair of flanges whose weld has too wide a gap, no edge, or no room."""
    for (edge, onto), seam in seams(plan):
        where = f"part:{plan.name} flange {edge} on {onto}"
        if seam is None:
            yield finding(
                WELD_GAP,
                Severity.FAIL,
                where,
                found="no straight edge of the one comes near a face of the other",
                wanted=f"an edge {mm(WIDEST_GAP_MM)} from it at most",
                advice=f"let flange {edge} reach to flange {onto}",
            )
            continue
        yield from _closing(plan, seam, where)
        if seam.worst_mm > GROWN_GAP_MM + SAME_MM:
            over = seam.worst_mm > WIDEST_GAP_MM + SAME_MM
            yield finding(
                WELD_GAP,
                Severity.FAIL if over else Severity.WARN,
                where,
                value=seam.worst_mm,
                limit=GROWN_GAP_MM,
                floor=WIDEST_GAP_MM,
                found=f"a gap of {mm(seam.most_mm)}, as bent up to {mm(seam.worst_mm)}",
                wanted=f"at most {mm(GROWN_GAP_MM)}",
                advice=f"let flange {edge} reach closer to flange {onto}",
            )
        if not seam.sides:
            yield finding(
                WELD_GAP,
                Severity.WARN,
                where,
                found=f"no room for a leg of {mm(seam.leg_mm)} beside the edge",
                wanted="room on one side at least",
                advice=f"make flange {onto} wider there, or move flange {edge} in",
            )


def _closing(plan: PartPlan, seam: Seam, where: str) -> Iterator[Finding]:
    """A finding where what bends and blank may be off leaves too little of a gap, or nothing."""
    severity = short_of(seam.closest_mm, CLEAR_MM, 0.0)
    if severity is None:
        return
    bent = [b.name.replace("_", " ") for b in plan.bends if past_limit(plan, b) and closes(plan, seam, b)]
    past = f" or bend {listed(bent)} never past its angle" if bent else ""
    said = f"{mm(seam.closest_mm)} left" if seam.closest_mm >= 0 else f"they meet by {mm(-seam.closest_mm)}"
    held = Change(path=f"part[{plan.name}].bend_past", to=0.0, unit="deg", rounding="down")
    yield finding(
        WELD_GAP_CLOSES,
        severity,
        where,
        value=seam.closest_mm,
        limit=CLEAR_MM,
        floor=0.0,
        found=f"a gap of {mm(seam.gap_mm)}; lengths, blank, sheet and angles at limits that close it: {said}",
        advice=f"leave at least {more(CLEAR_MM - seam.closest_mm)} more between flanges {seam.edge} and "
        f"{seam.onto}{past}",
        proposals=(Proposal(words=f"bend {plan.name} never past its angles", steps=(held,)),) if bent else (),
    )
