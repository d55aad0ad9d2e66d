"""Which cuts of a flat DXF are closed contours, and what is said of those that are not."""

from __future__ import annotations

import math
from collections.abc import Callable

import ezdxf
import pytest
from ezdxf.layouts import Modelspace

from generators.geometry.contours import area, bounds
from generators.verify.dxf.cut_contours import CutLayer, read_cuts


def cut_layer(*made: Callable[[Modelspace], object]) -> CutLayer:
    doc = ezdxf.new()
    for make_one in made:
        make_one(doc.modelspace())
    return read_cuts(doc.modelspace())


def line(start: tuple[float, float], end: tuple[float, float]) -> Callable[[Modelspace], object]:
    return lambda msp: msp.add_line(start, end)


def arc(radius: float, start_deg: float, end_deg: float) -> Callable[[Modelspace], object]:
    """About (100, 0); DXF arcs run counter-clockwise from start to end (DXF reference, ARC)."""
    return lambda msp: msp.add_arc((100.0, 0.0), radius, start_deg, end_deg)


TRIANGLE = (line((0, 0), (30, 0)), line((30, 0), (30, 40)), line((30, 40), (0, 0)))


def test_three_cuts_that_meet() -> None:
    closed = cut_layer(*TRIANGLE)
    assert (closed.problems, closed.open_ends, len(closed.contours)) == ((), 0, 1)
    # a line from a corner into the waste: three cuts at that corner, one open end
    spur = cut_layer(*TRIANGLE, line((30, 0), (60, 0)))
    assert "3 cuts meet at (30.000, 0.000)" in spur.problems
    assert "open contour: a cut ends at (60.000, 0.000)" in spur.problems
    assert spur.open_ends == 1
    # two triangles that share a corner: four
    other = (line((30, 0), (60, 0)), line((60, 0), (60, -9)), line((60, -9), (30, 0)))
    both = cut_layer(*TRIANGLE, *other)
    assert [p for p in both.problems if "meet" in p] == ["4 cuts meet at (30.000, 0.000)"]
    assert both.open_ends == 0


def test_an_arc_through_zero_degrees_is_the_short_way() -> None:
    # From 300° over 0° to 60° of radius 50, closed by its chord: a segment of 120°, area r²/2 (2π/3 - sin 120°)
    # (closed form). The other way round it would be 240°.
    x, y = 100 + 50 * math.cos(math.radians(60)), 50 * math.sin(math.radians(60))
    layer = cut_layer(arc(50, 300, 60), line((x, y), (x, -y)))
    assert layer.problems == ()
    (contour,) = layer.contours
    segment = 50**2 / 2 * (2 * math.pi / 3 - math.sin(math.radians(120)))
    assert abs(area(contour)) == pytest.approx(segment, rel=1e-12)
    # it reaches its rightmost point at 0°
    assert bounds(contour) == pytest.approx((x, -y, 150.0, y), abs=1e-9)


@pytest.mark.parametrize(
    ("first", "second", "overlapping"),
    [
        ((300, 60), (350, 370), True),  # both over 0°
        ((300, 60), (10, 100), True),  # shared from 10° to 60°, one of them over 0°
        ((300, 60), (200, 310), True),
        ((350, 20), (10, 30), True),
        ((170, 210), (190, 260), True),  # over 180°, where angles change sign
        ((190, 260), (170, 210), True),
        ((170, 185), (190, 260), False),
        ((300, 60), (60, 100), False),  # they meet in one point
        ((300, 60), (100, 300), False),
        ((300, 350), (10, 60), False),
        ((10, 60), (300, 350), False),
    ],
)
def test_arcs_that_lie_on_each_other(
    first: tuple[float, float], second: tuple[float, float], overlapping: bool
) -> None:
    # two segments of one circle, each with its own chord
    def segment(start: float, end: float) -> Callable[[Modelspace], object]:
        sweep = math.radians((end - start) % 360)
        ends = [(100 + 50 * math.cos(math.radians(d)), 50 * math.sin(math.radians(d))) for d in (start, end)]
        points = [(*ends[0], math.tan(sweep / 4)), (*ends[1], 0.0)]
        return lambda msp: msp.add_lwpolyline(points, format="xyb", close=True)

    text = "\n".join(cut_layer(segment(*first), segment(*second)).problems)
    assert ("overlapping cuts" in text) is overlapping


def test_loose_cuts_that_end_where_they_begin() -> None:
    dot = cut_layer(*TRIANGLE, line((9, 9), (9, 9)))
    assert dot.problems == ("a cut of no length at (9.000, 9.000)",)
    assert len(dot.contours) == 1
    # a circle drawn as an arc all round
    ring = cut_layer(*TRIANGLE, arc(5, 0, 360))
    assert ring.problems == ("an arc of 360° at (105.000, 0.000): a closed cut must be a circle",)
    assert len(ring.contours) == 1


def test_two_lines_that_go_forth_and_back_are_told() -> None:
    there_and_back = cut_layer(*TRIANGLE, line((50, 0), (60, 0)), line((60, 0), (50, 0)))
    assert "duplicate line from (60.000, 0.000) to (50.000, 0.000)" in there_and_back.problems


def test_a_cut_beyond_a_kilometre_is_none() -> None:
    assert cut_layer(*TRIANGLE, line((0, 0), (1.1e6, 0))).problems == (
        "LINE with a number no sheet can have",
    )
    assert cut_layer(lambda msp: msp.add_circle((0, 0), 1.1e6)).problems == (
        "CIRCLE with a number no sheet can have",
    )
    assert cut_layer(lambda msp: msp.add_circle((0, 0), 0.9e6)).problems == ()


def test_a_polyline_closed_by_its_ends_alone() -> None:
    square = [(0, 0), (9, 0), (9, 9), (0, 9), (0, 0)]
    layer = cut_layer(lambda msp: msp.add_lwpolyline(square))
    assert (layer.problems, layer.open_ends, len(layer.contours)) == ((), 0, 1)
    assert len(layer.contours[0].vertices) == 4
    ajar = cut_layer(lambda msp: msp.add_lwpolyline([*square[:-1], (0, 1e-3)]))
    assert ajar.open_ends == 2


@pytest.mark.parametrize(("sides", "round_one"), [(7, False), (8, True), (36, True)])
def test_a_circle_of_straight_sides(sides: int, round_one: bool) -> None:
    points = [
        (9 * math.cos(2 * math.pi * k / sides), 9 * math.sin(2 * math.pi * k / sides)) for k in range(sides)
    ]
    problems = cut_layer(lambda msp: msp.add_lwpolyline(points, close=True)).problems
    assert any(f"a circle of {sides} straight sides" in p for p in problems) is round_one
