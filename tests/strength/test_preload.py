"""Torque and bearing by closed forms, against published torque tables."""

from __future__ import annotations

import math

import pytest

from generators.standards import default_class, fastener, stress_area
from generators.strength.preload import (
    NUT_FACTOR_SLIPPERY,
    bearing_area_mm2,
    preload_n,
    pressed_mm,
    torque_nm,
)

INCH_POUND_NM = 0.1129848290276167
FOOT_POUND_NM = 12 * INCH_POUND_NM

# Dry, clamp load 75 % of proof load as ISO 898-1 has it, class 8.8; two public transcriptions agree (R2+).
METRIC = {
    "M5": 54 * INCH_POUND_NM,
    "M6": 92 * INCH_POUND_NM,
    "M8": 225 * INCH_POUND_NM,
    "M10": 37 * FOOT_POUND_NM,
    "M12": 65 * FOOT_POUND_NM,
    "M14": 104 * FOOT_POUND_NM,
    "M16": 161 * FOOT_POUND_NM,
}
# SAE J429 grade 5, dry, K 0.20, clamp 75 % of proof: clamp lbf and torque lbf ft, one hardware dealer's table (R2).
INCH = {
    "1/4": (2_027, 8.4),
    "5/16": (3_341, 17.4),
    "3/8": (4_941, 30.9),
    "7/16": (6_777, 49.4),
    "1/2": (9_046, 75.4),
}


def load(thread: str) -> float:
    """Preload of the default class, N."""
    kind = default_class(thread)
    assert kind is not None
    return preload_n(kind.proof_mpa, stress_area(fastener(thread).designation).area_mm2)


@pytest.mark.parametrize("thread", METRIC)
def test_metric_torques_are_the_tables(thread: str) -> None:
    assert torque_nm(load(thread), fastener(thread).major_mm) == pytest.approx(METRIC[thread], rel=0.02)


@pytest.mark.parametrize("thread", INCH)
def test_inch_torques_are_the_tables(thread: str) -> None:
    clamp, torque = INCH[thread]
    assert load(thread) / 4.4482216152605 == pytest.approx(clamp, rel=0.001)
    assert torque_nm(load(thread), fastener(thread).major_mm) == pytest.approx(
        torque * FOOT_POUND_NM, rel=0.01
    )


def test_lubricated_threads_take_three_quarters() -> None:
    """The same metric table: M8 lubed 169 in-lb beside 225 dry."""
    wet = torque_nm(load("M8"), 8.0, NUT_FACTOR_SLIPPERY)
    assert wet == pytest.approx(169 * INCH_POUND_NM, rel=0.01)


def test_a_torque_by_hand() -> None:
    """M8 8.8: 0.75 x 580 MPa x 36.6 mm2 = 15 921 N; 0.2 x 8 mm x 15 921 N = 25.47 N m."""
    assert load("M8") == pytest.approx(15_921)
    assert torque_nm(15_921, 8.0) == pytest.approx(25.4736)


def test_a_washer_presses_no_wider_than_it_is() -> None:
    # M8: face 11.63 and 1.6 mm of washer give 14.19; the wide washer of 2 mm gives 14.83 of its 24 mm
    assert pressed_mm(11.63, 1.6, 16.0) == pytest.approx(14.19)
    assert pressed_mm(11.63, 2.0, 24.0) == pytest.approx(14.83)
    assert pressed_mm(11.63, 5.0, 16.0) == 16.0


def test_bearing_area_by_hand() -> None:
    assert bearing_area_mm2(14.0, 9.0) == pytest.approx(math.pi / 4 * (14.0**2 - 9.0**2))
    # a slot takes its width for every mm of travel, until it leaves the circle
    assert bearing_area_mm2(14.0, 9.0, 2.0) == pytest.approx(math.pi / 4 * 115.0 - 18.0)
    assert bearing_area_mm2(14.0, 9.0, 50.0) == pytest.approx(math.pi / 4 * 115.0 - 45.0)
    assert bearing_area_mm2(9.0, 9.0) == 0.0
