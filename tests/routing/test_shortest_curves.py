"""No curve arc, straight, arc is shorter than the one found: against a search that knows only what such a curve is.

The search walks the curve from both ends by five numbers (plane and turn of either arc, the straight), lets
MINPACK (``scipy.optimize.leastsq``) close the gap from many random beginnings, and keeps the shortest that
closes. Nothing of the solver is in it. It cannot prove that a curve is the shortest, only that it is not.
"""

from __future__ import annotations

import math
from itertools import pairwise, product

import numpy as np
import pytest
from routing_samples import joints_and_bends, run, three
from scipy.optimize import leastsq

from generators.model.hose_path import HoseRun, Waypoint
from generators.routing.paths.chains import shortest_lengths, shortest_path, shortest_paths

Vector = tuple[float, float, float]
RADIUS = 75.0
LONGER = 1.001

# leaving, from start to end in mm, arriving; the first with a bend radius of its own. Turns near half a turn,
# ends near each other, behind, and one beside the other: pairs of curves nearly alike, the longer easily taken
CASES: tuple[tuple[Vector, Vector, Vector], ...] = (
    ((-0.837, -0.205, 0.507), (-16.0, -38.6, -142.6), (0.661, 0.605, 0.443)),
    ((0.166, -0.814, -0.557), (-55.9, 39.6, -85.0), (-0.107, -0.879, -0.466)),
    ((0.915, 0.242, -0.324), (24.0, -29.4, -24.3), (0.217, 0.721, -0.658)),
    ((-0.081, 0.061, 0.995), (59.6, 106.7, -116.7), (-0.854, 0.45, 0.262)),
    ((0.257, -0.757, 0.6), (-14.0, 13.5, 4.8), (0.351, -0.282, 0.893)),
    ((0.064, 0.002, -0.998), (-39.2, -84.9, 292.8), (0.963, 0.073, -0.26)),
    ((-0.903, -0.422, -0.081), (246.7, 27.4, -165.2), (-0.85, 0.016, 0.526)),
    ((0.497, 0.866, -0.058), (18.2, 38.8, -159.3), (0.937, 0.14, 0.32)),
    ((-0.812, -0.291, -0.507), (178.4, 214.1, 169.8), (-0.514, -0.638, -0.574)),
    ((-0.001, 0.058, 0.998), (106.1, -115.1, 98.3), (-0.274, -0.059, -0.96)),
    ((-0.329, 0.508, -0.796), (-51.0, 79.6, -76.1), (0.275, -0.66, 0.699)),
    ((0.391, 0.889, 0.239), (-45.6, -98.8, 127.7), (-0.389, -0.888, -0.247)),
    ((-0.922, 0.379, -0.082), (12.9, -36.9, -129.5), (-0.922, 0.379, -0.082)),
    ((-0.491, -0.057, 0.869), (37.6, -106.9, -300.1), (-0.695, -0.067, 0.716)),
    ((0.64, -0.57, 0.515), (-144.0, 193.3, -120.9), (-0.338, -0.635, 0.695)),
    ((0.017, 0.058, -0.998), (13.3, 2.1, 28.4), (-0.856, 0.333, -0.396)),
    ((0.199, -0.979, 0.048), (-173.6, -40.1, -307.7), (0.518, -0.346, 0.783)),
    # the last arc's corner lies where the first arc's tangent all but ends
    ((0.786, -0.596, -0.164), (-29.3, 35.4, 123.8), (-0.716, 0.392, -0.577)),
    ((0.112, 0.529, 0.841), (37.3, 27.9, 72.6), (-0.841, -0.536, 0.078)),
    ((1.0, 0.0, 0.0), (-100.0, 120.0, 60.0), (1.0, 0.0, 0.0)),
    ((1.0, 0.0, 0.0), (-100.0, 150.0, 0.0), (1.0, 0.0, 0.001)),
    ((1.0, 1.0, -1.0), (-50.0, -100.0, -150.0), (1.0, 1.0, -1.0)),
)


def square(direction: np.ndarray) -> tuple[Vector, Vector]:
    """Two unit vectors square to a direction and each other."""
    first = np.cross(direction, np.eye(3)[np.argmin(np.abs(direction))])
    first /= np.linalg.norm(first)
    return three(first), three(np.cross(direction, first))


