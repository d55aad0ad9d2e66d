"""The rule on a pedal's hub: does it go between what its hanger has on the shaft?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.checks.rule import SAME_MM, Rule, finding, mm, more
from generators.figures import fixed
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.model.spec.hydraulics import Pedal
from generators.sheetmetal.in_line import between_mm, pivot_pairs

HUB_ROOM = Rule(
    code="hub-room",
    title="Hub does not go between the cheeks",
    meaning=(
        "A hub turns between the inner faces of the cheeks, less bosses that stand inside and the flanges of "
        "bushes; hubs of several pedals on one shaft lie beside each other. Wider than what is free by the "
        "drawing it does not go in (a fail). A part within its drawing may be narrower there, by what that "
        "lets the width between the cheeks be off at the pivots. Hanger and hub are then both as drawn and "
        "do not go together (a warning), unless the hub is faced to what was measured on the bent part. "
        "Only hubs whose `hub_width` is given are judged, and of several on one hanger only together."
    ),
    formula="hubs <= inside - bosses - bush flanges; warning: less the bent length's tolerance",
    source="geometry; the tolerances are the shop's",
    trust="C",
    mend="A narrower hub, bosses outside (welded_boss_side), lower ones, or a wider hanger (inside_width).",
)

RULES = (HUB_ROOM,)


def check_hubs(plan: PartPlan, pedals: Sequence[Pedal]) -> Iterator[Finding]:
    """A finding where the hubs of a hanger's pedals are wider than what is free. Raises nothing."""
    widths = [p.hub_width_mm for p in pedals if p.hub_width_mm is not None]
    pairs = [p for p in pivot_pairs(plan) if p.pivots]
    if not pairs or not widths or len(widths) != len(pedals):
        return
    pair = min(pairs, key=lambda p: between_mm(plan, p))
    free, wide = between_mm(plan, pair), sum(widths)
    worst = free - pair.width_off_mm
    if wide <= worst + SAME_MM:
        return
    names = " and ".join(p.name for p in pedals)
    over = wide > free + SAME_MM
    yield finding(
        HUB_ROOM,
        Severity.FAIL if over else Severity.WARN,
        f"part:{plan.name} hub of pedal {names}",
        value=wide,
        limit=free if over else worst,
        found=f"{mm(wide)} of hub",
        wanted=f"{fixed(free, 2)} mm by the drawing"
        if over
        else f"{fixed(worst, 2)} mm at worst; by the drawing {fixed(free, 2)} mm",
        advice=f"make the hub {more(wide - (free if over else worst))} narrower, or the hanger wider"
        + ("" if over else "; or face the hub to the bent part as measured, 0.2 mm of play or more"),
        proposals=_proposals(plan, pedals, wide - worst),
    )


def _proposals(plan: PartPlan, pedals: Sequence[Pedal], short_mm: float) -> Iterator[Proposal]:
    """A narrower hub where there is one alone, and a wider hanger: both by what is short at worst."""
    if len(pedals) == 1:
        change = Change(path=f"pedal[{pedals[0].name}].hub_width", by=-short_mm, rounding="up")
        yield Proposal(words=f"make the hub of pedal {pedals[0].name} narrower by {{by}}", steps=(change,))
    wider = Change(path=f"part[{plan.name}].parameters.inside_width", by=short_mm, rounding="up")
    yield Proposal(words=f"make {plan.name} wider between its cheeks by {{by}}", steps=(wider,))
