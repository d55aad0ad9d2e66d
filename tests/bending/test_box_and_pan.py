"""The folder: parts whose limit on a given machine is worked out by hand, against every order, and as solids."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

import pytest
from bent_parts import ALLOWANCE, T, bend, box, channel, hat, order, plan_of, zed
from every_order import any_order_works, random_part
from folded_parts import FOLD, folded, one_lip

from generators.bending.folder.tools import bears_mm, finger_outline
from generators.bending.folder.trial import FolderSetting
from generators.bending.legs import PartShape
from generators.bending.mends import main_refusal
from generators.bending.search import Search
from generators.bending.steps import FoldStep, Refusal, Sequence
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import FoldCapacity, Folder


def last_folded(plan: PartPlan, name: str) -> list[FoldStep | Refusal]:
    """What a bend gives both ways round when every other one is made."""
    this = next(b for b in plan.bends if b.name == name)
    done = frozenset(b.name for b in plan.bends) - {name}
    setting = FolderSetting(folder=FOLD, tensile_mpa=400.0)
    return [setting.tried(PartShape(plan=plan), this, done, rear) for rear in (True, False)]


def why(sequence: Sequence) -> set[tuple[str, str]]:
    return {(r.why, r.tool) for r in sequence.refusals}


# A channel: the cheek bent first stands behind the fingers. Its bend begins at its tangent line, the web away from
# the front of the bend, and must begin 1 mm behind the fingers' foot. Cheeks 43 deep inside: turned round, the first
# one would swing back over the fingers to 40, past their upright front at 30.
@pytest.mark.parametrize(("web", "found"), [(61.1, True), (60.9, False)])
def test_a_channel_is_as_wide_as_a_finger_is_deep(web: float, found: bool) -> None:
    assert folded(channel(web, 40.0)).found is found


# The other way round: web on the leaf, its cheek swings to its own tangent depth behind the front of the bend, 6 over
# the web's end. The front of the fingers stands 30 back there, 1 mm of air.
@pytest.mark.parametrize(("deep", "found"), [(28.9, True), (29.1, False)])
def test_a_narrow_channel_is_as_deep_as_the_nose_leans_back(deep: float, found: bool) -> None:
    assert folded(channel(50.0, deep)).found is found


# Wide enough to stand behind the beam or under it, the first cheek must go in under the raised fingers: it stands
# R over its tangent line's sheet, so depth + 3 + 1 of air are wanted of the lift.
@pytest.mark.parametrize(("deep", "found"), [(95.9, True), (96.1, False)])
def test_a_cheek_goes_in_under_the_raised_beam(deep: float, found: bool) -> None:
    sequence = folded(channel(200.0, deep))
    assert sequence.found is found
    if not found:
        assert why(sequence) >= {("opening", "")}


# A Z: the first flange hangs. In front it hangs beyond the leaf, 40 deep, when the web has slid up it by the
# allowance: its bend begins at its tangent line. Behind it hangs beyond the bed, 120 deep.
@pytest.mark.parametrize(("web", "found"), [(41.1, True), (40.9, False)])
def test_a_zed_hangs_beyond_the_leaf(web: float, found: bool) -> None:
    sequence = folded(zed(web, 50.0))
    assert sequence.found is found
    if found:
        assert sequence.steps[1].rear != "web"


def test_a_hat_is_made_and_turned_over() -> None:
    sequence = folded(hat(80.0, 45.0, 20.0))
    assert sequence.found
    sides = [step.flipped for step in sequence.steps]
    assert sides.count(True) == 2


# A box: fingers between the sides that stand, the beam over all of it. A side 100 over the sheet's upper face would
# touch the beam: R + depth + 1 of air are to be had under it.
@pytest.mark.parametrize(("deep", "found"), [(95.9, True), (96.1, False)])
def test_a_box_is_as_deep_as_the_fingers_are_high(deep: float, found: bool) -> None:
    sequence = folded(box(200.0, 240.0, deep), replace(FOLD, lift_mm=400.0))
    assert sequence.found is found
    if not found:
        assert ("meets", "beam") in why(sequence)
    else:
        made = {step.bend: step for step in sequence.steps if isinstance(step, FoldStep)}
        last = sequence.steps[-1]
        long = 190.0 if last.bend in ("b_front", "b_back") else 230.0
        assert long - 2 * T <= sum(made[last.bend].fingers_mm) <= long + 10


def test_a_box_takes_fingers_that_fit_between_its_sides() -> None:
    wide = replace(FOLD, fingers_mm=(250.0, 400.0))
    sequence = folded(box(200.0, 240.0, 40.0), wide)
    assert not sequence.found
    assert ("pieces", "") in why(sequence)
    # 184 to 190 mm between the sides of one, 224 to 230 of the other
    assert folded(box(200.0, 240.0, 40.0), replace(FOLD, fingers_mm=(185.0, 40.0))).found


# Return flanges: a lip on the leg that is folded swings back over the nose as far as its tangent depth.
@pytest.mark.parametrize(("lip", "found"), [(28.9, True), (29.1, False)])
def test_a_return_flange_reaches_as_far_back_as_the_nose_leans(lip: float, found: bool) -> None:
    sequence = folded(one_lip(lip))
    assert sequence.found is found
    if found:
        made = [step.bend for step in sequence.steps]
        # the lip before its side, and that before the other one, behind which nothing lifts into the lip
        assert made.index("lip_right") < made.index("b_right") < made.index("b_left")


def test_two_return_flanges_hold_the_fingers() -> None:
    # the side behind is 3 + 45 + 6 high over the sheet's face and must go out under the fingers; the lip in front
    # hangs 45 + 3 over the nose
    plan = box(250.0, 240.0, 45.0, lip=20.0)
    (refused,) = (r for r in last_folded(plan, "b_left") if isinstance(r, Refusal) and r.why == "trapped")
    assert "fingers" in refused.words
    # with the ends open it slides off sideways
    ends = ("front", "back")
    open_ends = replace(
        plan,
        flanges=tuple(f for f in plan.flanges if f.name not in ends),
        bends=tuple(b for b in plan.bends if b.child not in ends),
    )
    assert any(isinstance(s, FoldStep) and s.slide for s in last_folded(open_ends, "b_left"))


def test_what_one_machine_cannot_make_and_the_other_can() -> None:
    # 56 wide inside and 43 deep: 13 from the middle of a straight punch, and no foot of 60 goes behind the cheek
    narrow = channel(50.0, 40.0)
    assert order(narrow).found
    assert not folded(narrow).found
    # a leg of 9 mm behind its tangent line lies on no shoulder of a V 24 (16.97 - 6 are wanted), but on the leaf
    short = channel(100.0, 9.0)
    assert not order(short).found
    assert folded(short).found


@pytest.mark.parametrize(("leg", "found"), [(8.01, True), (7.99, False)])
def test_the_leaf_wants_so_much_of_a_leg(leg: float, found: bool) -> None:
    sequence = folded(channel(100.0, leg))
    assert sequence.found is found
    if not found:
        assert main_refusal(sequence).why == "support"


# 3 mm over 600: of a steel of 400 MPa 600 mm; of one of 576 as 3 x sqrt(576/400) = 3.6 mm, of one of 225 as 2.25
@pytest.mark.parametrize(
    ("tensile", "bears"), [(400.0, 600.0), (401.0, 250.0), (576.0, 250.0), (225.0, 600.0)]
)
def test_a_stronger_steel_counts_as_a_thicker_one(tensile: float, bears: float) -> None:
    rows = ((2.2, 1250.0), (3.0, 600.0), (4.0, 250.0))
    folder = Folder(capacity=tuple(FoldCapacity(thickness_mm=t, length_mm=long) for t, long in rows))
    assert bears_mm(folder, 3.0, tensile) == bears
    assert bears_mm(folder, 4.01, 400.0) == 0.0


@pytest.mark.parametrize(("long", "found"), [(600.0, True), (601.0, False)])
def test_capacity_decides(long: float, found: bool) -> None:
    folder = Folder(capacity=(FoldCapacity(thickness_mm=3.0, length_mm=600.0),))
    sequence = folded(channel(100.0, 40.0, long=long), folder)
    assert sequence.found is found
    assert why(sequence) == (set() if found else {("force", "")})


@pytest.mark.parametrize(("degrees", "found"), [(135.0, True), (136.0, False)])
def test_the_leaf_turns_so_far(degrees: float, found: bool) -> None:
    plan = plan_of(
        {"base": (100.0, 60.0), "leg": (100.0, 40.0)},
        [bend("b", "base", "leg", (100.0, 60.0), (0.0, 60.0), angle_rad=math.radians(degrees))],
    )
    sequence = folded(plan)
    assert sequence.found is found
    assert why(sequence) == (set() if found else {("tools", "")})


def test_a_steeper_nose_is_in_the_way_of_a_sharp_bend() -> None:
    plan = plan_of(
        {"base": (100.0, 60.0), "leg": (100.0, 40.0)},
        [bend("b", "base", "leg", (100.0, 60.0), (0.0, 60.0), angle_rad=math.radians(120))],
    )
    assert folded(plan).found
    steep = replace(FOLD, nose_angle_rad=math.radians(75), nose_depth_mm=20.0)
    assert why(folded(plan, steep)) == {("meets", "fingers")}


def test_line_and_setback_by_hand() -> None:
    # R 3, t 3, nose of R 1: the leaf's face upright is R + t in front of the axis, the nose 1: 5 apart. Half the
    # allowance of 6.74 lies behind the scribed line: 3.37 - 1 in front of the nose
    step = folded(channel(100.0, 40.0)).steps[0]
    assert isinstance(step, FoldStep)
    assert step.setback_mm == pytest.approx(5.0)
    assert step.line_mm == pytest.approx(ALLOWANCE / 2 - 1.0)
    # web 100, the bend of the other cheek 6.74, that cheek 40, from the front of the nose
    assert step.stop.distance_mm == pytest.approx(100.0 + ALLOWANCE + 40.0 + 1.0)


def test_the_finger_is_drawn_as_its_keys_say() -> None:
    # nose R 1 about (0, 1), its front at 45 deg to (30, 30 + what the rounding is in front), upright to 100
    shape = finger_outline(FOLD, 0.0)
    low_y, low_z, high_y, high_z = shape.bounds
    assert (low_z, high_y, high_z) == (0.0, 60.0, 100.0)
    assert -1.0 <= low_y <= -0.98
    corner = max(z for y, z in shape.exterior.coords if abs(y - 30.0) < 1e-9 and z < 99)
    assert corner == pytest.approx(1 + math.sqrt(0.5) + 30 + math.sqrt(0.5))


def agrees(seeds: Iterable[int]) -> list[bool]:
    found = []
    for seed in seeds:
        search = Search(plan=random_part(seed), setting=FolderSetting(folder=FOLD, tensile_mpa=400.0))
        sequence = search.run()
        found.append(sequence.found)
        assert sequence.found is any_order_works(search), seed
    return found


def test_the_search_on_the_folder_agrees_with_every_order() -> None:
    # of six, three, four and three bends
    assert agrees((21, 25, 22, 29)) == [False, True, False, True]


@pytest.mark.nightly
def test_the_search_on_the_folder_agrees_for_many_parts() -> None:
    agrees(range(2_000, 2_080))