def searched(wanted: HoseRun, starts: int, dice: np.random.Generator) -> float:
    """The shortest arc, straight, arc met with from random beginnings, mm; a hose with no supports."""
    r = wanted.bend_radius_mm
    leave, arrive = np.array(wanted.start.direction), -np.array(wanted.end.direction)
    (a0, b0), (a1, b1) = square(leave), square(arrive)
    begin = np.array(wanted.start.position) + wanted.start.straight_mm * leave
    gap = np.array(wanted.end.position) - wanted.end.straight_mm * arrive - begin
    d0, d1, goal = three(leave), three(arrive), three(gap / r)

    def apart(x: np.ndarray) -> list[float]:
        """Place and direction at the end of the straight, less those where the last arc begins, radii."""
        plane0, turn0, straight, plane1, turn1 = x
        ca, sa, cb, sb = math.cos(plane0), math.sin(plane0), math.cos(plane1), math.sin(plane1)
        c0, s0, c1, s1 = math.cos(turn0), math.sin(turn0), math.cos(turn1), math.sin(turn1)
        out = [0.0] * 6
        for k in range(3):
            toward0, toward1 = ca * a0[k] + sa * b0[k], cb * a1[k] + sb * b1[k]
            after = c0 * d0[k] + s0 * toward0
            # the last arc walked backward from the goal
            before = c1 * d1[k] - s1 * toward1
            place = s0 * d0[k] + (1 - c0) * toward0 + straight * after
            out[k] = place - (goal[k] - s1 * d1[k] + (1 - c1) * toward1)
            out[3 + k] = after - before
        return out

    best = math.inf
    far = float(np.linalg.norm(gap)) / r
    for _ in range(starts):
        guess = dice.uniform(0, 1, 5) * [2 * math.pi, 2 * math.pi, far + 2, 2 * math.pi, 2 * math.pi]
        x, _, how, _, _ = leastsq(apart, guess, full_output=True, maxfev=400)
        if np.abs(how["fvec"]).max() < 1e-9 and x[2] >= 0:
            turns = [float(turn % (2 * math.pi)) for turn in (x[1], x[4])]
            turned = sum(turn if turn < 2 * math.pi - 1e-7 else 0.0 for turn in turns)
            best = min(best, r * (turned + float(x[2])))
    return best + wanted.start.straight_mm + wanted.end.straight_mm


def case_run(case: tuple[Vector, Vector, Vector], radius_mm: float = RADIUS) -> HoseRun:
    leaving, end, arriving = case
    return run((0, 0, 0), leaving, end, arriving, radius_mm)


def check(wanted: HoseRun, starts: int, seed: int) -> None:
    """A curve of the radius that arrives, and none much shorter."""
    path = shortest_path(wanted)
    assert path is not None
    joints_and_bends(path)
    assert path.length_mm <= LONGER * searched(wanted, starts, np.random.default_rng(seed)), wanted


def test_a_backward_hose_takes_the_short_way() -> None:
    """610.7 mm by the search; a curve of 757.8 mm meets the equations too."""
    wanted = case_run(
        ((-0.0666, -0.6909, 0.7199), (-223.98, 189.47, 222.87), (0.7507, -0.2287, -0.6199)), 76.2
    )
    assert searched(wanted, 40, np.random.default_rng(1)) == pytest.approx(610.7, abs=0.1)
    check(wanted, 40, 2)


@pytest.mark.parametrize("case", CASES)
def test_none_shorter_is_met_with(case: tuple[Vector, Vector, Vector]) -> None:
    check(case_run(case), 40, 3)


def test_three_supports_in_one_place_leave_no_gap_in_the_hose() -> None:
    """Between two supports in one place there is no direction, and a leg without one would end anywhere."""
    place = (150.0, 80.0, 0.0)
    thrice = tuple(Waypoint(name=f"g{k}", kind="guide", position=place) for k in range(3))
    path = shortest_path(run((0, 0, 0), (1, 0, 0), (400, 0, 60), (1, 0, 0), radius_mm=30.0, via=thrice))
    assert path is not None
    joints_and_bends(path)
    assert path.length_mm > math.dist((0, 0, 0), place) + math.dist(place, (400, 0, 60))


def test_two_half_turns_of_two_planes() -> None:
    """Ends that point one way, the goal behind and aside: out of plane 2 π r and the way back, by hand.

    Each half turn ends 2 r aside of where it began; two such steps reach any goal up to 4 r aside. In the
    plane of both ends no word is so short: turning on a whole turn is 2 π r and the longer slant.
    """
    path = shortest_path(run((0, 0, 0), (1, 0, 0), (-100, 150, 0), (1, 0, 0), 75.0))
    assert path is not None
    assert path.length_mm == pytest.approx(2 * math.pi * 75 + 100, abs=1e-6)
    joints_and_bends(path)


def chain(dice: np.random.Generator) -> HoseRun:
    """A hose through two clamps that need not lie in its way."""

    def anyhow() -> Vector:
        return three(dice.normal(size=3))

    via = tuple(
        Waypoint(
            name=name, kind="clamp", position=three(dice.uniform(-250, 250, 3)), axis=axis, straight_mm=6
        )
        for name, axis in (("c0", three(unit(dice))), ("c1", three(unit(dice))))
    )
    return run((0, 0, 0), anyhow(), three(dice.uniform(-250, 250, 3)), anyhow(), RADIUS, via, 20.0)


