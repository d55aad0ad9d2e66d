"""What a finding says of figures that print alike, and in which order findings are listed."""

from __future__ import annotations

import pytest

from generators.checks.panel.metal import RULES
from generators.checks.rule import MEASURE_AGAIN, OFF_PANEL, finding, ordered
from generators.model.findings import Finding, Severity

RULE = RULES[0]


@pytest.mark.parametrize(
    ("value", "limit", "found", "wanted"),
    [
        (0.99, 1.0, "0.99 mm", "1.00 mm"),
        (0.996, 1.0, "0.996 mm", "1.000 mm"),
        (0.9996, 1.0, "0.9996 mm", "1.0000 mm"),
        (0.999_96, 1.0, "0.99996 mm", "1.00000 mm"),
        (26.5, 27.0, "26.50 mm", "27.00 mm"),
    ],
)
def test_a_length_short_by_little_is_said_with_the_decimals_that_tell_it(
    value: float, limit: float, found: str, wanted: str
) -> None:
    """Two decimals where they do; else as many as it takes, and no more."""
    told = finding(RULE, Severity.WARN, "here", value=value, limit=limit, advice="move it")
    assert (told.found, told.wanted) == (found, wanted)


def test_what_was_measured_wrong_comes_first_among_the_equally_grave() -> None:
    """Until the spec is right the rest means little, but a warning never comes before a fail."""

    def told(code: str, severity: Severity, advice: str = "move it") -> Finding:
        return Finding(
            code=code, severity=severity, where="here", found="", wanted="", source="", advice=advice
        )

    wrong = told(OFF_PANEL, Severity.WARN, f"{MEASURE_AGAIN} it again")
    off = told(OFF_PANEL, Severity.WARN)
    other, grave = told("a-code", Severity.WARN), told("z-code", Severity.FAIL)
    assert ordered([off, other, grave, wrong, other]) == [grave, wrong, other, off]
