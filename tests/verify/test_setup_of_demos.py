"""Setup sheets of parts as the demos have them, held against what a bender would reckon with the paper in hand."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from generators.bending.setting import machines_of, sequence_of, setting_of
from generators.bending.steps import Sequence, Square
from generators.bending.tools import dies_of, punches_of
from generators.drawing.bending.sheet import write_setup_sheet
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop
from generators.parts import KINDS
from generators.reading import read_job
from generators.solve.parts import plan_parts
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf

SPECS = Path(__file__).parents[2] / "specs"


@cache
def part(demo: str, name: str) -> tuple[PartPlan, Shop, Sequence]:
    """A part of a demo, its shop, and the order of its bends."""
    file = read_job(SPECS / f"{demo}.toml", {k.name: k.parameters for k in KINDS})
    plan = next(p.plan for p in plan_parts(file) if p.spec.name == name)
    return plan, file.shop, sequence_of(plan, file.shop)[0]


def sheet(path: Path, plan: PartPlan, shop: Shop, bends: Sequence) -> tuple[str, str]:
    """The words of a sheet, and what is wrong with it."""
    machines, setting = machines_of(plan, shop), setting_of(plan, shop)
    write_setup_sheet(plan, path, bends=bends, machines=machines, job_title="Toy", revision="abc1234")
    tools = Tools(
        brake=replace(setting.brake, punch=punches_of(setting.brake)),
        dies=dies_of(setting.brake, setting.opening_mm, plan.thickness_mm),
        tensile_mpa=setting.tensile_mpa,
        over_rad=setting.over_rad,
        opening_mm=setting.opening_mm,
        springback_rad=setting.springback_rad,
    )
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    read = read_setup_sheet(path, plan, tools=tools, job_title="Toy", revision="abc1234", rel="x")
    return text, "; ".join(read.problems)


def with_square(bends: Sequence, bend: str, **changed: Any) -> Sequence:
    """The same order with another square at a bend."""

    def other(square: Square | None) -> Square:
        assert square is not None
        return replace(square, **changed)

    return replace(
        bends,
        steps=tuple(
            replace(s, stop=replace(s.stop, square=other(s.stop.square))) if s.bend == bend else s
            for s in bends.steps
        ),
    )


def test_the_hangers_tab_is_squared_from_behind_the_die(tmp_path: Path) -> None:
    """The bend's line is 142.06 over the web's lower edge, the die 48 wide; left of the tab all below 130 is sheet.

    So a blade from the front face, at 118.06, would have to pass through 12 mm of it; from the back face,
    at 166.06, it lies on free die to the end of the edge, 33 mm along it. The tab is 52 long: its stock asks
    for 122 mm of die.
    """
    plan, shop, bends = part("wrenfield_van", "clutch_hanger")
    text, problems = sheet(tmp_path / "a.pdf", plan, shop, bends)
    assert problems == ""
    step = text.split("2 Bend tab")[1].split("3 Bend")[0]
    assert (
        "SQUARE IT BY the edge h to k, which lies square to the bend: the stock of a square, 70.0 mm of it, "
        "against the back face of the die, from that edge away from the sheet, its blade toward you over the die "
        "along 10.4 mm or more of that edge. The die runs on 70.0 mm or more past the bend's end there, behind "
        "the stock."
    ) in step
    die = re.search(r"DIE V 32: [\d +]+ mm = (\d+) mm or longer", step)
    assert die is not None
    assert 122 <= float(die[1]) < 127
    (tab,) = (s for s in bends.on_brake if s.bend == "tab")
    assert tab.stop.square is not None
    assert tab.stop.square.long_mm == pytest.approx(33.06, abs=0.1)
    for changed, said in (
        ({"face": "front"}, "meets the part on its way"),
        ({"stock_mm": 40.0}, "hold it against nothing"),
        ({"way": 1}, "the die is said to run on"),
    ):
        wrong = sheet(tmp_path / "b.pdf", plan, shop, with_square(bends, "tab", **changed))[1]
        assert said in wrong, (changed, wrong)
    short = replace(
        bends,
        steps=tuple(replace(s, die_pieces_mm=(40.0, 15.0)) if s.bend == "tab" else s for s in bends.on_brake),
    )
    assert (
        "55 mm of die, the bend and the stock of its square take 122.0 mm"
        in sheet(tmp_path / "c.pdf", plan, shop, short)[1]
    )
