"""The brake pedal: pressures, balance bar, travel, bores."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from pedal_samples import FRAME, FRONT, REAR, brake_pedal

from generators.errors import GeometryFault
from generators.hydraulics.brake import INSPECTION_N, solve_brake
from generators.hydraulics.linkage import PedalFrame, motion
from generators.model.spec.brakes import Brake, BrakeCircuit
from generators.model.spec.hydraulics import Fluid, Targets
from generators.sheets.pedal.pages import circuit_rows

GOOD = solve_brake(brake_pedal(), FRAME)
# Rod along the axis and square to the pin near mid-travel: 6:1 where it counts.
SIX = PedalFrame(
    pivot=(3000.0, 0.0, 50.0),
    out=(1.0, 0.0, 0.0),
    up=(0.0, 0.0, 1.0),
    seat=(0.0, 0.0, 0.0),
    axis=(-1.0, 0.0, 0.0),
)


def test_500_newton_at_six_to_one_on_19_05() -> None:
    # By hand: 500 N × 6 / (π/4 · 19.05²) = 3000 / 285.02 = 10.525 MPa. No fluid taken: the pin stands square from the start.
    one = BrakeCircuit(bore_mm=19.05, stroke_mm=30.0, dead_stroke_mm=0.0, volume_mm3=0.0)
    pedal = brake_pedal(
        front=one, rear=None, pin=(0.0, -50.0), pad=(0.0, -300.0), line=(), fluid=Fluid(bulk_modulus_mpa=1e12)
    )
    result = solve_brake(replace(pedal, rod_play_mm=0.05), SIX)
    assert result.ratio == pytest.approx(6.0, rel=1e-5)
    assert result.circuits[0].pressure_mpa == pytest.approx(10.525, abs=0.0006)
    assert result.rear_mpa is None


def test_the_bar_splits_force_and_work() -> None:
    front, rear = GOOD.circuits
    assert (front.share, rear.share) == pytest.approx((0.55, 0.45))
    assert front.force_n + rear.force_n == pytest.approx(GOOD.rod_force_n, rel=1e-12)
    assert front.pressure_mpa == pytest.approx(0.55 * GOOD.rod_force_n / (math.pi / 4 * 19.05**2), rel=1e-12)
    # Virtual work at the bar: its middle moves by the shares of the two pistons.
    turn = GOOD.at_effort_mm / GOOD.linkage.pad_radius_mm
    rod = float(motion(GOOD.linkage, np.array([turn])).piston_mm[0])
    assert rod == pytest.approx(0.55 * front.piston_mm + 0.45 * rear.piston_mm, rel=1e-9)


def test_the_target_effort_is_met() -> None:
    assert GOOD.effort_n[-1] == pytest.approx(500.0, rel=1e-9)
    assert GOOD.rod_force_n == pytest.approx(500.0 * GOOD.ratio, rel=1e-9)
    assert bool((np.diff(GOOD.effort_n) > 0).all())
    assert bool((np.diff(GOOD.pad_mm) >= 0).all())
    assert GOOD.front_mpa[-1] == GOOD.circuits[0].pressure_mpa
    assert GOOD.rear_mpa is not None
    # equal shares of force over area: the ratio of pressures is fixed by bar and bores
    assert GOOD.rear_mpa[1:] / GOOD.front_mpa[1:] == pytest.approx(
        np.full(200, 0.45 / 0.55 * (19.05 / 20.6375) ** 2), rel=1e-12
    )


def test_piston_travel_by_hand() -> None:
    rear = GOOD.circuits[1]
    area = math.pi / 4 * 20.6375**2
    p = rear.pressure_mpa
    swollen = 450 / 304.8 * 330 * p / (1000 * 4.4482216152605 / 25.4**2)
    fluid = area * 28 + 2500 + math.pi / 4 * 3.175**2 * 450
    assert rear.piston_mm == pytest.approx(1.5 + (2500 + swollen + fluid * p / 1500) / area, rel=1e-12)
    assert rear.margin_mm == pytest.approx(28.0 - rear.piston_mm)


def test_needed_effort_and_bore_for_the_pressure_wanted() -> None:
    front = GOOD.circuits[0]
    assert front.needed_effort_n is not None
    assert front.wanted_bore_mm is not None
    again = solve_brake(brake_pedal(targets=Targets(effort_n=front.needed_effort_n)), FRAME)
    assert again.circuits[0].pressure_mpa == pytest.approx(5.0, rel=1e-9)
    assert front.force_n / (math.pi / 4 * front.wanted_bore_mm**2) == pytest.approx(5.0, rel=1e-12)
    assert front.standard_bore == "3/4 in"
    assert GOOD.circuits[1].wanted_bore_mm is None


def test_travel_at_fifty_pounds() -> None:
    assert pytest.approx(50 * 4.4482216152605, rel=1e-8) == INSPECTION_N
    light = solve_brake(brake_pedal(targets=Targets(effort_n=INSPECTION_N)), FRAME)
    assert GOOD.inspection_share == pytest.approx(light.travel_share, rel=1e-9)
    assert GOOD.inspection_share < GOOD.travel_share < 1


def test_brakes_that_take_more_than_the_pedal_can_give() -> None:
    greedy = solve_brake(
        brake_pedal(front=replace(FRONT, volume_mm3=30_000.0, stroke_mm=120.0), rear=None), FRAME
    )
    assert math.isinf(greedy.at_effort_mm)
    assert math.isinf(greedy.travel_share)


def test_a_rod_that_bottoms_a_brake_master() -> None:
    with pytest.raises(GeometryFault, match="bottoms the front master") as caught:
        solve_brake(brake_pedal(rod_length_mm=150.0), FRAME)
    assert caught.value.parameter == "rod_length"


def test_one_circuit_takes_all_lines_and_force() -> None:
    one = solve_brake(replace(brake_pedal(), brake=Brake(front=FRONT, front_share=0.3)), FRAME)
    assert one.circuits[0].share == 1.0
    assert len(one.circuits) == 1
    assert REAR.bore_mm != one.circuits[0].bore_mm


def test_a_reservoir_holds_the_wear_and_one_full_stroke() -> None:
    # By hand: the master swept from end to end, π/4 · 19.05² · 28, and 14 cm³ that follow the pads.
    unsaid = replace(REAR, wear_mm3=None, reservoir_mm3=None)
    worn = solve_brake(
        brake_pedal(front=replace(FRONT, wear_mm3=14_000.0, reservoir_mm3=40_000.0), rear=unsaid), FRAME
    )
    front, rear = worn.circuits
    assert front.wear_mm3 == 14_000.0
    assert front.reservoir_mm3 == 40_000.0
    assert front.reservoir_needed_mm3 == pytest.approx(14_000.0 + math.pi / 4 * 19.05**2 * 28.0, rel=1e-12)
    # nothing said of the rear: no wear, its own bore and stroke
    assert rear.reservoir_needed_mm3 == pytest.approx(math.pi / 4 * 20.6375**2 * 28.0, rel=1e-12)
    assert rear.reservoir_mm3 is None
    # 14 and 7.98 cm³; of the rear 9.366 cm³, and no word that so much is enough
    rows = {row[0]: row[1:] for row in circuit_rows(worn.circuits)}
    assert rows["reservoir needed"] == ("22.0 cc", "9.4 cc, and the wear")


def test_fluid_taken_is_the_stroke_after_the_port_closes() -> None:
    front = GOOD.circuits[0]
    # By hand: volume = area · (stroke - dead stroke of 1.5 mm)
    assert front.volume_mm3 == pytest.approx(math.pi / 4 * 19.05**2 * (front.piston_mm - 1.5), rel=1e-12)


def test_a_long_rod_starts_where_it_holds_the_piston() -> None:
    # Rod of 3003 mm over a gap of 3000: the piston is held 3 mm in at rest, past the dead stroke of 1 mm, so
    # only the bracket gives under the foot. Square pin, 6:1: rod force F = 3000 N / cos t, give k F with
    # k = 1e-3 mm/N, pin 50 sin t: sin t cos t = 0.06, t = asin(0.12) / 2, pad 300 t = 18.04 mm. The rod leans
    # by less than 0.1 mm in 3 m. By hand.
    one = BrakeCircuit(bore_mm=19.05, stroke_mm=30.0, dead_stroke_mm=1.0, volume_mm3=0.0)
    pedal = brake_pedal(
        front=one, rear=None, pin=(0.0, -50.0), pad=(0.0, -300.0), line=(), fluid=Fluid(bulk_modulus_mpa=1e12)
    )
    held = replace(pedal, rod_length_mm=3003.0, bracket_flex_mm_per_n=1e-3)
    result = solve_brake(held, SIX)
    assert result.rod_play_mm == pytest.approx(-3.0, abs=1e-9)
    assert result.pad_mm[0] == pytest.approx(0.0, abs=1e-6)
    assert result.at_effort_mm == pytest.approx(300.0 * math.asin(0.12) / 2, rel=1e-3)
