"""The print map from three readings, against plane trigonometry and scipy's polar decomposition."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import polar

from generators.errors import GeometryFault
from generators.geometry.printing import PrintMap, fitted_print, scale_test, worst_distance

maps = st.builds(
    PrintMap,
    x_scale=st.floats(0.97, 1.03),
    y_scale=st.floats(0.97, 1.03),
    skew_rad=st.floats(-0.015, 0.015),
)


def _readings(print_map, test):
    """The printed triangle measured corner to corner: plain distances, no formula of ours."""
    corners = np.array([(0, 0), (test.across_mm, 0), (test.across_mm, test.up_mm)])
    a, b, c = corners @ print_map.matrix().T
    return math.dist(a, b), math.dist(b, c), math.dist(a, c)


@given(maps)
def test_readings_of_a_printed_triangle_give_its_print_map(print_map):
    test = scale_test(210, 297)
    found = fitted_print(test, *_readings(print_map, test))
    assert found.x_scale == pytest.approx(print_map.x_scale, abs=1e-9)
    assert found.y_scale == pytest.approx(print_map.y_scale, abs=1e-9)
    assert found.skew_rad == pytest.approx(print_map.skew_rad, abs=1e-9)


@given(maps, st.booleans())
def test_drawn_the_opposite_way_wrong_comes_out_true(print_map, lying):
    both = print_map.matrix(lying=lying) @ print_map.compensation(lying=lying)
    assert both == pytest.approx(np.eye(2), abs=1e-12)


@given(maps)
def test_a_lying_page_is_stretched_as_the_paper_under_it(print_map):
    # scipy's polar decomposition: the stretches of a linear map do not depend on how the page lies
    for side in ("left", "right"):
        upright = np.linalg.eigvalsh(polar(print_map.matrix(), side)[1])
        lying = np.linalg.eigvalsh(polar(print_map.matrix(lying=True), side)[1])
        assert lying == pytest.approx(upright, abs=1e-12)
    # across the paper is along the v of a page that lies on it
    assert np.linalg.norm(print_map.matrix(lying=True)[:, 1]) == pytest.approx(print_map.x_scale)


@pytest.mark.parametrize(
    ("paper", "across", "up"), [((210, 297), 180, 240), ((215.9, 279.4), 165, 220), ((297, 420), 270, 360)]
)
def test_the_triangle_is_3_4_5_and_fits_inside_the_margins(paper, across, up):
    test = scale_test(*paper)
    assert (test.across_mm, test.up_mm) == (across, up)
    assert test.diagonal_mm * 3 == pytest.approx(across * 5, abs=1e-9)
    assert across <= paper[0] - 20
    assert up <= paper[1] - 20


@pytest.mark.parametrize(
    ("readings", "name", "why"),
    [
        ((170.0, 240.0, 300.0), "across", "more than 5 %"),
        ((4572.0, 240.0, 300.0), "across", "millimetres given as inches"),
        ((180.0, 240.0 / 25.4, 300.0), "up", "inches given as mm"),
        ((180.0, 240.0, 30.0), "diagonal", "cm given as mm"),
        ((240.0, 180.0, 300.0), "across", "two readings changed places"),
        ((180.0, 240.0, 312.0), "diagonal", "no printer is that crooked"),
    ],
)
def test_readings_that_cannot_be_are_refused_by_name(readings, name, why):
    with pytest.raises(GeometryFault, match=why) as caught:
        fitted_print(scale_test(210, 297), *readings)
    assert caught.value.parameter == name


def test_just_inside_five_percent_is_taken():
    assert fitted_print(scale_test(210, 297), 171.1, 228.1, 285.1).x_scale == pytest.approx(
        0.950556, abs=1e-6
    )


def test_askew_paper_lengthens_one_diagonal_on_the_cab_face_and_the_other_on_the_engine_face():
    # up leaning right by 0.02: the diagonal (300, 400) grows by 300·400/500·sin 0.02, its mirror image shrinks
    askew = PrintMap(skew_rad=0.02)
    for points in ([(0, 0), (300, 400)], [(0, 400), (300, 0)]):
        errors = [
            worst_distance(np.array(p, dtype=float), askew)[2] for p in (points, [(-u, v) for u, v in points])
        ]
        assert errors[0] == pytest.approx(errors[1], abs=1e-12)
        by_hand = math.sqrt(500**2 + 2 * 300 * 400 * math.sin(0.02)) - 500
        assert abs(errors[0]) == pytest.approx(by_hand, rel=0.02)


def test_the_worst_distance_is_found_by_looking_at_all():
    points = np.array([(0, 0), (100, 0), (0, 400), (30, 30)], dtype=float)
    i, j, error = worst_distance(points, PrintMap(x_scale=1.0, y_scale=0.97))
    assert {i, j} == {0, 2}
    assert error == pytest.approx(-12.0)  # 3 % of 400 mm
