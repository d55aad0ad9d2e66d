"""What a setup sheet says so that another shop can bend from it: fingers, what swings below, brake and tools."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, channel, eared, flagged, hat, last, order, zed

from generators.bending.steps import Fall, Sequence, Step
from generators.drawing.bending import machine_words, words
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.bending.views import on_brake
from generators.drawing.bending.views.depth import from_the_left
from generators.model.plan import PartPlan
from generators.model.spec.tools.press import Brake
from generators.units import UnitSystem
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf

HAT = replace(hat(80.0, 40.0, 30.0), name="top_hat", title="Hat, invented")


def problems(
    path: Path, plan: PartPlan, bends: Sequence, brake: Brake = TWO, units: UnitSystem = "metric"
) -> tuple[tuple[str, ...], str]:
    """What is wrong with a sheet written for a brake as read with another, and its words."""
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    written = replace(MACHINES, brake=replace(MACHINES.brake, gauge=brake.gauge))
    write_setup_sheet(plan, path, bends=bends, machines=written, units=units, **named)
    tools = Tools(brake=brake, dies=brake.die, tensile_mpa=370.0, opening_mm=24.0)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    return read_setup_sheet(path, plan, tools=tools, rel="x", **named).problems, text


def swapped(bends: Sequence, index: int, step: Step) -> Sequence:
    """The same order with another step there."""
    return replace(bends, steps=(*bends.steps[:index], step, *bends.steps[index + 1 :]))


# fingers of 20: two side by side stand on 40; of 10 they would on 20, and 25 is the least that squares a sheet
@pytest.mark.parametrize(
    ("finger", "long", "apart"),
    [(20.0, 100.0, 80.0), (20.0, 40.0, 20.0), (20.0, 39.9, 0.0), (10.0, 25.0, 15.0), (10.0, 24.9, 0.0)],
)
def test_two_fingers_stand_on_the_edge_or_a_square_lies_along_another(
    finger: float, long: float, apart: float, tmp_path: Path
) -> None:
    brake = replace(TWO, gauge=replace(TWO.gauge, finger_width_mm=finger))
    plan = replace(channel(80.0, 40.0, long), name="top_hat")
    bends = order(plan, brake)
    first = bends.on_brake[0]
    assert first.stop.apart_mm == pytest.approx(apart)
    found, text = problems(tmp_path / "a.pdf", plan, bends, brake)
    assert found == ()
    said = (
        f"Two fingers, {apart:.1f} mm apart"
        if apart
        else f"ONE FINGER on {long:.1f} mm of edge, anywhere on it. SQUARE IT BY the edge "
    )
    assert said in text
    far = swapped(bends, 0, replace(first, stop=replace(first.stop, apart_mm=long)))
    assert any("two fingers" in p for p in problems(tmp_path / "b.pdf", plan, far, brake)[0])
    one = replace(first.stop, apart_mm=0.0, high_x=first.stop.low_x + long + 20)
    assert any(
        "one finger" in p
        for p in problems(tmp_path / "c.pdf", plan, swapped(bends, 0, replace(first, stop=one)), brake)[0]
    )


def test_what_hangs_below_the_die_is_said_with_the_room_it_takes(tmp_path: Path) -> None:
    """Brims of 30 behind a bend of R 3 hang 33 under the flat sheet, 3.37 + 40 + 3 = 46.37 off the middle; the inside
    of their bend is 1 mm under it at 43.37 + sqrt(9 - 4) = 45.61.
    """
    bends = order(HAT, TWO)
    index = next(i for i, s in enumerate(bends.steps) if s.bend == "r")
    step = bends.on_brake[index]
    falls = {fall.flange: fall for fall in step.falls}
    assert falls["right_brim"].deep_mm == pytest.approx(33.0, abs=0.01)
    assert falls["right_brim"].near_mm == pytest.approx(45.61, abs=0.2)
    found, text = problems(tmp_path / "a.pdf", HAT, bends)
    assert found == ()
    assert "FREE BELOW THE DIE'S TOP: 33.0 mm from 45.4 mm off its middle on (right brim" in text
    # 33 / 25.4 = 1.2992, rounded up
    found, text = problems(tmp_path / "i.pdf", HAT, bends, units="inch")
    assert found == ()
    assert "FREE BELOW THE DIE'S TOP: 1.300 in from" in text
    brim = falls["right_brim"]
    for changed, said in (
        ((), "the sheet is silent"),
        ((replace(brim, deep_mm=32.0),), "folded 33.0 mm"),
        ((replace(brim, near_mm=49.0),), "is said 49.0 mm off"),
        ((replace(brim, near_mm=0.0),), "said to be beside the die's ends"),
        ((*step.falls, Fall(flange="web", deep_mm=33.0, near_mm=60.0)), "web is said to come below"),
    ):
        wrong = problems(tmp_path / "b.pdf", HAT, swapped(bends, index, replace(step, falls=changed)))[0]
        assert any(said in p for p in wrong), (said, wrong)


def test_flat_metal_beside_the_die_swings_down_into_its_room(tmp_path: Path) -> None:
    """An ear 40 past the middle ends 40 - 6 + 3.37 past the mould line, at -12.08 when bent: -12.08 - 37.37 / sqrt 2."""
    plan = replace(eared(5.0, 40.0), name="top_hat")
    bends = order(plan, TWO)
    index = next(i for i, s in enumerate(bends.steps) if s.bend == "r")
    step = bends.on_brake[index]
    (fall,) = (f for f in step.falls if f.flange == "web")
    assert (fall.deep_mm, fall.near_mm) == (pytest.approx(38.50, abs=0.05), 0.0)
    found, text = problems(tmp_path / "a.pdf", plan, bends)
    assert found == ()
    assert "mm beside its ends (web" in text


def test_a_flange_that_only_rises_takes_no_room(tmp_path: Path) -> None:
    plan = replace(channel(80.0, 40.0), name="top_hat")
    bends = order(plan, TWO)
    assert all(step.falls == () for step in bends.on_brake)
    found, text = problems(tmp_path / "a.pdf", plan, bends)
    assert found == ()
    assert "FREE BELOW" not in text
    # the second flange of a zed is bent with the first hanging
    hung = replace(zed(80.0, 40.0), name="top_hat")
    assert any(step.falls for step in order(hung, TWO).on_brake)


BRAKES: dict[str, tuple[Callable[[Brake], Brake], str]] = {
    "length": (lambda b: replace(b, length_mm=1500.0), "2000 for the brake's bends, the shop 1500"),
    "force": (lambda b: replace(b, force_n=5e5), "600 for the brake's kN, the shop 500"),
    "open": (lambda b: replace(b, open_mm=480.0), "500 for the brake's open, the shop 480"),
    "stroke": (lambda b: replace(b, stroke_mm=300.0), "320 for the brake's stroke, the shop 300"),
    "ram": (
        lambda b: replace(b, ram=((-41.0, 0.0), (40.0, 0.0), (40.0, 800.0), (-41.0, 800.0))),
        "ram is said to be 80 mm wide; the shop's is wider toward you",
    ),
    "a narrower ram": (
        lambda b: replace(b, ram=((-40.0, 0.0), (39.0, 0.0), (39.0, 800.0), (-40.0, 800.0))),
        "ram is said to be 80 mm wide; the shop's is not so wide there",
    ),
    "table": (
        lambda b: replace(b, table=((-45.0, 0.0), (-45.0, -800.0), (46.0, -800.0), (46.0, 0.0))),
        "table is said to be 90 mm wide; the shop's is wider back",
    ),
    "punch": (lambda b: replace(b, punch=(replace(b.punch[0], height_mm=149.0),)), "height 150, the shop"),
    "tip": (lambda b: replace(b, punch=(replace(b.punch[0], tip_radius_mm=2.0),)), "tip 1, the shop has 2"),
    "no punch": (lambda b: replace(b, punch=b.punch[1:]), "the shop has no punch 'straight'"),
    "die": (lambda b: replace(b, die=(replace(b.die[0], width_mm=40.0),)), "width 36, the shop has 40"),
    "die's height": (lambda b: replace(b, die=(replace(b.die[0], height_mm=60.0),)), "height 80, the shop"),
    "way": (lambda b: replace(b, die=(replace(b.die[0], way="bottom"),)), "air bending, the shop has it for"),
}


@pytest.mark.parametrize("what", BRAKES)
def test_brake_and_tools_are_given_by_their_figures(what: str, tmp_path: Path) -> None:
    plan = replace(channel(80.0, 40.0), name="top_hat")
    bends = order(plan, TWO)
    found, text = problems(tmp_path / "a.pdf", plan, bends)
    assert found == ()
    assert (
        "bends 2000 mm, 600 kN; open 500 mm from clamp to table, stroke 320 mm; clamp and ram 80 mm wide, "
        "table 90 mm wide or less."
    ) in text
    assert "straight, 85°, tip R 1, 150 mm high; die V 24" in text
    # by the plain die's own rule: shoulders V / 16, V / 4 beside the V
    assert "open 24 mm, 80°, shoulders R 1.5, 36 mm wide, 80 mm high, air bending." in text
    change, said = BRAKES[what]
    found, _ = problems(tmp_path / "a.pdf", plan, bends, change(TWO))
    assert any(said in p for p in found), found


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_clamp_that_is_not_in_the_middle_reaches_so_far_each_way(tmp_path: Path, units: UnitSystem) -> None:
    plan = replace(channel(80.0, 40.0), name="top_hat")
    bends = order(plan, TWO)
    off = replace(TWO, ram=((-38.1, 0.0), (25.4, 0.0), (25.4, 800.0), (-38.1, 800.0)))
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    path = tmp_path / "a.pdf"
    write_setup_sheet(plan, path, bends=bends, machines=replace(MACHINES, brake=off), units=units, **named)
    tools = Tools(brake=off, dies=off.die, tensile_mpa=370.0, opening_mm=24.0)
    assert read_setup_sheet(path, plan, tools=tools, rel="x", **named).problems == ()
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    said = {"metric": "38.1 mm toward you and 25.4 mm back", "inch": "1 1/2 in toward you and 1 in back"}
    assert f"clamp and ram {said[units]}, table" in text


STEPPED = ((-20.0, 0.0), (20.0, 0.0), (20.0, 150.0), (150.0, 150.0), (150.0, 800.0), (-20.0, 800.0))


@pytest.mark.parametrize(
    ("ram", "said"),
    [
        (STEPPED, "40 mm wide to 150 mm from the punch, 20 mm toward you and 150 mm back beyond"),
        # as wide as it is all the way from there on: half way up a slope it is not yet
        (
            ((-20.0, 0.0), (20.0, 0.0), (60.0, 400.0), (60.0, 800.0), (-20.0, 800.0)),
            "40 mm wide to 400 mm from the punch, 20 mm toward you and 60 mm back beyond",
        ),
        # one that narrows is no wider than at its top
        (
            ((-60.0, 0.0), (60.0, 0.0), (60.0, 300.0), (40.0, 300.0), (40.0, 800.0), (-60.0, 800.0)),
            "60 mm toward you and 40 mm back",
        ),
    ],
)
def test_a_clamp_that_widens_is_told_where_and_no_wider_than_it_is(
    ram: tuple[tuple[float, float], ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What another brake may fill is all inside the outline: a part that was bent under it goes under that."""
    brake = replace(TWO, ram=ram)
    plan = replace(channel(80.0, 40.0), name="top_hat")
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    path = tmp_path / "a.pdf"

    def read() -> tuple[str, tuple[str, ...]]:
        machines = replace(MACHINES, brake=brake)
        write_setup_sheet(plan, path, bends=order(plan, brake), machines=machines, **named)
        tools = Tools(brake=brake, dies=brake.die, tensile_mpa=370.0, opening_mm=24.0)
        text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
        return text, read_setup_sheet(path, plan, tools=tools, rel="x", **named).problems

    text, found = read()
    assert found == ()
    assert f"clamp and ram {said}, table 90 mm wide or less." in text
    # the widest all the way, as it was said once, is more than was reckoned with
    widest = max(back for back, _ in ram)
    monkeypatch.setattr(
        machine_words, "breadth_words", lambda o, *_: f"{2 * widest:g} mm wide" if o == ram else "90 mm wide"
    )
    assert any("the shop's is not so wide there" in p for p in read()[1])


