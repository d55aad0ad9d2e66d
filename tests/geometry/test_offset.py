"""The cutter's path beside an outline, against shapely's buffer (a library of its own)."""

from __future__ import annotations

import math

import pytest
from drawing.part_cases import cases
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from generators.errors import GeometryFault
from generators.geometry.contours import area, circle, perimeter, polygon, polyline, rectangle
from generators.geometry.offset import offset_outward
from generators.model.contour import Contour, Vertex
from generators.sheetmetal.folding import flat_pattern

CASES = cases()
CHORD_MM = 1e-3


def agrees_with_shapely(contour: Contour, distance: float) -> None:
    moved = Polygon(polyline(offset_outward(contour, distance), CHORD_MM))
    buffered = Polygon(polyline(contour, CHORD_MM)).buffer(distance, quad_segs=100)
    assert moved.is_valid
    # both are within a chord of the exact curve
    assert moved.symmetric_difference(buffered).area < 3 * CHORD_MM * moved.length


@pytest.mark.parametrize("name", CASES)
def test_every_blank_s_path_is_shapely_s_buffer(name: str) -> None:
    agrees_with_shapely(flat_pattern(CASES[name]).contour, 0.4)


def test_a_square_by_hand() -> None:
    # sides move out, each corner is a quarter turn of the distance
    moved = offset_outward(rectangle(0, 0, 10, 20), 1.0)
    assert area(moved) == pytest.approx(10 * 20 + 60 * 1 + math.pi)
    assert perimeter(moved) == pytest.approx(60 + 2 * math.pi)
    assert sum(1 for p in moved.vertices if p.bulge) == 4


def test_a_circle_stays_one() -> None:
    moved = offset_outward(circle(3, 4, 20), 0.25)
    assert area(moved) == pytest.approx(math.pi / 4 * 20.5**2)
    assert [p.bulge for p in moved.vertices] == pytest.approx([1.0, 1.0])


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(5, 30), min_size=3, max_size=9),
    st.floats(0.05, 0.4),
    st.sampled_from((0.0, 0.8)),
)
def test_stars_with_sharp_and_round_corners(radii: list[float], distance: float, corner: float) -> None:
    count = len(radii)
    points = [
        (r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count))
        for i, r in enumerate(radii)
    ]
    try:
        contour = polygon(points, corner)
    except GeometryFault:
        return  # no such corner on so short a side
    if min(math.dist(points[i - 1], points[i]) for i in range(count)) < 4:
        return
    agrees_with_shapely(contour, distance)


def test_what_is_too_narrow_is_refused() -> None:
    # an inside corner of R 0.5 has no path 0.5 beside it
    notch = Contour(
        (
            Vertex(0, 0),
            Vertex(20, 0),
            Vertex(20, 10),
            Vertex(10.5, 10),
            Vertex(10.5, 5, -1.0),
            Vertex(9.5, 5),
            Vertex(9.5, 10),
            Vertex(0, 10),
        )
    )
    agrees_with_shapely(notch, 0.4)
    with pytest.raises(GeometryFault, match="inside radius"):
        offset_outward(notch, 0.5)
