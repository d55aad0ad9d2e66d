"""A round between a stop's edge and what lies past it comes nearest to the fingers where it leaves the edge."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from test_setup_of_demos import part, sheet

from generators.bending.steps import Step


def test_a_gap_beside_fingers_is_to_where_the_round_begins(tmp_path: Path) -> None:
    """The tab's edge is 52 wide, its end R 8: fingers keep 28 of it, to 136.13 - 36 = 100.13 of the blank's v.

    The web's upper edge is at 82, with R 3 at corner k: the round leaves the tab's edge at 85, 15.13 from them,
    and is 17.3 from them only where it is a millimetre past the stop.
    """
    plan, shop, bends = part("wrenfield_van", "clutch_hanger")
    step = bends.steps[0]
    assert isinstance(step, Step)
    (web,) = (p for p in step.stop.past if p.flange == "web")
    assert (web.past_mm, web.at) == (pytest.approx(22.0, abs=0.01), "beside")
    assert 15.05 < web.beside_mm < 15.13 + 0.15
    text, problems = sheet(tmp_path / "s.pdf", plan, shop, bends)
    assert problems == ""
    assert "web 22.0 mm, 15.1 mm beside the fingers." in text
    # the edge at the stop slips 0.1 out as the stroke begins, and the strip beside it too: nothing swings past it
    assert step.swings_by == ()
    assert "SWINGS" not in text.split("1 Bend right")[1].split("2 Bend tab")[0]
    for gap in (17.3, 13.0):
        past = tuple(replace(p, beside_mm=gap) if p.flange == "web" else p for p in step.stop.past)
        wrong = replace(step, stop=replace(step.stop, past=past))
        found = sheet(tmp_path / "t.pdf", plan, shop, replace(bends, steps=(wrong, *bends.steps[1:])))[1]
        assert f"web is said to be {gap} mm beside the fingers, it is 15." in found
