"""Whether a part goes on its holes as drilled: each finding by itself. The chance wanted, 95 %, is ours."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generators.checks.survey.asdrilled import check_asdrilled
from generators.measure.fitting.chance import Chance
from generators.measure.fitting.fit import Fit, Joint
from generators.model.findings import Severity

JOINT = Joint(
    name="m_1",
    kind="bolt",
    part=(0.0, 0.0),
    part_dia_mm=9.0,
    panel=(0.0, 0.0),
    panel_dia_mm=9.0,
    shank_mm=8.0,
)


def said(
    share: float, *left: float, joints: tuple[Joint, ...] | None = None
) -> list[tuple[str, Severity, str]]:
    laid = Fit(
        shift=(0.0, 0.0), turn_rad=0.0, middle=(0.0, 0.0), left_mm=left, off_mm=((0.0, 0.0),) * len(left)
    )
    chance = Chance(share=share, within=0.01, running=())
    found = check_asdrilled("p", joints or (JOINT,) * len(left), laid, chance, "open hole m_1")
    return [(f.code, f.severity, f.advice) for f in found]


@pytest.mark.parametrize(("share", "fires"), [(0.95, False), (0.949, True)])
def test_the_chance_is_told_where_it_is_short(share: float, fires: bool) -> None:
    assert [s for _, s, _ in said(share, 0.1, 0.2)] == ([Severity.WARN] if fires else [])


@pytest.mark.parametrize(("left", "fires"), [(0.0, False), (-0.01, True)])
def test_clearance_left(left: float, fires: bool) -> None:
    found = said(1.0, 0.2, left)
    assert found == ([("asdrilled-clearance", Severity.FAIL, "open hole m_1")] if fires else [])


def test_a_hole_its_bolt_does_not_pass_is_told_and_the_chance_is_not() -> None:
    small = replace(JOINT, panel_dia_mm=7.9)
    assert said(0.0, 0.2, 0.2, joints=(JOINT, small)) == [
        ("asdrilled-clearance", Severity.FAIL, "drill it to size")
    ]
    # nor with a clearance that is short
    assert said(0.0, 0.2, -0.3) == [("asdrilled-clearance", Severity.FAIL, "open hole m_1")]
