"""The rule on the order of bends: one in which part and tools never meet, or what meets what, and a mend."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from generators.bending.mends import deep_mm, main_refusal, mends
from generators.bending.search import MOST_TRIALS, bend_sequence
from generators.bending.setting import sequence_of, setting_of, stated
from generators.bending.steps import Sequence as Bends
from generators.bending.steps import Why
from generators.bending.trial import Setting
from generators.checks.part.die_radius import check_die_radius
from generators.checks.rule import Rule, finding, listed
from generators.errors import LookupFault
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop

BEND_SEQUENCE = Rule(
    code="bend-sequence",
    title="No order in which the brake can make the bends",
    meaning=(
        "Every order of the bends is tried on the shop's own tools, with the part turned and turned over: "
        "through the whole stroke the part, what is bent of it already included, must keep clear of punch, "
        "ram, die and table; the die must carry the sheet all along the bend; the punch must be made up of "
        "the pieces there are, the press be strong enough and open far enough, and the part come off the "
        "tools. Where the shop has named what is in the way, its punches, its dies, or the "
        "force, length or opening of its press, none found is a fail; on plain tools or a plain press that "
        "this program makes up (ours, invented) it is a warning. A stop that draws back as the stroke "
        "begins is assumed; its fingers keep clear of the punch that touches the sheet. The part against "
        "itself is looked at when finished (folded-clash), not on the way."
    ),
    formula=(
        "legs rise by half the bend about its axis; force 1.42 Rm L t^2 / V; the sheet lies on the die to "
        "V/2 / cos(A/2) from the mould line"
    ),
    source=(
        "geometry of bending in a V die (C); factors of the force are published from 1.33 to 1.42, the "
        "larger is taken; tools that are not named are ours"
    ),
    trust="R2",
    mend=(
        "Take the mend named, have the part bent on a folding machine, or state your own tools under [brake]."
    ),
)

BEND_GAUGE = Rule(
    code="bend-gauge",
    title="A bend with nothing straight to gauge on",
    meaning=(
        "For this bend neither leg has a straight edge along it that a finger of the back gauge can touch, "
        "nor the face of a flange bent before: the sheet is set to the scribed bend line by eye, which is "
        "true to about half a millimetre at best."
    ),
    formula="at least 10 mm of straight edge along the bend, in reach of the gauge",
    source="ours",
    trust="CP",
    mend="Give a flange a straight stretch along the bend, or scribe the line sharply and set to it.",
)

RULES = (BEND_SEQUENCE, BEND_GAUGE)

SAID_ELSEWHERE = frozenset({"flange-length", "bend-near-bend"})
"""Rules that say that the die does not carry the sheet."""

NAMED = re.compile(r", bends? (\w+)(?: and (\w+))?")
"""The bends in the place of such a finding."""

ANOTHER_TOOL = "joggle-tool"
"""Two bends in one stroke of an offset die: not what is tried here."""


ASK = "`pedalplate check` names changes that were tried; or have it bent on a folding machine"


def check_bending(
    plan: PartPlan, shop: Shop, so_far: Sequence[Finding], *, brief: bool = False
) -> Iterator[Finding]:
    """Findings on the order of bends; ``so_far`` are those of the other rules on bends.

    ``brief``: no mends are tried, which takes longer than all else; only how deep the flange in the way is.
    """
    if any(f.code == ANOTHER_TOOL for f in so_far):
        yield _offset_die(plan)
        return
    try:
        sequence, carried = sequence_of(plan, shop)
        setting = replace(setting_of(plan, shop), let_off=_let_off(plan, so_far))
    except LookupFault:
        return  # a material without figures is refused where it is named
    if sequence.found and not carried:
        sequence = bend_sequence(plan, setting)
    if sequence.found:
        yield from _by_eye(plan, sequence)
        yield from check_die_radius(plan, shop, sequence)
        return
    if not sequence.searched:
        yield _not_all_tried(plan)
        return
    yield _none(plan, shop, setting, sequence, brief)


def _let_off(plan: PartPlan, so_far: Sequence[Finding]) -> frozenset[str]:
    """Bends of which another rule says that the die does not carry their legs."""
    said = (NAMED.search(f.where) for f in so_far if f.code in SAID_ELSEWHERE)
    named = {name for match in said if match for name in match.groups()}
    return frozenset(b.name for b in plan.bends if b.name in named)


def _none(plan: PartPlan, shop: Shop, setting: Setting, sequence: Bends, brief: bool) -> Finding:
    refusal = main_refusal(sequence)
    tried = () if brief else mends(plan, setting, sequence)
    depth = next((m for m in tried if m.to_mm is not None), None)
    words = "; or ".join(m.words for m in tried)
    before = f" after {listed(refusal.done)}" if refusal.done else ""
    return finding(
        BEND_SEQUENCE,
        Severity.FAIL if stated(shop, refusal.why) else Severity.WARN,
        f"part:{plan.name} bend {refusal.bend}",
        value=deep_mm(plan, refusal) if brief or depth else None,
        limit=depth.to_mm if depth else None,
        found=f"bend {refusal.bend}{before}: {refusal.words}",
        wanted="an order of bends in which nothing meets",
        advice=ASK if brief else _advice(words, refusal.why),
    )


def _advice(mends: str, why: Why) -> str:
    if not mends:
        return "make the part of two pieces, or have it bent on a folding machine"
    return mends if why in ("force", "length", "opening") else f"{mends} (each tried on this brake)"


def _offset_die(plan: PartPlan) -> Finding:
    """A joggle is two bends in one stroke of an offset die, which is not among the tools tried."""
    return finding(
        BEND_SEQUENCE,
        Severity.NOTE,
        f"part:{plan.name} all {len(plan.bends)} bends",
        found="two of them in one stroke of an offset die: their order was not tried",
        wanted="an order of bends in which nothing meets",
        advice="have whoever bends it find the order before the sheet is cut",
    )


def _not_all_tried(plan: PartPlan) -> Finding:
    """Neither an order nor the proof that there is none: whoever bends it has to find one."""
    return finding(
        BEND_SEQUENCE,
        Severity.WARN,
        f"part:{plan.name} all {len(plan.bends)} bends",
        found=f"no order yet when {MOST_TRIALS} ways to make one bend had been tried, and more are left",
        wanted="an order of bends in which nothing meets",
        advice="have whoever bends it find the order first, or make the part of two pieces",
    )


def _by_eye(plan: PartPlan, sequence: Bends) -> Iterator[Finding]:
    for step in sequence.steps:
        if step.stop.on == "line":
            yield finding(
                BEND_GAUGE,
                Severity.NOTE,
                f"part:{plan.name} bend {step.bend}",
                found="no straight edge along it on either leg",
                wanted="10 mm of straight edge along the bend",
                advice=(
                    f"give one of its flanges a straight stretch along bend {step.bend}, or set it to the "
                    "scribed line"
                ),
            )
