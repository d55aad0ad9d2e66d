"""Hydraulic identities in closed form, and worked examples published by others."""

from __future__ import annotations

import math

import numpy as np
import pytest

from generators.errors import GeometryFault
from generators.hydraulics.cylinders import bore_for, follower_travel, piston_area, pressure, slave_area
from generators.hydraulics.line import ATMOSPHERE_MPA, Compliance, compliance, compressed, energy, lost, swell
from generators.model.spec.hydraulics import Fluid, Line, Slave

IN = 25.4
LBF = 4.4482216152605
PSI = LBF / IN**2


@pytest.mark.parametrize(
    ("bore_in", "cubic_in", "cc", "slave_mm"),
    # closed form: V = π/4 d² s, slave stroke s (d1/d2)²
    [(0.750, 0.6185, 10.135, 26.13), (0.625, None, 7.038, 18.14)],
)
def test_master_of_1_4_in_stroke_into_seven_eighths(
    bore_in: float, cubic_in: float | None, cc: float, slave_mm: float
) -> None:
    master, slave = piston_area(bore_in * IN), piston_area(0.875 * IN)
    volume = master * 1.4 * IN
    assert volume / 1000 == pytest.approx(cc, abs=0.0006)
    if cubic_in is not None:
        assert volume / IN**3 == pytest.approx(cubic_in, abs=0.00005)
    assert follower_travel(1.4 * IN, master, slave) == pytest.approx(slave_mm, abs=0.006)
    assert follower_travel(1.4 * IN, master, slave) == pytest.approx(
        1.4 * IN * (bore_in / 0.875) ** 2, rel=1e-12
    )


def test_hundred_pounds_at_six_to_one() -> None:
    force = 100 * 6 * LBF
    assert force / LBF == pytest.approx(600)
    assert pressure(force, piston_area(0.75 * IN)) / PSI == pytest.approx(1358.1, abs=0.05)
    assert pressure(force, piston_area(0.75 * IN)) == pytest.approx(9.364, abs=0.0005)


def test_500_and_2000_newton_at_six_to_one() -> None:
    area = piston_area(19.05)
    assert pressure(500 * 6, area) == pytest.approx(10.525, abs=0.0006)
    assert pressure(2000 * 6, area) == pytest.approx(42.10, abs=0.005)


def test_three_quarters_to_seven_eighths_is_36_percent() -> None:
    assert piston_area(7 / 8 * IN) / piston_area(3 / 4 * IN) == pytest.approx(49 / 36, rel=1e-12)
    assert f"{49 / 36 - 1:.0%}" == "36%"


@pytest.mark.parametrize(("one", "two"), [(19.05, 22.225), (15.875, 25.4), (30.0, 12.0)])
def test_force_and_travel_multiply_to_nothing(one: float, two: float) -> None:
    a, b = piston_area(one), piston_area(two)
    gain = pressure(100.0, a) * b / 100.0
    assert gain == pytest.approx((two / one) ** 2, rel=1e-12)
    assert gain * follower_travel(10.0, a, b) / 10.0 == pytest.approx(1.0, rel=1e-12)


def test_published_brake_example() -> None:
    # OpenStax, University Physics Volume 1, 14.3, example "Pascal Puts on the Brakes": 100 N on the pedal,
    # 500 N on a pedal cylinder of 0.500 cm, wheel cylinders of 2.50 cm: 1.25 × 10⁴ N each.
    p = pressure(500.0, piston_area(5.0))
    assert p * piston_area(25.0) == pytest.approx(1.25e4, rel=1e-12)
    # OpenStax, College Physics, chapter 11, problem 24: the pressure in that system, 2.5 × 10⁷ Pa as solved
    # on collegephysicsanswers.com.
    assert p == pytest.approx(25.5, abs=0.05)


def test_published_hundredfold_example() -> None:
    # OpenStax, College Physics, chapter 11: a hydraulic system that makes the force 100 times as large has
    # areas of 100:1, diameters of 10:1, and moves 1/100 as far.
    small, large = piston_area(10.0), piston_area(100.0)
    assert large / small == pytest.approx(100.0)
    assert follower_travel(1.0, small, large) == pytest.approx(0.01)


def test_published_press_example() -> None:
    # hackmath.net problem 6327: 60 N on 24 mm; p = 132629.1192 Pa, and 18375 N under 420 mm.
    p = pressure(60.0, piston_area(24.0))
    assert p * 1e6 == pytest.approx(132629.1192, abs=5e-5)
    assert p * piston_area(420.0) == pytest.approx(18375.0, rel=1e-12)


