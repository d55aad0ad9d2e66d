"""One brake circuit lost, and the largest force that may come on the pad; by hand and by rule book."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from pedal_samples import FRAME, FRONT, REAR, brake_pedal

from generators.errors import GeometryFault
from generators.hydraulics.brake import BrakeResult, solve_brake
from generators.hydraulics.linkage import PedalFrame
from generators.model.spec.brakes import Brake
from generators.model.spec.hydraulics import Fluid, Targets
from generators.standards import foot_force_rows, largest_foot_force, standard_bores

# A rod 3 m long and square to the pin at rest, 300 mm to the pad and 50 to the pin: the pin has gone
# 50 sin t where the pad has gone 300 t, and by virtual work the rod has 6 F / cos t. Nothing swells.
SIX = PedalFrame(
    pivot=(3000.0, 0.0, 50.0),
    out=(1.0, 0.0, 0.0),
    up=(0.0, 0.0, 1.0),
    seat=(0.0, 0.0, 0.0),
    axis=(-1.0, 0.0, 0.0),
)
REAR_MM2 = math.pi / 4 * 20.6375**2
PLAY = 0.05


def six(**brake: Any) -> BrakeResult:
    pedal = brake_pedal(pin=(0.0, -50.0), pad=(0.0, -300.0), line=(), fluid=Fluid(bulk_modulus_mpa=1e12))
    share = Brake(front=FRONT, rear=REAR, front_share=0.55, **brake)
    return solve_brake(replace(pedal, rod_play_mm=PLAY, brake=share), SIX, "M1")


def test_a_lost_front_circuit_by_hand() -> None:
    front, _ = six().lost
    assert (front.lost, front.left, front.held, front.share) == ("front", "rear", False, pytest.approx(0.45))
    # the front master at its stroke's end, 28; the rear takes 1.5 and 2500 mm3; the bar's middle between them
    rear = 1.5 + 2500.0 / REAR_MM2
    t = math.asin((0.55 * 28.0 + 0.45 * rear + PLAY) / 50.0)
    assert front.pad_mm == pytest.approx(300.0 * t, rel=1e-3)  # the rod leans by 1/1000 of its length
    assert front.left_mpa == pytest.approx(0.45 * 6 * 500.0 / math.cos(t) / REAR_MM2, rel=1e-3)
    assert front.swing_mm == pytest.approx(28.0 - rear, rel=1e-6)
    assert front.swing_rad is None


def test_a_bar_held_by_its_bound_gives_all_to_the_circuit_left() -> None:
    front, _ = six(bar_swing_mm=10.0, bar_span_mm=60.0).lost
    rear = 1.5 + 2500.0 / REAR_MM2
    t = math.asin((rear + 0.55 * 10.0 + PLAY) / 50.0)
    assert (front.held, front.share, front.swing_mm) == (True, 1.0, 10.0)
    assert front.pad_mm == pytest.approx(300.0 * t, rel=1e-3)
    assert front.left_mpa == pytest.approx(6 * 500.0 / math.cos(t) / REAR_MM2, rel=1e-3)
    assert front.swing_rad == pytest.approx(math.asin(10.0 / 60.0))


def test_a_bound_past_the_stroke_changes_nothing() -> None:
    assert six(bar_swing_mm=100.0).lost == six().lost


def test_one_circuit_has_none_to_lose() -> None:
    one = solve_brake(replace(brake_pedal(), brake=Brake(front=FRONT)), FRAME)
    assert one.lost == ()


def test_the_largest_force_by_rule_book() -> None:
    # UN R13 annex 4, 2.2.3: 500 N in category M1, 700 N in the others; FMVSS 105 S5.1: 150 lbf, 667 N.
    assert largest_foot_force("M1").force_n == 500.0
    assert [largest_foot_force(c).force_n for c in ("", "N1", "M3", "other")] == [700.0] * 4
    pounds = next(row for row in foot_force_rows() if "105" in row.source)
    assert pounds.force_n == pytest.approx(150 * 4.4482216152605)
    assert {row.deceleration for row in foot_force_rows()} == {2.9, 2.2, None}


@pytest.mark.parametrize(
    ("category", "effort", "most"),
    [("M1", 450.0, 500.0), ("", 450.0, 700.0), ("M1", 200.0, 500.0), ("M1", 900.0, 900.0)],
)
def test_pressure_at_the_largest_force_does_not_ask_what_is_comfortable(
    category: str, effort: float, most: float
) -> None:
    result = solve_brake(brake_pedal(targets=Targets(effort_n=effort)), FRAME, category)
    assert result.most_n == most
    # the pressure that a pedal aimed at that force has
    there = solve_brake(brake_pedal(targets=Targets(effort_n=most)), FRAME, category)
    for circuit, aimed in zip(result.circuits, there.circuits, strict=True):
        assert circuit.most_mpa == pytest.approx(aimed.pressure_mpa, rel=1e-12)


@pytest.mark.parametrize(("category", "force"), [("M1", 500.0), ("N1", 700.0), ("", 700.0)])
def test_pressure_at_the_largest_force_by_hand(category: str, force: float) -> None:
    """UN R13 annex 4, 2.2.3: 500 N in M1, else 700 N, whatever is comfortable; nothing swells, so pistons stand still."""
    share = Brake(front=FRONT, rear=REAR, front_share=0.55)
    pedal = brake_pedal(pin=(0.0, -50.0), pad=(0.0, -300.0), line=(), fluid=Fluid(bulk_modulus_mpa=1e12))
    light = replace(pedal, rod_play_mm=PLAY, brake=share, targets=Targets(effort_n=200.0))
    # each piston 1.5 mm to its port, then what its brakes take: 3000 and 2500 mm3
    front_mm2 = math.pi / 4 * 19.05**2
    middle = 0.55 * (1.5 + 3000.0 / front_mm2) + 0.45 * (1.5 + 2500.0 / REAR_MM2)
    rod = 6 * force / math.cos(math.asin((middle + PLAY) / 50.0))
    front, rear = solve_brake(light, SIX, category).circuits
    assert front.most_mpa == pytest.approx(0.55 * rod / front_mm2, rel=1e-3)
    assert rear.most_mpa == pytest.approx(0.45 * rod / REAR_MM2, rel=1e-3)


@pytest.mark.parametrize("wanted", [3.0, 4.2, 5.0, 6.5])
def test_the_bore_suggested_gives_the_pressure_when_taken(wanted: float) -> None:
    front = solve_brake(brake_pedal(front=replace(FRONT, pressure_mpa=wanted)), FRAME).circuits[0]
    row = next(b for b in standard_bores("master") if b.label == front.standard_bore)
    taken = brake_pedal(front=replace(FRONT, pressure_mpa=wanted, bore_mm=row.bore_mm))
    assert solve_brake(taken, FRAME).circuits[0].pressure_mpa >= wanted
    # and the next larger common one does not
    larger = min(b.bore_mm for b in standard_bores("master") if b.bore_mm > row.bore_mm + 0.02)
    short = brake_pedal(front=replace(FRONT, pressure_mpa=wanted, bore_mm=larger))
    assert solve_brake(short, FRAME).circuits[0].pressure_mpa < wanted


def test_no_bore_is_suggested_that_bottoms() -> None:
    asked = brake_pedal(front=replace(FRONT, pressure_mpa=40.0))
    assert solve_brake(asked, FRAME).circuits[0].standard_bore == ""


@pytest.mark.parametrize(
    ("keys", "at"),
    [
        ({"rear": REAR, "tandem": True}, "tandem"),
        ({"rear": REAR, "axles": "one"}, "axles"),
        ({"rear": REAR, "single_circuit": "built so"}, "single_circuit"),
        ({"bar_span_mm": 60.0}, "bar_span"),
        ({"bar_swing_mm": 6.0}, "bar_swing"),
    ],
)
def test_words_that_do_not_go_with_the_masters(keys: dict[str, Any], at: str) -> None:
    with pytest.raises(GeometryFault) as caught:
        Brake(front=FRONT, **keys)
    assert caught.value.parameter == at
