"""The rule of a brace whose tube the spec gives."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.rule import Rule, finding
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.strength.joint.strut import BraceLoad

SAME = 1e-9

BRACE_STRENGTH = Rule(
    code="brace-strength",
    title="A brace gives way under what its part asks of it",
    meaning=(
        "The force a loaded bracket puts on the bolt of its brace, all of it taken along the brace, "
        "against what its tube bears when pushed: Euler's column hinged at both ends, or Johnson's "
        "parabola where it is stocky. Loads as for bolts: finite elements' reactions, or by hand with the "
        "range of that. Its ends and what it is fixed to are not judged. A brace without tube and length "
        "is not judged at all: the install sheet says what it has to carry."
    ),
    formula="min(Euler, Johnson) x area / force >= joint_factor (1.5); structure-only cases warn below 1",
    source="Euler 1744; Johnson 1893; 14 CFR 23.303 factor 1.5 (all from memory)",
    trust="M-high",
    mend="A wider or thicker tube, a shorter brace, or two of them.",
    limit_key="joint_factor",
)

RULES = (BRACE_STRENGTH,)


def check_brace(load: BraceLoad, what: str, holds_n: float, limits: Limits) -> Iterator[Finding]:
    """A finding where a brace that ``holds_n`` is not sure to carry its load."""
    least = min(limits.joint_factor, 1.0) if load.structure else limits.joint_factor
    factor = holds_n / max(load.force_n, SAME)
    if factor >= least * load.low - SAME:
        return
    by_hand = f", {least * load.low:g} to be sure by hand" if load.low > 1 else ""
    yield finding(
        BRACE_STRENGTH,
        Severity.FAIL if factor < least - SAME and not load.structure else Severity.WARN,
        f"part:{load.part} {load.hole.replace('_', ' ')}",
        value=factor,
        limit=least * load.low,
        unit="",
        found=f"factor {factor:.2f}: {load.force_n:.0f} N on {what} that bears {holds_n:.0f} N, {load.case}",
        wanted=f"{least:g}{by_hand}",
        advice="a wider or thicker tube, or a shorter one",
    )
