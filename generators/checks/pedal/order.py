"""Rule on the order pedals stand in: the same in every vehicle, whichever side the driver sits on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generators.checks.rule import SAME_MM, Rule, finding
from generators.model.findings import Finding, Severity
from generators.model.spec.hydraulics import Pedal

PEDAL_ORDER = Rule(
    code="pedal-order",
    title="The clutch pedal is not to the left of the brake pedal",
    meaning=(
        "A foot finds the pedals by their order: clutch, brake, accelerator from left to right, with "
        "left-hand and with right-hand drive alike. Who finds the clutch in the brake's place does not stop."
    ),
    formula="middle of the clutch's pad at rest left of the middle of the brake's, as the driver sees them",
    source="UN R35, arrangement of the pedals, from memory",
    trust="M-med",
    mend="Hang the pedals the other way round; a mirrored job needs the pedals of its own hand of drive.",
)

RULES = (PEDAL_ORDER,)


def check_order(pads: Mapping[str, tuple[Pedal, float]]) -> Iterator[Finding]:
    """Each clutch beside each brake; ``pads`` gives how far right in the vehicle each pad's middle is, mm."""
    for name, (clutch, at) in pads.items():
        for other, (brake, there) in pads.items():
            if (clutch.kind, brake.kind) != ("clutch", "brake") or at < there - SAME_MM:
                continue
            far = at - there
            side = f"{far:.0f} mm to the right of" if far > SAME_MM else "behind or over"
            yield finding(
                PEDAL_ORDER,
                Severity.FAIL,
                f"pedal:{name} and {other}",
                value=far,
                limit=0.0,
                found=f"the clutch pad {side} the brake pad",
                wanted="the clutch pad to the left of it",
                advice="hang them the other way round",
            )
