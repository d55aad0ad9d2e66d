"""Plane regions cut into convex polygons: nothing lost, nothing twice, nothing hollow."""

from __future__ import annotations

import math
import random

import pytest
import shapely
from shapely.geometry import Point, Polygon, box

from generators.space.convex import convex_polygons


def region(seed: int) -> shapely.geometry.base.BaseGeometry:
    rng = random.Random(seed)
    corners = [
        (rng.uniform(60, 120) * math.cos(t), rng.uniform(60, 120) * math.sin(t))
        for t in [2 * math.pi * k / 9 for k in range(9)]
    ]
    shape: shapely.geometry.base.BaseGeometry = Polygon(corners)
    for _ in range(rng.randint(0, 5)):
        hole = Point(rng.uniform(-80, 80), rng.uniform(-80, 80)).buffer(rng.uniform(3, 25), quad_segs=8)
        shape = shape.difference(hole)
    return shape


@pytest.mark.parametrize("seed", range(12))
def test_pieces_are_convex_and_make_the_region(seed: int) -> None:
    """Reference: shapely's union, area and convex hull."""
    whole = region(seed)
    pieces = [Polygon(corners) for corners in convex_polygons(whole)]
    for piece in pieces:
        assert piece.exterior.is_ccw
        assert piece.convex_hull.area == pytest.approx(piece.area, rel=1e-9)
    assert math.fsum(p.area for p in pieces) == pytest.approx(whole.area, rel=1e-9)
    assert shapely.unary_union(pieces).symmetric_difference(whole).area < 1e-6 * whole.area


def test_a_plate_with_one_round_hole_takes_few_pieces() -> None:
    """At most four times the least (Hertel and Mehlhorn 1983); no side of the hole shares a piece with another."""
    sides = 32
    plate = box(0, 0, 100, 60).difference(Point(40, 30).buffer(12, quad_segs=sides // 4))
    count = len(convex_polygons(plate))
    assert count <= 4 * sides
    assert count < len(shapely.constrained_delaunay_triangles(plate).geoms)
    assert len(convex_polygons(box(0, 0, 3, 4))) == 1


def test_what_has_no_area_gives_nothing() -> None:
    assert convex_polygons(Point(0, 0)) == []
    assert convex_polygons(Polygon()) == []
