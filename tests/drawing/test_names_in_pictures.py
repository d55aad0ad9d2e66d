"""Names in a step's picture: on the tool they name, or beside it, never over the part or over one another."""

from __future__ import annotations

import itertools
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon, box

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, channel, hat, order

from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.bending.views.naming import _cheapest, named
from generators.drawing.bending.views.picture import SideView
from generators.model.plan import PartPlan
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools

WITHIN = (0.0, 0.0, 80.0, 50.0)


def test_a_name_stands_on_a_wide_tool_and_beside_a_narrow_one_with_a_line_to_it() -> None:
    wide = ((5.0, 5.0), (35.0, 5.0), (35.0, 15.0), (5.0, 15.0))
    narrow = ((50.0, 20.0), (52.0, 20.0), (52.0, 48.0), (50.0, 48.0))
    die, punch = named((), (("die", wide), ("punch", narrow)), (), WITHIN)
    assert die.on_tool
    assert Polygon(wide).contains(box(*die.box))
    assert not punch.on_tool
    assert not box(*punch.box).intersects(Polygon(narrow))
    assert punch.lead is not None


def test_a_flange_s_name_gives_way_to_the_part() -> None:
    part = ((20.0, 10.0), (60.0, 10.0), (60.0, 40.0), (20.0, 40.0))
    (web,) = named((("web", (40.0, 38.0)),), (), (part,), WITHIN)
    assert not box(*web.box).intersects(Polygon(part))
    # as near to its place as the part lets it
    assert web.box[1] == pytest.approx(40.0, abs=1.0)


def test_the_cheapest_place_is_found_as_if_every_place_were_looked_at() -> None:
    # costs in a few steps, so that many places cost the same: the first of them is meant
    rng = np.random.default_rng(5)
    for many in (1, 63, 64, 65, 2000):
        least = rng.integers(0, 40, many).astype(float)
        whole = least + rng.integers(0, 3, many) * 20.0
        looked_at: list[int] = []

        def cost(some: np.ndarray, whole: np.ndarray = whole, to: list[int] = looked_at) -> np.ndarray:
            to.extend(some)
            return whole[some]

        assert _cheapest(least, cost) == int(np.argmin(whole))
        assert len(looked_at) == len(set(looked_at))
    assert len(looked_at) < 500


@pytest.mark.parametrize("plan", [channel(80.0, 40.0), hat(80.0, 40.0, 30.0)], ids=["channel", "hat"])
def test_no_two_names_of_a_picture_meet(
    plan: PartPlan, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    seen = []

    def kept(*args: object) -> object:
        seen.append(named(*args))  # type: ignore[arg-type]
        return seen[-1]

    monkeypatch.setattr("generators.drawing.bending.views.picture.named", kept)
    write_setup_sheet(
        plan,
        tmp_path / "s.pdf",
        bends=order(plan, TWO),
        machines=MACHINES,
        job_title="Toy",
        revision="abc1234",
    )
    assert len(seen) == len(plan.bends)
    for names in seen:
        assert {"punch", "die"} <= {n.text for n in names}
        for one, two in itertools.combinations(names, 2):
            assert not box(*one.box).intersects(box(*two.box)), (one.text, two.text)


def test_a_tool_that_is_not_named_shows(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    plan, path = replace(channel(80.0, 40.0), name="ch"), tmp_path / "s.pdf"
    drawn = SideView.draw
    monkeypatch.setattr(SideView, "draw", lambda self, *a: drawn(replace(self, tools=self.tools[1:]), *a))
    write_setup_sheet(
        plan, path, bends=order(plan, TWO), machines=MACHINES, job_title="Toy", revision="abc1234"
    )
    tools = Tools(brake=TWO, dies=TWO.die, tensile_mpa=370.0, opening_mm=24.0)
    read = read_setup_sheet(path, plan, tools=tools, job_title="Toy", revision="abc1234", rel="x")
    assert "step 1: the picture does not name punch" in read.problems
