"""Outlines of lines and arcs: closed forms, and shapely as a second opinion."""

from __future__ import annotations

import math

import pytest
from drawing.part_cases import cases
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from generators.errors import GeometryFault
from generators.geometry.contours import (
    Placement,
    arc_middle,
    arc_of,
    area,
    bounds,
    circle,
    counter_clockwise,
    perimeter,
    polygon,
    polyline,
    rectangle,
    segments,
    stadium,
    tidy,
    transformed,
)
from generators.model.contour import Contour, Vertex
from generators.sheetmetal.folding import flat_pattern

QUARTER = math.tan(math.pi / 8)
LENGTHS = st.floats(20, 200)
TURNS = st.floats(-math.pi, math.pi)
OUTLINES = [flat_pattern(plan).contour for plan in cases().values()] + [
    circle(3, -4, 25),
    stadium(10, 5, 7, 12, 0.4),
    polygon([(0, 0), (60, 5), (50, 40), (20, 20), (-5, 45)], [3, 6, 0, 5, 2]),
]


@given(LENGTHS, LENGTHS, st.floats(0, 9.9))
def test_rounded_rectangle(a: float, b: float, r: float) -> None:
    shape = rectangle(-3, 2, a - 3, b + 2, r)
    # four corners lose a square and gain a quarter disc each
    assert area(shape) == pytest.approx(a * b - (4 - math.pi) * r * r)
    assert perimeter(shape) == pytest.approx(2 * (a + b) - 8 * r + 2 * math.pi * r)
    assert bounds(shape) == pytest.approx((-3, 2, a - 3, b + 2))


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(0.5, 100))
def test_circle(u: float, v: float, d: float) -> None:
    shape = circle(u, v, d)
    assert area(shape) == pytest.approx(math.pi * d * d / 4)
    assert perimeter(shape) == pytest.approx(math.pi * d)
    assert bounds(shape) == pytest.approx((u - d / 2, v - d / 2, u + d / 2, v + d / 2))


@given(st.floats(1, 20), st.floats(0.1, 60), TURNS)
def test_stadium(width: float, travel: float, angle: float) -> None:
    shape = stadium(4, -7, width, travel, angle)
    assert area(shape) == pytest.approx(math.pi * width**2 / 4 + width * travel)
    assert perimeter(shape) == pytest.approx(math.pi * width + 2 * travel)
    c, s = abs(math.cos(angle)) * travel / 2 + width / 2, abs(math.sin(angle)) * travel / 2 + width / 2
    assert bounds(shape) == pytest.approx((4 - c, -7 - s, 4 + c, -7 + s))


def test_a_rounded_triangle_by_hand() -> None:
    # right triangle 30, 40, 50 with inscribed circle r = 10: rounding all corners to 10 gives the circle
    shape = polygon([(0, 0), (40, 0), (0, 30)], 10 - 1e-9)
    assert area(shape) == pytest.approx(math.pi * 100, abs=1e-6)
    assert bounds(shape) == pytest.approx((0, 0, 20, 20), abs=1e-6)


@pytest.mark.parametrize("shape", OUTLINES)
def test_shapely_agrees(shape: Contour) -> None:
    other = Polygon(polyline(shape, 1e-6))
    assert other.is_valid
    assert area(shape) == pytest.approx(other.area, rel=1e-6)
    assert perimeter(shape) == pytest.approx(other.length, rel=1e-6)
    assert bounds(shape) == pytest.approx(other.bounds, abs=1e-5)


@pytest.mark.parametrize("shape", OUTLINES)
@pytest.mark.parametrize("mirror", [False, True])
def test_moved_outlines_keep_their_measures(shape: Contour, mirror: bool) -> None:
    move = Placement(du=12.5, dv=-3.0, angle=0.7, mirror=mirror)
    moved = transformed(shape, move)
    assert area(moved) == pytest.approx(area(shape))  # positive: still counter-clockwise
    assert perimeter(moved) == pytest.approx(perimeter(shape))
    image = Polygon([move.apply(u, v) for u, v in polyline(shape, 0.001)])
    assert image.symmetric_difference(Polygon(polyline(moved, 0.001))).area < 0.01 * perimeter(shape)
    for a, b in segments(shape):
        if a.bulge:
            middle = move.apply(*arc_middle(a, b))
            found = [arc_middle(p, q) for p, q in segments(moved) if p.bulge]
            assert min(math.dist(middle, other) for other in found) < 1e-9


