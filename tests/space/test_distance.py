"""Distances of bodies against the solid modeller's on the same shapes, and against closed forms."""

from __future__ import annotations

import math
import random

import cadquery as cq
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.pieces import Box, Hull, Piece, Point3, Rod, moved, slab

EXACT_MM = 0.05
PAIRS = 200


def body(name: str, *pieces: Piece, joined: frozenset[str] = frozenset()) -> Body:
    return Body(name=name, title=name, what="obstacle", owner=name, forms=pieces, joined=joined)


def pose(rng: random.Random, spread: float) -> Matrix:
    out = np.eye(4)
    out[:3, :3] = Rotation.from_quat([rng.gauss(0, 1) for _ in range(4)]).as_matrix()
    out[:3, 3] = [rng.uniform(-spread, spread) for _ in range(3)]
    return out


def point(values: object) -> Point3:
    x, y, z = np.asarray(values, dtype=float).tolist()
    return x, y, z


def location(matrix: Matrix) -> cq.Location:
    plane = cq.Plane(origin=point(matrix[:3, 3]), xDir=point(matrix[:3, 0]), normal=point(matrix[:3, 2]))
    return cq.Location(plane)


def drawn(rng: random.Random, spread: float) -> tuple[Piece, cq.Shape]:
    """A piece at random, and the modeller's own shape of it."""
    at = pose(rng, spread)
    sizes = tuple(rng.choice((1.2, 4.0, 20.0, 90.0)) * rng.uniform(0.6, 1.4) for _ in range(3))
    kind = rng.choice(("box", "rod", "round rod", "slab"))
    if kind == "box":
        solid = cq.Workplane().box(*(2 * s for s in sizes)).val()
        return Box(pose=at, half_mm=(sizes[0], sizes[1], sizes[2])), solid.moved(location(at))
    if kind in ("rod", "round rod"):
        radius, length = sizes[0] / 2, sizes[1] * 2
        ends = (at[:3, 3], at[:3, 3] + length * at[:3, 2])
        rod = Rod(start=point(ends[0]), end=point(ends[1]), radius_mm=radius, round_ends=kind == "round rod")
        solid = cq.Solid.makeCylinder(radius, length)
        if rod.round_ends:
            for z in (0.0, length):
                solid = solid.fuse(cq.Workplane().center(0, 0).workplane(offset=z).sphere(radius).val())
        return rod, solid.moved(location(at))
    count = rng.randint(3, 8)
    turns = sorted(rng.uniform(0, 2 * math.pi) for _ in range(count))
    if max(b - a for a, b in zip(turns, [*turns[1:], turns[0] + 2 * math.pi], strict=True)) > 2.8:
        turns = [2 * math.pi * k / count for k in range(count)]
    outline = [(sizes[0] * math.cos(t), sizes[0] * math.sin(t)) for t in turns]
    solid = cq.Workplane().polyline(outline).close().extrude(sizes[2]).val()
    return slab(outline, 0.0, sizes[2], at), solid.moved(location(at))


def test_distances_are_those_of_the_solid_modeller() -> None:
    """200 pairs drawn once for all; reference: OCP's distance and common volume of exact solids."""
    rng = random.Random(12)
    met = 0
    for number in range(PAIRS):
        (one, solid), (two, other) = drawn(rng, 40.0), drawn(rng, 80.0)
        gap = Space([body("one", one), body("two", two)]).gap(0, 1)
        assert gap is not None
        # a body inside another has a distance to its surface, too
        if solid.intersect(other).Volume() > 1e-6:
            met += 1
            assert gap.gap_mm < 0, number
            continue
        exact = solid.distance(other)
        if exact > 1e-6:
            assert gap.gap_mm == pytest.approx(exact, abs=EXACT_MM), number
            assert math.dist(gap.at, gap.to) == pytest.approx(exact, abs=EXACT_MM), number
    assert 20 < met < 180


@pytest.mark.parametrize(("dx", "gap"), [(30.0, 10.0), (20.0, 0.0), (17.0, -3.0)])
def test_two_boxes_side_by_side(dx: float, gap: float) -> None:
    """By hand: half sizes of 10 mm each."""
    there = np.eye(4)
    there[0, 3] = dx
    space = Space(
        [
            body("a", Box(pose=np.eye(4), half_mm=(10, 20, 30))),
            body("b", Box(pose=there, half_mm=(10, 20, 30))),
        ]
    )
    found = space.gap(0, 1)
    assert found is not None
    assert found.gap_mm == pytest.approx(gap, abs=1e-4)


def test_a_body_is_all_its_pieces_and_far_ones_are_left_out() -> None:
    rods = [Rod(start=(x, 0, 0), end=(x, 0, 50), radius_mm=2) for x in (0.0, 40.0, 90.0)]
    ball = Rod(start=(60, 0, 25), end=(60, 0, 25), radius_mm=5, round_ends=True)
    space = Space([body("fence", *rods), body("ball", ball)])
    found = space.gap(0, 1)
    assert found is not None
    # by hand: 60 - 40 - 2 - 5
    assert found.gap_mm == pytest.approx(13.0, abs=1e-4)
    assert found.at == pytest.approx((42, 0, 25), abs=0.01)
    assert found.to == pytest.approx((55, 0, 25), abs=0.01)
    assert space.gap(0, 1, within_mm=12.9) is None
    # the fence goes from one side of the ball to the other
    assert list(space.pairs(0.0)) == [(0, 1)]


def test_bodies_fixed_to_each_other_may_touch() -> None:
    one = Box(pose=np.eye(4), half_mm=(5, 5, 5))
    two = Rod(start=(0, 0, 0), end=(0, 0, 20), radius_mm=1)
    apart = Space([body("a", one), body("b", two)])
    fixed = Space([body("a", one, joined=frozenset({"m", "n"})), body("b", two, joined=frozenset({"n"}))])
    assert [g.gap_mm < 0 for g in apart.gaps(1.0)] == [True]
    assert list(fixed.gaps(1.0)) == []


def test_a_moved_body_is_measured_where_it_is() -> None:
    """Reference: the same pieces moved beforehand."""
    rng = random.Random(5)
    for _ in range(40):
        (one, _), (two, _), turn = drawn(rng, 50.0), drawn(rng, 90.0), pose(rng, 40.0)
        moving = Space([body("one", one), body("two", two)]).gap(0, 1, pose=turn)
        stood = Space([body("one", moved(one, turn)), body("two", two)]).gap(0, 1)
        assert moving is not None
        assert stood is not None
        assert moving.gap_mm == pytest.approx(stood.gap_mm, abs=EXACT_MM)


def test_what_bounds_no_body_is_refused() -> None:
    with pytest.raises(GeometryFault, match="one plane"):
        flat = Hull(points=np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0.0]]))
        Space([body("flat", flat), body("other", flat)]).gap(0, 1)
    with pytest.raises(GeometryFault, match="no axis"):
        Rod(start=(1, 1, 1), end=(1, 1, 1), radius_mm=3)