def unit(dice: np.random.Generator) -> np.ndarray:
    vector = dice.normal(size=3)
    return vector / np.linalg.norm(vector)


def searched_chain(wanted: HoseRun, starts: int, dice: np.random.Generator) -> float:
    """The best of all senses of the clamps, each leg searched for on its own."""
    start, end = wanted.start, wanted.end
    stops: list[list[tuple[np.ndarray, np.ndarray, float]]] = []
    stops.append([(np.array(start.position), np.array(start.direction), start.straight_mm)])
    for way in wanted.via:
        assert way.axis is not None
        axis = np.array(way.axis)
        stops.append([(np.array(way.position), sign * axis, way.straight_mm) for sign in (1, -1)])
    stops.append([(np.array(end.position), -np.array(end.direction), end.straight_mm)])
    legs = [
        {
            (a, b): searched(leg_run(one[a], other[b]), starts, dice)
            for a, b in product(range(len(one)), range(len(other)))
        }
        for one, other in pairwise(stops)
    ]
    senses = product(*(range(len(stop)) for stop in stops))
    return min(
        sum(leg[pair] for leg, pair in zip(legs, pairwise(sense), strict=True)) for sense in senses
    )  # fmt: skip


def leg_run(
    one: tuple[np.ndarray, np.ndarray, float], other: tuple[np.ndarray, np.ndarray, float]
) -> HoseRun:
    begin, end = one[0] + one[2] * one[1], other[0] - other[2] * other[1]
    wanted = run(three(begin), three(one[1]), three(end), three(other[1]), RADIUS)
    return wanted


def chain_straights(wanted: HoseRun) -> float:
    """The straights kept at ports and at either side of every clamp."""
    return wanted.start.straight_mm + wanted.end.straight_mm + 2 * sum(way.straight_mm for way in wanted.via)


@pytest.mark.parametrize("seed", range(3))
def test_a_hose_through_clamps_is_the_shortest(seed: int) -> None:
    wanted = chain(np.random.default_rng(seed))
    best = searched_chain(wanted, 25, np.random.default_rng(seed)) + chain_straights(wanted)
    path = shortest_path(wanted)
    assert path is not None
    joints_and_bends(path)
    assert path.length_mm <= LONGER * best


def random_case(dice: np.random.Generator, number: int) -> tuple[Vector, Vector, Vector]:
    """Ends near and far, backward, nearly parallel, nearly in one plane, and on a grid."""
    leaving, arriving, gap = unit(dice), unit(dice), dice.uniform(-1, 1, 3)
    match number % 8:
        case 0 | 1:
            gap *= 2 * RADIUS
        case 2 | 3:
            gap *= 4 * RADIUS
        case 4:
            gap = 4 * RADIUS * (0.3 * gap - leaving)
        case 5:
            gap *= 3 * RADIUS
            arriving = dice.choice([-1, 1]) * leaving + unit(dice) * 10 ** dice.uniform(-6, -0.5)
        case 6:
            within = (
                dice.normal() * leaving + dice.normal() * arriving + unit(dice) * 10 ** dice.uniform(-8, -1)
            )
            gap = within / np.linalg.norm(within) * dice.uniform(0.3, 5) * RADIUS
        case _:
            leaving, arriving = np.asarray(dice.integers(-1, 2, (2, 3)), dtype=np.float64)
            leaving[0], arriving[1] = dice.choice([-1, 1], 2)
            gap = 50.0 * np.asarray(dice.integers(-4, 5, 3), dtype=np.float64)
            gap[2] += 50.0 * (not gap.any())
    return three(leaving), three(gap), three(arriving)


@pytest.mark.nightly
def test_none_shorter_is_met_with_long() -> None:
    """2,000 random ends: none found is longer by more than 0.1 % than one met with."""
    dice = np.random.default_rng(17)
    runs = [case_run(random_case(dice, number)) for number in range(2000)]
    longer = []
    for wanted, path in zip(runs, shortest_paths(runs), strict=True):
        assert path is not None
        joints_and_bends(path)
        if path.length_mm > LONGER * searched(wanted, 50, dice):
            longer.append(wanted)
    assert not longer


@pytest.mark.nightly
def test_a_hose_through_clamps_is_the_shortest_long() -> None:
    dice = np.random.default_rng(19)
    runs = [chain(dice) for _ in range(150)]
    found = shortest_lengths(runs)
    for wanted, length in zip(runs, found, strict=True):
        assert length <= LONGER * (searched_chain(wanted, 30, dice) + chain_straights(wanted))
