"""Doublers: outlines by hand, the panel's edge followed, fasteners by the rivet rules."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from generators.errors import GeometryFault
from generators.geometry.contours import bounds, polygon, polyline, rectangle
from generators.geometry.hull import box_round, cropped_round
from generators.model.plan import Fitting, PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.model.under import HoleUnder, PanelUnder, PartUnder
from generators.parts import kind_named
from generators.parts.building.rim import anchors, evenly, moved_clear
from generators.sheetmetal.allowance import bend_rule

WIDE = rectangle(-500.0, -500.0, 500.0, 500.0)
RULE = bend_rule(Shop(), "1008 steel", 2.0, None)


def hole(name: str, u: float, v: float, d: float = 9.0, **more: Any) -> HoleUnder:
    values: dict[str, Any] = {
        "number": "1",
        "pilot_dia_mm": 3.0,
        "status": "drill",
        "owners": (name.partition(".")[0],),
        "purpose": "test",
        "fitting": Fitting(kind="bore", label="a bore"),
    }
    return HoleUnder(name=name, u_mm=u, v_mm=v, diameter_mm=d, **{**values, **more})


def under(*holes: HoleUnder, **more: Any) -> PanelUnder:
    values: dict[str, Any] = {"contour": WIDE, "face": "cab", "thickness_mm": 1.2}
    return PanelUnder(panel="wall", holes=holes, **{**values, **more})


def made(panel: PanelUnder, **parameters: Any) -> PartPlan:
    kind = kind_named("doubler")
    spec = PartSpec(
        name="d",
        kind="doubler",
        material="1008 steel",
        thickness_mm=2.0,
        parameters=kind.parameters(**parameters),
    )
    assert kind.plan_on is not None
    return kind.plan_on(spec, RULE, panel)


def outline(plan: PartPlan) -> Polygon:
    return Polygon(polyline(plan.flanges[0].contour, 0.001))


def rim(plan: PartPlan) -> list[tuple[float, float]]:
    return [(h.u_mm, h.v_mm) for h in plan.flanges[0].holes if h.mates]


def test_a_rectangle_round_two_holes_by_hand() -> None:
    plan = made(under(hole("a", -50, 10, 9.0), hole("b", 60, -20, 31.0)), shape="rectangular", margin_mm=25.0)
    # left 50 + 4.5 + 25, right 60 + 15.5 + 25, lower 20 + 40.5, upper 10 + 29.5
    assert bounds(plan.flanges[0].contour) == pytest.approx((-79.5, -60.5, 100.5, 39.5))
    assert plan.doubler
    openings = {h.name: (h.u_mm, h.v_mm, h.diameter_mm) for h in plan.flanges[0].holes if not h.mates}
    assert openings == {"a": (-50, 10, 9.0), "b": (60, -20, 31.0)}


def test_cropped_round_one_hole_is_a_regular_octagon() -> None:
    corners = cropped_round([(0.0, 0.0, 40.0)], 10.0)
    assert len(corners) == 8
    sides = [math.dist(p, corners[i - 1]) for i, p in enumerate(corners)]
    # side of a regular octagon 80 across flats: 80 (sqrt 2 - 1)
    assert sides == pytest.approx([80 * (math.sqrt(2) - 1)] * 8)
    assert len(cropped_round([(0.0, 0.0, 12.0)], 10.0)) == 4  # crops of 9.94 mm are not worth a cut


@given(
    st.lists(st.tuples(st.floats(-200, 200), st.floats(-200, 200), st.floats(5, 60)), min_size=1, max_size=12)
)
@settings(max_examples=50)
def test_hulls_hold_their_circles_and_touch_them(circles: list[tuple[float, float, float]]) -> None:
    box, cropped = Polygon(box_round(circles)), Polygon(cropped_round(circles, 10.0))
    discs = [Point(u, v).buffer(r, quad_segs=64) for u, v, r in circles]
    assert all(cropped.buffer(1e-6).contains(disc) for disc in discs)
    assert box.buffer(1e-6).contains(cropped)
    # shapely's own hull of the discs is the least convex outline there is
    assert min(cropped.exterior.distance(disc) for disc in discs) < 1e-6


def test_the_plate_follows_the_panels_edge_at_its_margin() -> None:
    # the panel's upper right corner is cut off; the plate would reach past both edges
    edge = polygon([(-300, -300), (60, -300), (60, 0), (20, 40), (-300, 40)])
    plan = made(
        under(hole("a", 0, 0, 20.0), contour=edge),
        shape="rectangular",
        margin_mm=45.0,
        edge_margin_mm=10.0,
        corner_radius_mm=0.0,
    )
    corners = {(round(v.u, 6), round(v.v, 6)) for v in plan.flanges[0].contour.vertices}
    # 10 mm off u = 60, off v = 40, and off the cut u + v = 60: u + v = 60 - 10 sqrt 2
    k = 60 - 10 * math.sqrt(2)
    wanted = {(-55.0, -55.0), (50.0, -55.0), (50.0, k - 50), (k - 30, 30.0), (-55.0, 30.0)}
    assert corners == {(round(u, 6), round(v, 6)) for u, v in wanted}
    gap = Polygon(polyline(edge)).exterior.distance(outline(plan))
    assert gap == pytest.approx(10.0)


def test_holes_are_chosen_by_name_by_part_or_all_new_ones() -> None:
    panel = under(
        hole("bracket.m_1", -60, 0),
        hole("bracket.m_2", 60, 0),
        hole("line", 0, -90),
        hole("old", 200, 200, status="datum", owners=("existing",)),
        hole("gone", 0, 200, status="blank", owners=("existing",)),
    )

    def names(*chosen: str) -> set[str]:
        plan = made(panel, holes=chosen)
        return {h.name for h in plan.flanges[0].holes if not h.mates}

    assert names("bracket") == {"bracket_m_1", "bracket_m_2"}
    assert names("bracket.m_2") == {"bracket_m_2"}
    assert names("bracket", "line", "bracket.m_1") == {"bracket_m_1", "bracket_m_2", "line"}
    assert names("old") == {"old"}
    assert names() == {"bracket_m_1", "bracket_m_2", "line"}
    for chosen, words in ((("nobody",), "it has bracket.m_1"), (("gone",), "to be closed")):
        with pytest.raises(GeometryFault, match=words) as caught:
            made(panel, holes=chosen)
        assert caught.value.parameter == "holes"


def test_openings_may_be_wider() -> None:
    plan = made(under(hole("a", 0, 0, 20.0)), opening_clearance_mm=1.5)
    opening = plan.flanges[0].holes[0]
    assert opening.diameter_mm == 21.5
    assert not opening.mates


@pytest.mark.parametrize(("fastener", "size"), [("bolt", 5.5), ("rivet", 4.1)])
def test_rim_fasteners_keep_edge_and_pitch(fastener: str, size: float) -> None:
    """AC 43.13-1B 4-57c: edge 2 D; NAVEDTRA 14018: pitch never under 3 D. M5 medium 5.5 (ISO 273)."""
    plan = made(under(hole("a", 0, 0, 32.0)), fastener=fastener, margin_mm=40.0, pitch_mm=30.0)
    places = rim(plan)
    own = [h.diameter_mm for h in plan.flanges[0].holes if h.mates]
    assert own == pytest.approx([size] * len(places))
    edge = min(outline(plan).exterior.distance(Point(p)) for p in places)
    assert edge == pytest.approx(2 * size, abs=0.01)
    gaps = [math.dist(p, places[i - 1]) for i, p in enumerate(places)]
    assert max(gaps) <= 30.0 + 1e-9
    assert min(gaps) >= 3 * size


def test_rivets_say_how_long_they_are() -> None:
    plan = made(under(hole("a", 0, 0, 32.0)), fastener="rivet", margin_mm=40.0, pitch_mm=30.0, rivet_mm=4.0)
    # grip 2 + 1.2, solid rivet grip + 1.5 D (NAVEDTRA 14018; AC 43.13-1B 4-58g)
    assert any("grip 3.2 mm" in note and "9.2 mm long" in note for note in plan.notes)
    with pytest.raises(GeometryFault, match="12") as caught:
        made(under(hole("a", 0, 0, 32.0)), fastener="rivet", rivet_mm=4.0, pitch_mm=12.0)
    assert caught.value.parameter == "pitch"


def test_fasteners_step_aside_for_what_is_there_and_keep_out_from_under_parts() -> None:
    plain = rim(made(under(hole("a", 0, 0, 40.0)), holes=("a",), shape="rectangular", margin_mm=40.0))
    at = next(p for p in plain if p[0] == max(q[0] for q in plain) and abs(p[1]) < 1)
    other = hole("b", at[0], at[1], 9.0, owners=("panel",))
    moved = rim(made(under(hole("a", 0, 0, 40.0), other), holes=("a",), shape="rectangular", margin_mm=40.0))
    # half of both holes and the 4 mm of metal two sheets of 2 mm want
    assert min(math.dist(p, at) for p in moved) >= (9.0 + 5.5) / 2 + 4.0
    cover = PartUnder(name="box", near=False, contour=rectangle(at[0] - 8, at[1] - 8, at[0] + 8, at[1] + 8))
    moved = rim(
        made(under(hole("a", 0, 0, 40.0), parts=(cover,)), holes=("a",), shape="rectangular", margin_mm=40.0)
    )
    # M5: nut 8 mm across flats, 9.24 across corners
    assert min(Polygon(polyline(cover.contour)).distance(Point(p)) for p in moved) >= 9.23 / 2


def test_no_room_is_a_fault_with_its_parameter() -> None:
    one = hole("a", 0, 0, 20.0)
    cases = [
        ({}, under(one, contour=rectangle(-12, -12, 12, 12)), "edge_margin"),
        ({"margin_mm": 8.0}, under(one), "margin"),
        ({"pitch_mm": 6.0}, under(one), "pitch"),
        ({}, under(), "holes"),
    ]
    for parameters, panel, parameter in cases:
        with pytest.raises(GeometryFault) as caught:
            made(panel, **{"edge_margin_mm": 12.5, **parameters})
        assert caught.value.parameter == parameter, parameters


def test_rim_helpers() -> None:
    square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    assert anchors(square, 20.0) == square
    assert anchors([(0.0, 0.0), (100.0, 0.0), (100.0, 10.0), (0.0, 100.0)], 20.0) == [
        (0.0, 0.0),
        (100.0, 5.0),
        (0.0, 100.0),
    ]
    spread = evenly(square, 34.0, 10.0)
    assert len(spread) == 12
    assert spread[1] == pytest.approx((100 / 3, 0.0))
    stuck, lost = moved_clear(spread, lambda p: p[0] > -1 and p[1] > 0.5, 5.0, 10.0)
    assert lost == 1  # the corner slides up the left side; the next has no way off the lower one
    assert stuck[0] == pytest.approx((0.0, 1.0))


@st.composite
def any_panel(draw: st.DrawFn) -> tuple[PanelUnder, dict[str, Any]]:
    """A panel of any simple outline with some holes, and parameters anywhere."""
    width, height = draw(st.floats(220, 900)), draw(st.floats(220, 900))
    notch = draw(st.floats(0.5, 0.9)) * width, draw(st.floats(0.05, 0.9)) * height
    corners = [
        (0.0, 0.0),
        (width, 0.0),
        (width, notch[1]),
        (notch[0], notch[1]),
        (notch[0], height),
        (0.0, height),
    ]
    # most holes where a plate can be, left of the notch
    spot = st.tuples(st.floats(45, notch[0] - 45), st.floats(45, height - 45))
    spots = draw(st.lists(spot, min_size=1, max_size=5))
    spots += draw(st.lists(st.tuples(st.floats(0, width), st.floats(0, height)), max_size=1))
    holes = [hole(f"h_{i}", u, v, draw(st.sampled_from((4.5, 9.0, 32.0)))) for i, (u, v) in enumerate(spots)]
    parameters = {
        "holes": tuple(draw(st.sets(st.sampled_from([h.name for h in holes]), min_size=1, max_size=2))),
        "shape": draw(st.sampled_from(("cropped", "rectangular"))),
        "margin_mm": draw(st.floats(8, 150)),
        "edge_margin_mm": draw(st.floats(0, 25)),
        "corner_radius_mm": draw(st.floats(0, 50)),
        "fastener": draw(st.sampled_from(("bolt", "rivet"))),
        "pitch_mm": draw(st.floats(20, 200)),
    }
    return under(*holes, contour=polygon(corners)), parameters


def check_any(examples: int, seeded: bool) -> None:
    built = []

    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        derandomize=seeded,
        suppress_health_check=[HealthCheck.too_slow],
    )
    @given(any_panel())
    def run(drawn: tuple[PanelUnder, dict[str, Any]]) -> None:
        panel, parameters = drawn
        try:
            plan = made(panel, **parameters)
        except GeometryFault as fault:
            assert str(fault)
            return
        built.append(plan)
        shape, room = outline(plan), Polygon(polyline(panel.contour))
        assert shape.is_valid
        assert room.buffer(1e-6).contains(shape)
        assert room.exterior.distance(shape) >= parameters["edge_margin_mm"] - 1e-3
        for opening in plan.flanges[0].holes:
            disc = Point(opening.u_mm, opening.v_mm).buffer(opening.diameter_mm / 2)
            assert shape.contains(disc)
        places = rim(plan)
        own = next(h.diameter_mm for h in plan.flanges[0].holes if h.mates)
        assert min(shape.exterior.distance(Point(p)) for p in places) >= 2 * own - 0.02
        for p in places:
            for h in panel.holes:
                assert math.dist(p, (h.u_mm, h.v_mm)) >= (h.diameter_mm + own) / 2 + 4.0 - 1e-6

    run()
    assert len(built) > examples / 8


def test_any_panel_and_parameters() -> None:
    check_any(50, seeded=True)


@pytest.mark.nightly
def test_any_panel_and_parameters_at_length() -> None:
    check_any(500, seeded=False)


def test_moving_the_panel_moves_the_plate() -> None:
    one = made(under(hole("a", 10, 20, 20.0), hole("b", 70, 0)))
    two = made(under(hole("a", 110, 20, 20.0), hole("b", 170, 0), contour=rectangle(-400, -500, 600, 500)))
    for h, moved in zip(one.flanges[0].holes, two.flanges[0].holes, strict=True):
        assert (h.u_mm + 100, h.v_mm) == pytest.approx((moved.u_mm, moved.v_mm))
    assert replace(one, flanges=()) == replace(two, flanges=())
