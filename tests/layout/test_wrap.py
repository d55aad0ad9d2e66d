"""Paper round a fold: developed lengths against closed form, against a path laid on the metal, and the plan."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generators.geometry.frames import apply, panel_frame
from generators.layout.folds import fold_lines
from generators.layout.panels import numbered_through, panel_layout
from generators.layout.wrap import wrapped_layout
from generators.model.folds import FoldLine
from generators.model.spec.job import Datum, ExistingHole, Fold, Panel

WALL = Panel(
    name="wall",
    title="Wall",
    material="steel",
    thickness_mm=1.5,
    origin=(300.0, -50.0, 600.0),
    outline=((0, 0), (800, 0), (800, 400), (0, 400)),
    existing=(
        ExistingHole(name="a", at=(200, 80), diameter_mm=20, action="blank", what="one hole"),
        ExistingHole(name="b", at=(650, 120), diameter_mm=30, what="another hole"),
    ),
)


def _floor(tilt, **more):
    """A panel hanging from the lower edge of the wall; ``tilt`` > 0 runs rearward, < 0 forward."""
    values = {
        "name": "floor",
        "title": "Floor",
        "tilt_rad": tilt,
        "outline": ((0, -300), (800, -300), (800, 0), (0, 0)),
        "existing": (
            ExistingHole(name="c", at=(200, -70), diameter_mm=16, action="blank", what="third hole"),
        ),
    }
    return replace(WALL, **(values | more))


def _wrapped(tilt, radius, face, first_is_wall=True):
    panels = (WALL, _floor(tilt)) if first_is_wall else (_floor(tilt), WALL)
    fold = Fold(panels=tuple(p.name for p in panels), inside_radius_mm=radius)
    lines = fold_lines(fold, {p.name: p for p in panels}, "fold[0]")
    layouts = numbered_through([panel_layout(p, (), (lines[p.name],)) for p in panels])
    return wrapped_layout(panels, layouts, face), layouts


def _at(layout, name):
    h = next(h for h in layout.holes if h.name == name)
    return np.array((h.u_mm, h.v_mm))


def _laid_on_the_metal(tilt, radius, face, steps=20_000):
    """Length over the metal from (200, 80) of the wall straight down to (200, −70) of the floor.

    Independent of the formula: the section of the cab faces is a polyline with its corner rounded by
    the circle of the cab-side radius, found as the circle that touches both lines; the engine face is
    that path moved by the thickness. Summed chord by chord.
    """
    thickness = WALL.thickness_mm
    frames = [panel_frame(WALL.origin, 0.0), panel_frame(WALL.origin, tilt)]
    top, corner, low = (
        apply(frames[0], np.array([[200, 80, 0]]))[0][[0, 2]],
        apply(frames[0], np.array([[200, 0, 0]]))[0][[0, 2]],
        apply(frames[1], np.array([[200, -70, 0]]))[0][[0, 2]],
    )
    d1, d2 = top - corner, low - corner
    d1, d2 = d1 / np.linalg.norm(d1), d2 / np.linalg.norm(d2)
    hollow = tilt > 0  # the floor comes toward the driver
    cab = radius if hollow else radius + thickness
    bisector = (d1 + d2) / np.linalg.norm(d1 + d2)
    half = math.acos(float(np.clip(d1 @ bisector, -1, 1)))
    centre = corner + bisector * cab / math.sin(half)
    feet = [corner + d * cab / math.tan(half) for d in (d1, d2)]
    angles = [math.atan2(*(f - centre)[::-1]) for f in feet]
    sweep = (angles[1] - angles[0] + math.pi) % (2 * math.pi) - math.pi
    on = radius + (thickness if (face == "engine") == hollow else 0.0)
    turns = angles[0] + sweep * np.linspace(0, 1, steps)
    arc = centre + on * np.column_stack([np.cos(turns), np.sin(turns)])
    flats = np.linalg.norm(top - feet[0]) + np.linalg.norm(low - feet[1])
    return float(flats + np.linalg.norm(np.diff(arc, axis=0), axis=1).sum())


@settings(max_examples=40)
@given(
    st.floats(0.1, 1.4) | st.floats(-1.4, -0.1),
    st.floats(0.5, 30.0),
    st.sampled_from(["cab", "engine"]),
    st.booleans(),
)
def test_the_sheet_is_as_long_as_a_tape_laid_on_the_metal(tilt, radius, face, first_is_wall):
    wrapped, _ = _wrapped(tilt, radius, face, first_is_wall)
    apart = float(np.linalg.norm(_at(wrapped, "a") - _at(wrapped, "c")))
    assert apart == pytest.approx(_laid_on_the_metal(tilt, radius, face), abs=1e-4)


@pytest.mark.parametrize(("face", "on"), [("cab", 6.0), ("engine", 7.5)])
def test_forty_five_degrees_by_hand(face, on):
    # (80 − 6·tan 22.5°) + on·π/4 + (70 − 6·tan 22.5°); the cab is inside the fold
    wrapped, _ = _wrapped(math.radians(45), 6.0, face)
    by_hand = 150 - 2 * 6.0 * math.tan(math.radians(22.5)) + on * math.pi / 4
    assert float(np.linalg.norm(_at(wrapped, "a") - _at(wrapped, "c"))) == pytest.approx(by_hand, abs=1e-9)


@pytest.mark.parametrize("first_is_wall", [True, False])
def test_both_panels_keep_their_own_distances_and_handedness(first_is_wall):
    wrapped, layouts = _wrapped(math.radians(50), 8.0, "cab", first_is_wall)
    wall = next(x for x in layouts if x.panel == "wall")
    before = _at(wall, "b") - _at(wall, "a")
    after = _at(wrapped, "b") - _at(wrapped, "a")
    assert after == pytest.approx(before, abs=1e-9)
    # one number per hole in the whole job: the sheet has no numbering of its own
    assert (
        [h.number for h in wrapped.holes] == [h.number for x in layouts for h in x.holes] == ["A", "B", "C"]
    )
    said = ["Wall: holes A to B.", "Floor: holes C."]
    assert wrapped.notes[-1].startswith(
        " ".join(said if first_is_wall else ["Floor: holes A.", "Wall: holes B to C."])
    )


def test_the_outline_is_both_flats_and_the_arc():
    wrapped, _ = _wrapped(math.radians(90 - 1e-6), 10.0, "cab")
    vs = [p.v for p in wrapped.contour.vertices]
    # 400 above, 300 below, less twice the setback r·tan 45°, plus the quarter arc
    assert max(vs) - min(vs) == pytest.approx(700 - 20 + 10 * math.pi / 2, abs=1e-3)
    assert len(wrapped.contour.vertices) == 4


def test_the_check_length_crosses_the_fold_square_and_clear_of_holes():
    wrapped, _ = _wrapped(math.radians(45), 6.0, "cab")
    (wrap,) = wrapped.wraps
    a, b = wrap.check
    assert a[0] == pytest.approx(b[0], abs=1e-9)
    assert math.dist(a, b) == pytest.approx(80 + 6 * math.pi / 4, abs=1e-9)
    for h in wrapped.holes:
        assert abs(h.u_mm - a[0]) > h.final_dia_mm / 2 + 10 or not b[1] < h.v_mm < a[1]


def test_panels_without_a_fold_between_them_have_no_sheet():
    floor = _floor(math.radians(45))
    lines = fold_lines(Fold(panels=("wall", "floor")), {"wall": WALL, "floor": floor}, "fold[0]")
    layouts = (panel_layout(WALL, (), (lines["wall"],)), panel_layout(floor, (), (lines["floor"],)))
    with pytest.raises(ValueError, match="share no fold"):
        wrapped_layout((WALL, floor), (panel_layout(WALL, (), ()), layouts[1]), "cab")


def test_two_thicknesses_are_both_said():
    wrapped, _ = _wrapped(math.radians(45), 6.0, "cab")
    assert (wrapped.material, wrapped.thickness_mm) == ("steel", 1.5)
    thick = replace(_floor(math.radians(45)), thickness_mm=2.0)
    lines = fold_lines(Fold(panels=("wall", "floor")), {"wall": WALL, "floor": thick}, "fold[0]")
    layouts = (panel_layout(WALL, (), (lines["wall"],)), panel_layout(thick, (), (lines["floor"],)))
    wrapped = wrapped_layout((WALL, thick), layouts, "cab")
    assert (wrapped.material, wrapped.thickness_mm) == ("1.5 and 2 mm steel", 0.0)


def _pair_of(wall, floor, face="cab", radius=6.0):
    lines = fold_lines(
        Fold(panels=("wall", "floor"), inside_radius_mm=radius), {"wall": wall, "floor": floor}, "fold[0]"
    )
    layouts = (panel_layout(wall, (), (lines["wall"],)), panel_layout(floor, (), (lines["floor"],)))
    return wrapped_layout((wall, floor), layouts, face)


@pytest.mark.parametrize("face", ["cab", "engine"])
def test_legs_beside_the_fold_stay_on_the_sheet_and_do_not_turn_it_round(face):
    # the wall reaches 350 mm down on both sides of the floor: more of its corners lie under the fold than above
    legs = ((0, 0), (0, -350), (-60, -350), (-60, 20), (860, 20), (860, -350), (800, -350), (800, 0))
    wrapped = _pair_of(replace(WALL, outline=legs), _floor(math.radians(45)), face)
    assert min(p.u for p in wrapped.contour.vertices) == pytest.approx(-60)
    assert min(p.v for p in wrapped.contour.vertices) == pytest.approx(-350)
    plain = _pair_of(WALL, _floor(math.radians(45)), face)
    assert _at(wrapped, "c") == pytest.approx(_at(plain, "c"), abs=1e-9)


def test_a_slanting_side_leaves_no_sliver_past_the_tangent_line():
    slanted = replace(WALL, outline=((0, 0), (800, 0), (1000, 400), (-200, 400)))
    wrapped = _pair_of(slanted, _floor(math.radians(45)))
    tangent = 6.0 * math.tan(math.radians(22.5))
    beside = [p for p in wrapped.contour.vertices if p.u < -1e-3 or p.u > 800 + 1e-3]
    assert min(p.v for p in beside) == pytest.approx(tangent, abs=1e-3)


def test_the_check_length_ends_on_metal_on_a_narrow_flange():
    # the setback takes 6·tan 22.5° = 2.485 of the flange's depth; 40, 30, 20, 10 or 5 mm of flat are left
    for deep, flat in ((43, 40), (42, 30), (25, 20), (13, 10), (8, 5)):
        outline = ((0, -deep), (800, -deep), (800, 0), (0, 0))
        narrow = replace(_floor(math.radians(45)), outline=outline, existing=())
        (wrap,) = _pair_of(WALL, narrow).wraps
        assert math.dist(*wrap.check) == pytest.approx(2 * flat + 6 * math.pi / 4, abs=1e-9)


@pytest.mark.parametrize("place", [(400, 20), (400, -20), (400, 38), (400, -38)])
def test_the_check_length_keeps_off_holes_on_either_panel(place):
    # one hole of 30 in the way, above or below the fold: 12 mm of paper are left beside it
    hole = ExistingHole(name="in_the_way", at=place, diameter_mm=30, what="a hole")
    upper = replace(WALL, existing=(hole,) if place[1] > 0 else ())
    lower = replace(_floor(math.radians(45)), existing=(hole,) if place[1] < 0 else ())
    wrapped = _pair_of(upper, lower)
    ((a, b),) = (np.array(w.check) for w in wrapped.wraps)
    (found,) = wrapped.holes
    share = np.clip((np.array((found.u_mm, found.v_mm)) - a) @ (b - a) / ((b - a) @ (b - a)), 0, 1)
    left = math.dist((found.u_mm, found.v_mm), a + share * (b - a)) - 15.0
    # steps along the fold are a hundredth of its length: the first clear one is taken, no further off
    assert 12.0 < left < 12.0 + 8.0


def test_a_datum_line_where_the_metal_turns_is_left_out_and_the_others_stay():
    datums = tuple(
        Datum(name=n, kind="horizontal", at=(0, v), what=n)
        for n, v in (("fold", 0), ("seam", 30), ("top", 390))
    )
    floor = replace(_floor(math.radians(45)), datum=datums[:1])
    wrapped = _pair_of(replace(WALL, datum=datums), floor)
    assert [d.name for d in wrapped.datums] == ["seam", "top"]
    # the table still measures from it, so the sheet says what it is
    assert any("fold: the sharp corner" in n for n in wrapped.notes)


def test_no_rule_distance_goes_round_the_fold():
    wrapped, _ = _wrapped(math.radians(45), 6.0, "cab")
    (wrap,) = wrapped.wraps
    assert {h.name for h in wrapped.holes} == {"a", "b", "c"}
    assert {h.name for h in wrapped.holes if wrap.beyond(h.u_mm, h.v_mm)} == {"c"}


@pytest.mark.parametrize("edge", ["left", "right"])
def test_a_fold_that_stands_upright_is_as_long_as_one_that_lies(edge):
    # the same two plates with both frames turned by a quarter: u and v change places, lengths do not
    side = 800 if edge == "right" else 0
    layout = panel_layout(WALL, (), ())
    line = FoldLine(
        other="side", start=(side, 0), end=(side, 400), angle_rad=math.radians(30), inside_radius_mm=8.0
    )
    back = replace(line, other="wall", start=(0, 0), end=(0, 400))
    # both in one plane, so only where the second one lies is looked at; it runs away from the wall
    other = replace(
        WALL,
        name="side",
        outline=((0, 0), (100, 0), (100, 400), (0, 400))
        if edge == "right"
        else ((0, 0), (0, 400), (-100, 400), (-100, 0)),
        origin=(300.0, -50.0 + side, 600.0),
        existing=(),
    )
    far = replace(panel_layout(other, (), ()), folds=(back,))
    wrapped = wrapped_layout((WALL, other), (replace(layout, folds=(line,)), far), "cab")
    us = [p.u for p in wrapped.contour.vertices]
    cab = 8.0 + 1.5  # the second plate does not come toward the driver: the outside is in the cab
    developed = 900 - 2 * cab * math.tan(math.radians(15)) + cab * math.radians(30)
    assert max(us) - min(us) == pytest.approx(developed, abs=1e-3)


@pytest.mark.parametrize(("face", "on"), [("cab", 6.0), ("engine", 8.0)])
def test_two_thicknesses_at_one_fold_count_as_their_mean(face, on):
    # 1 mm wall, 3 mm floor, inside radius 6 in the cab: the engine face turns at 6 + (1 + 3)/2. By hand:
    # (80 − 6·tan 22.5°) + on·π/4 + (70 − 6·tan 22.5°). That the mean is taken is our convention.
    thin, thick = replace(WALL, thickness_mm=1.0), replace(_floor(math.radians(45)), thickness_mm=3.0)
    wrapped = _pair_of(thin, thick, face)
    by_hand = 150 - 2 * 6.0 * math.tan(math.radians(22.5)) + on * math.pi / 4
    assert float(np.linalg.norm(_at(wrapped, "a") - _at(wrapped, "c"))) == pytest.approx(by_hand, abs=1e-9)


def test_two_thicknesses_at_a_fold_that_turns_away():
    # the floor runs forward: the outside is in the cab, at 6 + 2; both setbacks are 8·tan 22.5°
    thin, thick = replace(WALL, thickness_mm=1.0), replace(_floor(math.radians(-45)), thickness_mm=3.0)
    for face, on in (("cab", 8.0), ("engine", 6.0)):
        by_hand = 150 - 2 * 8.0 * math.tan(math.radians(22.5)) + on * math.pi / 4
        wrapped = _pair_of(thin, thick, face)
        assert float(np.linalg.norm(_at(wrapped, "a") - _at(wrapped, "c"))) == pytest.approx(
            by_hand, abs=1e-9
        )


def test_what_the_sheet_says_of_two_metals():
    def said(near, far):
        wrapped = _pair_of(replace(WALL, **near), replace(_floor(math.radians(45)), **far))
        return wrapped.material, wrapped.thickness_mm

    assert said({}, {"material": "aluminium"}) == ("1.5 mm steel; 1.5 mm aluminium", 0.0)
    assert said({}, {"material": "aluminium", "thickness_mm": 2.0}) == ("1.5 mm steel; 2 mm aluminium", 0.0)


@pytest.mark.parametrize("face", ["cab", "engine"])
def test_a_datum_line_on_the_sharp_corner_of_a_tight_fold_is_left_out(face):
    # Turned away by 80°, inside 0.5, sheet 1.5: the setback is 2·tan 40° = 1.68 mm, the strip on the engine face only
    # 0.5·80° = 0.70 wide, so the sharp line at v = 0 lies 0.98 beyond it. By hand.
    datums = tuple(
        Datum(name=n, kind="horizontal", at=(0, v), what=n)
        for n, v in (("sharp", 0), ("seam", 3), ("top", 390))
    )
    wrapped = _pair_of(replace(WALL, datum=datums), _floor(math.radians(-80)), face, radius=0.5)
    assert [d.name for d in wrapped.datums] == ["seam", "top"]


def test_datum_lines_across_a_fold_stay():
    # the fold lies level: an upright line crosses it and is measured from on both sides
    upright = Datum(name="post", kind="vertical", at=(300, 0), what="a post")
    wrapped = _pair_of(replace(WALL, datum=(upright,)), _floor(math.radians(45)))
    assert [(d.name, d.kind, d.u_mm) for d in wrapped.datums] == [("post", "vertical", 300)]


def test_a_datum_line_along_an_upright_fold_is_left_out():
    side = 800
    line = FoldLine(
        other="side", start=(side, 0), end=(side, 400), angle_rad=math.radians(30), inside_radius_mm=8.0
    )
    datums = tuple(
        Datum(name=n, kind=k, at=at, what=n)
        for n, k, at in (
            ("fold", "vertical", (side, 0)),
            ("post", "vertical", (700, 0)),
            ("sill", "horizontal", (0, 9)),
        )
    )
    wall = replace(WALL, datum=datums)
    other = replace(
        WALL,
        name="side",
        outline=((0, 0), (100, 0), (100, 400), (0, 400)),
        origin=(300.0, -50.0 + side, 600.0),
        existing=(),
    )
    near = replace(panel_layout(wall, (), ()), folds=(line,))
    far = replace(
        panel_layout(other, (), ()), folds=(replace(line, other="wall", start=(0, 0), end=(0, 400)),)
    )
    wrapped = wrapped_layout((wall, other), (near, far), "cab")
    assert [d.name for d in wrapped.datums] == ["post", "sill"]
