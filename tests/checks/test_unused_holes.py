"""A hole to be used again that nothing uses is named, with its line and the actions there are."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_jobs import layout, old

from generators.checks.panel.unused import check_unused
from generators.geometry.contours import circle
from generators.model.findings import Severity
from generators.model.folds import Passing
from generators.solve.job import prepare

HOLE = old("A", 100, 100, 20, status="reuse", name="cable")

SPEC = """job = { name = "first", title = "First" }
[[panel]]
name = "firewall"
title = "Firewall"
material = "1008 steel"
thickness = "1.2 mm"
origin = ["0 mm", "0 mm", "0 mm"]
outline = [["0 mm", "0 mm"], ["300 mm", "0 mm"], ["300 mm", "200 mm"], ["0 mm", "200 mm"]]
[[panel.existing]]
name = "cable"
at = ["90 mm", "110 mm"]
diameter = "11 mm"
action = "reuse"
what = "old cable"
"""
TAKEN = """[[panel.hole]]
name = "wire"
kind = "grommet"
diameter = "11 mm"
purpose = "brake light switch wires"
at = { from = "cable", u = "0 mm", v = "0 mm" }
"""


def test_it_says_hole_line_and_actions() -> None:
    (found,) = check_unused(layout(HOLE), (), {"cable": 33})
    assert found.severity is Severity.WARN
    assert found.where == "panel:firewall hole A (cable)"
    assert "line 33" in found.found
    assert all(word in found.advice for word in ('"keep"', '"blank"', 'from = "cable"'))


@pytest.mark.parametrize(("middle_u", "fires"), [(100 + 10 + 4.9, False), (100 + 10 + 5.1, True)])
def test_what_goes_through_it_uses_it(middle_u: float, fires: bool) -> None:
    # a rod of 10 mm beside the rim of a hole of 20 mm: they touch where the middles are 15 mm apart
    rod = Passing(words="the loom", contour=circle(middle_u, 100, 10))
    assert bool(list(check_unused(layout(HOLE, passing=(rod,)), (), {}))) is fires


def test_what_sits_in_it_uses_it() -> None:
    assert not list(check_unused(layout(HOLE), {"cable"}, {}))


@pytest.mark.parametrize(("more", "fires"), [("", True), (TAKEN, False)])
def test_a_job_with_it_and_without(tmp_path: Path, more: str, fires: bool) -> None:
    (tmp_path / "first.toml").write_text(SPEC + more)
    found = [f for f in prepare(tmp_path / "first.toml").findings if f.code == "reuse-unused"]
    assert len(found) == fires
    assert all("line 13" in f.found for f in found)
