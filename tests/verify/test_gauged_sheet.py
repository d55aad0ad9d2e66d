"""A setup sheet says where on an edge fingers stand, what lies past the stop, and which way a part slides off."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, channel, last, order
from stepped import bent, one_bend, stepped, with_gauge

from generators.bending.setting import machines_of, sequence_of, setting_of
from generators.bending.steps import Past, Reach, Sequence, Step
from generators.bending.tools import dies_of, punches_of
from generators.drawing.bending import machine_words
from generators.drawing.bending.gauge_words import slide_words
from generators.drawing.bending.sheet import write_setup_sheet
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop
from generators.model.spec.tools.press import BackGauge, Brake
from generators.sheetmetal.relief import relief_diameter
from generators.sheetmetal.relieving import relieved
from generators.solve.parts import sample_plan
from generators.units import UnitSystem
from generators.verify.pdf.bending.gauged import SLIDE
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf

PLAN, STEP = stepped(), bent(TWO)


def sheet(
    path: Path, bends: Sequence, plan: PartPlan = PLAN, units: UnitSystem = "metric", brake: Brake = TWO
) -> tuple[str, tuple[str, ...]]:
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    machines = replace(MACHINES, brake=brake)
    write_setup_sheet(plan, path, bends=bends, machines=machines, units=units, **named)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    tools = Tools(brake=brake, dies=brake.die, tensile_mpa=370.0, opening_mm=24.0)
    return text, read_setup_sheet(path, plan, tools=tools, rel="x", **named).problems


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_fingers_have_a_place_from_a_corner_and_what_passes_the_stop_is_said(
    units: UnitSystem, tmp_path: Path
) -> None:
    text, problems = sheet(tmp_path / "s.pdf", one_bend(STEP), units=units)
    assert problems == ()
    assert "nobody has told where they are" in text
    if units == "metric":
        # the blank's lower left corner is a, where the base reaches furthest back; its near edge ends at c
        assert re.search(r"Two fingers, 29\.0 mm apart at most, both 0\.0 to 49\.0 mm from [a-z]\.", text)
        assert "PAST THE STOP: base 90.0 mm, 1.0 mm beside the fingers." in text


def moved(**stop: Any) -> Step:
    return replace(STEP, stop=replace(STEP.stop, **stop))


def past(**more: Any) -> Step:
    (one,) = STEP.stop.past
    return moved(past=(replace(one, **more),))


WRONG = (
    (moved(past=()), "base lies 90.0 mm past the stop, and the sheet is silent"),
    (past(past_mm=60.0), "base is given 60.0 mm past the stop; folded it is 90.0 mm"),
    (past(beside_mm=12.0), "base is said to be 12.0 mm beside the fingers, it is 1.0 mm"),
    (past(at="over"), "base is said to be over the fingers, it is 1.0 mm beside them"),
    (
        moved(past=(*STEP.stop.past, Past(flange="wall", past_mm=9.0, at="beside", beside_mm=3.0))),
        "wall is said",
    ),
    (
        moved(low_x=STEP.stop.low_x + 10, high_x=STEP.stop.high_x + 10),
        "two fingers 29.0 apart do not both stand on 31.0 mm",
    ),
)


@pytest.mark.parametrize(("step", "found"), WRONG, ids=[w[1][:40] for w in WRONG])
def test_what_is_wrong_of_it_shows(step: Step, found: str, tmp_path: Path) -> None:
    assert found in " ".join(sheet(tmp_path / "s.pdf", one_bend(step))[1])


def test_a_beam_the_shop_has_told_of_stands_with_the_brake_and_is_kept_clear_of(tmp_path: Path) -> None:
    brake = with_gauge(BackGauge(beam_behind_mm=120.0, beam_top_mm=-15.0))
    text, problems = sheet(tmp_path / "s.pdf", one_bend(bent(brake)), brake=brake)
    assert problems == ()
    assert "beam 120 mm behind their faces, its top 15 mm under the die's." in text
    assert "nobody has told where they are" not in text
    # a step of another brake: there the sheet would lie in this one's beam
    near = with_gauge(BackGauge(beam_behind_mm=60.0))
    assert "base lies in the beam of the gauge" in " ".join(
        sheet(tmp_path / "n.pdf", one_bend(STEP), brake=near)[1]
    )


CHANNEL = replace(channel(80.0, 40.0), name="ch", title="Channel, invented")


def both(**more: Any) -> Sequence:
    """The channel's first bend, and its second with the web toward the gauge: against the first cheek's face."""
    first, second = order(CHANNEL, TWO).steps[0], last(CHANNEL, "l", TWO)[1]
    if first.bend != "r" or not isinstance(second, Step):
        raise TypeError("a channel is bent right first")
    return Sequence(found=True, steps=(first, replace(second, **more)))


def test_fingers_on_a_face_keep_off_its_radius(tmp_path: Path) -> None:
    bends = both()
    text, problems = sheet(tmp_path / "s.pdf", bends, CHANNEL)
    assert problems == ()
    assert "along the bend, touching it 6.0 mm or more above the die's top." in text
    low = both(stop=replace(bends.on_brake[1].stop, clear_mm=3.0))
    assert "is said to be flat from 3.0 on" in " ".join(sheet(tmp_path / "t.pdf", low, CHANNEL)[1])


@pytest.mark.parametrize(
    ("reach", "said"),
    [
        (Reach(), "slide it off to either side."),
        (
            Reach(left="tab"),
            "slide it off to your left, the punch out at its right end; flange tab closes the left",
        ),
        (
            Reach(right="tab"),
            "slide it off to your right, the punch out at its left end; flange tab closes the right",
        ),
    ],
)
def test_a_part_slides_off_by_the_end_nothing_stands_at(reach: Reach, said: str) -> None:
    words = slide_words(reach, "punch")
    assert said in words
    assert re.fullmatch(SLIDE, words)


def test_a_part_slid_over_what_stands_there_shows(tmp_path: Path) -> None:
    assert sheet(tmp_path / "s.pdf", both(slide=True), CHANNEL)[1] == ()
    # a cheek is as long as the bend: it stands at neither end more than at the other
    shut = both(slide=True, punch_reach=Reach(left="right", low=-5.0))
    assert "does not stand at the left end" in " ".join(sheet(tmp_path / "t.pdf", shut, CHANNEL)[1])


@pytest.mark.parametrize("kind", ["carried_hanger", "pedal_box"])
def test_a_round_past_the_stop_is_as_far_beside_the_fingers_as_its_rim_says(
    kind: str, tmp_path: Path
) -> None:
    """As these kinds come, a flange begins past the stop in the middle of its corner's round, which runs off steeply."""
    plan = sample_plan(kind)[0]
    plan = relieved(plan, relief_diameter(plan.thickness_mm))
    bends, _ = sequence_of(plan, Shop())
    setting, machines = setting_of(plan, Shop()), machines_of(plan, Shop())
    brake = replace(setting.brake, punch=punches_of(setting.brake))
    tools = Tools(
        brake=brake,
        dies=dies_of(setting.brake, setting.opening_mm, plan.thickness_mm),
        tensile_mpa=setting.tensile_mpa,
        folder=machines.folder,
        over_rad=setting.over_rad,
    )
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}

    def problems(bends: Sequence) -> tuple[str, ...]:
        write_setup_sheet(plan, tmp_path / "s.pdf", bends=bends, machines=machines, **named)
        return read_setup_sheet(tmp_path / "s.pdf", plan, tools=tools, rel="x", **named).problems

    assert problems(bends) == ()
    (index,) = (i for i, s in enumerate(bends.on_brake) if any(p.at == "beside" for p in s.stop.past))
    step = bends.on_brake[index]
    for by in (0.7, -0.7):
        past = tuple(replace(p, beside_mm=p.beside_mm + by) for p in step.stop.past)
        wrong = replace(step, stop=replace(step.stop, past=past))
        steps = (*bends.steps[:index], wrong, *bends.steps[index + 1 :])
        assert any("mm beside the fingers, it is" in p for p in problems(replace(bends, steps=steps)))


