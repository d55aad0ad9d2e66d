"""A pedal's arm: bars by hand calculation, the rule's edge, and a job whose arm is too weak."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from strength.hanger_specs import HANGER, write

from generators.checks.pedal.arm import JudgedArm, check_arm
from generators.errors import SpecError
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.parts import KINDS
from generators.reading import read_job
from generators.solve.job import prepare
from generators.strength.arm import Section, arm_stress

ACROSS = np.array([0.0, 1.0, 0.0])
FLAT = Section(width_mm=25.0, thickness_mm=8.0)
DOWN = [np.zeros(3), np.array([0.0, 0.0, -200.0])]


def test_a_straight_flat_arm_is_bent_most_at_its_pin():
    """100 N 140 mm below the pin: 14 000 N mm over 8 · 25² / 6 = 833.3 mm³ is 16.8 MPa."""
    got = arm_stress(DOWN, ACROSS, np.array([0.0, 0.0, -60.0]), DOWN[1], np.array([-100.0, 0, 0]), FLAT)
    assert got.stress_mpa == pytest.approx(16.8)
    assert got.from_pivot_mm == pytest.approx(60.0)
    assert got.bending_nmm == pytest.approx(14_000.0)


def test_with_its_pin_on_a_lug_the_pivot_takes_the_whole_lever():
    got = arm_stress(DOWN, ACROSS, None, DOWN[1], np.array([-100.0, 0, 0]), FLAT)
    assert got.stress_mpa == pytest.approx(100 * 200 / (8 * 25**2 / 6))
    assert got.from_pivot_mm == 0.0


def test_a_round_arm_with_its_pad_aside_is_bent_and_twisted():
    """A crank: M = F a, T = F e, and the textbook's sqrt(M² + 0.75 T²) over π d³ / 32."""
    d, force, a, e = 16.0, 300.0, 200.0, 50.0
    line = [np.zeros(3), np.array([0.0, 0.0, -a]), np.array([0.0, e, -a])]
    got = arm_stress(line, ACROSS, None, line[-1], np.array([-force, 0, 0]), Section(diameter_mm=d))
    # the same force bends the arm's plane too: about its own length, that is torsion alone
    wanted = math.sqrt((force * a) ** 2 + 0.75 * (force * e) ** 2) / (math.pi * d**3 / 32)
    assert got.stress_mpa == pytest.approx(wanted)
    assert got.torsion_nmm == pytest.approx(force * e)


def test_a_foot_that_pushes_aside_bends_the_thin_way_up_to_the_shaft():
    """60 N 200 mm from the shaft: 12 000 N mm over 25 · 8² / 6."""
    got = arm_stress(DOWN, ACROSS, np.array([0.0, 0.0, -60.0]), DOWN[1], 60 * ACROSS, FLAT)
    assert got.stress_mpa == pytest.approx(12_000 / (25 * 64 / 6))
    assert got.from_pivot_mm == 0.0


@pytest.mark.parametrize(
    ("b", "t", "beta"), [(10, 10, 0.208), (20, 10, 0.246), (40, 10, 0.282), (100, 10, 0.313)]
)
def test_torsion_of_a_rectangle_is_saint_venants(b, t, beta):
    """Wt = β b t²; Timoshenko, Strength of Materials I, table of rectangular bars (from memory)."""
    assert Section(width_mm=b, thickness_mm=t).torsion_mm3 == pytest.approx(beta * b * t * t, rel=0.05)


@pytest.mark.parametrize(
    ("kind", "stress", "severity"),
    [
        ("limit", 234.9, None),
        ("limit", 235.1, Severity.FAIL),
        ("normal", 156.6, None),
        ("normal", 156.7, Severity.FAIL),
        ("structure", 235.1, Severity.WARN),
    ],
)
def test_the_rule_fires_just_past_yield(kind, stress, severity):
    """S235: 235 MPa at the limit load, 235 / 1.5 = 156.67 MPa every day."""
    case = JudgedArm(kind=kind, what="w", stress_mpa=stress, from_pivot_mm=0.0)
    found = [*check_arm("clutch", "S235 steel", 235.0, "arm_width", [case], Limits())]
    assert [f.severity for f in found] == ([] if severity is None else [severity])


