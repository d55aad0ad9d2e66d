"""Loaded brackets to try rules on: a case just over its limit, and the same just under."""

from __future__ import annotations

from collections.abc import Callable

from generators.checks.pedal.stiffness import JudgedCase, check_estimate, check_gauge_waiting
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.words import LoadCase


def judged(kind: LoadCase, moved_mm: float, stress_mpa: float) -> list[Finding]:
    """Findings on one case of part ``p`` in a metal that yields at 200 MPa."""
    case = JudgedCase(
        name="c", kind=kind, what="100 N on hole h", moved_mm=moved_mm, stress_mpa=stress_mpa, yield_mpa=200.0
    )
    return list(check_estimate("p", [case], Limits()))


BRACKET_CASES: dict[str, tuple[Callable[[], list[Finding]], Callable[[], list[Finding]]]] = {
    "bracket-deflection": (lambda: judged("normal", 2.41, 10), lambda: judged("normal", 2.39, 10)),
    "bracket-yield": (lambda: judged("limit", 9, 112), lambda: judged("limit", 9, 111)),
    "bracket-gauge": (lambda: [check_gauge_waiting("p", 3.0)], lambda: judged("normal", 2.39, 10)),
}
