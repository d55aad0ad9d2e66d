"""A step's picture: a flange beyond the tools is drawn under them, one before them over, from either end."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, flagged, last, order

from generators.bending.folder.trial import FolderSetting
from generators.bending.search import Search
from generators.bending.setting import Machines
from generators.bending.steps import Sequence, Step
from generators.drawing.bending import words
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.bending.views import on_brake, on_folder
from generators.drawing.bending.views.picture import SideView
from generators.drawing.bending.views.side_view import side_view
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import FoldCapacity, Folder
from generators.sheets.setup.page import write_setup_page
from generators.verify.html.setup import read_setup_page
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools

TOOLS = Tools(brake=TWO, dies=TWO.die, tensile_mpa=370.0, opening_mm=24.0)
ONE_END = replace(flagged(5.0, both=False), name="flag", title="Flag, invented")
BOTH_ENDS = replace(flagged(5.0), name="flag", title="Flags, invented")
MOVED = ("drawn over them", "drawn under them", "dotted")


def moved(
    path: Path,
    bends: Sequence,
    plan: object = ONE_END,
    machines: Machines = MACHINES,
    tools: Tools = TOOLS,
) -> list[str]:
    """What the sheet's reader and the page's say alike of what lies before what."""
    write_setup_sheet(plan, path, bends=bends, machines=machines, job_title="Toy", revision="abc1234")  # type: ignore[arg-type]
    paper = read_setup_sheet(path, plan, tools=tools, job_title="Toy", revision="abc1234", rel="x")  # type: ignore[arg-type]
    page = path.with_suffix(".html")
    said = {"job": "toy", "job_title": "Toy", "revision": "abc1234", "plan": plan}
    write_setup_page(page, bends=bends, machines=machines, **said)  # type: ignore[arg-type]
    web = read_setup_page(page, tools=tools, waived=(), rel="x", **said)  # type: ignore[arg-type]
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


FOLDER = Folder(capacity=(FoldCapacity(thickness_mm=3.0, length_mm=1250.0),))
FOLDING, FOLDER_TOOLS = replace(MACHINES, folder=FOLDER), replace(TOOLS, folder=FOLDER)


def corner(kept: str) -> PartPlan:
    """A web with a side up along bend ``r`` and another up beside one end of it."""
    gone = {"front": "back", "back": "front", "": ""}[kept]
    return replace(
        BOTH_ENDS,
        name="corner",
        title="Corner, invented",
        flanges=tuple(f for f in BOTH_ENDS.flanges if f.name != gone),
        bends=tuple(replace(b, direction="up") for b in BOTH_ENDS.bends if b.child != gone),
    )


def folded(plan: PartPlan) -> Sequence:
    bends = Search(plan=plan, setting=FolderSetting(folder=FOLDER, tensile_mpa=370.0)).run()
    assert bends.found
    assert bends.steps[-1].bend == "r"
    return bends


@pytest.mark.parametrize("kept", ["front", "back"])
def test_on_the_folder_what_stands_beyond_the_fingers_is_under_them_and_what_stands_before_over(
    kept: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = corner(kept)
    bends = folded(plan)
    near = kept == "back"
    view = side_view(plan, bends.steps[-1], FOLDING)
    assert (len(view.before), len(view.behind)) == (near, not near)
    assert moved(tmp_path / "a.pdf", bends, plan, FOLDING, FOLDER_TOOLS) == []
    layers, hidden = on_folder.layers, SideView.hidden
    for change, said in (
        (lambda v: replace(v, behind=v.before, before=v.behind), MOVED[1] if near else MOVED[0]),
        (
            lambda v: replace(v, behind=(), over=(*v.behind, *v.over, *v.before), before=()),
            "are not dotted" if near else MOVED[0],
        ),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(on_folder, "layers", lambda d, right, change=change: change(layers(d, right=right)))
            wrong = moved(tmp_path / "b.pdf", bends, plan, FOLDING, FOLDER_TOOLS)
        assert any(said in p for p in wrong), wrong
    with monkeypatch.context() as patch:
        patch.setattr(SideView, "hidden", property(lambda v: (*hidden.fget(v), *v.moving)))  # type: ignore[attr-defined]
        wrong = moved(tmp_path / "c.pdf", bends, plan, FOLDING, FOLDER_TOOLS)
    assert any("dotted where no flange stands before them" in p for p in wrong)


def test_a_tool_of_the_folder_that_is_drawn_elsewhere_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = corner("back")
    bends = folded(plan)
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    drawn = SideView.draw
    for index, tool in enumerate(("beam", "fingers", "leaf")):

        def away(view: SideView, *a: Any, index: int = index) -> float:
            rings = [
                tuple((y + 15.0, z) for y, z in ring) if i == index else ring
                for i, ring in enumerate(view.moving)
            ]
            return drawn(replace(view, moving=tuple(rings)), *a)

        with monkeypatch.context() as patch:
            patch.setattr(SideView, "draw", away)
            write_setup_sheet(plan, tmp_path / "s.pdf", bends=bends, machines=FOLDING, **named)
        read = read_setup_sheet(tmp_path / "s.pdf", plan, tools=FOLDER_TOOLS, rel="x", **named)
        assert any(f"no {tool} where the folder has them" in p for p in read.problems), read.problems


def test_a_sharp_nose_of_the_folder_is_a_nose(tmp_path: Path) -> None:
    sharp = replace(FOLDER, nose_radius_mm=0.0)
    machines, tools = replace(MACHINES, folder=sharp), replace(TOOLS, folder=sharp)
    plan = corner("back")
    bends = Search(plan=plan, setting=FolderSetting(folder=sharp, tensile_mpa=370.0)).run()
    assert bends.found
    assert moved(tmp_path / "a.pdf", bends, plan, machines, tools) == []
