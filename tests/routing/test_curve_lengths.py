"""Lengths of hose curves against closed forms, quadrature and the published plane words."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from routing_samples import any_run, joints_and_bends, run, shkel_lumelsky, three
from scipy.integrate import quad, solve_ivp
from scipy.spatial.transform import Rotation

from generators.model.hose_path import Arc, HosePath, HoseRun, Port3, Straight, Waypoint
from generators.routing.paths.chains import shortest_lengths, shortest_path, shortest_paths
from generators.routing.paths.curves import at_station, extents, pieces, places, sampled, unit
from generators.routing.paths.dubins import least_lengths, shortest_legs
from generators.routing.paths.words import plane_word

SEEDS = st.integers(0, 2**31)


def path_of(wanted: HoseRun) -> HosePath:
    path = shortest_path(wanted)
    assert path is not None
    return path


def test_straight() -> None:
    path = path_of(run((0, 0, 0), (1, 2, 2), (100, 200, 200), (1, 2, 2), straight_mm=30))
    assert path.length_mm == pytest.approx(300.0, abs=1e-9)
    assert len(path.segments) == 1


@pytest.mark.parametrize("turn", [0.2, 1.0, math.pi / 2, 2.5, 3.0])
def test_single_arc(turn: float) -> None:
    """An arc's length is radius times turn."""
    end = (75 * math.sin(turn), 75 * (1 - math.cos(turn)), 0.0)
    path = path_of(run((0, 0, 0), (1, 0, 0), end, (math.cos(turn), math.sin(turn), 0)))
    assert path.length_mm == pytest.approx(75 * turn, abs=1e-6)


def test_u_turn_of_two_radii() -> None:
    path = path_of(run((0, 0, 0), (1, 0, 0), (0, 150, 0), (-1, 0, 0)))
    assert path.length_mm == pytest.approx(75 * math.pi, abs=1e-6)


@pytest.mark.parametrize("turn", [0.3, 0.9, 1.4])
def test_s_of_two_arcs(turn: float) -> None:
    """Two equal arcs to either side: 2 r sin ahead, 2 r (1 - cos) aside, 2 r times the turn long."""
    path = path_of(
        run((0, 0, 0), (1, 0, 0), (150 * math.sin(turn), 150 * (1 - math.cos(turn)), 0), (1, 0, 0))
    )
    assert path.length_mm == pytest.approx(150 * turn, abs=1e-6)
    arcs = [s for s in path.segments if isinstance(s, Arc)]
    assert [a.sweep_rad for a in arcs] == pytest.approx([turn, turn], abs=1e-7)


def test_offset_with_straight() -> None:
    """Parallel offset h over length x: x = 2 r sin t + s cos t, h = 2 r (1 - cos t) + s sin t; by hand t = 60°, s = 200."""
    t, s = math.pi / 3, 200.0
    end = (150 * math.sin(t) + s * math.cos(t), 150 * (1 - math.cos(t)) + s * math.sin(t), 0.0)
    assert path_of(run((0, 0, 0), (1, 0, 0), end, (1, 0, 0))).length_mm == pytest.approx(
        150 * t + s, abs=1e-6
    )


def two_planes(
    turn0: float, straight: float, twist: float, turn1: float, radius: float
) -> tuple[np.ndarray, np.ndarray, float]:
    """End and direction of arc, straight, arc in two planes by integrating the tangent's turning (ODE), and the length."""
    spans = ((turn0 * radius, np.array([0.0, 0, 1]), 1 / radius), (straight, np.array([0.0, 0, 1]), 0.0))
    state = np.array([0.0, 0, 0, 1, 0, 0])

    def go(state: np.ndarray, length: float, normal: np.ndarray, bend: float) -> np.ndarray:
        def rate(_s: float, y: np.ndarray) -> np.ndarray:
            return np.concatenate([y[3:], bend * np.cross(normal, y[3:])])

        return solve_ivp(rate, (0, length), state, rtol=1e-12, atol=1e-12).y[:, -1]

    for length, normal, bend in spans:
        state = go(state, length, normal, bend)
    normal = Rotation.from_rotvec(twist * state[3:]).apply([0.0, 0, 1])
    state = go(state, turn1 * radius, normal, 1 / radius)
    return state[:3], state[3:], radius * (turn0 + turn1) + straight


