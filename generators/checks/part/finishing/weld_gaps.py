"""The rule on the gap of a weld: what the bends leave between two flanges that are to be welded."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.rule import SAME_MM, Rule, finding, mm
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.sheetmetal.seams import seams
from generators.standards import GROWN_GAP_MM, WIDEST_GAP_MM

WELD_GAP = Rule(
    code="weld-gap",
    title="Gap too wide to weld",
    meaning=(
        "Where two flanges meet and are to be welded, the gap follows from the flat sizes and the bends, and "
        "is judged at its widest: bent lengths and the blank at their tolerances, added up. Over 1/16 in the "
        "legs of a fillet weld must grow by the gap (a warning); over 3/16 in it is no fillet weld any more "
        "(a fail), and so it is where no edge comes near the other flange. Off square an end opens more: it "
        "is clamped square before it is tacked (common practice, no source). The drawing says gap, leg, "
        "length and side; the weld is not counted on for strength."
    ),
    formula="gap + bent lengths + blank <= 1.59 mm, or <= 4.76 mm with legs that grow by it",
    source="AWS D1.1, root opening of fillet welds, as welders quote it",
    trust="R2",
    mend="Make the edge longer, or the gap it leaves smaller.",
)

RULES = (WELD_GAP,)


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
