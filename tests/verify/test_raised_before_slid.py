"""A part round the punch that hangs beside the die: the ram goes up so far before it is slid along."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from test_setup_of_demos import part, sheet

from generators.bending import trial
from generators.bending.legs import PartShape
from generators.bending.setting import setting_of
from generators.bending.steps import Lift, Refusal, Sequence, Step

R, T, K, AIR = 6.0, 4.0, 0.43, 1.0


def hanger() -> tuple[Sequence, int]:
    bends = part("ferrow_bus", "clutch_hanger")[2]
    (index,) = (i for i, s in enumerate(bends.on_brake) if s.slide)
    return bends, index


def by_hand(step: Step) -> float:
    """How deep the foot is at the end of the bend, its legs at 45°.

    It is bent down from 12 mm behind the tangent line on, 38 deep from its own bend's R 6, its corner rounded
    by 8: about a centre 8 further along and 30 deep. The tip of the punch is at the end of its stroke.
    """
    h = math.radians(45)
    half_flat = h * (R + K * T)
    out = half_flat + 12.0 + 8.0 - half_flat
    up = -(R + 30.0) - (R + T)
    return -(out * math.sin(h) + up * math.cos(h) - 8.0 + step.tip_z_mm - step.degree_mm + R)


def test_a_foot_beside_the_die_is_raised_over_it_by_hand(tmp_path: Path) -> None:
    plan, shop, bends = part("ferrow_bus", "clutch_hanger")
    step = bends.on_brake[hanger()[1]]
    assert step.lift is not None
    assert step.lift.flange == "left_top"
    # pressed on by a degree at worst, it is so much deeper
    assert by_hand(step) == pytest.approx(28.72 + 0.15, abs=0.03)
    assert step.lift.up_mm == pytest.approx(by_hand(step) + AIR, abs=0.05)
    text, problems = sheet(tmp_path / "s.pdf", plan, shop, bends)
    assert problems == ""
    said = re.search(
        r"The part stays round the punch: raise the ram ([\d.]+) mm or more first, the part held against the punch "
        r"with a bar, not by hand \(left top hangs beside the die, below its top\), and slide it off to either side\.",
        text,
    )
    assert said is not None
    assert by_hand(step) + AIR - 0.05 <= float(said[1]) < by_hand(step) + AIR + 0.11


def test_what_hangs_nowhere_near_the_die_is_not_raised(tmp_path: Path) -> None:
    """The cheeks of this hanger stand up: nothing of it is below the die's top."""
    plan, shop, bends = part("wrenfield_van", "clutch_hanger")
    (step,) = (s for s in bends.on_brake if s.slide)
    assert step.lift is None
    assert "slide it off to either side." in sheet(tmp_path / "s.pdf", plan, shop, bends)[0]


@pytest.mark.parametrize(
    ("lift", "found"),
    [
        (None, "slid along while left top hangs 28.9 mm below the die's top beside it"),
        (Lift(flange="left_top", up_mm=28.0), "the ram is raised 28.0 mm, and left top hangs 28.9 mm beside"),
        (Lift(flange="left_top", up_mm=44.0), "the ram is raised 44.0 mm for what hangs 28.9 mm"),
        (Lift(flange="left_top", up_mm=400.0), "the ram is raised 400.0 mm, its stroke is 360 mm"),
        (Lift(flange="right_top", up_mm=29.8), "right top is said to hang beside the die, and does not"),
    ],
    ids=["silent", "too little", "too much", "past its stroke", "another"],
)
def test_a_ram_raised_wrongly_is_found_out(lift: Lift | None, found: str, tmp_path: Path) -> None:
    plan, shop, bends = part("ferrow_bus", "clutch_hanger")
    index = hanger()[1]
    step = bends.steps[index]
    assert isinstance(step, Step)
    wrong = replace(bends, steps=(*bends.steps[:index], replace(step, lift=lift), *bends.steps[index + 1 :]))
    assert found in sheet(tmp_path / "s.pdf", plan, shop, wrong)[1]


def test_no_order_is_given_where_the_ram_does_not_go_up_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    plan, shop, bends = part("ferrow_bus", "clutch_hanger")
    step = bends.on_brake[hanger()[1]]
    bend = next(b for b in plan.bends if b.name == step.bend)
    shape, setting = PartShape(plan=plan), setting_of(plan, shop)
    assert setting.tried(shape, bend, frozenset(step.done), step.child_rear) == step
    # 560 mm open, less the tools' 260 and 80, and 8 that the tip is below the die's top
    for up, given in ((228.0, True), (229.0, False)):
        monkeypatch.setattr(trial, "lifted", lambda *_, up=up: Lift(flange="left_top", up_mm=up))
        tried = setting.tried(shape, bend, frozenset(step.done), step.child_rear)
        assert isinstance(tried, Step if given else Refusal)
