"""Pedal rules: severities, values in the finding, and one sentence of advice that mends it."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from pedal_jobs import (
    FRAME,
    GOOD,
    HOSE,
    PEDAL_CASES,
    SHORT_SLAVE,
    WINDOW,
    brake,
    brake_pedal,
    clutch,
    clutch_pedal,
    limit_pad,
    stopped,
)
from pedal_samples import FRONT, REAR

from generators.checks.pedal import brakes, hydraulics, linings, travel
from generators.checks.pedal.ratios import opened
from generators.checks.register import RULES
from generators.hydraulics.result import solve_clutch
from generators.model.changes import Change
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.spec.hydraulics import Pedal, Targets


def only(findings: list[Finding]) -> Finding:
    assert len(findings) == 1, findings
    return findings[0]


def test_every_pedal_rule_is_registered_and_has_a_case() -> None:
    pedal_rules = {*travel.RULES, *hydraulics.RULES, *brakes.RULES, *linings.RULES}
    assert {rule.code for rule in pedal_rules} == set(PEDAL_CASES)
    assert pedal_rules <= set(RULES)


@pytest.mark.parametrize("code", PEDAL_CASES)
def test_only_that_rule_fires(code: str) -> None:
    bad, good = (case() for case in PEDAL_CASES[code])
    assert {f.code for f in bad} == {code}
    assert code not in {f.code for f in good}


def test_good_pedals_are_silent() -> None:
    assert clutch(clutch_pedal()) == []
    assert brake(brake_pedal()) == []


def test_release_just_missed_warns_and_not_at_all_fails() -> None:
    assert only(stopped(WINDOW.releases_mm + 0.01)).severity is Severity.WARN
    found = only(stopped(WINDOW.releases_mm - 0.01))
    assert found.severity is Severity.FAIL
    assert found.code == "pedal-no-release"
    assert found.advice == f"set the stop at {WINDOW.recommended_mm:.1f} mm of pad travel"


def test_following_the_advice_of_a_wrong_stop_mends_it() -> None:
    advice = only(stopped(WINDOW.latest_mm + 2)).advice
    stop = float(re.findall(r"[0-9.]+", advice)[0])
    assert stopped(stop) == []


def test_an_empty_window_names_the_change_and_the_change_opens_it() -> None:
    pedal = clutch_pedal(master_bore_mm=15.875)
    result = solve_clutch(pedal, FRAME)
    found = only(clutch(pedal))
    assert found.code == "stop-window-empty"
    assert found.severity is Severity.FAIL
    assert found.wanted == "the pad meets the floor at 170.0 mm"
    assert found.advice.startswith("take a 11/16 in master: the pedal may then stop from 1")
    assert {change.key for change in result.openers} >= {"master.bore", "slave.bore", "pin"}
    assert clutch(clutch_pedal(master_bore_mm=25.4 * 11 / 16), limits=Limits())[0].code == "pedal-travel"


def test_a_window_no_single_change_opens() -> None:
    # More release than the fingers allow: no bore, ratio or floor helps.
    found = only(clutch(clutch_pedal(clutch_over_travel_mm=7.0)))
    assert found.code == "stop-window-empty"
    assert found.advice.startswith("no single change")
    assert found.wanted.startswith("the release fingers over-travel at ")


def test_rod_angle_severities_follow_the_limits() -> None:
    low = replace(FRAME, seat=(-8.0, 0.0, -5.0))
    angle = solve_clutch(clutch_pedal(), low).peak_rod_angle_rad
    warned = only(clutch(clutch_pedal(), low))
    assert (warned.code, warned.severity) == ("rod-angle", Severity.WARN)
    failed = clutch(clutch_pedal(), low, Limits(rod_angle_fail_rad=angle - 1e-6))
    assert only(failed).severity is Severity.FAIL
    assert clutch(clutch_pedal(), low, Limits(rod_angle_rad=angle + 1e-6)) == []


def test_a_long_rod_fails_and_a_short_one_warns_with_the_right_length() -> None:
    long = only(clutch(clutch_pedal(rod_length_mm=GOOD.rod_length_mm + 3)))
    assert (long.code, long.severity) == ("rod-length", Severity.FAIL)
    assert long.advice == f"shorten the rod by 3.00 mm to {GOOD.rod_length_mm:.2f} mm"
    patient = Targets(travel_mm=200.0)
    short = only(clutch(clutch_pedal(rod_length_mm=GOOD.rod_length_mm - 1.2, targets=patient)))
    assert (short.code, short.severity) == ("rod-length", Severity.WARN)
    assert short.advice == f"lengthen the rod by 1.20 mm to {GOOD.rod_length_mm:.2f} mm"


def test_effort_over_the_published_ceiling_fails() -> None:
    # 14 CFR 27.397(a)(1): 130 lbf = 578.27 N on a foot control.
    scale = 578.2686 / GOOD.peak_effort_n
    pedal = clutch_pedal(clutch_load_n=1500.0 * scale * 1.03, line=(), bracket_flex_mm_per_n=0.0)
    found = [f for f in clutch(pedal) if f.code == "pedal-effort"]
    assert only(found).severity is Severity.FAIL
    assert "14 CFR 27.397(a)(1)" in found[0].source
    lighter = clutch_pedal(clutch_load_n=1500.0 * scale * 0.97, line=(), bracket_flex_mm_per_n=0.0)
    assert only([f for f in clutch(lighter) if f.code == "pedal-effort"]).severity is Severity.WARN


def test_a_reservoir_below_the_wear_fails() -> None:
    assert only(clutch(clutch_pedal(master_reservoir_mm3=GOOD.wear_mm3 - 1))).severity is Severity.FAIL
    assert only(clutch(clutch_pedal(master_reservoir_mm3=GOOD.wear_mm3 + 1))).severity is Severity.WARN


def test_the_weakest_piece_is_named() -> None:
    pedal = clutch_pedal(line=(replace(HOSE, rating_mpa=2.0),), slave_rating_mpa=7.0)
    found = only(clutch(pedal))
    assert found.code == "line-pressure"
    assert found.wanted == "2 MPa, the hose 1"


def test_brake_rules_name_the_circuit() -> None:
    short = brake(brake_pedal(rear=replace(REAR, stroke_mm=9.0)))
    assert {(f.code, f.where) for f in short} == {("master-bottoms", "pedal:brake rear")}
    weak = brake(brake_pedal(front=replace(FRONT, rating_mpa=4.0)))
    assert {(f.code, f.where) for f in weak} == {("line-pressure", "pedal:brake front")}
    dry = brake(brake_pedal(front=replace(FRONT, reservoir_mm3=5000.0, wear_mm3=6000.0)))
    assert [(f.code, f.severity) for f in dry] == [("reservoir-volume", Severity.FAIL)]


def test_a_brake_that_needs_too_much_effort() -> None:
    heavy = only(brake(brake_pedal(front=replace(FRONT, pressure_mpa=6.0))))
    assert (heavy.code, heavy.severity) == ("pedal-effort", Severity.WARN)
    assert only(brake(brake_pedal(front=replace(FRONT, pressure_mpa=8.0)))).severity is Severity.FAIL


def test_a_brake_that_meets_the_floor_or_nearly() -> None:
    # 49 CFR 570.55(c): at 50 lbf no more than 80 % of the travel.
    # so low a floor leaves no brake when a circuit is lost either, which is another rule's to say
    def travelled(pedal: Pedal) -> Finding:
        return only([f for f in brake(pedal) if f.code != "circuit-lost"])

    near = travelled(brake_pedal(travel_mm=80.0))
    assert (near.code, near.severity, near.wanted) == ("pedal-travel", Severity.WARN, "80%")
    floor = only(brake(brake_pedal(travel_mm=60.0)))
    assert (floor.code, floor.severity) == ("pedal-travel", Severity.FAIL)
    far = only(brake(brake_pedal(targets=Targets(travel_mm=60.0))))
    assert (far.code, far.severity) == ("pedal-travel", Severity.WARN)


def test_a_release_beyond_the_linkage_is_said_in_words() -> None:
    # A slave so large that the linkage comes to its dead point first.
    found = [f for f in clutch(clutch_pedal(slave_bore_mm=70.0)) if f.code == "stop-window-empty"]
    assert only(found).found.startswith("never released with margin")


def test_a_stop_past_the_slave_names_the_stroke_that_lets_it_stay() -> None:
    """The stroke named is tried: with it the slave does not run out at that stop, with a millimetre less it does."""
    stop = limit_pad("slave", **SHORT_SLAVE) + 3.0
    found = next(f for f in stopped(stop, **SHORT_SLAVE) if f.code == "slave-runs-out")
    named = re.search(r"or take a slave with (\d+) mm of stroke", found.advice)
    assert named is not None
    stroke = float(named[1])
    for taken, runs_out in ((stroke, False), (stroke - 1.0, True)):
        codes = {f.code for f in stopped(stop, slave_stroke_mm=taken)}
        assert ("slave-runs-out" in codes) is runs_out


def test_another_ratio_opens_an_empty_window_and_needs_nothing_bought() -> None:
    pedal = clutch_pedal(master_bore_mm=15.875, hanger="h")
    beside = (replace(brake_pedal(), name="brake", hanger="h"),)
    first = opened(pedal, solve_clutch(pedal, FRAME), beside)[0]
    pins, (pivot,) = (
        [step for step in first.steps if isinstance(step, Change) and step.path.endswith(end)]
        for end in ("pin[1]", "pivot_up")
    )
    assert [step.path for step in pins] == ["pedal[clutch].pin[1]", "pedal[brake].pin[1]"]
    far = pins[0].by
    assert far is not None
    assert (pins[1].by, pivot.by) == (far, -far)  # each pin stays on its cylinder's line
    # typed in by hand: the pin lower on the arm, the pivot higher over the cylinder
    pin = (pedal.pin[0], pedal.pin[1] + far)
    up = tuple(c - far * u for c, u in zip(FRAME.pivot, FRAME.up, strict=True))
    mended = solve_clutch(replace(pedal, pin=pin), replace(FRAME, pivot=up))
    assert not mended.window.empty
    assert f"{math.hypot(*pedal.pad) / math.hypot(*pin):.2f}:1" in first.words
    # a longer pin radius asks for more force and less way: the law of the lever
    assert math.hypot(*pin) > math.hypot(*pedal.pin)


def test_a_pedal_measured_by_the_plumb_line_is_offered_no_other_ratio() -> None:
    # its pin stands in the spec along other axes than those it would be moved by
    pedal = clutch_pedal(master_bore_mm=15.875)
    found = opened(replace(pedal, measured="plumb"), solve_clutch(pedal, FRAME))
    assert found
    steps = [step for each in found for step in each.steps]
    assert not [step for step in steps if isinstance(step, Change) and "pin" in step.path]
