"""Hoses as they are ordered: the angle between two elbows by hand, and how far lengths may be out."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from selling.hose_paths import LEVEL, path

from generators.layout.spots import PlacedPort
from generators.model.hose_path import Arc, HosePath, Straight
from generators.model.hose_results import HoseLength
from generators.model.spec.fittings import HoseEnd
from generators.model.spec.lines import Hose
from generators.solve.comparing.numbers import Numbers, number_changes, numbers_of
from generators.solve.hoses.made_up import angle_tolerance_rad, between_elbows, usual_tolerance_mm
from generators.solve.job import Prepared
from generators.verify.pdf.kit.lists import angle_between

Point = tuple[float, float, float]


def seat(way: Point) -> PlacedPort:
    return PlacedPort(component="c", name="p", position=(0.0, 0.0, 0.0), direction=way, dash=4)


QUARTER = path(
    Straight(start=(0.0, 0.0, 0.0), end=(100.0, 0.0, 0.0)),
    Arc(centre=(100.0, 0.0, 50.0), axis=(0.0, -1.0, 0.0), start=(100.0, 0.0, 0.0), sweep_rad=math.pi / 2),
    Straight(start=(150.0, 0.0, 50.0), end=(150.0, 0.0, 150.0)),
)
"""Rearward, then by a quarter turn upward: what pointed down at its start points rearward at its end."""

# A port's way out is against the way its fitting's nut points. By hand, with the near nut down at six o'clock and
# the angle counter-clockwise as one looks along the hose from the near end (MIL-DTL-83796/5, figure 3).
CASES = [
    pytest.param(LEVEL, (0.0, 0.0, 1.0), (0.0, 0.0, 1.0), 0.0, id="both down"),
    pytest.param(LEVEL, (0.0, 0.0, 1.0), (0.0, 0.0, -1.0), 180.0, id="far one up"),
    # the nut points to the vehicle's left, -y, the right hand as one looks rearward: three o'clock
    pytest.param(LEVEL, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), 90.0, id="far one at three"),
    pytest.param(LEVEL, (0.0, 0.0, 1.0), (0.0, -1.0, 0.0), 270.0, id="far one at nine"),
    pytest.param(QUARTER, (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0), 0.0, id="carried round a bend"),
    pytest.param(QUARTER, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), 90.0, id="round a bend, at three"),
    # a 45 degree elbow leans along the hose: only what is across counts
    pytest.param(LEVEL, (-0.6, 0.0, 0.8), (0.6, 0.8, 0.0), 90.0, id="leaning ports"),
]


@pytest.mark.parametrize(("hose", "near", "far", "degrees"), CASES)
def test_the_angle_between_elbows_by_hand(hose: HosePath, near: Point, far: Point, degrees: float) -> None:
    found = math.degrees(between_elbows(hose, (seat(near), seat(far))))
    assert (found - degrees + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)
    # the reader goes another way: two reflections for each short step
    assert (angle_between(hose, (near, far)) - degrees + 180) % 360 - 180 == pytest.approx(0, abs=0.05)


def test_both_ways_agree_on_a_hose_that_leaves_its_plane() -> None:
    second = Arc(centre=(150.0, 40.0, 150.0), axis=(-1.0, 0.0, 0.0), start=(150.0, 0.0, 150.0), sweep_rad=1.1)
    arm = np.array([0.0, -40.0, 0.0])
    across = np.cross(np.array(second.axis), arm)
    assert across[2] > 0  # goes on the way the quarter ends
    twisted = path(*QUARTER.segments, second)
    ports = ((0.0, 0.6, 0.8), (1.0, 0.2, 0.1))
    mine = math.degrees(between_elbows(twisted, (seat(ports[0]), seat(ports[1]))))
    assert mine == pytest.approx(angle_between(twisted, ports), abs=0.05)


def test_lengths_may_be_out_as_far_as_the_trade_says() -> None:
    # 1/8 in up to 12 in: a trade page; 3/16 up to 18, 1/4 up to 36, 1 % above: SAE J517, from memory
    inch = 25.4
    for most, tolerance in ((12, 1 / 8), (18, 3 / 16), (36, 1 / 4)):
        assert usual_tolerance_mm(most * inch) == pytest.approx(tolerance * inch)
        assert usual_tolerance_mm(most * inch + 0.01) > tolerance * inch
    assert usual_tolerance_mm(1000) == pytest.approx(10)
    # 3 degrees up to 2 ft, 5 beyond: MIL-DTL-83796/5 figure 3 note 3
    assert math.degrees(angle_tolerance_rad(24 * inch)) == pytest.approx(3)
    assert math.degrees(angle_tolerance_rad(24 * inch + 0.01)) == pytest.approx(5)


def turned(way: Point, drop: float) -> Numbers:
    """The numbers of a job with one hose between two elbows, the far nut against ``way``."""
    end = HoseEnd(angle_rad=math.radians(90), drop_mm=drop, toward="up")
    spec = Hose(
        name="h", title="H", service="pressure", from_="a.b", to="c.d", dash=4, from_end=end, to_end=end
    )
    length = HoseLength(path_mm=300, made_up_mm=300, cut_mm=250, slack_ratio=0.04, spare_mm=9)
    hose = SimpleNamespace(spec=spec, path=LEVEL, length=length, measure_why="")
    ports = {"a.b": seat((0.0, 0.0, 1.0)), "c.d": seat(way)}
    lines = SimpleNamespace(hoses=(hose,), ports=ports)
    file = SimpleNamespace(job=SimpleNamespace(component=(), pedal=()))
    job = SimpleNamespace(layouts=(), parts=(), lines=lines, file=file, fasteners=())
    return numbers_of(cast("Prepared", job))


def test_a_hose_whose_elbows_alone_changed_is_another_hose() -> None:
    before = turned((0.0, 1.0, 0.0), 25.0)
    assert list(number_changes(before, before)) == []
    # by the cases above: three o'clock is 90 degrees, nine o'clock 270
    assert list(number_changes(before, turned((0.0, -1.0, 0.0), 25.0))) == [
        ("hose", "h", "between elbows was 90 deg, is 270 deg")
    ]
    (change,) = number_changes(before, turned((0.0, 1.0, 0.0), 30.0))
    assert (
        change[2]
        == "ends, drop in mm, was 90 deg, drop 25 and 90 deg, drop 25, is 90 deg, drop 30 and 90 deg, drop 30"
    )
    # kept by a version that did not write it down: not told as a change
    older = {**before, "hose": {"h": {k: v for k, v in before["hose"]["h"].items() if k == "cut"}}}
    assert list(number_changes(older, before)) == []
