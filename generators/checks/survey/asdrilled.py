"""Whether a part goes on the holes as they were drilled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.checks.rule import Rule, finding, mm
from generators.measure.fitting.chance import Chance
from generators.measure.fitting.fit import Fit, Joint
from generators.model.findings import Finding, Severity

CHANCE = 0.95
"""Least probability of assembly: ours."""


ASDRILLED_CLEARANCE = Rule(
    code="asdrilled-clearance",
    title="Part does not go on the holes as drilled",
    meaning=(
        "Laid on as well as it can be, the part has at least one hole whose fastener does not pass. A free "
        "bolt may lean on both holes, (H-F)/2 each; a weld nut or stud leaves only the part's own hole."
    ),
    formula="distance of centres <= (Hp-F)/2 + (Hq-F)/2 floating, (H-F)/2 fixed; slots add their travel",
    source="ASME Y14.5 appendix B, fixed and floating fastener formulas",
    trust="R2+",
    mend="Take the smallest rescue the command names; `--out` writes the spec and the blank for it.",
)

ASDRILLED_CHANCE = Rule(
    code="asdrilled-chance",
    title="It may not go on, given how well the holes are known",
    meaning=("By the measured places the part goes on, but within their uncertainty it often would not."),
    formula="share of simulated sets that assemble >= 95 % (fixed seed)",
    source="Monte Carlo with the covariance of the survey; limit ours",
    trust="CP",
    mend="Measure the holes better, or take the rescue the command names.",
)

RULES = (
    ASDRILLED_CLEARANCE,
    ASDRILLED_CHANCE,
)


def check_asdrilled(
    part: str, joints: Sequence[Joint], laid: Fit, chance: Chance, rescue: str
) -> Iterator[Finding]:
    """Findings on a part laid on its holes; ``rescue`` says in words what to do."""
    silent = True
    for joint, left in zip(joints, laid.left_mm, strict=True):
        where = f"part:{part} hole {joint.name}"
        if not joint.passes:
            silent = False
            yield finding(
                ASDRILLED_CLEARANCE,
                Severity.FAIL,
                where,
                value=joint.panel_dia_mm,
                limit=joint.shank_mm,
                found=f"hole of {mm(joint.panel_dia_mm)} in the panel",
                wanted=f"a shank of {mm(joint.shank_mm)}",
                advice="drill it to size",
            )
        elif left < 0:
            silent = False
            yield finding(
                ASDRILLED_CLEARANCE,
                Severity.FAIL,
                where,
                value=left,
                found=f"{mm(left)} of clearance left",
                limit=0.0,
                wanted=mm(0.0),
                advice=rescue,
            )
    if silent and chance.share < CHANCE:
        yield finding(
            ASDRILLED_CHANCE,
            Severity.WARN,
            f"part:{part}",
            value=chance.share,
            limit=CHANCE,
            unit="",
            found=f"{chance.share:.0%} ± {chance.within:.1%}",
            wanted=f"{CHANCE:.0%}",
            advice=rescue,
        )
