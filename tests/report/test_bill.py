"""Every line of the bill of checks holds, and the bill has a line of every room it names."""

from __future__ import annotations

import pytest

from report import fits, fluid, joints, metal, strength
from report.check import Check

CHECKS = (*metal.CHECKS, *joints.CHECKS, *strength.CHECKS, *fluid.CHECKS, *fits.CHECKS)


@pytest.mark.parametrize("check", [pytest.param(c, id=c.what) for c in CHECKS])
def test_what_is_published(check: Check) -> None:
    assert check.source
    assert check.trust in ("R1", "R2", "R2+", "C", "M-high")
    assert check.ours() == pytest.approx(check.reference, abs=check.within + 1e-12)


def test_a_check_can_fail() -> None:
    one = CHECKS[0]
    wrong = Check(**{**vars(one), "reference": one.reference + 2 * one.within + 1e-6})
    assert one.holds
    assert not wrong.holds