@pytest.mark.parametrize("twist", [0.4, 1.2, 2.0, -2.6])
def test_two_planes_by_quadrature(twist: float) -> None:
    """A helix-like hose: its end by integrating the curve, its length by quadrature of its speed."""
    end, arriving, length = two_planes(math.radians(60), 220.0, twist, math.radians(50), 100.0)
    path = path_of(run((0, 0, 0), (1, 0, 0), three(end), three(arriving), 100.0))
    assert path.length_mm == pytest.approx(length, abs=1e-5)

    def speed(s: float) -> float:
        a, b = at_station(path, s - 0.01)[0], at_station(path, s + 0.01)[0]
        return math.dist(a, b) / 0.02

    joints = list(np.cumsum([s.length_mm for s in path.segments])[:-1])
    edges = [0.02, *joints, path.length_mm - 0.02]
    by_quad = sum(quad(speed, a, b, limit=60)[0] for a, b in pairwise(edges))
    assert by_quad + 0.04 == pytest.approx(path.length_mm, abs=1e-3)


def plane_run(dice: np.random.Generator, span: float) -> tuple[HoseRun, dict[str, float]]:
    x, y = dice.uniform(-span, span, 2)
    a, b = dice.uniform(0, 2 * math.pi, 2)
    wanted = run((0, 0, 0), (math.cos(a), math.sin(a), 0), (x, y, 0), (math.cos(b), math.sin(b), 0))
    return wanted, shkel_lumelsky(x, y, a, b, 75.0)


@pytest.mark.parametrize("span", [150.0, 600.0])
def test_plane_words(span: float) -> None:
    """Dubins 1957: in a plane the shortest is the best of six words; leaving the plane can only shorten it.

    The six are by Shkel and Lumelsky's formulas, not ours. A path found that stays in the plane must
    have the length of one of them exactly.
    """
    dice = np.random.default_rng(5)
    cases = [plane_run(dice, span) for _ in range(100)]
    in_plane = 0
    for path, (_, words) in zip(shortest_paths([wanted for wanted, _ in cases]), cases, strict=True):
        assert path is not None
        best = min(words.values())
        assert path.length_mm <= best + 1e-6
        if max(abs(z) for z in sampled(path, 5.0)[1][:, 2]) < 1e-6:
            in_plane += 1
            assert path.length_mm == pytest.approx(best, abs=1e-6)
        joints_and_bends(path)
    assert in_plane > 60


def test_known_dubins_lengths() -> None:
    """By hand: facing away from a goal straight behind, (0,0,0) to (-4r, 0, π): LSR of r(π + 2 asin(1/2)) + sqrt(12) r.

    Out of the plane nothing is won by symmetry of the two hands, so the plane figure is an upper bound.
    """
    r = 75.0
    plane = r * (math.pi + 2 * math.asin(0.5) + math.sqrt(12))
    assert shkel_lumelsky(-4 * r, 0, 0, math.pi, r)["LSR"] == pytest.approx(plane)
    assert path_of(run((0, 0, 0), (1, 0, 0), (-4 * r, 0, 0), (-1, 0, 0))).length_mm <= plane + 1e-6


@settings(max_examples=10, deadline=None)
@given(SEEDS, st.integers(0, 3))
def test_never_below_radius_and_smooth(seed: int, supports: int) -> None:
    wanted = any_run(np.random.default_rng(seed), supports=supports)
    path = path_of(wanted)
    joints_and_bends(path)
    point, along = at_station(path, path.length_mm)
    assert point == pytest.approx(wanted.end.position, abs=1e-7)
    assert np.allclose(along, -np.array(wanted.end.direction), atol=1e-7)
    for way, support in zip(wanted.via, path.supports[1:], strict=False):
        point, along = at_station(path, support.station_mm)
        assert point == pytest.approx(way.position, abs=1e-6)
        assert way.axis is not None
        assert abs(np.dot(along, way.axis)) == pytest.approx(1.0, abs=1e-9)
    assert float(shortest_lengths([wanted])[0]) == pytest.approx(path.length_mm, abs=1e-6)


