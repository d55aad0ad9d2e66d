"""How deep pieces are in each other by closed forms, and nearest points against least squares (scipy)."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import nnls

from generators.space.body import Body
from generators.space.depth import depth, middle_of, searched
from generators.space.distance import Space
from generators.space.nearest import SURE_MM, nearest
from generators.space.pieces import Array, Box, Hull, Piece, Rod, bar, slab

SQUARE = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
ROOT = math.sqrt(0.5)


def plate(low: float, high: float, turn_deg: float = 0.0) -> Hull:
    """A plate of 100 mm, turned about the x axis."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    pose = np.eye(4)
    pose[1:3, 1:3] = [[c, -s], [s, c]]
    return slab(SQUARE, low, high, pose)


def upright(x: float, y: float, low: float, high: float, radius: float, round_ends: bool = False) -> Rod:
    return Rod(start=(x, y, low), end=(x, y, high), radius_mm=radius, round_ends=round_ends)


CASES: dict[str, tuple[Piece, Piece, float]] = {
    "plates that touch": (plate(0, 3), plate(3, 5), 0.0),
    "plates 0.3 mm in each other": (plate(0, 3), plate(2.7, 5), 0.3),
    "a plate through another": (plate(0, 3), plate(-1, 5), 4.0),
    "a rod that stands on a plate": (plate(0, 3), upright(50, 50, 3, 40, 8), 0.0),
    "a rod 1 mm into a plate": (plate(0, 3), upright(50, 50, 2, 40, 8), 1.0),
    "a rod 2 mm over the rim": (plate(0, 3), upright(-6, 50, -40, 40, 8), 2.0),
    "a round end 2 mm in": (plate(0, 3), upright(50, 50, 9, 40, 8, True), 2.0),
    "crossed rods": (upright(0, 0, -50, 50, 5), Rod(start=(-50, 7, 0), end=(50, 7, 0), radius_mm=4), 2.0),
    # a rod beside the corner of a plate: 8 - 6 sqrt 2 < 0, and 8 - 5 sqrt 2
    "a rod off a corner": (plate(0, 3), upright(-6, -6, -40, 40, 8), 8 - 6 / ROOT),
    "a rod in a corner": (plate(0, 3), upright(-5, -5, -40, 40, 8), 8 - 5 / ROOT),
    # two edges square to each other, 45 degrees lower and higher: the roof's ridge is 1 mm in the gutter's
    "edge in edge": (
        bar([(0, -9, -9), (0, 9, -9), (0, 0, 0)], [(50, -9, -9), (50, 9, -9), (50, 0, 0)]),
        bar([(16, -20, 8), (34, -20, 8), (25, -20, -1)], [(16, 20, 8), (34, 20, 8), (25, 20, -1)]),
        1.0,
    ),
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("swapped", [False, True])
def test_depth_by_hand(name: str, swapped: bool) -> None:
    one, two, wanted = CASES[name]
    found, way = depth(two, one) if swapped else depth(one, two)
    assert found == pytest.approx(wanted, abs=1e-3)
    assert np.linalg.norm(way) == pytest.approx(1.0)


def test_the_middle_of_what_is_shared() -> None:
    at = middle_of(plate(0, 3), upright(60, 40, 1, 40, 8))
    # the round rod's share is 2 mm high, so the middle is at a height of 2, anywhere 1 mm within the rest
    assert at[2] == pytest.approx(2.0, abs=0.1)
    assert math.hypot(at[0] - 60, at[1] - 40) < 7.1


def by_least_squares(one: Hull, two: Hull) -> float:
    """Least |x - y| over shares of the corners: non-negative least squares with both sums held at 1."""
    middle = one.points.mean(axis=0)
    a, b = one.points - middle, two.points - middle
    heavy = 1e6
    sums = np.zeros((2, len(a) + len(b)))
    sums[0, : len(a)], sums[1, len(a) :] = heavy, heavy
    shares, _ = nnls(np.vstack([np.hstack([a.T, -b.T]), sums]), np.array([0, 0, 0, heavy, heavy]))
    return float(np.linalg.norm(np.hstack([a.T, -b.T]) @ shares))


def facets(radius: float, thickness: float, length: float, pose: np.ndarray) -> list[Hull]:
    """A right-angled bend as bars."""
    rows = []
    for k in range(9):
        c, s = math.cos(k * math.pi / 16), math.sin(k * math.pi / 16)
        rows.append(
            [
                (pose[:3, :3] @ np.array((u, r * s, -r * c)) + pose[:3, 3])
                for u in (0.0, length)
                for r in (radius, radius + thickness)
            ]
        )
    return [bar([a[0], a[1], b[1], b[0]], [a[2], a[3], b[3], b[2]]) for a, b in itertools.pairwise(rows)]


def test_facets_of_bends_are_measured_true() -> None:
    """Pairs of bars of two bends at one corner of a hanger."""
    beside = np.eye(4)
    beside[:3, :3] = [[0, 1, 0], [-1, 0, 0], [0, 0, 1]]
    beside[:3, 3] = (-30.0, -21.0, 0.0)
    looked = 0
    for one in facets(9.0, 6.0, 200.0, np.eye(4)):
        for two in facets(9.0, 6.0, 70.0, beside):
            wanted = by_least_squares(one, two)
            if wanted < 0.5:
                continue
            found, at, to = nearest(one, two)
            # the sums are held at 1 by a finite weight, so the reference itself is that rough
            assert found == pytest.approx(wanted, abs=5e-3)
            assert math.dist(at, to) == pytest.approx(found, abs=SURE_MM)
            space = Space(
                [
                    Body(name=n, title=n, what="part", owner=n, forms=(p,))
                    for n, p in (("one", one), ("two", two))
                ]
            )
            gap = space.gap(0, 1)
            assert gap is not None
            assert gap.gap_mm == pytest.approx(wanted, abs=1e-2)
            looked += 1
    assert looked > 30


def test_a_distance_that_the_library_stops_short_of() -> None:
    """Two bars square to each other whose nearest sides are parallel, 19 mm aside and 9 mm up from each other.

    The library alone says 21.863 mm.
    """
    ends = [(0.1823, 2.0838), (6.0912, 1.0419), (6.0, 0.0), (0.0, 0.0)]
    down = bar([(x, -y, -200.0) for x, y in ends], [(x, -y, -9.0) for x, y in ends])
    across = bar([(x, 19.0, y) for x, y in ends], [(x, 89.0, y) for x, y in ends])
    space = Space(
        [
            Body(name=n, title=n, what="part", owner=n, forms=(p,))
            for n, p in (("down", down), ("across", across))
        ]
    )
    gap = space.gap(0, 1)
    assert gap is not None
    assert gap.gap_mm == pytest.approx(math.hypot(19.0, 9.0), abs=SURE_MM)
    assert math.dist(gap.at, gap.to) == pytest.approx(gap.gap_mm, abs=SURE_MM)


@pytest.mark.parametrize("seed", range(6))
def test_nearest_points_of_round_pieces(seed: int) -> None:
    """A round-ended rod is its axis less the radius: the axis as a thin bar against a box."""
    dice = np.random.default_rng(seed)
    pose = np.eye(4)
    pose[:3, :3] = np.linalg.qr(dice.normal(size=(3, 3)))[0]
    half = (30.0, 20.0, 10.0)
    box = Box(pose=pose, half_mm=half)
    start, end = dice.uniform(60, 90, 3), dice.uniform(60, 120, 3)
    found, at, to = nearest(box, Rod(start=tuple(start), end=tuple(end), radius_mm=7.0, round_ends=True))
    # sampled along the axis, the distance to a box is a closed form
    along = start + np.linspace(0, 1, 20_001)[:, None] * (end - start)
    outside = np.maximum(np.abs(along @ pose[:3, :3]) - half, 0.0)
    assert found == pytest.approx(np.linalg.norm(outside, axis=1).min() - 7.0, abs=5e-3)
    assert math.dist(at, to) == pytest.approx(found, abs=2 * SURE_MM)


@pytest.mark.parametrize("gain", [1e-1, 1e-2])
def test_a_search_along_a_narrow_valley_ends(gain: float) -> None:
    """Rosenbrock 1960: least, 0, at (1, 1), down a bent valley. Each step gains as much or halves the next."""
    looked = []

    def valley(ways: Array) -> Array:
        looked.append(len(ways))
        u, v = ways[:, 0] / ways[:, 2], ways[:, 1] / ways[:, 2]
        return np.asarray(100 * (v - u**2) ** 2 + (1 - u) ** 2)

    start = np.array([-1.2, 1.0, 1.0]) / math.sqrt(1.2**2 + 2.0)
    found, way = searched(valley, start, gain=gain)
    assert found == pytest.approx(float(valley(way[None, :])[0]))
    assert 0 <= found < 24.2
    assert len(looked) <= 24.2 / gain + math.log2(0.2 / 1e-5) + 3
    # what is low enough is not gone on with
    assert searched(valley, start, enough=30.0)[0] == pytest.approx(24.2)
    assert searched(valley, start, enough=5.0)[0] <= 5.0
