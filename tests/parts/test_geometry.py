"""Kinds by hand calculation: where holes end up in space, and what cannot be made."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts.plans_in_space import in_space, plan_of

from generators.errors import GeometryFault, LookupFault
from generators.geometry.contours import area, rectangle, segments
from generators.model.plan import Flange, Slot
from generators.parts.building.channel import cheek_contour
from generators.parts.building.openings import bore, require_inside
from generators.sheetmetal.folding import flat_pattern, folded_frames


def test_pivot_bores_share_one_axis_where_the_spec_puts_it() -> None:
    holes = in_space(plan_of("pedal_hanger", pivot_up_mm=55.0, pivot_out_mm=102.0, inside_width_mm=80.0))
    left, right = holes["pivot_left"], holes["pivot_right"]
    # lower side of each cheek is its outside: 80/2 + 3 from the middle
    assert left == pytest.approx([-43.0, 55.0, 102.0])
    assert right == pytest.approx([43.0, 55.0, 102.0])


def test_reservoir_shelf_distance_is_to_the_outside_face() -> None:
    holes = in_space(
        plan_of("reservoir_bracket", pattern_back_mm=48.0, base_height_mm=60.0, mount_height_mm=20.0)
    )
    # lower side of the shelf at 90 deg is its outside: 60 - 20 above the bolts
    assert holes["reservoir_1"] == pytest.approx([-25.0, 40.0, 48.0])


def test_shelf_at_sixty_degrees_by_trigonometry() -> None:
    a, t, r, shelf = math.radians(60), 3.0, 3.0, 80.0
    plan = plan_of(
        "reservoir_bracket", angle_rad=a, shelf_depth_mm=shelf, base_height_mm=60.0, mount_height_mm=20.0
    )
    frame = folded_frames(plan)["shelf"]
    flat = shelf - math.tan(a / 2) * (t + r)
    end = (frame @ np.array([0.0, flat, 0.0, 1.0]))[:3]
    # outside mould lines meet 40 above the bolts; the shelf runs 80 from there at 60 degrees
    assert end[1] == pytest.approx(40.0 + shelf * math.cos(a))
    assert end[2] == pytest.approx(shelf * math.sin(a))


@given(
    length=st.floats(60, 250),
    along=st.floats(0.1, 0.9),
    out=st.floats(40, 200),
    boss=st.floats(8, 30),
    square=st.just(0.0) | st.floats(0.1, 40),
)
def test_cheek_sides_are_tangent_to_the_round_end(
    length: float, along: float, out: float, boss: float, square: float
) -> None:
    pivot = (length * along, out)
    try:
        contour = cheek_contour(length, pivot, boss, square)
    except GeometryFault:
        assert (
            out - boss < 0.5 or min(math.dist(pivot, (0, 0)), math.dist(pivot, (length, 0))) <= boss * 1.001
        )
        return
    assert area(contour) > 0
    for a, b in segments(contour):
        if a.bulge or a.v == b.v == 0:
            continue
        if a.u == b.u and a.u in (0.0, length) and min(a.v, b.v) == 0:
            # beside the bend the sides stand square to it, as far as asked or as the round end lets them
            most = out - math.sqrt(max(0.0, (1.001 * boss) ** 2 - (pivot[0] - a.u) ** 2))
            assert max(a.v, b.v) == pytest.approx(min(square, most), abs=1e-9)
            continue
        run = math.dist((a.u, a.v), (b.u, b.v))
        distance = abs((b.u - a.u) * (a.v - pivot[1]) - (b.v - a.v) * (a.u - pivot[0])) / run
        assert distance == pytest.approx(boss, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "parameters", "parameter", "words"),
    [
        ("pedal_hanger", {"tab_width_mm": 84.0}, "tab_width", "corner relief"),
        ("pedal_hanger", {"pivot_out_mm": 25.0}, "pivot_out", "reaches the bend"),
        ("pedal_hanger", {"inside_width_mm": 30.0, "mount_spacing_mm": 40.0}, "tab_width", "relief"),
        ("pedal_hanger", {"tab_length_mm": 5.0}, "tab_length", "nothing of the tab"),
        ("pedal_hanger", {"mount_top_mm": 110.0}, "", "does not lie whole"),
        ("pedal_hanger", {"master_spacing_mm": 34.0}, "", "run into each other"),
        # 5/2 + 9/2 mm from the bore's middle: the rims meet in one point, found by the property test
        ("pedal_hanger", {"master_bore_mm": 5.0, "master_spacing_mm": 14.0}, "", "run into each other"),
        ("reservoir_bracket", {"angle_rad": math.radians(120), "base_height_mm": 25.0, "mount_height_mm": 13.0},
         "", "does not lie whole"),
        ("fitting_plate", {"spacing_mm": 10.0}, "", "run into each other"),
        ("fitting_plate", {"height_mm": 20.0, "corner_radius_mm": 30.0}, "", "corner radii"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_said(name: str, parameters: dict, parameter: str, words: str) -> None:
    with pytest.raises(GeometryFault, match=words) as caught:
        plan_of(name, **parameters)
    assert caught.value.parameter == parameter


@pytest.mark.parametrize(("apart_mm", "good"), [(9.99, False), (10.0, False), (10.02, True)])
@pytest.mark.parametrize("long", [False, True], ids=["round", "slot"])
def test_openings_that_overlap_by_a_hundredth_run_into_each_other(
    apart_mm: float, good: bool, long: bool
) -> None:
    # 3.6 degrees is half way between two corners of the polygons, whose sides there leave 0.02 mm
    turn = math.radians(3.6)
    u, v = apart_mm * math.cos(turn), apart_mm * math.sin(turn)
    first = bore("a", 0.0, 0.0, diameter_mm=10.0, purpose="test")
    other = bore("b", u, v, diameter_mm=10.0, purpose="test")
    slot = Slot(
        name="b",
        u_mm=u + 10 * math.cos(turn),
        v_mm=v + 10 * math.sin(turn),
        width_mm=10.0,
        travel_mm=20.0,
        angle_rad=turn,
        purpose="test",
        fitting=first.fitting,
    )
    openings = {"holes": (first,), "slots": (slot,)} if long else {"holes": (first, other)}
    plan = replace(
        plan_of("fitting_plate"),
        flanges=(Flange(name="plate", contour=rectangle(-20.0, -20.0, 60.0, 20.0), **openings),),
    )
    if good:
        assert require_inside(plan) is plan
    else:
        with pytest.raises(GeometryFault, match="'a' and 'b' run into each other"):
            require_inside(plan)


def test_unknown_dash_and_thread_are_looked_up_not_guessed() -> None:
    with pytest.raises(LookupFault):
        plan_of("fitting_plate", dash=7)
    with pytest.raises(LookupFault):
        plan_of("reservoir_bracket", pattern_thread="M7")


def test_corner_relief_keeps_the_bends_apart() -> None:
    plan = plan_of("pedal_hanger")
    bends = {b.name: b for b in plan.bends}
    gap = bends["tab"].start[1] - bends["right"].end[1]
    # FAA-H-8083-31 ch. 4: at least 3/16 in for sheet from .072 to .128 in; 3 mm is .118 in
    assert gap == pytest.approx(25.4 * 3 / 16)
    assert len(flat_pattern(plan).bends) == 3
