"""How a slack hose hangs, against the catenary and arcs joined to one, both solved in closed form here."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from routing_samples import LIMITS, any_run, run
from scipy.optimize import brentq, fsolve

from generators.model.hose_path import Box3, HosePath, HoseRun, Port3, Straight, Waypoint
from generators.model.hose_results import HoseLength, HoseSag
from generators.routing.around.detour import surroundings, unmet
from generators.routing.lengths import hose_length
from generators.routing.limp import Held
from generators.routing.limp import hanging as hanging_all
from generators.routing.paths.chains import shortest_path
from generators.routing.sag import hang, lowest_place


def made_up(path: HosePath, length_mm: float) -> HoseLength:
    return HoseLength(
        path_mm=path.length_mm,
        made_up_mm=length_mm,
        cut_mm=length_mm,
        slack_ratio=length_mm / path.length_mm - 1,
        spare_mm=0.0,
    )


def hung(wanted: HoseRun, length_mm: float) -> HoseSag:
    path = shortest_path(wanted)
    assert path is not None
    sag = hang(path, wanted, made_up(path, length_mm))
    assert sag is not None
    return sag


def hanging(
    taut: np.ndarray, leave: np.ndarray, arrive: np.ndarray, length: float, radius: float
) -> np.ndarray:
    (shape,) = hanging_all([Held(taut=taut, leave=leave, arrive=arrive, length_mm=length, radius_mm=radius)])
    return shape


def line(end: tuple[float, float, float]) -> np.ndarray:
    return np.linspace((0.0, 0.0, 0.0), end, 41)


def catenary(across: float, up: float, length: float) -> tuple[float, float, float]:
    """Lowest place below the start, and the slopes at both ends, of a limp line between two places.

    z = a cosh((x - m) / a): sqrt(s² - up²) = 2 a sinh(across / 2a), tanh((across - 2m) / 2a) = up / s.
    (E. H. Lockwood, A Book of Curves, 1961, ch. 13, from memory.)
    """
    chord = math.sqrt(length**2 - up**2)
    a = brentq(lambda k: 2 * k * math.sinh(across / 2 / k) - chord, across / 50, across * 200)
    m = across / 2 - a * math.atanh(up / length)
    low = a * (math.cosh(-m / a) - 1) if 0 < m < across else max(0.0, -up)
    return low, math.sinh(-m / a), math.sinh((across - m) / a)


def slope(rise: float) -> np.ndarray:
    return np.array([1.0, 0.0, rise]) / math.hypot(1.0, rise)


@pytest.mark.parametrize("up", [0.0, 200.0, -350.0])
@pytest.mark.parametrize("slack", [1.02, 1.08, 1.5])
def test_a_limp_line_hangs_as_the_catenary(up: float, slack: float) -> None:
    across = 800.0
    length = slack * math.hypot(across, up)
    low, first, last = catenary(across, up, length)
    shape = hanging(line((across, 0.0, up)), slope(first), slope(last), length, 5.0)
    assert -shape[:, 2].min() == pytest.approx(low, abs=0.004 * length)
    assert np.linalg.norm(np.diff(shape, axis=0), axis=1).sum() == pytest.approx(length, rel=1e-4)
    assert np.abs(shape[:, 1]).max() < 1e-6 * length


@pytest.mark.parametrize("radius", [50.0, 75.0, 150.0])
@pytest.mark.parametrize("slack", [1.03, 1.06])
def test_level_ends_bend_by_the_radius_into_the_catenary(radius: float, slack: float) -> None:
    """An arc down by θ, a catenary of that slope at its ends, an arc up again: by hand.

    r sin θ + a asinh(tan θ) = D/2, r θ + a tan θ = L/2; the middle lies r (1 - cos θ) + a (1/cos θ - 1) low.
    Least energy under a bound on curvature is made of arcs at the bound and of catenaries (Pontryagin).
    """
    across, length = 800.0, 800.0 * slack

    def lacks(x: np.ndarray) -> list[float]:
        turn, a = x
        return [
            radius * math.sin(turn) + a * math.asinh(math.tan(turn)) - across / 2,
            radius * turn + a * math.tan(turn) - length / 2,
        ]

    turn, a = fsolve(lacks, [0.4, across])
    low = radius * (1 - math.cos(turn)) + a * (1 / math.cos(turn) - 1)
    flat = np.array([1.0, 0.0, 0.0])
    shape = hanging(line((across, 0.0, 0.0)), flat, flat, length, radius)
    assert -shape[:, 2].min() == pytest.approx(low, rel=0.01)


def test_it_bends_no_tighter_than_its_radius_and_keeps_its_length() -> None:
    for seed in range(6):
        wanted = any_run(np.random.default_rng(seed), supports=1, span=400.0)
        path = shortest_path(wanted)
        assert path is not None
        sag = hung(wanted, 1.06 * path.length_mm)
        assert sag.path.length_mm == pytest.approx(1.06 * path.length_mm, rel=1e-4)
        straights = [s for s in sag.path.segments if isinstance(s, Straight)]
        assert len(straights) == len(sag.path.segments)
        links = np.array([np.subtract(s.end, s.start) for s in straights])
        size = np.linalg.norm(links, axis=1)
        cosine = [float(a @ b) for a, b in pairwise(links / size[:, None])]
        bends = np.arccos(np.clip(cosine, -1, 1)) / ((size[1:] + size[:-1]) / 2)
        assert bends.max() < 1.02 / wanted.bend_radius_mm
        for support, was in zip(sag.path.supports, path.supports, strict=True):
            assert support.name == was.name


def test_each_stretch_gets_its_share_and_clamps_stay() -> None:
    """Slack of 40 mm on 200 and 600 mm of free hose: 10 and 30 mm; the longer hangs as one alone."""
    clamp = Waypoint(name="c", kind="clamp", position=(225.0, 0.0, 0.0), axis=(1.0, 0.0, 0.0))
    wanted = run((0, 0, 0), (1, 0, 0), (850, 0, 0), (1, 0, 0), via=(clamp,), straight_mm=25.0)
    sag = hung(wanted, 890.0)
    assert [(s.start, s.end) for s in sag.spans] == [("a", "c"), ("c", "b")]
    assert [s.slack_mm for s in sag.spans] == pytest.approx([10.0, 30.0])
    flat = np.array([1.0, 0.0, 0.0])
    alone = hanging(line((600.0, 0.0, 0.0)), flat, flat, 630.0, 75.0)
    assert sag.spans[1].below_mm == pytest.approx(-alone[:, 2].min(), rel=1e-6)
    assert sag.lowest[2] == pytest.approx(-sag.spans[1].below_mm)
    station = sag.path.supports[1].station_mm
    assert station == pytest.approx(235.0, abs=0.1)


def test_no_slack_hangs_nowhere() -> None:
    wanted = run((0, 0, 0), (1, 0, 0), (800, 0, 0), (1, 0, 0))
    path = shortest_path(wanted)
    assert path is not None
    assert hang(path, wanted, made_up(path, 800.4)) is None
    assert hang(path, wanted, hose_length(path, wanted, 5.0)) is not None


def test_a_body_below_is_met_only_when_the_hose_hangs() -> None:
    """800 mm of hose with 48 mm more hangs about 130 mm: onto a box 100 mm below, not one 180 mm below."""
    wanted = run((0, 0, 0), (1, 0, 0), (800, 0, 0), (1, 0, 0))
    sag = hung(wanted, 848.0)
    path = shortest_path(wanted)
    assert path is not None
    for top, met in ((-100.0, True), (-180.0, False)):
        box = Box3(name="box", centre=(400, 0, top - 20), u=(1, 0, 0), v=(0, 1, 0), half_mm=(50, 50, 20))
        around = surroundings([box], [], LIMITS)
        assert not unmet([path], around)[0]
        assert bool(unmet([sag.path], around)[0]) is met


def test_the_lowest_place_of_a_path_is_exact() -> None:
    """Half a circle downward: two radii below its ends' height at the far end, one below in the middle."""
    path = shortest_path(run((0, 0, 0), (0, 0, -1), (150, 0, 0), (0, 0, 1)))
    assert path is not None
    assert lowest_place(path) == pytest.approx((75.0, 0.0, -75.0), abs=1e-6)


