"""A floor that is the stop: what of it is right, what a stop bolt has, and how much is left beside a stop."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from pedal_jobs import FRAME, TENTH_MM, WINDOW, clutch, clutch_pedal, stopped

from generators.hydraulics.linkage import FloorFound
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.hydraulics.result import ClutchResult, solve_clutch
from generators.model.changes import Change
from generators.model.findings import Finding, Severity
from generators.model.spec.hydraulics import Targets
from generators.sheets.pedal.words import bought_stop, floor_sentence, stop_to_set, stop_words, verdict

PATIENT = Targets(travel_mm=400.0)
EARLY, LATE = WINDOW.earliest_mm, min(x.pad_mm for x in WINDOW.limits if x.key != "floor")
"""Where the sample pedal releases with its margin, and where its first part runs out: its floor is further."""


def floored(covered: float, bare: float, *, wall: bool = False) -> tuple[ClutchResult, list[Finding]]:
    pedal = clutch_pedal(stop="floor", travel_mm=None, targets=PATIENT)
    floor = FloorFound(
        travel_mm=covered,
        bare_mm=bare,
        what="toe board",
        where="somewhere",
        by="pad",
        covering_mm=12.0,
        wall=wall,
    )
    frame = replace(FRAME, floor=floor)
    return solve_clutch(pedal, frame), clutch(pedal, frame)


def sheet(result: ClutchResult) -> PedalSheet:
    pedal = clutch_pedal(stop="floor", travel_mm=None, targets=PATIENT)
    return PedalSheet(spec=pedal, clutch=result)


def test_a_bare_floor_too_late_is_told_with_the_bolt_that_is_right() -> None:
    covered = EARLY + 0.6 * (LATE - EARLY)
    result, found = floored(covered, LATE + 2.0)
    middle = (EARLY + covered) / 2
    assert stop_to_set(result.window) == pytest.approx(middle)
    said = verdict(sheet(result))
    assert f"STOPS TOO LATE at {LATE + 2:.1f} mm, the bare floor" in said
    assert f"covering whole at {covered:.1f} mm is in the window" in said
    assert (
        f"fit a stop bolt at {middle:.1f} mm of pad travel (right from {EARLY:.1f} mm to {covered:.1f} mm)"
        in said
    )
    assert "no stop is right" not in said
    (told,) = (f for f in found if f.severity is Severity.FAIL)
    assert f"fit a stop bolt between {EARLY:.1f} and {covered:.1f} mm" in told.advice
    (step,) = told.proposals[0].steps
    assert isinstance(step, Change)
    assert step.path.endswith(".stop")
    assert step.to == pytest.approx(middle)
    # a bolt put there is let pass, and asked to be nowhere else
    frame = replace(
        FRAME, floor=FloorFound(travel_mm=covered, bare_mm=LATE + 2.0, what="toe board", by="pad")
    )
    pedal = clutch_pedal(stop=middle, travel_mm=None, targets=PATIENT)
    assert clutch(pedal, frame) == []
    assert solve_clutch(pedal, frame).window.recommended_mm == pytest.approx(middle)


def test_a_covering_just_early_enough_makes_no_stop_of_a_bare_floor_too_late() -> None:
    """The one stop that is right is where the covering is met: a bolt has to hold it there, the floor does not."""
    result, _ = floored(EARLY, LATE + 2.0)
    assert stop_to_set(result.window) == result.window.stop_mm == pytest.approx(EARLY)
    assert not result.window.floor_stops
    assert stop_words(result.window).startswith(f"fit a stop bolt at {EARLY:.1f} mm of pad travel")
    assert bought_stop(sheet(result)) == pytest.approx(EARLY)


@pytest.mark.parametrize(("off", "right"), [(0.009, True), (0.011, False)])
def test_a_stop_is_right_as_near_as_it_is_read(off: float, right: bool) -> None:
    for covered, bare in ((EARLY - off, LATE - 1.0), (EARLY + 1.0, LATE + off)):
        assert floored(covered, bare)[0].window.floor_stops == right


def test_what_is_bought_is_said_to_be_bought() -> None:
    _, found = floored(EARLY + 0.6 * (LATE - EARLY), LATE + 2.0)
    (told,) = (f for f in found if f.severity is Severity.FAIL)
    cylinders = ("master.", "slave.")
    bought = [
        p.words
        for p in told.proposals
        if any(isinstance(s, Change) and any(c in s.path for c in cylinders) for s in p.steps)
    ]
    assert bought
    assert all(words.startswith("buy ") for words in bought)


def test_a_floor_before_every_stop_that_is_right_has_no_bolt() -> None:
    result, found = floored(EARLY - 1.0, EARLY + 10.0)
    assert stop_to_set(result.window) is None
    assert stop_words(result.window) == "no stop is right"
    (told,) = found
    assert told.code == "pedal-no-release"
    assert told.proposals == ()
    assert "thin its covering" in told.advice


@pytest.mark.parametrize(("beside", "told"), [(-0.01, True), (0.01, False)])
def test_a_tenth_of_the_window_is_left_on_either_side(beside: float, told: bool) -> None:
    for stop in (EARLY + TENTH_MM + beside, LATE - TENTH_MM - beside):
        found = stopped(stop)
        assert [f.code for f in found] == (["stop-margin"] if told else [])
        for f in found:
            assert f.severity is Severity.WARN
            assert f.value == pytest.approx(TENTH_MM + beside)
            assert any(re.search(r"set the stop of pedal .* at", p.words) for p in f.proposals)


def test_what_is_kept_already_is_said() -> None:
    (found,) = stopped(EARLY + 0.1)
    assert "released with its margin of 0.50 mm at the bearing" in found.found


def test_a_carpet_just_past_the_release_warns_and_its_bare_floor_counts_for_the_rest() -> None:
    room = LATE - EARLY
    (found,) = floored(EARLY + 0.01 * room, LATE - 0.5 * room)[1]
    assert found.code == "stop-margin"
    assert found.found.startswith("the floor with its covering at ")
    assert "no stop bolt has more" in found.advice
    (found,) = floored(EARLY + 0.5 * room, LATE - 0.01 * room)[1]
    assert found.found.startswith("the bare floor at ")


def test_a_wall_that_is_met_is_no_floor() -> None:
    result, found = floored(EARLY + 0.6 * (LATE - EARLY), LATE + 2.0, wall=True)
    assert "no floor is in the spec" in floor_sentence(result.linkage)
    (told,) = (f for f in found if f.severity is Severity.FAIL)
    assert told.found.startswith("the bare toe board, as no floor is in the spec,")
