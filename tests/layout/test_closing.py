"""How old holes are closed, by hand: a hole of 20 mm at 100, 100 with things beside it at known distances.

Edge distance of a rivet: two diameters, AC 43.13-1B 4-57c; 1/8 in (3.175 mm) both ways is 12.7 mm of lap. A
millimetre is left free beside the plate.
"""

from __future__ import annotations

from typing import Any

import pytest
from checks.small_jobs import box, fold, foot, hole, layout, old

from generators.layout.closing import Closing, closings
from generators.layout.rivets import riveting

FAR = {"face": "engine"}


def closed(*others: Any, **more: Any) -> Closing:
    blank = old("A", 100, 100, 20, status="blank")
    return next(done for done in closings(layout(blank, *others, **more)) if blank in done.holes)


def test_with_nothing_near_the_lap_is_fifteen() -> None:
    done = closed()
    assert (done.lap_mm, done.plate, done.room.face) == (15.0, True, "engine")


def test_the_face_with_more_room_is_taken() -> None:
    """A part 4 mm from the rim on the engine side, as near as that: 3 mm are left, the cab side is free."""
    done = closed(footprints=(foot("fitting_plate", 114, 60, 200, 140, "engine"),))
    assert (done.room.face, done.lap_mm) == ("cab", 15.0)
    assert done.behind.free_mm == pytest.approx(3.0)
    assert done.behind.ends_at == "the fitting plate"


@pytest.mark.parametrize(("near", "lap", "plate"), [(124.1, 13.0, True), (123.9, 12.0, False)])
def test_the_lap_is_what_fits_in_whole_millimetres(near: float, lap: float, plate: bool) -> None:
    """124.1 - 100 - 10 - 1 = 13.1 mm, of which 13; 12.9 gives 12, under the rivets' 12.7."""
    both = (box(near, 50, 200, 150), box(near, 50, 200, 150, **FAR))
    done = closed(keepouts=both)
    assert (done.lap_mm, done.plate) == (lap, plate)
    assert done.plug is not plate


def test_what_stands_clear_of_the_sheet_is_no_hindrance() -> None:
    done = closed(keepouts=(box(105, 50, 200, 150, gap_mm=6.1), box(105, 50, 200, 150, gap_mm=6.1, **FAR)))
    assert done.lap_mm == 15.0
    near = closed(keepouts=(box(105, 50, 200, 150, gap_mm=5.9), box(105, 50, 200, 150, gap_mm=5.9, **FAR)))
    assert not near.plate
    assert not near.plug


def test_a_bead_is_in_the_way_on_both_faces() -> None:
    done = closed(keepouts=(box(120, 50, 200, 150, bead=True),))
    assert done.room.free_mm == done.behind.free_mm == pytest.approx(9.0)


def test_other_holes_bends_and_the_edge_end_it() -> None:
    """Rim to rim 9.7 less 1; the bend begins at its tangent, here 6 mm before the line; the edge 10 mm away."""
    assert closed(hole("1", 123, 100, 6.6)).room.free_mm == pytest.approx(123 - 100 - 10 - 3.3 - 1)
    assert closed(folds=(fold(125.0),)).room.ends_at == "the bend"
    low = old("A", 100, 20, 20, status="blank")
    done = next(done for done in closings(layout(low)) if low in done.holes)
    assert done.room.free_mm == pytest.approx(9.0)


def blanks(*places: float, **more: Any) -> tuple[Closing, ...]:
    """Old holes of 20 mm in a row, to be closed."""
    row = [old(chr(65 + k), u, 100, 20, status="blank") for k, u in enumerate(places)]
    return tuple(done for done in closings(layout(*row, **more)) if done.holes[0] in row)


def test_old_holes_side_by_side_go_under_one_plate() -> None:
    """46.3 mm from middle to middle leaves 26.3, less than two laps of 12.7 and 1 between: one plate."""
    (both,) = blanks(100, 146.3)
    assert ([h.number for h in both.holes], both.lap_mm, both.plate) == (["A", "B"], 15.0, True)
    one, other = blanks(100, 146.5)
    # 26.5 between the rims, a millimetre between the plates: 12.75 each, of which 12 in whole millimetres
    assert one.room.free_mm == other.room.free_mm == pytest.approx(12.75)
    assert one.room.ends_at == "the plate of hole B"
    assert [d.lap_mm for d in blanks(100, 150)] == [14.0, 14.0]  # (30 - 1) / 2 = 14.5


def test_three_in_a_row_are_one_and_a_far_one_is_its_own() -> None:
    assert [[h.number for h in d.holes] for d in blanks(100, 130, 160, 300)] == [["A", "B", "C"], ["D"]]


def test_something_between_leaves_each_to_itself() -> None:
    """A box that reaches between them on both faces: no plate over both; 5 mm to it is room for no plug's lip."""
    both = (box(115, 90, 117, 110), box(115, 90, 117, 110, face="engine"))
    done = blanks(100, 132, keepouts=both)
    assert [len(d.holes) for d in done] == [1, 1]
    assert not any(d.plate for d in done)


# Rivets of 1/8 in, by hand. A hole of 20 with 15 of lap: the line midway lies on a circle of 35, 109.96 long.
@pytest.mark.parametrize(
    ("sheet", "count", "grip"),
    [
        (1.2, 4, 2.4),  # 24 x 1.2 = 28.8: 3.8 of them
        (1.0, 5, 2.0),  # 24: 4.6
        (0.9, 6, 1.8),  # 21.6: 5.1
        (2.5, 4, 4.5),  # 60, but four at least; the cover no thicker than 2
    ],
)
def test_rivets_by_the_thinnest_sheet(sheet: float, count: int, grip: float) -> None:
    made = riveting(closed(), sheet)
    assert (made.count, made.line_mm, made.clear, made.bolted) == (count, 7.5, True, False)
    assert made.grip_mm == pytest.approx(grip)
    assert made.pitch_mm == pytest.approx(109.96 / count, rel=1e-3)


def test_the_line_moves_in_for_what_stands_behind() -> None:
    """A part on the other face 12 mm from the rim: 12 - 6.7 / 2 - 1 = 7.65 leaves it midway, 11 moves it in."""
    for near, line, clear in ((112.0 + 10, 7.5, True), (111.0 + 10, 6.5, True), (110.8 + 10, 6.5, False)):
        feet = (foot("fitting_plate", near, 60, 200, 140, "engine"),)
        made = riveting(closed(footprints=feet), 1.2)
        assert (made.line_mm, made.clear) == (line, clear)


def test_panel_and_plate_too_thick_for_rivets_are_bolted() -> None:
    assert not riveting(closed(), 4.4).bolted
    assert riveting(closed(), 4.5).bolted
