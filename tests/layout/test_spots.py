"""Places of components, ports and clamps in the vehicle, worked by hand.

Vehicle frame (SAE J1100): x rearward, y to the vehicle's right, z up. An upright panel has u along +y, v along +z
and its cab face toward +x; a tilt leans its top forward, so v = (-sin, 0, cos) and the normal is (cos, 0, sin).
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shelf_walls import C30, S30, near, sheets, shelf

from generators.errors import GeometryFault
from generators.layout.spots import (
    clamp_place,
    clamp_size,
    panel_hole,
    part_opening,
    place,
)
from generators.model.spec.lines import Clamp, Spot
from generators.model.words import Side


# ------------------------------------------------------------------------------------------ places
def test_a_place_on_either_side_of_a_panel() -> None:
    # (40, 60) and (100, 80) of a panel at (100, -200, 300): middle (70, 70) at y -130, z 370
    sides: tuple[tuple[Side, float, float], ...] = (("cab", 100.0, 1.0), ("engine", 98.5, -1.0))
    for side, x, out in sides:
        where = place(Spot(panel="wall", holes=("one", "two"), side=side), sheets())
        assert near(tuple(where.frame[:3, 3]), (x, -130.0, 370.0))
        assert near(tuple(where.frame[:3, 0]), (out, 0.0, 0.0))
        # looking at it from outside, right is the vehicle's right in the cab and its left in the engine bay
        assert near(tuple(where.frame[:3, 1]), (0.0, out, 0.0))
        assert near(tuple(where.frame[:3, 2]), (0.0, 0.0, 1.0))
        assert (where.through_mm, where.panel) == (1.5, "wall")
        assert where.hole == panel_hole(sheets(), "wall", "one").number


def test_a_place_on_a_leaning_panel() -> None:
    # top 30° forward: (40, 60) is at (100 - 60 sin 30, -200 + 40, 300 + 60 cos 30); the engine face 1.5 behind
    where = place(Spot(panel="wall", holes=("one",), side="engine"), sheets(30))
    x, z = 100 - 60 * S30 - 1.5 * C30, 300 + 60 * C30 - 1.5 * S30
    assert near(tuple(where.frame[:3, 3]), (x, -160.0, z))
    assert near(tuple(where.frame[:3, 0]), (-C30, 0.0, -S30))
    assert near(tuple(where.frame[:3, 2]), (-S30, 0.0, C30))
    # its upper side is its cab side
    up = place(Spot(panel="wall", holes=("one",), side="up"), sheets(30))
    assert near(tuple(up.frame[:3, 0]), (C30, 0.0, S30))
    down = place(Spot(panel="wall", holes=("one",), side="down"), sheets(30))
    assert near(tuple(down.frame[:3, 0]), (-C30, 0.0, -S30))


def test_a_side_a_sheet_does_not_have() -> None:
    for side in ("left", "right", "up", "down"):
        with pytest.raises(GeometryFault, match=f"no {side} side") as caught:
            place(Spot(panel="wall", holes=("one",), side=side), sheets())
        assert caught.value.parameter == "on.side"


def test_a_hole_that_took_the_place_of_an_old_one_is_found_by_its_own_name() -> None:
    here = sheets()
    assert panel_hole(here, "wall", "stud") is panel_hole(here, "wall", "old")
    with pytest.raises(GeometryFault, match="no hole 'none' in wall"):
        panel_hole(here, "wall", "none")


def test_places_on_a_part_on_the_panel() -> None:
    # foot at (300, 200): y 100, z 500; foot_1 at (-10, 5) goes through the panel, foot_2 does not
    here = sheets()
    out = place(Spot(part="shelf", holes=("foot_1",), side="cab"), here)
    assert near(tuple(out.frame[:3, 3]), (103.0, 90.0, 505.0))
    assert (out.through_mm, out.panel, out.part, out.flange) == (4.5, "wall", "shelf", "foot")
    made = next(h for h in here.layouts["wall"].holes if h.name == "shelf.foot_1")
    assert out.hole == made.number
    back = place(Spot(part="shelf", holes=("foot_1",), side="engine"), here)
    assert near(tuple(back.frame[:3, 3]), (98.5, 90.0, 505.0))
    loose = place(Spot(part="shelf", holes=("foot_2",), side="engine"), here)
    assert near(tuple(loose.frame[:3, 3]), (100.0, 110.0, 505.0))
    assert (loose.through_mm, loose.panel, loose.hole) == (3.0, "", "foot_2")
    both = place(Spot(part="shelf", holes=("foot_1", "foot_2"), side="cab"), here)
    assert near(tuple(both.frame[:3, 3]), (103.0, 100.0, 505.0))


def test_a_place_on_a_leg() -> None:
    # The leg begins 5 beyond the edge at v = 20 and 5 off the panel, its lower side uppermost; u runs from the left
    # edge to the right, v away from the panel: leg_1 at (20, 12) is at x 100 + 5 + 12, y 100 - 30 + 20, z 500 + 25.
    here = sheets()
    top = place(Spot(part="shelf", holes=("leg_1",), side="up"), here)
    assert near(tuple(top.frame[:3, 3]), (117.0, 90.0, 525.0))
    assert near(tuple(top.frame[:3, 0]), (0.0, 0.0, 1.0))
    under = place(Spot(part="shelf", holes=("leg_1",), side="down"), here)
    assert near(tuple(under.frame[:3, 3]), (117.0, 90.0, 522.0))
    # an upright axis takes forward for its up: right is up × out
    assert near(tuple(top.frame[:3, 2]), (-1.0, 0.0, 0.0))
    assert near(tuple(top.frame[:3, 1]), (0.0, 1.0, 0.0))
    assert near(tuple(under.frame[:3, 1]), (0.0, -1.0, 0.0))


def test_a_part_whose_holes_the_panel_does_not_get() -> None:
    back = place(Spot(part="shelf", holes=("foot_1",), side="engine"), sheets(holes=False))
    assert near(tuple(back.frame[:3, 3]), (100.0, 90.0, 505.0))
    assert (back.through_mm, back.panel, back.hole) == (3.0, "", "foot_1")


def test_places_on_a_part_on_a_doubler() -> None:
    # lifted by 2.5: the far side of its own hole is the panel's engine face all the same
    here = sheets()
    lifted = replace(here, parts={"shelf": replace(here.parts["shelf"], lift_mm=2.5)})
    out = place(Spot(part="shelf", holes=("foot_1",), side="cab"), lifted)
    assert near(tuple(out.frame[:3, 3]), (105.5, 90.0, 505.0))
    assert out.through_mm == pytest.approx(7.0)
    back = place(Spot(part="shelf", holes=("foot_1",), side="engine"), lifted)
    assert near(tuple(back.frame[:3, 3]), (98.5, 90.0, 505.0))


@pytest.mark.parametrize(
    ("spot", "mounted", "says", "parameter"),
    [
        (Spot(part="shelf", holes=("leg_1",), side="up"), False, "has no mount", "on.part"),
        (Spot(part="shelf", holes=("leg_1", "foot_1"), side="up"), True, "flanges: foot, leg", "on.holes"),
        (Spot(part="shelf", holes=("leg_9",), side="up"), True, "it has foot_1, foot_2, leg_1", "on.holes"),
        (Spot(part="shelf", holes=("foot_1",), side="up"), True, "no up side", "on.side"),
        (Spot(at=(1.0, 2.0, 3.0), toward=(1.0, 2.0, 3.0)), True, "give no direction", "on.toward"),
    ],
)
def test_places_that_are_none(spot: Spot, mounted: bool, says: str, parameter: str) -> None:
    with pytest.raises(GeometryFault, match=says) as caught:
        place(spot, sheets(mounted=mounted))
    assert caught.value.parameter == parameter


def test_part_opening_finds_its_flange() -> None:
    flange, hole = part_opening(shelf(None).plan, "leg_1")
    assert (flange, hole.u_mm) == ("leg", 20)


@pytest.mark.parametrize(
    ("facing", "out", "right", "up"),
    [
        ("cab", (1, 0, 0), (0, 1, 0), (0, 0, 1)),
        ("engine", (-1, 0, 0), (0, -1, 0), (0, 0, 1)),
        ("right", (0, 1, 0), (-1, 0, 0), (0, 0, 1)),
        ("left", (0, -1, 0), (1, 0, 0), (0, 0, 1)),
        ("up", (0, 0, 1), (0, 1, 0), (-1, 0, 0)),
        ("down", (0, 0, -1), (0, -1, 0), (-1, 0, 0)),
    ],
)
def test_free_places(facing: Side, out: tuple, right: tuple, up: tuple) -> None:
    where = place(Spot(at=(7.0, 8.0, 9.0), facing=facing), sheets())
    for column, wanted in enumerate((out, right, up, (7, 8, 9))):
        assert near(tuple(where.frame[:3, column]), wanted)
    assert where.through_mm == 0.0


def test_a_free_place_toward_a_point() -> None:
    # 3-4-5: out (0.6, 0, 0.8); up is what is left of the vehicle's up, square to it
    where = place(Spot(at=(10.0, 0.0, 0.0), toward=(40.0, 0.0, 40.0)), sheets())
    assert near(tuple(where.frame[:3, 0]), (0.6, 0.0, 0.8))
    assert near(tuple(where.frame[:3, 2]), (-0.8, 0.0, 0.6))
    assert near(tuple(where.frame[:3, 1]), (0.0, 1.0, 0.0))


@pytest.mark.parametrize(("lean", "level"), [(5.1, True), (4.9, False)])
def test_an_axis_within_five_degrees_of_upright_takes_forward_for_up(lean: float, level: bool) -> None:
    a = math.radians(lean)
    where = place(Spot(at=(0.0, 0.0, 0.0), toward=(math.sin(a), 0.0, math.cos(a))), sheets())
    up = (-math.cos(a), 0.0, math.sin(a))
    # leaning rearward, up and forward are the same direction here; to the right they are not
    assert near(tuple(where.frame[:3, 2]), up)
    where = place(Spot(at=(0.0, 0.0, 0.0), toward=(0.0, math.sin(a), math.cos(a))), sheets())
    wanted = (0.0, -math.cos(a), math.sin(a)) if level else (-1.0, 0.0, 0.0)
    assert near(tuple(where.frame[:3, 2]), wanted)


# ------------------------------------------------------------------------------------------ clamps
def test_where_a_clamp_holds_its_hose() -> None:
    # inside 8/16 in = 12.7: half 6.35, plus 3 of cushion off the sheet, plus 9 beside the bolt (both ours)
    clamp = Clamp(name="c", dash=8, on=Spot(panel="wall", holes=("one",), side="engine"), run="right")
    assert clamp_size(clamp) == pytest.approx((9.35, 15.35))
    assert clamp_size(replace(clamp, stand_off_mm=14.0, aside_by_mm=0.0)) == (14.0, 0.0)
    middle, run, where = clamp_place(clamp, sheets())
    assert near(middle, (98.5 - 9.35, -160.0, 360.0 + 15.35))
    assert run is not None
    assert near(run, (0, 1, 0))
    assert where.panel == "wall"
    # left as one looks at it from the engine bay is the vehicle's right
    middle, run, _ = clamp_place(replace(clamp, aside="left", run="any"), sheets())
    assert near(middle, (98.5 - 9.35, -160.0 + 15.35, 360.0))
    assert run is None


def test_a_hose_runs_square_to_the_fastener() -> None:
    # on a panel that leans by 30°, up is along the panel
    clamp = Clamp(name="c", dash=8, on=Spot(panel="wall", holes=("one",), side="cab"), run="up")
    _, run, _ = clamp_place(clamp, sheets(30))
    assert run is not None
    assert near(run, (-S30, 0.0, C30))
    with pytest.raises(GeometryFault, match="along the clamp's bolt or screw") as caught:
        clamp_place(replace(clamp, run="cab"), sheets())
    assert caught.value.parameter == "run"