def test_published_brake_worksheet() -> None:
    # cordonline.net, Michigan brake work example 21 (solved there): 125 lb on 1 sq in into 7 sq in and into
    # 0.75 sq in: 125 psi, 875 lb and 93.75 lb.
    p = pressure(125 * LBF, IN**2)
    assert p / PSI == pytest.approx(125.0, rel=1e-12)
    assert p * 7 * IN**2 / LBF == pytest.approx(875.0, rel=1e-12)
    assert p * 0.75 * IN**2 / LBF == pytest.approx(93.75, rel=1e-12)


def test_concentric_slave_is_the_ring() -> None:
    ring = slave_area(Slave(kind="concentric", bore_mm=50.0, inner_mm=40.0, stroke_mm=20.0))
    assert ring == pytest.approx(math.pi / 4 * (50**2 - 40**2), rel=1e-12)


def test_bore_for() -> None:
    assert pressure(1000.0, piston_area(bore_for(1000.0, 5.0))) == pytest.approx(5.0, rel=1e-12)


@pytest.mark.parametrize("bore", [0.0, -5.0])
def test_no_bore(bore: float) -> None:
    with pytest.raises(GeometryFault, match="a bore of"):
        piston_area(bore)


# ------------------------------------------------------------------------------------------ lines
def test_swell_of_a_table_hose() -> None:
    # One foot of low-expansion 1/8 in hose: 0.33 cc at 1000 psi, 0.42 cc at 1500 psi (FMVSS 106, from memory).
    c = compliance([Line(kind="hose", length_mm=304.8, bore_mm=3.175, expansion="low")], Fluid(), 0.0)
    at = swell(c, np.array([0.0, 500 * PSI, 1000 * PSI, 1250 * PSI, 1500 * PSI, 2000 * PSI]))
    assert at == pytest.approx([0.0, 165.0, 330.0, 375.0, 420.0, 510.0], rel=1e-9)


def test_swell_of_two_hoses_and_a_tube_adds_up() -> None:
    one = Line(kind="hose", length_mm=500.0, bore_mm=3.2, swell_mm2=2.0, swell_at_mpa=7.0)
    two = Line(kind="hose", length_mm=200.0, bore_mm=5.0, expansion="regular")
    tube = Line(kind="rigid", length_mm=1000.0, bore_mm=4.0)
    p = np.linspace(0, 15, 31)
    both = swell(compliance([one, two, tube], Fluid(), 0.0), p)
    apart = swell(compliance([one], Fluid(), 0.0), p) + swell(compliance([two], Fluid(), 0.0), p)
    assert both == pytest.approx(apart, rel=1e-12)
    assert both[14] > 1000.0  # 500 mm × 2 mm3/mm at 7 MPa, and the other on top
    assert compliance([tube], Fluid(), 0.0).swell[-1][1] == 0.0


def test_compressed_fluid_by_hand() -> None:
    # π/4 × 4² × 1000 = 12566 mm3 in the tube, 10000 in the cylinders, at 3 MPa of 1500: one in five hundred.
    c = compliance(
        [Line(kind="rigid", length_mm=1000.0, bore_mm=4.0)], Fluid(bulk_modulus_mpa=1500.0), 10_000.0
    )
    assert c.fluid_mm3 == pytest.approx(22566.37, abs=0.01)
    assert float(compressed(c, np.array(3.0))) == pytest.approx(22566.37 / 500, abs=0.001)


def test_air_by_the_gas_law() -> None:
    # At one atmosphere over the atmosphere the volume halves; p V stays.
    c = Compliance(swell=((0.0, 0.0), (1e4, 0.0)), fluid_mm3=0.0, bulk_modulus_mpa=1500.0, air_mm3=1000.0)
    assert float(lost(c, np.array(ATMOSPHERE_MPA))) == pytest.approx(500.0, rel=1e-12)
    left = 1000.0 - float(lost(c, np.array(3.0)))
    assert left * (3.0 + ATMOSPHERE_MPA) == pytest.approx(1000.0 * ATMOSPHERE_MPA, rel=1e-9)


def test_stored_energy_is_the_area_under_the_curve() -> None:
    hose = Line(kind="hose", length_mm=600.0, bore_mm=3.175, expansion="regular")
    c = compliance([hose], Fluid(air_mm3=800.0), 12_000.0)
    p = np.linspace(0.0, 12.0, 200_001)
    volume = lost(c, p)
    area = float(np.sum((p[1:] + p[:-1]) / 2 * np.diff(volume)))
    assert energy(c, 12.0) == pytest.approx(area, rel=1e-7)