HANGS = replace(
    CHANNEL,
    name="zed",
    title="Zed, invented",
    bends=(replace(CHANNEL.bends[0], direction="down"), CHANNEL.bends[1]),
)


def test_fingers_on_a_face_that_hangs_keep_off_its_inside_radius(tmp_path: Path) -> None:
    """It hangs from a sheet 3 thick by R 3: flat from 3 below the die's top on."""
    hung = next(s for s in last(HANGS, "l", TWO) if isinstance(s, Step) and s.stop.below)
    first = next(s for s in order(HANGS, TWO).on_brake if s.bend == "r")
    bends = Sequence(found=True, steps=(first, hung))
    text, problems = sheet(tmp_path / "s.pdf", bends, HANGS)
    assert problems == ()
    assert "along the bend, touching it 3.0 mm or more below the die's top." in text
    # 3 mm of round and 5 mm of face to touch
    assert "; lower edge 8.0 mm to 30 mm below the die's top in step 2." in text
    for wrong in (2.5, 6.0):
        step = replace(hung, stop=replace(hung.stop, clear_mm=wrong))
        assert f"is said to be flat from {wrong} on" in " ".join(
            sheet(tmp_path / "t.pdf", replace(bends, steps=(first, step)), HANGS)[1]
        )


def test_how_low_fingers_go_is_said_by_shop_and_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What another brake must have, too: said as the shop has it and as the steps ask, or it is found out."""
    hung = next(s for s in last(HANGS, "l", TWO) if isinstance(s, Step) and s.stop.below)
    first = next(s for s in order(HANGS, TWO).on_brake if s.bend == "r")
    bends = Sequence(found=True, steps=(first, hung))
    for said, found in (
        ("", "by the steps in ['2']"),
        ("; lower edge 8.0 mm to 30 mm below the die's top in steps 1, 2", "by the steps in ['2']"),
        ("; lower edge 8.0 mm to 20 mm below the die's top in step 2", "by the shop 30"),
        ("; lower edge 5.0 mm to 30 mm below the die's top in step 2", "it is 8.0 mm"),
    ):
        monkeypatch.setattr(machine_words, "low_words", lambda *_, said=said: said)
        problems = sheet(tmp_path / "s.pdf", bends, HANGS)[1]
        assert any(found in p for p in problems), (said, problems)
