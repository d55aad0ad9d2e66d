"""Loaded brackets to try rules on: a case just over its limit, and the same just under."""

from __future__ import annotations

from collections.abc import Callable

from parts.plans_in_space import plan_of
from pedal_jobs import clutch_pedal

from generators.checks.joint.braces import check_brace
from generators.checks.pedal.arm import JudgedArm, check_arm
from generators.checks.pedal.hub import check_hubs
from generators.checks.pedal.stiffness import (
    JudgedCase,
    check_estimate,
    check_gauge_waiting,
    check_unsettled,
)
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.words import LoadCase
from generators.strength.joint.strut import BraceLoad


def judged(kind: LoadCase, moved_mm: float, stress_mpa: float) -> list[Finding]:
    """Findings on one case of part ``p`` in a metal that yields at 200 MPa."""
    case = JudgedCase(
        name="c", kind=kind, what="100 N on hole h", moved_mm=moved_mm, stress_mpa=stress_mpa, yield_mpa=200.0
    )
    return list(check_estimate("p", [case], Limits()))


def arm(stress_mpa: float) -> list[Finding]:
    """Findings on an arm of S235 at the limit load."""
    case = JudgedArm(kind="limit", what="w", stress_mpa=stress_mpa, from_pivot_mm=0.0)
    return list(check_arm("clutch", "S235 steel", 235.0, "arm_width", [case], Limits()))


def brace(holds_n: float) -> list[Finding]:
    """Findings on a brace that bears so much of 1000 N."""
    load = BraceLoad(part="p", hole="brace_1", force_n=1000.0, case="c", low=1.0)
    return list(check_brace(load, "a tube", holds_n, Limits()))


def hub(width_mm: float) -> list[Finding]:
    """Findings on a hub in a hanger of 3 mm, 90 mm wide inside, its pivot 90 mm out."""
    plan = plan_of("pedal_hanger", inside_width_mm=90.0, pivot_out_mm=90.0)
    return list(check_hubs(plan, [clutch_pedal(hub_width_mm=width_mm)]))


BRACKET_CASES: dict[str, tuple[Callable[[], list[Finding]], Callable[[], list[Finding]]]] = {
    "bracket-deflection": (lambda: judged("normal", 2.41, 10), lambda: judged("normal", 2.39, 10)),
    "brace-strength": (lambda: brace(1499.0), lambda: brace(1501.0)),
    "pedal-arm-yield": (lambda: arm(235.1), lambda: arm(234.9)),
    # 90 - 0.5 - 2 x 84 sin 1 degree = 86.57
    "hub-room": (lambda: hub(89.51), lambda: hub(89.49)),
    "bracket-yield": (lambda: judged("limit", 9, 112), lambda: judged("limit", 9, 111)),
    # its limit is that of the rules it looks at: tests/strength/test_released.py
    "bracket-unsettled": (
        lambda: [check_unsettled("p", f.found) for f in judged("limit", 9, 112)],
        lambda: [check_unsettled("p", f.found) for f in judged("limit", 9, 111)],
    ),
    "bracket-gauge": (lambda: [check_gauge_waiting("p", 3.0)], lambda: judged("normal", 2.39, 10)),
}
