"""Flanges that hang beside a bend: how long the die may be, and that it carries the bend from end to end."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bent_parts import ALLOWANCE, ONE, eared, flagged, last
from folded_parts import folded

from generators.bending.steps import Refusal, Step
from generators.drawing.bending.words import lines
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.bending.swinging import flat_beside


# Flanges hang 5 mm beside the ends of a bend of 100; 1 mm of air is wanted: 4 mm of die more at either end, 108.
@pytest.mark.parametrize(("die", "made"), [(108.0, True), (108.1, False)])
def test_a_die_goes_in_between_what_hangs_beside_it(die: float, made: bool) -> None:
    brake = replace(ONE, die=(replace(ONE.die[0], segments_mm=(die,)),))
    assert all(isinstance(step, Step) is made for step in last(flagged(5.0), "r", brake))


def test_a_step_says_how_long_its_die_may_be() -> None:
    for step in last(flagged(5.0), "r"):
        assert isinstance(step, Step)
        assert [step.die_reach.low, step.die_reach.high] == pytest.approx([-4.0, 104.0])
        assert {step.die_reach.left, step.die_reach.right} == {"front", "back"}


def test_what_hangs_at_one_end_limits_that_end_only() -> None:
    for step in last(flagged(5.0, both=False), "r"):
        assert isinstance(step, Step)
        assert sorted((step.die_reach.left, step.die_reach.right)) == ["", "front"]
        over = -step.die_reach.low if step.die_reach.left else step.die_reach.high - 105.0
        assert over == pytest.approx(4.0)


# 1 mm of air: what hangs nearer than that to an end keeps the die from under that end, the other end free or not
@pytest.mark.parametrize("both", [True, False])
@pytest.mark.parametrize(("gap", "made"), [(1.01, True), (0.99, False)])
def test_the_die_is_under_the_whole_bend(both: bool, gap: float, made: bool) -> None:
    exact = replace(ONE, die=(replace(ONE.die[0], segments_mm=(110.0 - 2 * gap if both else 110.0 - gap,)),))
    for step in last(flagged(gap, both), "r", exact):
        assert isinstance(step, Step) is made
        if isinstance(step, Refusal):
            assert "at the bend's end" in step.words


# A web goes on past the bend's middle beside it, still flat: as the web swings up it swings down through what of the
# die is there. It is 5 mm off, 1 mm of air is wanted: 4 mm of die past that end, as much as it likes at the other.
def test_flat_metal_beside_a_bend_swings_down_and_limits_the_die() -> None:
    for step, end in zip(last(eared(5.0, 40.0), "r"), (0, 1), strict=True):
        assert isinstance(step, Step)
        assert (step.die_reach.left, step.die_reach.right)[end] == "web"
        assert (-step.die_reach.low, step.die_reach.high - 100.0)[end] == pytest.approx(4.0)
        assert (step.die_reach.left, step.die_reach.right)[1 - end] == ""
        assert step.die_reach.swings == ("web",)


@pytest.mark.parametrize(("gap", "made"), [(1.01, True), (0.99, False)])
def test_it_keeps_the_die_from_under_an_end_as_what_hangs_does(gap: float, made: bool) -> None:
    assert all(isinstance(step, Step) is made for step in last(eared(gap, 40.0), "r"))


# An ear that stays inside the V meets nothing. At 90 the mould line of sheet 3, R 3 on a V 24 of 80 degrees with
# shoulders R 1.5 is 1.5 sqrt 2 - 1.5 - (12 + 1.5 tan 25) = -12.08; an ear that goes on s from there at 45 degrees has
# its upper corner at (s + 3)/sqrt 2 to the side and -12.08 + (3 - s)/sqrt 2. The wall there comes up from
# -12 / tan 40 = -14.30 by 1 in tan 40: they meet at s = 1.17. The mould line is (R + t) tan 45 = 6 from where the bend
# begins, the middle 3.37: the ear is 1.17 + 6 - 3.37 = 3.80 past it.
@pytest.mark.parametrize(("ear", "limited"), [(3.75, False), (3.85, True)])
def test_an_ear_shorter_than_the_v_is_deep_meets_nothing(ear: float, limited: bool) -> None:
    for step in last(eared(5.0, ear), "r"):
        assert isinstance(step, Step)
        assert bool(step.die_reach.left or step.die_reach.right) is limited


def test_the_sheet_gives_a_most_where_flat_metal_swings_down() -> None:
    plan = eared(5.0, 40.0)
    step = last(plan, "r")[1]
    said = " ".join(lines(step, None, plan, "metric")) if isinstance(step, Step) else ""
    assert "NO MORE THAN 4.0 mm PAST the bend's end where flange web swings down beside it" in said
    assert "or longer" not in said


# read back from the blank alone: 5 mm are free past that end
@pytest.mark.parametrize(
    ("said", "found"),
    [
        (None, True),
        (", NO MORE THAN 4.0 mm PAST the bend's end where flange web swings down beside it", False),
        (", NO MORE THAN 5.2 mm PAST the bend's end where flange web swings down beside it", True),
    ],
)
def test_the_reader_finds_flat_metal_the_die_would_meet(said: str | None, found: bool) -> None:
    plan = eared(5.0, 40.0)
    wrong = list(flat_beside("step 1", said, plan.bends[0], (), flat_pattern(plan), ONE.die[0], plan))
    assert bool(wrong) is found


# the folder's leaf and bed are as long as the machine: an ear is in their way whichever leg is clamped
@pytest.mark.parametrize(("ear", "made"), [(40.0, False), (-ALLOWANCE / 2, True)])
def test_the_folder_does_not_bend_beside_flat_metal(ear: float, made: bool) -> None:
    assert folded(eared(5.0, ear)).found is made