def test_a_mirror_by_hand() -> None:
    shape = Contour((Vertex(0, 0), Vertex(10, 0, QUARTER), Vertex(12, 2), Vertex(12, 6), Vertex(0, 6)))
    moved = transformed(shape, Placement(mirror=True))
    assert {(round(p.u, 9), round(p.v, 9)) for p in moved.vertices} == {
        (0, 0),
        (-10, 0),
        (-12, 2),
        (-12, 6),
        (0, 6),
    }
    rounded = next(p for p in moved.vertices if p.bulge)
    assert (rounded.u, rounded.v, rounded.bulge) == pytest.approx((-12, 2, QUARTER))


@given(TURNS, st.floats(-100, 100), st.floats(-100, 100))
def test_mirroring_twice_comes_home(angle: float, du: float, dv: float) -> None:
    shape = OUTLINES[-1]
    there = transformed(shape, Placement(du, dv, angle, mirror=True))
    # (u, v) -> turn(-u) + d, so back: mirror after undoing the shift and the turn
    home = transformed(
        transformed(transformed(there, Placement(-du, -dv)), Placement(angle=-angle)), Placement(mirror=True)
    )
    starts = {(round(p.u, 6), round(p.v, 6)) for p in shape.vertices}
    assert {(round(p.u, 6) + 0.0, round(p.v, 6) + 0.0) for p in home.vertices} == starts


def test_arc_from_its_bulge() -> None:
    # bulge tan(sweep/4): a quarter turn left from (10, 0) to (0, 10) about the origin
    arc = arc_of(Vertex(10, 0, QUARTER), Vertex(0, 10))
    assert (arc.cu, arc.cv, arc.radius, arc.start, arc.sweep) == pytest.approx(
        (0, 0, 10, 0, math.pi / 2), abs=1e-9
    )
    assert arc_middle(Vertex(10, 0, QUARTER), Vertex(0, 10)) == pytest.approx((math.sqrt(50), math.sqrt(50)))
    # to the right it bulges the other way, about (10, 10)
    right = arc_of(Vertex(10, 0, -QUARTER), Vertex(0, 10))
    assert (right.cu, right.cv, right.sweep) == pytest.approx((10, 10, -math.pi / 2))


@given(st.floats(0.05, 6.2), st.floats(1, 50), TURNS)
def test_arc_round_trip(sweep: float, radius: float, start: float) -> None:
    a = (radius * math.cos(start), radius * math.sin(start))
    b = (radius * math.cos(start + sweep), radius * math.sin(start + sweep))
    arc = arc_of(Vertex(*a, math.tan(sweep / 4)), Vertex(*b))
    assert (arc.cu, arc.cv) == pytest.approx((0, 0), abs=1e-6 * radius)
    assert (arc.radius, arc.sweep) == pytest.approx((radius, sweep), rel=1e-6)


def test_more_than_half_a_turn_reaches_round() -> None:
    # three quarters about the origin from (0, -5) to (-5, 0), closed by the chord
    shape = Contour((Vertex(0, -5, math.tan(3 * math.pi / 8)), Vertex(-5, 0)))
    assert bounds(shape) == pytest.approx((-5, -5, 5, 5))
    assert area(shape) == pytest.approx(0.75 * math.pi * 25 + 12.5)


def test_backwards_outlines_are_turned_round() -> None:
    clockwise = Contour((Vertex(0, 0), Vertex(0, 6), Vertex(12, 6), Vertex(12, 2, -QUARTER), Vertex(10, 0)))
    assert area(clockwise) < 0
    turned = counter_clockwise(clockwise)
    assert area(turned) == pytest.approx(-area(clockwise))
    assert counter_clockwise(turned) == turned
    assert (
        Polygon(polyline(turned, 1e-4)).symmetric_difference(Polygon(polyline(clockwise, 1e-4))).area < 1e-6
    )


def test_corners_too_round_for_their_sides_are_refused() -> None:
    with pytest.raises(GeometryFault, match=r"a side of 10\.000 mm cannot take"):
        rectangle(0, 0, 40, 10, 5.1)
    assert len(rectangle(0, 0, 40, 10, 5).vertices) == 6  # two half turns: the short sides are gone
    with pytest.raises(GeometryFault, match=r"a side of 0\.000 mm"):
        polygon([(0, 0), (10, 0), (10, 0), (0, 5)])


def test_vertices_on_top_of_each_other_go() -> None:
    kept = tidy([Vertex(0, 0), Vertex(0, 1e-9), Vertex(5, 0), Vertex(5, 5)])
    assert [(p.u, p.v) for p in kept.vertices] == [(0, 1e-9), (5, 0), (5, 5)]


def test_a_polyline_stays_within_its_tolerance() -> None:
    for tolerance in (1.0, 0.1, 0.001):
        points = polyline(circle(0, 0, 50), tolerance)
        middles = [
            ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            for a, b in zip(points, [*points[1:], points[0]], strict=True)
        ]
        assert all(0 <= 25 - math.hypot(*m) <= tolerance + 1e-9 for m in middles)
