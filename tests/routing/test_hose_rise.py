"""Heights, air traps, lengths to cut, supports and changes of plane, by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from routing_samples import any_run, run, three

from generators.model.hose_path import HosePath, HoseRun, Port3, Waypoint
from generators.routing.lengths import hose_length, path_limits, plane_changes, spans
from generators.routing.paths.chains import shortest_path
from generators.routing.paths.curves import sampled
from generators.routing.rise import reservoir_head, rise_profile

ALONG = (1.0, 0.0, 0.0)


def path_of(wanted: HoseRun) -> HosePath:
    path = shortest_path(wanted)
    assert path is not None
    return path


def level_clamp(name: str, x: float, z: float) -> Waypoint:
    return Waypoint(name=name, kind="clamp", position=(x, 0, z), axis=ALONG)


def test_rising_line_has_no_trap() -> None:
    path = path_of(run((0, 0, 0), (1, 0, 0), (500, 0, 300), (0, 0, 1)))
    profile = rise_profile([(path, False)])
    assert profile.traps == ()
    assert profile.points[0].height_mm == 0
    assert profile.points[-1].height_mm == pytest.approx(300)
    assert profile.length_mm == pytest.approx(path.length_mm)


def test_hump_is_named() -> None:
    """Over a clamp at 120 and through one at 40: a trap of 80 mm at the first, the low at the second."""
    via = (level_clamp("front", 300, 120), level_clamp("rear", 700, 40))
    path = path_of(run((0, 0, 0), ALONG, (1000, 0, 200), ALONG, via=via))
    (trap,) = rise_profile([(path, False)]).traps
    assert (trap.high.near, trap.low.near) == ("front", "rear")
    assert trap.high.height_mm == pytest.approx(120, abs=1e-6)
    assert trap.low.height_mm == pytest.approx(40, abs=1e-6)
    assert trap.mend_mm == pytest.approx(80, abs=1e-6)
    assert trap.high.station_mm == pytest.approx(path.supports[1].station_mm, abs=1e-5)
    assert not trap.at_start
    mended = path_of(
        run((0, 0, 0), ALONG, (1000, 0, 200), ALONG, via=(via[0], level_clamp("rear", 700, 120)))
    )
    assert rise_profile([(mended, False)]).traps == ()


def test_a_point_of_the_router_is_never_named() -> None:
    """The hump lies at a guide, which nobody but the router knows; the clamp next to it is named."""
    guide = Waypoint(name="guide 1", kind="guide", position=(300, 0, 120), axis=ALONG)
    via = (guide, level_clamp("rear", 700, 40))
    path = path_of(run((0, 0, 0), ALONG, (1000, 0, 200), ALONG, via=via))
    profile = rise_profile([(path, False)])
    (trap,) = profile.traps
    assert (trap.high.near, trap.low.near) == ("a", "rear")
    assert {point.near for point in profile.points} == {"a", "rear", "b"}


def test_top_of_a_loop() -> None:
    """Half a circle standing up: its top is r above ends at one height, where both ends point up."""
    path = path_of(run((0, 0, 0), (0, 0, 1), (150, 0, 0), (0, 0, -1)))
    (trap,) = rise_profile([(path, False)]).traps
    assert trap.high.height_mm == pytest.approx(75, abs=1e-9)
    assert trap.high.station_mm == pytest.approx(75 * math.pi / 2, abs=1e-6)
    assert trap.mend_mm == pytest.approx(75, abs=1e-9)


def test_lesser_hump_on_the_way_down_is_named_too() -> None:
    """Heights 0, 200, 100, 150, 60, 260: the 200 lacks 140, the 150 lacks 90."""
    heights = (0, 200, 100, 150, 60, 260)
    via = tuple(level_clamp(f"c{z}", 400.0 * (k + 1), z) for k, z in enumerate(heights[1:-1]))
    path = path_of(run((0, 0, 0), ALONG, (2000, 0, 260), ALONG, via=via))
    traps = rise_profile([(path, False)]).traps
    assert [(t.high.near, t.low.near) for t in traps] == [("c200", "c60"), ("c150", "c60")]
    assert [t.mend_mm for t in traps] == pytest.approx([140, 90], abs=1e-6)


def test_slave_and_reservoir_ends() -> None:
    """A line that only falls: its start is the high point, the low point its far end."""
    path = path_of(run((0, 0, 100), ALONG, (500, 0, 0), ALONG))
    (trap,) = rise_profile([(path, False)]).traps
    assert trap.at_start
    assert trap.low.near == "b"
    assert trap.mend_mm == pytest.approx(100, abs=1e-6)
    assert rise_profile([(path, True)]).traps == ()


def test_two_hoses_make_one_line() -> None:
    """The second is laid from its other end; stations go on, and the dip between the two is one trap."""
    first = path_of(run((0, 0, 0), ALONG, (500, 0, 150), ALONG, name="one"))
    second = path_of(
        run(
            (1500, 0, 300),
            (-1, 0, 0),
            (500, 0, 150),
            (-1, 0, 0),
            name="two",
            via=(level_clamp("dip", 900, 50),),
        )
    )
    profile = rise_profile([(first, False), (second, True)])
    (trap,) = profile.traps
    assert trap.low.hose == "two"
    assert trap.low.near == "dip"
    assert trap.mend_mm == pytest.approx(100, abs=1e-6)
    assert trap.low.station_mm == pytest.approx(first.length_mm + second.length_mm - trap.low.hose_station_mm)
    stations = [p.station_mm for p in profile.points]
    assert stations == pytest.approx(sorted(stations))


def test_small_drops_are_level() -> None:
    path = path_of(run((0, 0, 0), ALONG, (500, 0, -0.9), ALONG))
    assert rise_profile([(path, False)], level_mm=1.0).traps == ()
    assert len(rise_profile([(path, False)], level_mm=0.8).traps) == 1


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 2**31))
def test_against_dense_heights(seed: int) -> None:
    """The most the line falls before it is as high again, by brute force, is the deepest trap's mend."""
    path = path_of(any_run(np.random.default_rng(seed), supports=2, span=300))
    z = sampled(path, 0.5)[1][:, 2]
    top = np.maximum.accumulate(z)
    traps = rise_profile([(path, False)]).traps
    assert max((t.mend_mm for t in traps), default=0.0) == pytest.approx(float((top - z).max()), abs=0.01)
    for trap in traps:
        assert trap.high.height_mm - trap.low.height_mm == trap.mend_mm > 1.0


