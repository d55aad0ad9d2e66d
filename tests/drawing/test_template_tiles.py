"""How a panel is cut into pages."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from drawing.sample import firewall, new, old
from hypothesis import given, settings
from hypothesis import strategies as st

from generators.drawing.template import tiles
from generators.drawing.template.sheet import registration_marks
from generators.drawing.template.tiles import (
    OVERLAP_MM,
    Grid,
    content_box,
    needed_holes,
    plan_tiles,
)
from generators.errors import ExportError


def _whole(hole, box, air=0.0):
    r = hole.final_dia_mm / 2 + air
    return (
        box[0] <= hole.u_mm - r
        and hole.u_mm + r <= box[2]
        and box[1] <= hole.v_mm - r
        and hole.v_mm + r <= box[3]
    )


def test_neighbours_overlap_by_at_least_15_mm():
    grid = Grid(u0=0, v0=0, width=180, height=200, columns=3, rows=2)
    for (i, j), (k, m) in itertools.product(itertools.product(range(3), range(2)), repeat=2):
        a, b = grid.box((i, j)), grid.box((k, m))
        if (k, m) == (i + 1, j):
            assert a[2] - b[0] == OVERLAP_MM >= 15
        if (k, m) == (i, j + 1):
            assert a[3] - b[1] == OVERLAP_MM


@pytest.mark.parametrize(("width", "height"), [(180, 210), (262, 131), (268, 340), (178, 190), (700, 400)])
def test_every_hole_of_the_sample_is_whole_on_a_printed_tile(width, height):
    holes = needed_holes(firewall())
    plan = plan_tiles(holes, width, height)
    boxes = [plan.grid.box(cell) for cell in plan.printed]
    assert plan.cut == ()
    assert all(any(_whole(h, box) for box in boxes) for h in holes)


def test_one_page_when_one_page_is_enough():
    holes = needed_holes(firewall())
    u0, v0, u1, v1 = content_box(holes)
    plan = plan_tiles(holes, u1 - u0, v1 - v0)
    assert plan.printed == ((0, 0),)
    assert plan.skipped == ()


def test_tiles_with_nothing_to_mark_are_skipped_but_pages_stay_joined():
    holes = [
        new(str(i), f"h{i}", u, v, 8.0, "a bolt", "bolt") for i, (u, v) in enumerate([(0, 0), (400, 400)])
    ]
    plan = plan_tiles(holes, 180, 180)
    assert plan.skipped
    cells = set(plan.printed)
    reached, front = set(), [plan.printed[0]]
    while front:
        i, j = front.pop()
        if (i, j) in cells and (i, j) not in reached:
            reached.add((i, j))
            front += [(i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)]
    assert reached == cells


def test_a_far_group_with_two_existing_holes_may_stand_alone():
    near = [old("A", "a", 0, 0, 10, "one", "datum"), old("B", "b", 60, 0, 10, "two", "datum")]
    far = [old("C", "c", 900, 0, 10, "three", "datum"), old("D", "d", 960, 0, 10, "four", "datum")]
    assert len(plan_tiles([*near, *far], 180, 180).printed) == 2
    assert len(plan_tiles([*near, far[0]], 180, 180).printed) > 2


def test_sheets_stay_where_they_are_when_one_hole_moves_a_little():
    holes = [new(str(k), f"h{k}", 37.0 * k, 53.0 * (k % 5), 8.0, "a bolt", "bolt") for k in range(12)]
    grid = plan_tiles(holes, 180, 210).grid
    assert (grid.u0 % 5, grid.v0 % 5) == (0, 0)
    for k in (3, 5, 8):
        moved = [replace(h, u_mm=h.u_mm + 1.0) if h is holes[k] else h for h in holes]
        assert plan_tiles(moved, 180, 210).grid == grid


def test_a_hole_larger_than_the_page_is_named_as_cut():
    assert plan_tiles([old("A", "a", 0, 0, 400, "a bore", "blank")], 180, 180).cut == ("A",)


def test_kept_holes_far_away_do_not_cost_pages():
    layout = firewall()
    far = old("Z", "far_away", 4000, 4000, 10, "far away", "datum")
    with_far = replace(layout, holes=(*layout.holes, far))
    assert far not in needed_holes(with_far)
    assert needed_holes(replace(with_far, witness_hole="far_away"))[-1] == far
    measured = replace(layout.holes[0], position_note="12 left from hole Z")
    assert far in needed_holes(replace(with_far, holes=(measured, *with_far.holes[1:])))


def test_no_holes_no_template():
    with pytest.raises(ExportError):
        plan_tiles([], 180, 180)


def test_marks_are_shared_by_neighbours_and_stay_off_the_holes():
    holes = firewall().holes
    grid = Grid(u0=100, v0=10, width=180, height=200, columns=4, rows=2)
    marks = registration_marks(grid, holes)
    for i in range(3):
        assert len(set(marks[i, 0]) & set(marks[i + 1, 0])) >= 2
    for cell, points in marks.items():
        box = grid.box(cell)
        assert len(points) >= 6
        for u, v in points:
            assert box[0] + 4 <= u <= box[2] - 4
            assert box[1] + 4 <= v <= box[3] - 4
            for h in holes:
                assert abs(((h.u_mm - u) ** 2 + (h.v_mm - v) ** 2) ** 0.5 - h.final_dia_mm / 2) > 4


@pytest.mark.parametrize("there", [400.0, 300.0, 250.0, 12.0])
def test_a_sheet_within_a_wide_hole_has_marks_to_be_measured_by(there: float) -> None:
    """Paper 180 by 200 in a hole of the vehicle: three marks or more, off its rim and its middle, not on one line."""
    hole = old("A", "hatch", 190, 110, there, "hatch", "datum")
    (marks,) = registration_marks(
        Grid(u0=100, v0=10, width=180, height=200, columns=1, rows=1), [hole]
    ).values()
    assert len(marks) >= 3
    assert np.linalg.svd(np.array(marks, dtype=float) - np.mean(marks, axis=0), compute_uv=False)[-1] > 20
    for u, v in marks:
        off = math.hypot(u - 190, v - 110)
        assert off > 4
        assert abs(off - there / 2) > 4


spots = st.lists(
    st.tuples(st.integers(0, 45), st.integers(0, 25), st.integers(3, 30)),
    min_size=1,
    max_size=40,
    unique_by=lambda s: s[:2],
)


@settings(max_examples=25, deadline=None)
@given(spots, st.sampled_from([(180, 209), (262, 131), (268, 340)]))
def test_holes_that_fit_a_page_are_whole_somewhere(cells, live):
    holes = [
        new(str(k), f"h{k}", 40.0 * i, 40.0 * j, d, "x y z", "plain") for k, (i, j, d) in enumerate(cells)
    ]
    plan = plan_tiles(holes, *live)
    boxes = [plan.grid.box(cell) for cell in plan.printed]
    for h in holes:
        assert any(box[0] <= h.u_mm <= box[2] and box[1] <= h.v_mm <= box[3] for box in boxes)
        assert (h.number in plan.cut) != any(_whole(h, box, 0.5) for box in boxes)


def _spread():
    """Twelve holes in three rows, more than a page apart."""
    return [
        new(str(k), f"h{k}", 40.0 + 210 * (k % 4), 30.0 + 170 * (k // 4), 9.0, "bolt", "bolt")
        for k in range(12)
    ]


def test_grids_that_hold_the_holes_alike_are_worked_out_once(monkeypatch):
    asked = []
    straight = tiles.printed_of

    def counted(names, old, across, up):
        asked.append((across, up))
        return straight(names, old, across, up)

    monkeypatch.setattr(tiles, "printed_of", counted)
    plan_tiles(_spread(), 180, 210)
    assert asked
    assert len(asked) == len(set(asked))


def test_a_hole_that_moves_is_cut_into_pages_anew():
    holes = _spread()
    before = plan_tiles(holes, 180, 210)
    far = [replace(holes[0], u_mm=-400.0), *holes[1:]]
    assert plan_tiles(far, 180, 210).grid != before.grid
    wide = [replace(holes[0], final_dia_mm=300.0), *holes[1:]]
    assert plan_tiles(wide, 180, 210).cut == (holes[0].number,)
