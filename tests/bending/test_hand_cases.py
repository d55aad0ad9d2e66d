"""Parts whose limit on a given tool is worked out by hand: each is found just inside and refused just outside."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bent_parts import (
    ALLOWANCE,
    GOOSE,
    ONE,
    RIGHT,
    STRAIGHT,
    TWO,
    K,
    R,
    T,
    bend,
    box,
    channel,
    hat,
    order,
    plan_of,
    zed,
)

from generators.bending.gauging.stops import nearest_finger
from generators.bending.mends import main_refusal, mends
from generators.bending.setting import setting_of
from generators.bending.tools import plain_die, punch_outline
from generators.bending.trial import Setting
from generators.model.spec.shop import Shop, Stock

INSIDE = 2 * R  # what tangent lines are short of the inside width, at 90 degrees


# With the second cheek at 90 degrees the first leans at 135 over the bend: inside, its edge stands at
# (W - h)/sqrt 2 from the punch's plane. The straight punch is 8 thick on that side, 1 mm of air is wanted.
@pytest.mark.parametrize(("more", "found"), [(0.1, True), (-0.1, False)])
def test_a_channel_is_as_deep_as_the_straight_punch_leaves_room(more: float, found: bool) -> None:
    inside_depth = 43.0
    width = inside_depth + math.sqrt(2) * (8.0 + 1.0) + more
    assert order(channel(width - INSIDE, inside_depth - R)).found is found


# Pressed on by 4 degrees it leans at 137 and has come nearer: each leg rises by 47, two more of which take 2 degrees
# of neutral fibre off the web. Its inside edge stands W - 2 R less that and R along the leg, 43 square to it.
@pytest.mark.parametrize(("more", "found"), [(0.1, True), (-0.1, False)])
def test_a_channel_has_room_as_far_as_it_may_be_pressed_on(more: float, found: bool) -> None:
    inside_depth, h, fibre = 43.0, math.radians(47), R + K * T
    along = (8.0 + 1.0 - R * math.sin(h) + inside_depth * math.sin(h)) / math.cos(h)
    web = along - R + math.radians(2) * fibre + more
    plan = channel(web, inside_depth - R)
    assert order(plan, over_rad=math.radians(4)).found is found
    assert order(plan).found
    # the die's own flanks, at 88 degrees, let it be pressed on by 2 degrees and no further
    blunt = replace(ONE, die=(replace(plain_die(24.0), angle_rad=math.radians(88)),))
    assert order(plan, blunt, over_rad=math.radians(4)).found


def test_how_far_a_bend_may_be_pressed_on_is_its_tolerance_and_what_nobody_has_measured() -> None:
    plan = channel(100.0, 30.0)
    sheet = Stock(material=plan.material, thickness_mm=T, inside_radius_mm=R)
    for springback, degrees in ((0.0, 1.0 + 3.0), (2.0, 1.0)):
        shop = Shop(stock=(replace(sheet, springback_rad=math.radians(springback)),))
        assert setting_of(plan, shop).over_rad == pytest.approx(math.radians(degrees))


# The gooseneck's front stands 50 behind the plane from 90 to 195 above the tip; the cheek crosses the plane at
# W sqrt 2 = 127 and ends at 177 + 3/sqrt 2: it may pass the plane by 49.
@pytest.mark.parametrize(("less", "found"), [(0.1, True), (-0.1, False)])
def test_a_gooseneck_lets_it_be_deeper_by_its_neck(less: float, found: bool) -> None:
    width = 90.0
    inside_depth = width + math.sqrt(2) * (50.0 - 1.0) - less
    plan = channel(width - INSIDE, inside_depth - R)
    assert order(plan, TWO).found is found
    assert not order(plan, ONE).found


# Above its neck a gooseneck is over its tip again, 12 to either side: the cheek of a channel 120 wide crosses the
# plane at 120 sqrt 2 = 170. Its edge, 130 deep, is at -7 and 177 + 3/sqrt 2 = 179 high: 1 mm under a neck to 180.2.
@pytest.mark.parametrize(("neck_to", "found"), [(181.0, True), (178.5, False)])
def test_a_neck_ends_under_the_clamp(neck_to: float, found: bool) -> None:
    goose = replace(GOOSE, neck_to_mm=neck_to)
    only = replace(ONE, punch=(goose,))
    plan = channel(120.0 - INSIDE, 130.0 - R)
    assert order(plan, only).found is found
    # 45 mm under its top where nothing is typed: a neck to 195 of 240
    assert GOOSE.throat_top_mm == 195.0
    assert order(plan, replace(ONE, punch=(GOOSE,))).found


def test_the_refusal_names_flange_and_punch_and_the_angle() -> None:
    refusal = main_refusal(order(channel(40.0, 60.0)))
    assert refusal.why == "meets"
    assert (refusal.flange, refusal.tool) in {("right", "punch"), ("left", "punch")}
    # inside 46 wide and 63 deep: the edge is 9 off the plane where 46 cos a - 63 sin a = 9, a = 28.1 deg each side
    half = math.acos(9 / math.hypot(46, 63)) - math.atan2(63, 46)
    assert math.degrees(refusal.angle_rad) == pytest.approx(2 * math.degrees(half), abs=1.0)


# A Z: the flange bent first hangs beside the die; its bend begins at its tangent line, the web and half an allowance
# from the middle, and must begin beyond the die's sharp edge. V 24 is 36 wide: 18 + 1 mm of air.
@pytest.mark.parametrize(("more", "found"), [(0.1, True), (-0.1, False)])
def test_a_zed_hangs_clear_of_the_die(more: float, found: bool) -> None:
    flat = 18.0 + 1.0 - ALLOWANCE / 2 + more
    assert order(zed(flat, 40.0)).found is found


# The die is 80 high; a flange that hangs lower stands beside the table, 45 from the middle, its near face R beyond its
# tangent line.
@pytest.mark.parametrize(("more", "found"), [(0.1, True), (-0.1, False)])
def test_a_deep_zed_hangs_clear_of_the_table(more: float, found: bool) -> None:
    flat = 45.0 + 1.0 - R - ALLOWANCE / 2 + more
    assert order(zed(flat, 120.0)).found is found
    assert order(zed(flat, 60.0)).found


def test_a_hat_is_bent_brims_first() -> None:
    sequence = order(hat(80.0, 40.0, 30.0))
    assert sequence.found
    made = [step.bend for step in sequence.steps]
    # over the die a brim needs 14.6 of flat beside it: the cheek gives that, whichever is first; turned over once
    flips = sum(a.flipped != b.flipped for a, b in zip(sequence.steps, sequence.steps[1:], strict=False))
    assert flips == 1
    assert sorted(made) == ["l", "lb", "r", "rb"]


# A lipped channel: 100 wide inside, 50 deep, lips 30: at 45 degrees of rise the tip of the first lip stands at
# ((W - h) - lip)/sqrt 2 = 8.5 - 21 < 0: past the plane, so no straight punch; with lips of 20 it is in front of it.
def test_a_lipped_channel_wants_a_gooseneck_when_the_lips_pass_the_plane() -> None:
    assert not order(hat(94.0, 47.0, 77.0, inward=True)).found
    narrow = hat(94.0, 47.0, 20.0, inward=True)
    assert order(narrow, TWO).found


def test_a_box_takes_a_punch_made_up_between_its_sides() -> None:
    sequence = order(box(120.0, 160.0, 40.0))
    assert sequence.found
    for step in sequence.steps[2:]:
        long = 110.0 if step.bend in ("b_front", "b_back") else 150.0
        assert long - 2 * T <= sum(step.punch_pieces_mm) <= long + 10
    assert all(set(step.punch_pieces_mm) <= set(GOOSE.segments_mm) for step in sequence.steps)


def test_a_box_whose_pieces_do_not_fit_between_its_sides_is_refused() -> None:
    # the last bends are between sides that stand: 104 to 110 mm may be made up for one of 110
    long = replace(ONE, punch=(replace(ONE.punch[0], segments_mm=(200.0, 300.0)),))
    sequence = order(box(120.0, 160.0, 40.0), long)
    assert not sequence.found
    assert {r.why for r in sequence.refusals} == {"pieces"}


def test_a_box_with_return_flanges_goes_lips_before_sides() -> None:
    sequence = order(box(160.0, 200.0, 45.0, lip=20.0), TWO)
    assert sequence.found
    made = [step.bend for step in sequence.steps]
    assert made.index("lip_right") < made.index("b_right")
    assert made.index("lip_left") < made.index("b_left")


def test_a_closed_tube_cannot_be_made() -> None:
    # a square tube of one strip: the last bend would shut the punch in
    side = 60.0
    plan = plan_of(
        dict.fromkeys("abcde", (200.0, side)),
        [bend(f"b{i}", "abcd"[i], "abcde"[i + 1], (200.0, side), (0.0, side)) for i in range(4)],
    )
    sequence = order(plan, TWO)
    assert not sequence.found
    assert sequence.searched


# (c - r sin h) / cos h along the outside, c = V/2 + r tan 37.5 deg for a V of 30 deg, of which tan h (R + t) is
# not flat; the sharp shoulder is the rule V/2 / cos h. At 90 deg sharp 16.971 - 6, rounded with 1.5
# (12 + 1.151 - 1.061) / 0.70711 - 6 = 17.098 - 6; at 120 sharp 24 - 10.392, rounded 2 (13.151 - 1.299) = 23.704,
# less than the rule, which stays
@pytest.mark.parametrize(
    ("degrees", "rounding", "leg"),
    [
        (90, 0.0, 16.971 - 6.0),
        (90, 1.5, 17.098 - 6.0),
        (120, 0.0, 24.0 - 10.392),
        (120, 1.5, 24.0 - 10.392),
    ],
)
def test_the_die_carries_the_whole_leg(degrees: int, rounding: float, leg: float) -> None:
    brake = replace(
        ONE,
        die=(replace(plain_die(24.0, math.radians(30)), shoulder_radius_mm=rounding),),
        punch=(replace(ONE.punch[0], angle_rad=0.5),),
    )

    def made(long: float, short: float = 0.0) -> bool:
        plan = plan_of({"base": (100.0, 60.0), "leg": (100.0, long)}, [])
        plan = replace(
            plan,
            bends=(bend("b", "base", "leg", (100.0, 60.0), (0.0, 60.0), angle_rad=math.radians(degrees)),),
        )
        return order(plan, brake).found

    assert made(leg + 0.05)
    assert not made(leg - 0.05)


# V 24 with shoulders of R 4, V of 80 deg: at the start of a shallow bend the sheet lies on the tops of the
# roundings, 12 + 4 tan 25 deg = 13.865 from the middle, 1.87 mm further out than V/2. Of that the leg has half
# the allowance of 10 deg, 0.0873 x (3 + 0.43 x 3) = 0.374
def test_a_rounded_shoulder_is_further_out_at_the_start() -> None:
    brake = replace(ONE, die=(replace(plain_die(24.0), shoulder_radius_mm=4.0, width_mm=40.0),))

    def made(long: float) -> bool:
        plan = plan_of({"base": (100.0, 60.0), "leg": (100.0, long)}, [])
        shallow = bend("b", "base", "leg", (100.0, 60.0), (0.0, 60.0), angle_rad=math.radians(10))
        return order(replace(plan, bends=(shallow,)), brake).found

    assert made(13.865 - 0.374 + 0.05)
    assert not made(13.865 - 0.374 - 0.05)


# pressed home the bend has the die's angle: 2 deg either way is common practice
@pytest.mark.parametrize(
    ("die_deg", "fits"), [(90, True), (88.01, True), (91.99, True), (87.9, False), (92.1, False)]
)
def test_a_bottoming_die_bends_its_own_angle_alone(die_deg: float, fits: bool) -> None:
    die = replace(plain_die(24.0), angle_rad=math.radians(die_deg), way="bottom")
    punch = replace(ONE.punch[0], angle_rad=math.radians(90))
    found = order(channel(100.0, 40.0), replace(ONE, die=(die,), punch=(punch,)), springback_rad=0.02)
    assert found.found == fits
    if fits:  # no springback to press past, four times the force
        assert found.steps[0].pressed_rad == math.pi / 2
        assert found.steps[0].force_n == pytest.approx(4 * 19_703, rel=1e-4)
    sharp = replace(ONE.punch[0], angle_rad=math.radians(85))
    assert not order(channel(100.0, 40.0), replace(ONE, die=(die,), punch=(sharp,))).found


# a straight punch 16 wide, 1 mm of air: a finger 40 high stands 9 from the middle at least. One 4 high meets only
# what is 1 over the tip: of R 1 and 85 deg its flank begins at 0.324, 0.737 from the middle, and is
# 0.737 + 0.676 tan 42.5 deg = 1.356 from it at 1
@pytest.mark.parametrize(("height", "wide"), [(40.0, 9.0), (4.0, 2.356)])
def test_a_finger_keeps_clear_of_the_punch(height: float, wide: float) -> None:
    gauge = replace(ONE.gauge, nearest_mm=1.0, finger_height_mm=height)
    near = nearest_finger(punch_outline(STRAIGHT), replace(ONE, gauge=gauge), T)
    assert near == pytest.approx(wide, abs=0.002)


def test_force_decides() -> None:
    # 1.42 x 370 x 100 x 9 / 24 = 19703 N
    plan = channel(100.0, 40.0)
    assert order(plan, replace(ONE, force_n=19_704.0)).found
    refused = order(plan, replace(ONE, force_n=19_702.0))
    assert {r.why for r in refused.refusals} == {"force"}


# 1.42 x 370 x 9 / 24 = 197.03 kN on a metre
@pytest.mark.parametrize(("most", "found"), [(197_100.0, True), (196_900.0, False)])
@pytest.mark.parametrize("tool", ["punch", "die"])
def test_what_is_marked_on_a_tool_decides(tool: str, most: float, found: bool) -> None:
    marked = (replace(getattr(ONE, tool)[0], force_per_m_n=most),)
    brake = replace(ONE, punch=marked) if tool == "punch" else replace(ONE, die=marked)
    sequence = order(channel(100.0, 40.0), brake)
    assert sequence.found is found
    assert {(r.why, r.tool) for r in sequence.refusals} == (set() if found else {("force", tool)})


def test_stroke_and_opening_decide() -> None:
    # straight 150 and die 80: with the punch on the bottom the clamp is 230 - 6.59 over the table
    plan = channel(100.0, 40.0)
    assert order(plan, replace(ONE, open_mm=400.0, stroke_mm=177.0)).found
    refused = order(plan, replace(ONE, open_mm=400.0, stroke_mm=176.0))
    assert {r.why for r in refused.refusals} == {"opening"}


def test_a_springy_sheet_is_pressed_further() -> None:
    step = order(channel(100.0, 40.0), springback_rad=math.radians(2)).steps[0]
    assert math.degrees(step.pressed_rad) == pytest.approx(92.0)
    # a punch of 90 deg leaves no room for that
    blunt = replace(ONE, punch=(replace(ONE.punch[0], angle_rad=RIGHT),))
    assert order(channel(100.0, 40.0), blunt).found
    assert not order(channel(100.0, 40.0), blunt, springback_rad=math.radians(2)).found


def test_a_punch_shorter_than_its_bend_has_more_on_a_metre() -> None:
    """Sides of a tray a millimetre short at its corners: 117 mm of bend under 115 mm of punch, 200.45 kN on a metre."""
    plan = box(99.0, 119.0, 30.0, gap=1.0)
    (step,) = (s for s in order(plan, TWO).on_brake if math.fsum(s.punch_pieces_mm) == 115.0)
    assert step.metre_n == pytest.approx(1.42 * 370 * 9 / 24 * 1000 * 117.0 / 115.0)
    # marked for what the bend has on a metre, and not for what the punch has
    for most, found in ((200_400.0, False), (200_500.0, True)):
        marked = replace(TWO, punch=tuple(replace(p, force_per_m_n=most) for p in TWO.punch))
        assert order(plan, marked).found is found


@pytest.mark.parametrize("tool", ["punch", "die"])
def test_a_mend_of_a_tool_that_may_take_too_little_was_tried(tool: str) -> None:
    """197.03 kN on a metre over V 24; 147.8 over V 32, which a mark of 150 lets through."""
    plan = channel(100.0, 40.0)
    dies = (plain_die(24.0), plain_die(32.0))
    brake = replace(ONE, die=dies)
    marked = tuple(replace(t, force_per_m_n=150_000.0) for t in getattr(brake, tool))
    brake = replace(brake, punch=marked) if tool == "punch" else replace(brake, die=marked)
    setting = Setting(brake=brake, tensile_mpa=370.0, opening_mm=24.0)
    words = [m.words for m in mends(plan, setting, order(plan, brake))]
    assert f"take a {tool} that may take 198 kN on a metre, of the same form" in words
    assert "bend it over V 32 (its R and least flange grow with it)" in words
    less = tuple(replace(t, force_per_m_n=140_000.0) for t in marked)
    brake = replace(brake, punch=less) if tool == "punch" else replace(brake, die=less)
    setting = replace(setting, brake=brake)
    words = [m.words for m in mends(plan, setting, order(plan, brake))]
    assert words == [f"take a {tool} that may take 198 kN on a metre, of the same form"]
