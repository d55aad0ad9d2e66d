"""A step's picture: a flange beyond the tools is drawn under them, one before them over, from either end."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, flagged, last, order

from generators.bending.steps import Sequence, Step
from generators.drawing.bending import words
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.bending.views import on_brake
from generators.drawing.bending.views.picture import SideView
from generators.drawing.bending.views.side_view import side_view
from generators.sheets.setup.page import write_setup_page
from generators.verify.html.setup import read_setup_page
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools

TOOLS = Tools(brake=TWO, dies=TWO.die, tensile_mpa=370.0, opening_mm=24.0)
ONE_END = replace(flagged(5.0, both=False), name="flag", title="Flag, invented")
BOTH_ENDS = replace(flagged(5.0), name="flag", title="Flags, invented")
MOVED = ("drawn over them", "drawn under them", "dotted")


def moved(path: Path, bends: Sequence, plan: object = ONE_END) -> list[str]:
    """What the sheet's reader and the page's say alike of what lies before what."""
    write_setup_sheet(plan, path, bends=bends, machines=MACHINES, job_title="Toy", revision="abc1234")  # type: ignore[arg-type]
    paper = read_setup_sheet(path, plan, tools=TOOLS, job_title="Toy", revision="abc1234", rel="x")  # type: ignore[arg-type]
    page = path.with_suffix(".html")
    said = {"job": "toy", "job_title": "Toy", "revision": "abc1234", "plan": plan}
    write_setup_page(page, bends=bends, machines=MACHINES, **said)  # type: ignore[arg-type]
    web = read_setup_page(page, tools=TOOLS, waived=(), rel="x", **said)  # type: ignore[arg-type]
    assert not any("shows no" in p or "does not show" in p for p in (*paper.problems, *web.problems))
    found = [[p for p in read.problems if any(m in p for m in MOVED)] for read in (paper, web)]
    assert found[0] == found[1]
    return found[0]


@pytest.mark.parametrize("left", [False, True], ids=["from the right", "from the left"])
@pytest.mark.parametrize("turn", [0, 1], ids=["one way round", "the other"])
def test_what_stands_beyond_the_tools_is_under_them_and_what_stands_before_over(
    turn: int, left: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    step = last(ONE_END, "r", TWO)[turn]
    assert isinstance(step, Step)
    # what limits the die on the right stands at the right end of the machine
    near = bool(step.die_reach.right) != left
    bends = order(ONE_END, TWO)
    bends = replace(bends, steps=tuple(step if s.bend == "r" else s for s in bends.steps))
    for room in (words, on_brake):
        monkeypatch.setattr(room, "from_the_left", lambda p, s: left and s.bend == "r")
    view = side_view(ONE_END, step, MACHINES)
    assert (bool(view.before), bool(view.behind), bool(list(view.hidden))) == (near, not near, near)
    assert moved(tmp_path / "a.pdf", bends) == []

    layers, hidden = on_brake.layers, SideView.hidden
    for change, said in (
        (lambda v: replace(v, behind=v.before, before=v.behind), MOVED[1] if near else MOVED[0]),
        # over the tools, and nothing dotted of those behind
        (lambda v: replace(v, behind=(), over=(*v.behind, *v.over, *v.before), before=()), None),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(on_brake, "layers", lambda d, right, change=change: change(layers(d, right=right)))
            wrong = moved(tmp_path / "b.pdf", bends)
        assert any((said or ("are not dotted" if near else MOVED[0])) in p for p in wrong), wrong
    with monkeypatch.context() as patch:
        patch.setattr(SideView, "hidden", property(lambda v: (*hidden.fget(v), *v.moving)))  # type: ignore[attr-defined]
        wrong = moved(tmp_path / "c.pdf", bends)
    assert any("dotted where no flange stands before them" in p for p in wrong)


def test_of_flanges_at_both_ends_each_lies_on_its_own_side_of_the_tools(tmp_path: Path) -> None:
    for step in last(BOTH_ENDS, "r", TWO):
        assert isinstance(step, Step)
        view = side_view(BOTH_ENDS, step, MACHINES)
        assert len(view.before) == len(view.behind) == 1
        bends = order(BOTH_ENDS, TWO)
        bends = replace(bends, steps=tuple(step if s.bend == "r" else s for s in bends.steps))
        assert moved(tmp_path / "a.pdf", bends, BOTH_ENDS) == []
