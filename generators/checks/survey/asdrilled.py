"""Whether a part goes on the holes as they were drilled."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.checks.rule import Rule, finding, mm
from generators.measure.fitting.chance import Chance
from generators.measure.fitting.fit import Fit, Joint
from generators.model.findings import Finding, Severity

CHANCE = 0.95
"""Least probability of assembly: the level at which ISO/IEC Guide 98-3 commonly states uncertainty; ours."""


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

ASDRILLED_NAMES = Rule(
    code="asdrilled-names",
    title="Holes look mixed up in the readings",
    meaning=(
        "The part is further off than a drill wanders, or lies on its holes turned round, and under other "
        "names, or read from the other face, the same holes let it go on. So the sheet of readings is wrong, "
        "not the metal, and nothing is to be cut for it."
    ),
    formula="clearance left under the other names >= 0, where it is < -3 mm or the turn > 30 deg as read",
    source="least total distance of an assignment, H. W. Kuhn 1955; limits ours",
    trust="CP",
    mend="Look at the metal with the sheet in hand, put the names right and ask again.",
)

RULES = (
    ASDRILLED_CLEARANCE,
    ASDRILLED_NAMES,
    ASDRILLED_CHANCE,
)


def check_asdrilled(
    part: str, joints: Sequence[Joint], laid: Fit, chance: Chance, rescue: str, names: str = ""
) -> Iterator[Finding]:
    """Findings on a part laid on its holes; ``rescue`` says what to do, ``names`` what was mixed up."""
    if names:
        yield finding(
            ASDRILLED_NAMES,
            Severity.FAIL,
            f"part:{part}",
            value=laid.worst_mm,
            limit=0.0,
            found=f"{mm(laid.worst_mm)} of clearance left, turned {math.degrees(laid.turn_rad):.0f} deg",
            wanted=f"names under which it goes on: {names}",
            advice=rescue,
        )
        return
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
