"""The rule on the fluid a brake's linings take as they wear, where a reservoir is judged by it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.checks.rule import Rule, finding
from generators.figures import fixed
from generators.hydraulics.brake import CircuitResult
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity

ROUNDED_MM3 = 50.0
"""Half of the last digit a volume is printed with, 0.1 cc: so much a figure read off a sheet may be less."""

LINING_WEAR = Rule(
    code="lining-wear",
    title="Nobody said how much fluid the worn linings take",
    meaning=(
        "Pistons come out as pads and shoes wear, and the fluid that follows them is what empties a brake's "
        "reservoir between two looks at it. It is piston area times way, so that it follows from linings "
        "and pistons, which anybody can measure: of a floating caliper by the wear of both pads, of a fixed "
        "one by that of one, of a drum by twice the lining's (its cylinder is about twice as far from the "
        "anchor as the lining's middle). Without either the reservoir cannot be judged: a warning. A figure "
        "typed below what linings and pistons make is a warning too, and the computed one counts. Where "
        "nobody gives the reservoir, a note says how large it must be."
    ),
    formula="wear = brakes x pistons x piston area x (lining - worn) x (2 floating, 1 fixed, 2 drum)",
    source="volume balance; FMVSS 105 S5.4.2: new linings, let off, to worn ones, fully applied; worn at "
    "1/32 in (S7.18(c), from memory)",
    trust="C",
    mend="Measure pistons and a new lining and give them as linings, or give wear from the maker's sheet.",
)

RULES = (LINING_WEAR,)


def lining_findings(circuit: CircuitResult, where: str, path: str) -> Iterator[Finding]:
    """What nobody said of a circuit's linings and reservoir, or said too small; ``path`` is its table."""
    said, computed = circuit.wear_said_mm3, circuit.wear_computed_mm3
    if said is not None and computed is not None and said < computed - ROUNDED_MM3:
        change = Change(path=f"{path}.wear", to=math.ceil(computed / 100) / 10, unit="cc", rounding="up")
        yield finding(
            LINING_WEAR,
            Severity.WARN,
            where,
            value=said,
            limit=computed,
            unit="mm3",
            found=f"{_cc(said)} said of the fluid that follows the linings",
            wanted=f"{_cc(computed)}, as linings and pistons make it",
            advice="take wear out of the spec: the computed figure counts",
            proposals=(Proposal(words="give the wear that linings and pistons make", steps=(change,)),),
        )
    if circuit.wear_mm3 is not None and circuit.reservoir_mm3 is not None:
        return
    stroke = f"{_cc(circuit.reservoir_needed_mm3)} for one stroke of the master"
    if circuit.wear_mm3 is not None:
        yield _unsaid(
            where, Severity.NOTE, "no reservoir given", f"{_cc(circuit.reservoir_needed_mm3)} or more"
        )
    elif circuit.reservoir_mm3 is None:
        yield _unsaid(
            where, Severity.NOTE, "neither reservoir nor wear of the linings given", f"{stroke}, and the wear"
        )
    elif circuit.reservoir_mm3 >= circuit.reservoir_needed_mm3 * (1 - 1e-9):
        left = circuit.reservoir_mm3 - circuit.reservoir_needed_mm3
        yield _unsaid(
            where,
            Severity.WARN,
            f"a reservoir of {_cc(circuit.reservoir_mm3)}, and no word of what the worn linings take",
            f"the wear of its linings, at most {_cc(left)} beside {stroke}",
        )


def _unsaid(where: str, severity: Severity, found: str, wanted: str) -> Finding:
    return finding(
        LINING_WEAR,
        severity,
        where,
        found=found,
        wanted=wanted,
        advice="measure pistons and a new lining, and give them as linings",
    )


def _cc(mm3: float) -> str:
    return f"{fixed(mm3 / 1000, 1)} cc"
