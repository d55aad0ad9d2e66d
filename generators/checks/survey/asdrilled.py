"""Whether a part goes on the holes as they were drilled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.checks.rule import finding, mm
from generators.checks.survey.rules_survey import ASDRILLED_CHANCE, ASDRILLED_CLEARANCE
from generators.measure.fitting.chance import Chance
from generators.measure.fitting.fit import Fit, Joint
from generators.model.findings import Finding, Severity

CHANCE = 0.95
"""Least probability of assembly: ours."""


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
                value=f"hole of {mm(joint.panel_dia_mm)} in the panel",
                limit=f"a shank of {mm(joint.shank_mm)}",
                advice="drill it to size",
            )
        elif left < 0:
            silent = False
            yield finding(
                ASDRILLED_CLEARANCE,
                Severity.FAIL,
                where,
                value=f"{mm(left)} of clearance left",
                limit=mm(0.0),
                advice=rescue,
            )
    if silent and chance.share < CHANCE:
        yield finding(
            ASDRILLED_CHANCE,
            Severity.WARN,
            f"part:{part}",
            value=f"{chance.share:.0%} ± {chance.within:.1%}",
            limit=f"{CHANCE:.0%}",
            advice=rescue,
        )
