"""Pedals on their way: against closed forms, and two of them against every combination of fine steps."""

from __future__ import annotations

import itertools
import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from generators.checks.space.pads import height_over
from generators.checks.space.swing import Moving, check_swing
from generators.geometry.frames import Matrix
from generators.model.findings import Severity
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.motion import SURE_MM, Motion, Mover, kept_apart, least_gap_both, swept_box
from generators.space.pieces import Box, Rod, carried, moved

sys.path.insert(0, str(Path(__file__).parents[1] / "checks"))

from pedal_space_jobs import END_RAD, block, footed, moving, shapes, swing

ARM_MM = 200.0


def about(axis: int, sense: float, pivot: tuple[float, float, float]):
    """A pose by its turn about an axis of the vehicle."""
    i, j = (axis + 1) % 3, (axis + 2) % 3

    def pose(turn: float) -> Matrix:
        out = np.eye(4)
        c, s = math.cos(turn), sense * math.sin(turn)
        out[i, i], out[i, j], out[j, i], out[j, j] = c, -s, s, c
        out[:3, 3] = np.array(pivot) - out[:3, :3] @ np.array(pivot)
        return out

    return pose


def swinging(name: str, piece, axis: int, sense: float, pivot, end: float) -> Mover:
    body = Body(name=name, title=name, what="pedal", owner=name, forms=(piece,))
    motion = Motion(pose=about(axis, sense, pivot), end_rad=end, speed_mm=carried([piece], pivot))
    return Mover(body=body, motion=motion)


def hanging(name: str, y: float, end: float, sense: float = -1.0) -> Mover:
    arm = Rod(start=(0, y, 0), end=(0, y, -ARM_MM), radius_mm=8.0, round_ends=True)
    return swinging(name, arm, 1, sense, (0.0, y, 0.0), end)


def test_pedals_side_by_side_stay_as_far_apart_as_they_hang() -> None:
    one, two = hanging("one", 0.0, 0.5), hanging("two", 25.0, 0.7)
    assert kept_apart(one, two) == pytest.approx(9.0)
    space = Space([one.body, two.body])
    assert least_gap_both(space, one, two, 8.9) is None
    met = least_gap_both(space, one, two, 9.1)
    assert met is not None
    assert met.gap.gap_mm == pytest.approx(9.0, abs=SURE_MM)


def test_two_that_cross_are_found_though_neither_meets_the_other_at_rest_or_at_its_end() -> None:
    """Reference: every combination of 60 × 60 places. One swings across the vehicle, one along it."""
    first = hanging("first", 0.0, 1.2)
    ball = Rod(start=(120, 90, -130), end=(120, 90, -130), radius_mm=10, round_ends=True)
    second = swinging("second", ball, 0, 1.0, (120.0, 0.0, 0.0), 1.5)
    assert kept_apart(first, second) == -math.inf or kept_apart(first, second) < 0
    space = Space([first.body, second.body])
    steps = [np.linspace(0, m.motion.end_rad, 60) for m in (first, second)]
    brute = math.inf
    for a, b in itertools.product(*steps):
        arm = moved(first.body.pieces[0], first.motion.pose(a))
        other = moved(ball, second.motion.pose(b))
        assert isinstance(arm, Rod)
        assert isinstance(other, Rod)
        line = np.array(arm.end) - np.array(arm.start)
        share = np.clip((np.array(other.start) - arm.start) @ line / (line @ line), 0, 1)
        brute = min(brute, float(np.linalg.norm(np.array(other.start) - arm.start - share * line)) - 18.0)
    met = least_gap_both(space, first, second, 500.0)
    assert met is not None
    assert met.gap.gap_mm <= brute + SURE_MM
    # between two of the 60 places a point goes no farther than this
    assert met.gap.gap_mm >= brute - sum(m.motion.speed_mm * m.motion.end_rad / 59 for m in (first, second))


def test_nothing_of_a_body_leaves_the_box_it_sweeps() -> None:
    mover = hanging("arm", 5.0, 1.3)
    low, high = swept_box(mover)
    for turn in np.linspace(0, 1.3, 200):
        box = moved(mover.body.pieces[0], mover.motion.pose(float(turn))).box
        assert (box[0] >= low - 1e-9).all()
        assert (box[1] <= high + 1e-9).all()


def test_what_stands_in_the_way_is_told_with_its_travel_and_place() -> None:
    """By hand: the pad's lower rear edge, 12 mm behind its face and 25 mm below, comes to a wall at x = 60."""
    radius, rest = math.hypot(60, 330), math.atan2(60, 330)
    edge, lean = math.hypot(radius + 25, 12), rest - math.atan2(12, radius + 25)
    wall = block("wall", (40, -100, -320), (60, 100, -260))
    turn = lean - math.asin((60 - 95) / edge)
    (finding,) = swing(wall)
    assert finding.severity is Severity.FAIL
    assert finding.where == "pedal:clutch and wall"
    assert "clutch pedal pad meets wall" in finding.found
    assert f"at {turn * radius:.0f} mm of pad travel" in finding.found


