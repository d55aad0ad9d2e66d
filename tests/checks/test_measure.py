"""Distances against hand values and against fine polygons of the same outlines."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from generators.checks.measure import depth_inside, line_to_line, near_pairs, spine_distance
from generators.geometry.contours import circle, polyline, rectangle, segments, stadium
from generators.model.contour import Contour

ROUNDED = rectangle(-30, -20, 30, 20, 8)
SLOT = stadium(5, -3, 20, 30, 0.7)
coordinate = st.floats(-60, 60)


@pytest.mark.parametrize(
    ("u", "v", "depth"),
    [
        (0, 0, 20),
        (0, 25, -5),
        (22, 12, 8),  # the centre of a corner's arc
        (22 + 3 / math.sqrt(2), 12 + 3 / math.sqrt(2), 5),  # 3 along its diagonal
        (30, 20, -(8 * math.sqrt(2) - 8)),  # the sharp corner that was rounded off
    ],
)
def test_depth_in_a_rounded_rectangle(u: float, v: float, depth: float) -> None:
    found = depth_inside(np.array([u], dtype=float), np.array([v], dtype=float), ROUNDED)
    assert found[0] == pytest.approx(depth, abs=1e-12)


def test_depth_at_the_centre_of_a_circle() -> None:
    found = depth_inside(np.array([7.0, 7.0]), np.array([3.0, 15.0]), circle(7, 3, 20))
    assert found == pytest.approx([10.0, -2.0], abs=1e-12)


@given(coordinate, coordinate, st.sampled_from([ROUNDED, SLOT]))
def test_depth_agrees_with_a_fine_polygon(u: float, v: float, contour: Contour) -> None:
    fine = Polygon(polyline(contour, 1e-5))
    found = depth_inside(np.array([u]), np.array([v]), contour)[0]
    away = fine.exterior.distance(Point(u, v))
    assert abs(found) == pytest.approx(away, abs=2e-5)
    if away > 0.01:
        assert (found > 0) == fine.contains(Point(u, v))


@given(coordinate, coordinate, coordinate, coordinate, st.sampled_from([ROUNDED, SLOT]))
@settings(max_examples=200)
def test_spine_distance_agrees_with_a_fine_polygon(
    au: float, av: float, bu: float, bv: float, contour: Contour
) -> None:
    fine = Polygon(polyline(contour, 1e-5)).exterior
    found = spine_distance((au, av), (bu, bv), segments(contour))
    line = Point(au, av) if (au, av) == (bu, bv) else LineString([(au, av), (bu, bv)])
    assert found == pytest.approx(fine.distance(line), abs=1e-4)


def test_spine_distance_without_edges_is_infinite() -> None:
    assert spine_distance((0, 0), (1, 1), []) == math.inf


@pytest.mark.parametrize(
    ("lines", "distance"),
    [
        (((0, 0), (10, 0), (5, -5), (5, 5)), 0.0),  # crossing
        (((0, 0), (10, 0), (0, 4), (10, 4)), 4.0),  # side by side
        (((0, 0), (10, 0), (13, 4), (20, 4)), 5.0),  # 3, 4, 5 from the ends
        (((0, 0), (0, 0), (3, 4), (3, 4)), 5.0),  # two points
    ],
)
def test_line_to_line(lines: tuple[tuple[float, float], ...], distance: float) -> None:
    assert line_to_line(*lines) == pytest.approx(distance)


@given(
    st.lists(st.tuples(coordinate, coordinate, st.floats(0.1, 15)), min_size=0, max_size=25),
)
def test_near_pairs_misses_none(points: list[tuple[float, float, float]]) -> None:
    u, v, reach = (np.array([p[k] for p in points], dtype=float) for k in range(3))
    i, j, apart = near_pairs(u, v, reach)
    found = set(zip(i.tolist(), j.tolist(), strict=True))
    assert len(found) == len(i)
    for a in range(len(points)):
        for b in range(a + 1, len(points)):
            distance = math.dist(points[a][:2], points[b][:2])
            if distance < (reach[a] + reach[b]) * (1 - 1e-12):
                assert (a, b) in found
    for a, b, d in zip(i, j, apart, strict=True):
        assert d == pytest.approx(math.dist(points[a][:2], points[b][:2]), abs=1e-9)
