"""What must move, and how far, for drills, nuts and parts to have their room on a panel."""

from __future__ import annotations

from small_jobs import box, foot, nutted, only, panel

from generators.model.plan import PanelHole


# -------------------------------------------------------------------------------- what can move
def plate_holes(*at: tuple[float, float]) -> list[PanelHole]:
    return [nutted(str(n), u, v, owners=("plate",), name=f"plate.m{n}") for n, (u, v) in enumerate(at, 1)]


def test_a_hole_of_a_part_moves_with_its_part() -> None:
    holes = plate_holes((120, 100), (160, 100), (160, 140))
    found = panel(*holes, footprints=(foot("plate", 100, 80, 180, 160),), keepouts=(box(110, 50, 300, 250),))
    fitting = only(found, "keep-out")
    assert fitting.where == (
        "panel:firewall holes 1 (plate.m1), 2 (plate.m2) and 3 (plate.m3) and heater_box, cab face"
    )
    # outline 180 to 110 is the longest way: 70 mm, more than the last nut's spanner (160 + 11 - 110)
    assert fitting.advice == "move part plate 70 mm to the left"
    assert only(found, "part-on-obstacle").advice == "move part plate 70 mm to the left"


def test_the_move_told_clears_everything() -> None:
    things = {"keepouts": (box(110, 50, 300, 250),)}
    after = plate_holes((50, 100), (90, 100), (90, 140))
    assert panel(*after, footprints=(foot("plate", 30, 80, 110, 160),), **things) == []


def test_a_move_does_not_end_in_the_next_obstacle() -> None:
    # 61 mm to the left would be free of the one box and in the other; up is next
    boxes = (box(110, 50, 300, 170), box(20, 50, 60, 170, name="fuses", reason="fuses"))
    found = panel(nutted("1", 150, 150, name="clamp"), keepouts=boxes)
    assert only(found, "keep-out").advice == "move hole 1 (clamp) 31 mm up"
    crowded = panel(nutted("1", 115, 110, name="clamp"), keepouts=(*boxes, box(60, 50, 105, 170, name="x")))
    assert {f.advice for f in crowded if f.code == "keep-out"} == {"move hole 1 (clamp) 71 mm up"}


def test_where_no_straight_move_is_clear_the_shortfall_is_told() -> None:
    found = panel(nutted("1", 200, 150), keepouts=(box(0, 0, 400, 300),))
    assert only(found, "keep-out").advice == (
        "move hole 1 (hole_1) at least 155.8 mm away from the heater box"
    )


def test_holes_of_one_part_are_set_apart_by_its_parameters() -> None:
    found = only(panel(*plate_holes((100, 100), (111, 100))), "nut-clash")
    assert found.advice == (
        "set holes 1 (plate.m1) and 2 (plate.m2) of part plate at least 0.6 mm further apart"
    )


def test_an_existing_hole_is_never_told_to_move() -> None:
    reused = nutted("A", 100, 100, status="reuse", owners=("plate",), name="old")
    found = only(panel(reused, keepouts=(box(90, 90, 200, 150),)), "keep-out")
    assert found.advice == (
        "hole A (old) exists and cannot be moved: use another hole, or move the heater box for good"
    )
    beside = only(panel(reused, *plate_holes((111, 100))), "nut-clash")
    assert beside.advice == "move part plate 9 mm to the right"  # 3 D, 19.8 mm apart


def test_of_holes_moved_together_the_worst_is_told() -> None:
    # two fittings of one part under a box with 12 mm of air: they stand 15 and 40 off, and reach 3 and 5 into it
    holes = (
        nutted("1", 87.225, 100, owners=("plate",), name="plate.m1", reach_cab_mm=40.0),
        nutted("2", 89.225, 130, owners=("plate",), name="plate.m2"),
    )
    found = only(panel(*holes, keepouts=(box(90, 50, 150, 150, gap_mm=12),)), "keep-out")
    assert (found.found, found.wanted) == ("12.00 mm of air", "40.00 mm")
    assert found.where.startswith("panel:firewall holes 1 (plate.m1) and 2 (plate.m2)")


def test_of_spanners_moved_together_the_tightest_is_told() -> None:
    # spanner circles of 22: radius 11; 9 and 7 mm of room
    holes = (
        nutted("1", 81, 80, owners=("plate",), name="plate.m1"),
        nutted("2", 83, 120, owners=("plate",), name="plate.m2"),
    )
    found = only(panel(*holes, keepouts=(box(90, 50, 150, 150, gap_mm=14),)), "spanner-clash")
    assert (found.found, found.wanted) == ("7.00 mm", "11.00 mm")