def test_a_gap_below_the_limit_warns_and_contact_fails() -> None:
    for gap, severity in ((3.0, Severity.WARN), (-1.0, Severity.FAIL)):
        (finding,) = swing(block("post", (-100, 37.5 + gap, -320), (300, 90, -200)))
        assert finding.severity is severity
    assert "3.0 mm" in swing(block("post", (-100, 40.5, -320), (300, 90, -200)))[0].found


def test_what_ends_the_travel_is_come_to_and_not_passed() -> None:
    """A bolt ahead of the pad's end in what ends the travel is no second finding; one beside the pad is.

    By hand: the pad's face ends at r (sin, -cos) of its turned angle from the pivot, 12 mm of pad before it.
    """
    radius, turned = math.hypot(60, 330), math.atan2(60, 330) - END_RAD
    front = 95 + radius * math.sin(turned) - 12 * math.cos(turned)
    low = 62 - radius * math.cos(turned)
    ahead = block("bracket", (front - 30, 10, low - 5), (front - 5, 20, low + 5), "bolt")
    beside = block("bracket", (-100, 40.5, -320), (300, 90, -200))
    pedal = moving(shapes())
    for thing in (ahead, beside):
        (found,) = check_swing([pedal], [thing], 6.0)
        assert found.value is not None
        assert 0 < found.value < 6
    assert list(check_swing([replace(pedal, floor="bracket")], [ahead], 6.0)) == []
    assert len(list(check_swing([replace(pedal, floor="bracket")], [beside], 6.0))) == 1


def test_two_pedals_have_one_finding_that_says_both_travels() -> None:
    pedals = [moving(shapes()), moving(shapes(40.0, name="brake"))]
    pads = {p.pedal: p.movers[1].body.name for p in pedals}
    apart = replace(pedals[0], apart={pads["clutch"]: frozenset({pads["brake"]})})
    # 40 mm apart the arms are clear, 32 mm; each arm is 1.5 mm inside the other's pad's width
    (finding,) = check_swing([apart, pedals[1]], [], 6.0)
    assert finding.severity is Severity.FAIL
    assert finding.where == "pedal:clutch and brake"
    assert "brake at" in finding.found
    wide = [apart, moving(shapes(48.0, name="brake"))]
    # the arm's side is 48 - 4 - 37.5 = 6.5 mm from the pad's
    assert list(check_swing(wide, [], 6.0)) == []


def test_a_sideways_pad_and_a_bent_arm_lie_where_the_spec_puts_them() -> None:
    """By hand: the arm keeps the pin's plane to its first bend, then goes straight to the pad's side."""
    pedal = shapes(pad_side_mm=40.0, arm=((30.0, -100.0),), pin_side_mm=5.0)
    points = [tuple(p) for p in pedal.line()]
    assert points[0] == pytest.approx((95, 5, 62))
    assert points[1] == pytest.approx((125, 5, -38))
    # 12 mm behind the face, square to the arc: forward and down of (60, -330)
    length = math.hypot(60, 330)
    assert points[2] == pytest.approx((155 - 12 * 330 / length, 45, -268 - 12 * 60 / length))
    (pad,) = pedal.pad().pieces
    assert isinstance(pad, Box)
    corners = [pad.pose[:3, :3] @ (np.array(s) * pad.half_mm) for s in itertools.product((-1, 1), repeat=3)]
    ys = [c[1] + pad.pose[1, 3] for c in corners]
    assert (min(ys), max(ys)) == pytest.approx((45 - 37.5, 45 + 37.5))
    turned = pedal.turned(END_RAD) @ np.array([*pad.pose[:3, 3], 1.0])
    # pressed, it goes forward and keeps its side
    assert turned[0] < pad.pose[0, 3]
    assert turned[1] == pytest.approx(45.0)


def test_a_pads_height_is_measured_straight_down_to_the_covering() -> None:
    foot = footed(shapes())
    slope = block("floor", (0, -100, -420), (400, 100, -400), "panel")
    found = height_over(foot.middle, [(slope, 12.0)])
    assert found is not None
    assert found[0] == pytest.approx(-268 + 400 - 12, abs=0.1)
    away = block("away", (600, -100, -420), (700, 100, -400), "panel")
    assert height_over(foot.middle, [(away, 0.0)]) is None


def test_the_floor_and_the_hanger_of_a_pedal_may_be_left_out() -> None:
    pedal = moving(shapes())
    wall = block("wall", (40, -100, -320), (60, 100, -260))
    names = frozenset({"wall"})
    free = Moving(
        pedal=pedal.pedal,
        movers=pedal.movers,
        apart={m.body.name: names for m in pedal.movers},
        through={},
    )
    assert list(check_swing([free], [wall], 6.0)) == []
