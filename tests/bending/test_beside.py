"""Flanges that hang beside a bend: how long the die may be, and that it carries the bend from end to end."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bent_parts import ONE, flagged, last

from generators.bending.steps import Refusal, Step


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