# A clutch's limit load is 130 lbf = 578.27 N, square to the line from pivot to pad, sqrt(60² + 330²) = 335.41 mm
# long: 14 CFR 27.397(a)(1). A pin at (11, -60) lies on the arm (11 / 60 and 60 / 330 are 0.18), sqrt(11² + 60²) =
# 61.00 mm from the pivot, so the lever is 274.41 mm; one at (50, -60) is on a lug, and the lever is the whole arm.
# W = 20 w² / 6 for a bar 20 mm thick; S235 yields at 235 MPa (EN 10025-2). Everyday effort of 180 N times its factor
# of 1.5 is less, and so is a foot from the side on a bar that thick.
@pytest.mark.parametrize(("pin", "lever"), [("11 mm", 335.41 - 61.00), ("50 mm", 335.41)])
@pytest.mark.parametrize("strong", [True, False])
def test_a_job_whose_arm_is_too_weak_by_hand(tmp_path: Path, pin: str, lever: float, strong: bool) -> None:
    modulus = 578.27 * lever / 235 * (1.002 if strong else 0.998)
    arm = (
        f'arm_width = "{math.sqrt(6 * modulus / 20):.4f} mm"\narm_thickness = "20 mm"\npad_thickness = "1 mm"'
    )
    text = HANGER.replace('pin = ["14 mm"', f'{arm}\npin = ["{pin}"')
    found = [f for f in prepare(write(tmp_path, text)).findings if f.code == "pedal-arm-yield"]
    assert [f.severity for f in found] == ([] if strong else [Severity.FAIL])
    if found:
        assert found[0].value == pytest.approx(0.998, abs=5e-4)
        assert "578 N on the clutch pad" in found[0].found


@pytest.mark.parametrize("strong", [True, False])
def test_a_job_whose_pad_stands_aside_twists_its_arm_by_hand(tmp_path: Path, strong: bool) -> None:
    """The same lug and force on a round arm that leaves its plane 1 mm before the pad, to 150 mm aside: a crank,
    sqrt(M² + 0.75 T²) over π d³ / 32, M = 578.27 · 335.41, T = 578.27 · 150."""
    force, lever, aside = 578.27, 335.41, 150.0
    modulus = force * math.hypot(lever, math.sqrt(0.75) * aside) / 235 * (1.002 if strong else 0.998)
    arm = (
        f'arm_diameter = "{(32 * modulus / math.pi) ** (1 / 3):.4f} mm"\npad_thickness = "1 mm"\n'
        f'pad_side = "{aside} mm"\narm = [["59.821 mm", "-329.016 mm"]]'
    )
    text = HANGER.replace('pin = ["14 mm"', f'{arm}\npin = ["50 mm"')
    found = [f for f in prepare(write(tmp_path, text)).findings if f.code == "pedal-arm-yield"]
    assert [f.severity for f in found] == ([] if strong else [Severity.FAIL])


def _spec(tmp_path: Path, van: Path, arm: str) -> Path:
    text = van.read_text()
    start = text.index("arm_width")
    end = text.index("\n", text.index("arm_material"))
    path = tmp_path / "job.toml"
    path.write_text(text[:start] + arm + text[end:])
    (tmp_path / "shop.toml").write_text((van.parent / "shop.toml").read_text())
    return path


def test_an_unknown_material_is_refused(tmp_path, demo_spec):
    arm = 'arm_width = "25 mm"\narm_thickness = "8 mm"\narm_material = "S236 steel"'
    with pytest.raises(SpecError, match=r"arm_material.*S236 steel"):
        read_job(_spec(tmp_path, demo_spec, arm), {f.name: f.parameters for f in KINDS})