@pytest.mark.nightly
@settings(max_examples=500, deadline=None)
@given(SEEDS, st.integers(0, 4))
def test_never_below_radius_and_smooth_long(seed: int, supports: int) -> None:
    joints_and_bends(path_of(any_run(np.random.default_rng(seed), supports=supports, span=300.0)))


def moved(wanted: HoseRun, turn: np.ndarray, shift: np.ndarray) -> HoseRun:
    """The run turned (or mirrored) and shifted as a whole."""

    def port(old: Port3) -> Port3:
        return Port3(
            name=old.name,
            position=three(turn @ np.array(old.position) + shift),
            direction=three(turn @ np.array(old.direction)),
            straight_mm=old.straight_mm,
        )

    via = tuple(
        Waypoint(
            name=w.name, kind=w.kind, position=three(turn @ np.array(w.position) + shift),
            axis=three(turn @ np.array(w.axis)), straight_mm=w.straight_mm,
        )
        for w in wanted.via
    )  # fmt: skip
    return HoseRun(
        name=wanted.name, start=port(wanted.start), end=port(wanted.end), via=via,
        bend_radius_mm=wanted.bend_radius_mm, outside_dia_mm=wanted.outside_dia_mm,
    )  # fmt: skip


@settings(max_examples=10, deadline=None)
@given(SEEDS, st.booleans(), st.integers(0, 2))
def test_rigid_motion_and_mirror(seed: int, mirror: bool, supports: int) -> None:
    dice = np.random.default_rng(seed)
    wanted = any_run(dice, supports=supports)
    turn = Rotation.random(random_state=seed % 2**31).as_matrix()
    if mirror:
        turn = turn @ np.diag([1.0, -1.0, 1.0])
    before, after = path_of(wanted), path_of(moved(wanted, turn, dice.uniform(-500, 500, 3)))
    assert after.length_mm == pytest.approx(before.length_mm, abs=1e-5)


@settings(max_examples=10, deadline=None)
@given(SEEDS)
def test_there_and_back(seed: int) -> None:
    """A hose is as long from its other end."""
    a = any_run(np.random.default_rng(seed), supports=0)
    b = HoseRun(name="back", start=a.end, end=a.start, bend_radius_mm=75.0, outside_dia_mm=12.0)
    assert path_of(b).length_mm == pytest.approx(path_of(a).length_mm, abs=1e-5)


@settings(max_examples=8, deadline=None)
@given(SEEDS)
def test_senses_of_supports_by_trying_all(seed: int) -> None:
    """The chain picked is the best of all senses the supports can be passed in, each tried on its own."""
    wanted = any_run(np.random.default_rng(seed), supports=2, span=300)
    every = []
    for signs in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        via = tuple(
            replace(way, axis=three(sign * np.array(way.axis)), one_way=True)
            for way, sign in zip(wanted.via, signs, strict=True)
        )
        every.append(replace(wanted, via=via))
    assert path_of(wanted).length_mm == pytest.approx(float(shortest_lengths(every).min()), abs=1e-5)


def test_no_leg_is_shorter_than_the_bound() -> None:
    """The bound that lets legs be left out, against legs found; ends near and far, in planes and out of them."""
    dice = np.random.default_rng(12)
    p0, p1 = dice.uniform(-300, 300, (2, 400, 3))
    d0, d1 = unit(dice.normal(size=(2, 400, 3)))
    d0[:200] = np.eye(3)[dice.integers(3, size=200)]
    p1[:100] = p0[:100] + d0[:100] * dice.uniform(-300, 300, (100, 1))
    r = np.full(400, 75.0)
    found = shortest_legs(p0, d0, p1, d1, r).length
    bound = least_lengths(p0, d0, p1, d1, r)
    assert (bound <= found + 1e-6).all()
    assert (bound >= np.linalg.norm(p1 - p0, axis=1) - 1e-9).all()


def test_boxes_hold_curves() -> None:
    dice = np.random.default_rng(2)
    path = path_of(any_run(dice, supports=2))
    of = pieces([path])
    low, high = extents(of)
    for k, length in enumerate(of.length):
        s = np.linspace(0, length, 3000)
        cloud = places(of, np.full(3000, k), s)
        assert np.allclose(cloud.min(axis=0), low[k], atol=1e-3)
        assert np.allclose(cloud.max(axis=0), high[k], atol=1e-3)
        assert (cloud.min(axis=0) >= low[k] - 1e-9).all()
        assert (cloud.max(axis=0) <= high[k] + 1e-9).all()


