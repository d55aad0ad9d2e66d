"""Pedal, fluid and clutch together: hand calculations, energy, budget, window."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pedal_samples import FRAME, HOSE, SLAVE, clutch_pedal

from generators.errors import GeometryFault
from generators.hydraulics.budget import release_budget
from generators.hydraulics.clutch import clutch_setup, curves, pads_up_to, state_at
from generators.hydraulics.line import energy
from generators.hydraulics.linkage import build_linkage, motion
from generators.hydraulics.result import ClutchResult, solve_clutch
from generators.hydraulics.window import openers
from generators.model.spec.hydraulics import Clutch, Fluid, Line, Master, Pedal, Slave

STIFF = Fluid(bulk_modulus_mpa=1e15)
GOOD = solve_clutch(clutch_pedal(), FRAME)


def solved(**changes: Any) -> ClutchResult:
    return solve_clutch(clutch_pedal(**changes), FRAME)


def test_without_losses_the_bearing_follows_by_area_and_fork() -> None:
    result = solved(line=(), fluid=STIFF, bracket_flex_mm_per_n=0.0)
    line = result.curves
    gear = (19.05 / 22.225) ** 2 / 1.6
    expected = np.maximum(line.piston_mm - 1.5, 0.0) * gear
    assert line.bearing_mm == pytest.approx(expected, abs=1e-9)
    assert line.slave_mm == pytest.approx(1.6 * line.bearing_mm, rel=1e-12)
    assert line.release_mm == pytest.approx(np.maximum(expected - 1.5, 0.0), abs=1e-9)
    pressed = line.release_mm > 1e-6
    # 1500 N at the bearing, 937.5 N at the slave's 387.95 mm2: 2.4166 MPa; 688.8 N on the master's 285.02 mm2
    assert line.pressure_mpa[pressed] == pytest.approx(np.full(pressed.sum(), 937.5 / 387.949), rel=1e-5)
    force = line.effort_n[pressed] * line.ratio[pressed]
    assert force == pytest.approx(np.full(pressed.sum(), 688.776), abs=0.01)


def test_every_loss_by_hand() -> None:
    # Release 8 mm past 1.5 mm of free play under 1500 N, worked out piece by piece.
    slave, master = math.pi / 4 * 22.225**2, math.pi / 4 * 19.05**2
    p = 1500 / 1.6 / slave
    # 450 mm of hose at 0.33 cc/ft and 1000 psi, straight from nothing
    swollen = 450 / 304.8 * 330 * p / (1000 * 4.4482216152605 / 25.4**2)
    fluid = master * 35.56 + slave * 31.75 + math.pi / 4 * (3.175**2 * 450 + 3.2**2 * 1500)
    squeezed = fluid * p / 1500 + 200 * p / (p + 0.101325)
    stroke = 1.5 + (slave * 1.6 * 9.5 + swollen + squeezed) / master + 0.3e-3 * p * master
    link = GOOD.linkage
    turn = GOOD.window.earliest_mm / link.pad_radius_mm
    assert float(motion(link, np.array([turn])).piston_mm[0]) == pytest.approx(stroke, abs=1e-9)


def test_concentric_slave_needs_no_fork() -> None:
    ring = Slave(kind="concentric", bore_mm=50.0, inner_mm=40.0, stroke_mm=25.0)
    clutch = Clutch(free_play_mm=0.0, release_travel_mm=6.0, over_travel_mm=9.0, load_n=1200.0, wear_mm=3.0)
    result = solved(slave=ring, clutch=clutch, line=(), fluid=STIFF, bracket_flex_mm_per_n=0.0)
    area = math.pi / 4 * (50**2 - 40**2)
    assert result.peak_pressure_mpa == pytest.approx(1200 / area, rel=1e-12)
    assert result.curves.slave_mm == pytest.approx(result.curves.bearing_mm, rel=1e-12)
    # contact from the start: the load stands from the moment the port closes
    assert result.curves.release_mm == pytest.approx(result.curves.bearing_mm, rel=1e-12)


def test_the_load_that_sets_in_at_once_is_met_while_the_bearing_waits() -> None:
    # While the pressure rises the hose swells and the bearing stands at contact: both ends are on the curve.
    line = GOOD.curves
    waiting = np.flatnonzero(np.abs(line.bearing_mm - 1.5) < 1e-9)
    assert len(waiting) >= 2
    assert line.load_n[waiting[0]] == pytest.approx(0.0, abs=1e-6)
    assert line.load_n[waiting[-1]] == pytest.approx(1500.0, abs=1e-6)


def test_a_curve_is_followed() -> None:
    points = ((0.0, 300.0), (2.0, 1400.0), (5.0, 1650.0), (8.0, 1450.0), (11.0, 1350.0))
    result = solved(clutch_load_n=None, clutch_curve=points)
    line = result.curves
    pressed = line.release_mm > 1e-9
    xs, fs = zip(*points, strict=True)
    assert line.load_n[pressed] == pytest.approx(np.interp(line.release_mm[pressed], xs, fs), rel=1e-9)
    # the peak of the curve is a corner of the answer, not missed between samples
    assert result.peak_pressure_mpa == pytest.approx(1650 / 1.6 / (math.pi / 4 * 22.225**2), rel=1e-12)


def test_a_curve_that_begins_later_rises_to_its_start() -> None:
    result = solved(clutch_load_n=None, clutch_curve=((2.0, 1000.0), (9.0, 1200.0)))
    middle = np.interp(1.0, result.curves.release_mm, result.curves.load_n)
    assert float(middle) == pytest.approx(500.0, abs=2.0)
    # straight from nothing: 500 N per mm
    rising = (result.curves.release_mm > 1e-6) & (result.curves.release_mm < 2.0)
    assert rising.sum() > 3
    assert result.curves.load_n[rising] == pytest.approx(500.0 * result.curves.release_mm[rising], rel=1e-9)


def test_snapping_through_is_refused() -> None:
    with pytest.raises(GeometryFault, match="falls faster") as caught:
        solved(
            clutch_load_n=None,
            clutch_curve=((0.0, 0.0), (3.0, 9000.0), (3.01, 100.0)),
            line=(replace(HOSE, length_mm=3000.0),),
        )
    assert caught.value.parameter == "clutch.curve"


def _work(result: ClutchResult) -> tuple[float, float, float]:
    """Work of the foot, work at the bearing, energy stored, N·mm, from rest to the end."""
    setup = result.setup
    line = curves(setup, pads_up_to(setup, result.end_mm, 3001))

    def area(y: np.ndarray, x: np.ndarray) -> float:
        return float(np.sum((y[1:] + y[:-1]) / 2 * np.diff(x)))

    p = float(line.pressure_mpa[-1])
    flex = setup.flex_mm_per_n * (p * setup.master_mm2) ** 2 / 2
    return (
        area(line.effort_n, line.pad_mm),
        area(line.load_n, line.bearing_mm),
        energy(setup.compliance, p) + flex,
    )


def test_work_in_is_work_out_and_what_is_stored() -> None:
    foot, bearing, stored = _work(GOOD)
    assert stored > 0.02 * foot
    assert foot == pytest.approx(bearing + stored, rel=1e-6)


@st.composite
def pedals(draw: st.DrawFn) -> Pedal:
    lines = draw(
        st.lists(
            st.builds(
                Line,
                kind=st.sampled_from(["hose", "rigid"]),
                length_mm=st.floats(50, 1500),
                bore_mm=st.floats(2.5, 8),
                expansion=st.sampled_from(["regular", "low", "none"]),
            ),
            max_size=3,
        )
    )
    return clutch_pedal(
        line=tuple(lines),
        fluid=Fluid(bulk_modulus_mpa=draw(st.floats(800, 3000)), air_mm3=draw(st.floats(0, 2000))),
        bracket_flex_mm_per_n=draw(st.floats(0, 1e-3)),
        master_bore_mm=draw(st.floats(15, 26)),
        master_dead_stroke_mm=draw(st.floats(0, 3)),
        slave_bore_mm=draw(st.floats(18, 30)),
        clutch_fork_ratio=draw(st.floats(1, 2.5)),
        clutch_free_play_mm=draw(st.floats(0, 4)),
        clutch_load_n=draw(st.floats(300, 3000)),
        rod_length_mm=draw(st.floats(114, 120)),
        pin=(draw(st.floats(0, 25)), draw(st.floats(-70, -50))),
    )


@settings(max_examples=20, deadline=None)
@given(pedals())
def test_invariants_of_any_pedal(pedal: Pedal) -> None:
    result = solve_clutch(pedal, FRAME)
    line = result.curves
    for name in ("pad_mm", "piston_mm", "bearing_mm", "slave_mm", "pressure_mpa", "release_mm"):
        values = getattr(line, name)
        assert bool((np.diff(values) >= -1e-9).all()), name
        assert bool(np.isfinite(values).all()), name
    # budget: what goes in less what is lost is what comes out
    steps = [step.mm for step in result.budget]
    assert sum(steps[:-1]) == pytest.approx(steps[-1], abs=1e-9)
    assert all(mm <= 1e-12 for mm in steps[1:-1])
    assert steps[-1] == pytest.approx(result.at_stop.release_mm, abs=1e-9)
    # more of any compliance never releases more
    softer = solve_clutch(replace(pedal, bracket_flex_mm_per_n=pedal.bracket_flex_mm_per_n + 1e-4), FRAME)
    assert softer.window.earliest_mm >= result.window.earliest_mm
    foot, bearing, stored = _work(result)
    assert foot == pytest.approx(bearing + stored, rel=1e-4, abs=1.0)


@settings(max_examples=20, deadline=None)
@given(pedals(), st.floats(0, 30))
def test_the_state_solves_the_volume_balance(pedal: Pedal, piston: float) -> None:
    setup = clutch_setup(pedal, build_linkage(pedal, FRAME))
    bearing, load = (float(x) for x in state_at(setup, np.array(piston)))
    p = load / (setup.clutch.fork_ratio * setup.slave_mm2)
    given_mm3 = (
        max(piston - setup.closes_mm - setup.flex_mm_per_n * p * setup.master_mm2, 0.0) * setup.master_mm2
    )
    ps, vs = zip(*setup.compliance.swell, strict=True)
    taken = setup.slave_mm2 * setup.clutch.fork_ratio * bearing + float(np.interp(p, ps, vs))
    c = setup.compliance
    taken += c.fluid_mm3 * p / c.bulk_modulus_mpa + c.air_mm3 * p / (p + 0.101325)
    assert taken == pytest.approx(given_mm3, abs=1e-6)


# ------------------------------------------------------------------------------------------ budget
def test_budget_before_the_port_closes() -> None:
    steps = {step.key: step.mm for step in release_budget(GOOD.setup, 1.0)}
    gear = (19.05 / 22.225) ** 2 / 1.6
    assert steps["stroke"] == pytest.approx(1.5 * gear)
    assert steps["play"] == pytest.approx(-0.5 * gear)
    assert steps["dead"] == pytest.approx(-1.0 * gear)
    assert [steps[k] for k in ("free", "swell", "compressed", "flex", "release")] == pytest.approx([0.0] * 5)


def test_a_long_rod_eats_the_dead_stroke() -> None:
    long = solved(rod_length_mm=GOOD.rod_length_mm + 3.0)
    assert long.rod_play_mm == pytest.approx(-2.5, abs=0.001)
    steps = {step.key: step.mm for step in long.budget}
    assert steps["play"] == 0.0
    assert steps["dead"] == 0.0
    assert long.window.earliest_mm < GOOD.window.earliest_mm


# ------------------------------------------------------------------------------------------ window
def test_the_window_is_where_the_curves_say() -> None:
    w = GOOD.window
    at = curves(GOOD.setup, np.array([w.releases_mm, w.earliest_mm, w.latest_mm]))
    assert at.release_mm == pytest.approx([7.5, 8.0, 10.5], abs=1e-9)
    assert w.limits[0].key == "fingers"
    assert w.recommended_mm == pytest.approx((w.earliest_mm + w.latest_mm) / 2)
    assert w.limits[0].margin_mm == pytest.approx(w.latest_mm - w.stop_mm)
    assert not w.given


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"travel_mm": 150.0}, "floor"),
        ({"master_stroke_mm": 26.0}, "master"),
        ({"slave_stroke_mm": 21.0}, "slave"),
        ({"clutch_over_travel_mm": 9.0}, "fingers"),
    ],
)
def test_each_limit_can_be_the_first(changes: dict[str, float], key: str) -> None:
    result = solved(**changes)
    assert result.window.limits[0].key == key
    at = curves(result.setup, np.array([result.window.latest_mm]))
    reached = {
        "floor": (float(at.pad_mm[0]), 150.0),
        "master": (float(at.piston_mm[0]), 26.0),
        # 21 mm of stroke less 2.5 mm of wear at the bearing, 4 mm at the slave
        "slave": (float(at.slave_mm[0]), 17.0),
        "fingers": (float(at.release_mm[0]), 9.0),
    }[key]
    assert reached[0] == pytest.approx(reached[1], abs=1e-9)


def test_a_dead_stroke_near_the_whole_stroke_bottoms_before_it_pumps() -> None:
    result = solved(master=Master(bore_mm=19.05, stroke_mm=6.0, dead_stroke_mm=5.9))
    assert result.window.empty
    assert result.window.limits[0].key == "master"


def test_a_rod_that_bottoms_the_master_at_rest() -> None:
    with pytest.raises(GeometryFault, match="bottoms the master at rest") as caught:
        solved(rod_length_mm=160.0)
    assert caught.value.parameter == "rod_length"


def test_openers_open() -> None:
    pedal = clutch_pedal(master_bore_mm=15.875)
    found = openers(pedal, FRAME)
    assert [change.key for change in found] == ["master.bore", "slave.bore", "pin"]
    assert all(change.kept and change.earliest_mm <= change.latest_mm for change in found)
    mended = replace(pedal, slave=replace(SLAVE, bore_mm=13 / 16 * 25.4))
    again = solve_clutch(mended, FRAME).window
    assert found[1].text == "a 13/16 in slave"
    assert (again.earliest_mm, again.latest_mm) == (found[1].earliest_mm, found[1].latest_mm)


def test_a_longer_slave_is_offered_where_the_slave_runs_out() -> None:
    """By hand: fork ratio x (free play + release + margin + wear), up to a whole millimetre, opens the window."""
    pedal = clutch_pedal(slave_stroke_mm=10.0)
    clutch = pedal.clutch
    assert clutch is not None
    assert solve_clutch(pedal, FRAME).window.limits[0].key == "slave"
    travel = clutch.free_play_mm + clutch.release_travel_mm + clutch.release_margin_mm + clutch.wear_mm
    stroke = math.ceil(clutch.fork_ratio * travel)
    found = openers(pedal, FRAME)
    assert (found[0].key, found[0].text) == ("slave.stroke", f"a slave with {stroke} mm of stroke")
    assert pedal.slave is not None
    for taken, opened in ((stroke, True), (stroke - 1, False)):
        mended = replace(pedal, slave=replace(pedal.slave, stroke_mm=float(taken)))
        assert solve_clutch(mended, FRAME).window.empty is not opened


def test_the_floor_can_be_the_change() -> None:
    found = {c.key: c for c in openers(clutch_pedal(travel_mm=130.0), FRAME)}
    assert found["travel"].text == "135 mm of pad travel to the floor"


def test_no_single_change() -> None:
    assert openers(clutch_pedal(clutch_over_travel_mm=7.0), FRAME) == ()


def test_a_heavier_bore_releases_sooner_and_weighs_more() -> None:
    small, large = solved(), solved(master_bore_mm=22.225)
    assert large.window.earliest_mm < small.window.earliest_mm
    # +36 % of area is +36 % of effort at the same place of the linkage
    assert float(large.curves.effort_n[-1] * large.curves.ratio[-1]) == pytest.approx(
        float(small.curves.effort_n[-1] * small.curves.ratio[-1]) * 49 / 36, rel=1e-9
    )


def test_past_the_last_point_of_a_curve_its_load_goes_on() -> None:
    result = solved(clutch_load_n=None, clutch_curve=((0.0, 300.0), (2.0, 1400.0), (8.0, 1450.0)))
    past = result.curves.release_mm > 8.0
    assert past.sum() > 3
    assert result.curves.load_n[past] == pytest.approx(np.full(past.sum(), 1450.0), rel=1e-12)


@pytest.mark.parametrize(("lower", "proposed"), [(7.5, True), (8.0, False)])
def test_no_change_is_proposed_whose_rod_leans_by_more_than_five_degrees(
    lower: float, proposed: bool
) -> None:
    # Pin 62 - 60 cos t - 14 sin t above the axis of FRAME, here ``lower`` further; the rod spans 116.5 along the axis
    # at rest. Its greatest lean up to a stop of 163.5 mm of pad travel, by hand: 4.87 and 5.12 degrees.
    rod = math.hypot(116.5, 2.0 + lower)
    turns = [163.5 / math.hypot(60.0, 330.0) * k / 400 for k in range(401)]
    heights = [62.0 + lower - 60.0 * math.cos(t) - 14.0 * math.sin(t) for t in turns]
    lean = math.degrees(max(math.asin(abs(h) / rod) for h in heights))
    assert (lean < 5.0) is proposed
    assert lean == pytest.approx(5.0, abs=0.15)
    frame = replace(FRAME, seat=(-8.0, 0.0, -lower))
    found = openers(clutch_pedal(master_bore_mm=15.875), frame)
    assert ("a 11/16 in master" in {change.text for change in found}) is proposed