def test_reservoir_head() -> None:
    assert reservoir_head(300.0, {"master": 100.0, "slave": -200.0, "bulkhead": 180.0}) == ("bulkhead", 120.0)
    assert reservoir_head(150.0, {"bulkhead": 180.0})[1] == -30.0


def test_cut_length() -> None:
    """1000 mm path, 5 % slack, two fittings of 20: 1010 of hose, 1025 in steps of 25; made up 1065, 6.5 %.

    Under pressure it is 1025 × 0.96 + 40 = 1024, so 24 to spare (AC 43.13-1B fig 9-9: -4 %).
    """
    ends = (
        Port3(name="a", position=(0, 0, 0), direction=ALONG, cutoff_mm=20),
        Port3(name="b", position=(1000, 0, 0), direction=(-1, 0, 0), cutoff_mm=20),
    )
    wanted = HoseRun(name="h", start=ends[0], end=ends[1], bend_radius_mm=75, outside_dia_mm=12)
    found = hose_length(path_of(wanted), wanted, 25.0)
    assert (found.path_mm, found.cut_mm, found.made_up_mm) == (1000.0, 1025.0, 1065.0)
    assert found.slack_ratio == pytest.approx(0.065)
    assert found.spare_mm == pytest.approx(24.0)
    # a length that is a whole step already is not rounded up by rounding noise
    bare = run((0, 0, 0), ALONG, (1000, 0, 0), ALONG)
    assert hose_length(path_of(bare), bare, 10.0).cut_mm == 1050.0
    # 4 % slack is all taken by the pressure: 1040 × 0.96 = 998.4
    assert hose_length(path_of(bare), bare, 10.0, slack_ratio=0.04).spare_mm == pytest.approx(-1.6)
    # ends that move 60 mm apart: (1000 + 60) / 0.96 = 1104.2 mm of bare hose
    assert hose_length(path_of(bare), bare, 10.0, moves_mm=60.0).cut_mm == 1110.0
    assert hose_length(path_of(bare), bare, 10.0, moves_mm=0.0).cut_mm == 1050.0


def test_path_limits() -> None:
    """NAVEDTRA 14105 p 5-11: 5 to 8 %."""
    assert path_limits(1080.0) == pytest.approx((1000.0, 1080.0 / 1.05))


def test_spans_between_supports() -> None:
    """24 in is 609.6 mm (AC 43.13-1B 9-30d(3)); a guide holds nothing."""
    guide = Waypoint(name="g", kind="guide", position=(300, 0, 0), axis=ALONG)
    path = path_of(run((0, 0, 0), ALONG, (1000, 0, 0), ALONG, via=(guide, level_clamp("c", 620, 0))))
    found = spans(path)
    assert [(s.start, s.end) for s in found] == [("a", "c"), ("c", "b")]
    assert [s.length_mm for s in found] == pytest.approx([620, 380])
    assert [s.length_mm > 609.6 for s in found] == [True, False]


@pytest.mark.parametrize("twist_deg", [20.0, 70.0, 90.0])
def test_change_of_plane(twist_deg: float) -> None:
    """A quarter turn, a straight of 100, a quarter turn in a plane turned by the angle about the straight."""
    c, s = math.cos(math.radians(twist_deg)), math.sin(math.radians(twist_deg))
    toward = np.array([-c, 0.0, s])
    end = np.array([75.0, 75 + 100, 0]) + 75 * np.array([0, 1.0, 0]) + 75 * toward
    path = path_of(run((0, 0, 0), ALONG, three(end), three(toward)))
    (change,) = plane_changes(path, math.radians(10))
    assert math.degrees(change.angle_rad) == pytest.approx(twist_deg, abs=1e-5)
    assert change.between_mm == pytest.approx(100, abs=1e-5)
    assert change.station_mm == pytest.approx(75 * math.pi / 2 + 50, abs=1e-5)
    assert change.held_by == ""
    assert plane_changes(path, math.radians(twist_deg + 1)) == () or twist_deg == 90.0


def test_s_in_one_plane_is_no_change() -> None:
    path = path_of(run((0, 0, 0), ALONG, (400, 120, 0), ALONG))
    assert plane_changes(path, math.radians(1)) == ()


def test_clamp_between_planes_holds() -> None:
    end = (75.0, 250.0, 75.0)
    way = Waypoint(name="c", kind="clamp", position=(75, 125, 0), axis=(0, 1, 0))
    path = path_of(run((0, 0, 0), ALONG, end, (0, 0, 1), via=(way,)))
    (change,) = plane_changes(path, math.radians(10))
    assert change.held_by == "c"