def test_stops_against_the_blank_share_what_it_is_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = replace(channel(80.0, 40.0), name="top_hat")
    bends = order(plan, TWO)
    found, text = problems(tmp_path / "a.pdf", plan, bends)
    assert found == ()
    assert (words.HALVES in text) == any(s.stop.on == "edge" for s in bends.on_brake) is True
    monkeypatch.setattr(words, "HALVES", "")
    found, _ = problems(tmp_path / "a.pdf", plan, bends)
    assert "it does not say rightly that stops share what the blank is off" in found


@pytest.mark.parametrize(("high", "within"), [(200.0, "0.07"), (40.0, "0.3"), (20.0, "0.7"), (14.0, None)])
def test_a_flange_at_a_stop_leans_no_more_than_a_finger_s_height_lets_it(
    high: float, within: str | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half of 0.5 at its top: 0.25 / 40 is 0.358 degrees, 0.25 / 20 is 0.716; / 14 is more than the angle's own 1.

    0.25 / 200 is 0.0716: never so near as not at all.
    """
    brake = replace(TWO, gauge=replace(TWO.gauge, finger_height_mm=high))
    plan = HAT
    bends = order(plan, brake)
    assert "flange" in [s.stop.on for s in bends.on_brake]
    found, text = problems(tmp_path / "a.pdf", plan, bends, brake)
    assert found == ()
    assert re.findall(r"A flange at a stop: bend it within ([\d.]+)° first\.", text) == (
        [within] if within else []
    )
    lie = () if within else ("A flange at a stop: bend it within 1.0° first.",)
    monkeypatch.setattr(words, "lean_words", lambda *_: lie)
    found, _ = problems(tmp_path / "a.pdf", plan, bends, brake)
    assert any("how near to its angle a flange is" in p for p in found)
    for wrong in ("0.8", "0.0"):
        said = (f"A flange at a stop: bend it within {wrong}° first.",)
        monkeypatch.setattr(words, "lean_words", lambda *_, said=said: said)
        assert any("flange" in p for p in problems(tmp_path / "a.pdf", plan, bends, brake)[0])


def test_a_step_is_seen_from_the_end_where_less_stands_before_the_bend(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A flange hangs beside one end of the bend: which end of the machine that is, is the other way round with the
    other flange at the gauge.
    """
    plan = replace(flagged(5.0, both=False), name="top_hat")
    steps = [step for step in last(plan, "r", TWO) if isinstance(step, Step)]
    for step in steps:
        # what limits the die on the right stands there
        assert bool(step.die_reach.right) != bool(step.die_reach.left)
        assert from_the_left(plan, step) is bool(step.die_reach.right)
    assert {from_the_left(plan, step) for step in steps} == {True, False}
    bends = order(plan, TWO)
    index = next(i for i, s in enumerate(bends.steps) if s.bend == "r")
    for step in steps:
        there = swapped(bends, index, step)
        left = from_the_left(plan, step)
        found, text = problems(tmp_path / "a.pdf", plan, there)
        assert found == ()
        assert ("PICTURE FROM THE LEFT END." in text) is left
        for rooms, said in (
            ((words,), f"picture is not seen from the {'right' if left else 'left'} end"),
            ((on_brake,), f"picture is not seen from the {'left' if left else 'right'} end"),
            ((words, on_brake), f"seen from the {'right' if left else 'left'} end, where"),
        ):
            with monkeypatch.context() as patch:
                for room in rooms:
                    patch.setattr(room, "from_the_left", lambda p, s, left=left: left != (s.bend == "r"))
                wrong = problems(tmp_path / "b.pdf", plan, there)[0]
                assert any(said in p for p in wrong), (said, wrong)


def test_what_hangs_at_both_ends_is_seen_from_the_right() -> None:
    for step in last(flagged(5.0), "r", TWO):
        assert isinstance(step, Step)
        assert not from_the_left(flagged(5.0), step)