def test_straight_runs_are_straight() -> None:
    wanted = any_run(np.random.default_rng(8), supports=1)
    path = path_of(wanted)
    first, last = path.segments[0], path.segments[-1]
    assert isinstance(first, Straight)
    assert first.length_mm >= 25.0 - 1e-9
    assert isinstance(last, Straight)
    assert last.length_mm >= 25.0 - 1e-9
    station = path.supports[1].station_mm
    for s in (-6.0, -3.0, 3.0, 6.0):
        assert at_station(path, station + s)[1] == pytest.approx(at_station(path, station)[1], abs=1e-9)


def test_free_support_is_turned() -> None:
    """A free clamp on the straight line adds nothing; off it, no fixed direction near by beats the one found."""
    way = Waypoint(name="c", kind="clamp", position=(300, 0, 0))
    assert path_of(run((0, 0, 0), (1, 0, 0), (600, 0, 0), (1, 0, 0), via=(way,))).length_mm == pytest.approx(
        600, abs=1e-6
    )
    free = Waypoint(name="c", kind="clamp", position=(300, 80, 40))
    found = path_of(run((0, 0, 0), (1, 0, 0), (600, 0, 100), (1, 0, 0), via=(free,))).length_mm
    axes = [np.array([1.0, a, b]) for a in np.linspace(-0.5, 0.5, 11) for b in np.linspace(-0.5, 0.5, 11)]
    ways = [
        Waypoint(name="c", kind="clamp", position=(300, 80, 40), axis=three(a / np.linalg.norm(a)))
        for a in axes
    ]
    fixed = [run((0, 0, 0), (1, 0, 0), (600, 0, 100), (1, 0, 0), via=(way,)) for way in ways]
    assert found <= shortest_lengths(fixed).min() + 0.02


def test_half_turn_and_straight() -> None:
    """Parallel ports two radii apart, one 100 mm behind: half a circle and a straight."""
    path = path_of(run((0, 0, 0), (1, 0, 0), (-100, 150, 0), (-1, 0, 0)))
    assert path.length_mm == pytest.approx(75 * math.pi + 100, abs=1e-6)
    joints_and_bends(path)


def test_one_way_support() -> None:
    """A grommet to be passed backward costs a loop; either way round it does not."""
    axis = (-1.0, 0.0, 0.0)
    either = Waypoint(name="g", kind="clamp", position=(300, 0, 0), axis=axis)
    backward = Waypoint(name="g", kind="clamp", position=(300, 0, 0), axis=axis, one_way=True)
    assert path_of(
        run((0, 0, 0), (1, 0, 0), (600, 0, 0), (1, 0, 0), via=(either,))
    ).length_mm == pytest.approx(600)
    assert path_of(run((0, 0, 0), (1, 0, 0), (600, 0, 0), (1, 0, 0), via=(backward,))).length_mm > 800


@pytest.mark.parametrize("span", [60.0, 150.0, 600.0])
def test_a_plane_word_is_the_best_of_dubins_six(span: float) -> None:
    """By Shkel and Lumelsky's formulas, in planes of any attitude; each of the six words wins somewhere."""
    dice = np.random.default_rng(11)
    won = set()
    for turn in Rotation.random(400, random_state=3).as_matrix():
        x, y = dice.uniform(-span, span, 2)
        a, b = dice.uniform(0, 2 * math.pi, 2)
        ends = np.array([(x, y, 0), (math.cos(a), math.sin(a), 0), (math.cos(b), math.sin(b), 0)]) @ turn
        words = shkel_lumelsky(x, y, a, b, 75.0)
        v, leaving, arriving = ends
        assert plane_word(v, leaving, arriving, 75.0).length_mm == pytest.approx(
            min(words.values()), abs=1e-6
        )
        won.add(min(words, key=lambda w: words[w]))
    assert won >= {"LSL", "RSR", "LSR", "RSL"}