def test_it_hangs_alike_whichever_way_it_is_turned_about_the_upright() -> None:
    one = run((0, 0, 0), (1, 0, 0), (500, 200, 50), (0, 1, 0))
    other = run((0, 0, 0), (0, 1, 0), (-200, 500, 50), (-1, 0, 0))
    depths = []
    for wanted in (one, other):
        path = shortest_path(wanted)
        assert path is not None
        depths.append(hung(wanted, path.length_mm * 1.07).spans[0].below_mm)
    assert depths[0] == pytest.approx(depths[1], rel=1e-6)
    back = HoseRun(
        name="back",
        start=Port3(name="b", position=one.end.position, direction=one.end.direction),
        end=Port3(name="a", position=one.start.position, direction=one.start.direction),
        bend_radius_mm=75.0,
        outside_dia_mm=12.0,
    )
    path = shortest_path(back)
    assert path is not None
    assert hung(back, path.length_mm * 1.07).spans[0].below_mm == pytest.approx(depths[0], rel=1e-4)


def test_hoses_hang_together_as_each_does_alone() -> None:
    dice = np.random.default_rng(5)
    chains = []
    for k in range(7):
        end = np.array([300.0 + 60 * k, 80.0 * dice.normal(), 80.0 * dice.normal()])
        way = [np.array([1.0, *(0.4 * dice.normal(size=2))]) for _ in range(2)]
        ways = [w / np.linalg.norm(w) for w in way]
        length = (1.04 + 0.04 * k) * float(np.linalg.norm(end))
        taut = np.linspace((0.0, 0.0, 0.0), end, 41)
        chains.append(Held(taut=taut, leave=ways[0], arrive=ways[1], length_mm=length, radius_mm=30.0))
    for chain, shape in zip(chains, hanging_all(chains), strict=True):
        (alone,) = hanging_all([chain])
        assert shape == pytest.approx(alone, abs=1e-4)
    assert hanging_all([]) == []
