"""Past a right angle: both ways to measure give one blank, and the drawing says which it uses."""

from __future__ import annotations

import math

import pytest
from drawing.part_cases import make
from hypothesis import given
from hypothesis import strategies as st

from generators.drawing.part.tables.bends import _past_square
from generators.sheetmetal.allowance import allowance, deduction, setback


@given(st.floats(91, 150), st.floats(0.5, 10), st.floats(0.5, 8), st.floats(0.3, 0.5))
def test_mould_line_and_tangent_give_one_blank(degrees: float, r: float, t: float, k: float) -> None:
    # DIN 6935 (R2+, opening angle <= 90: lengths to the outermost tangent): v = arc - 2 (r + s)
    a, flats = math.radians(degrees), (40.0, 25.0)
    to_tangent = [f + r + t for f in flats]
    din = sum(to_tangent) + allowance(a, r, t, k) - 2 * (r + t)
    to_mould_line = [f + setback(a, r, t) for f in flats]
    ours = sum(to_mould_line) - deduction(a, r, t, k)
    assert ours == pytest.approx(din)
    # the mould line lies further out than the metal does
    assert setback(a, r, t) > r + t


@pytest.mark.parametrize(("degrees", "said"), [(90, False), (120, True), (150, True)])
def test_a_drawing_past_a_right_angle_says_how_it_measures(degrees: float, said: bool) -> None:
    plan = make(
        "reservoir_bracket", angle_rad=math.radians(degrees), shelf_depth_mm=120.0, pattern_back_mm=70.0
    )
    words = " ".join(_past_square(plan))
    assert bool(words) is said
    if said:
        (bend,) = plan.bends
        r_t = bend.inside_radius_mm + plan.thickness_mm
        arc = math.radians(degrees) * (bend.inside_radius_mm + bend.k_factor * plan.thickness_mm)
        ours = 2 * r_t * math.tan(math.radians(degrees) / 2) - arc
        assert f"{ours:.2f} to there, {2 * r_t - arc:.2f} by DIN 6935" in words
        assert f"each length {r_t * (math.tan(math.radians(degrees) / 2) - 1):.2f} shorter" in words
