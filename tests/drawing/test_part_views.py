"""What the folded views show: hidden lines, outside lengths, and the layout of the sheet."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from drawing.part_cases import cases, make
from hypothesis import given, settings
from hypothesis import strategies as st

from generators.drawing.paper.dimensions import number, readable, spread
from generators.drawing.paper.sheet_layout import GAP_MM, Block, arrange
from generators.drawing.part.body import Body, Edge, Face, folded_body
from generators.drawing.part.folded_view import folded_views
from generators.drawing.part.profile import inside_arc_middle, outside_legs
from generators.drawing.part.tables.datums import find_datums
from generators.drawing.part.tables.holes import hole_table
from generators.drawing.part.tables.openings import number_openings
from generators.drawing.part.views import BOTTOM, FRONT, ISOMETRIC, LEFT, RIGHT, TOP, view
from generators.sheetmetal.folding import bend_axis, flat_pattern, folded_frames

CASES = cases()
CAMERAS = (FRONT, LEFT, RIGHT, TOP, BOTTOM, ISOMETRIC)


def length(strokes) -> float:
    return float(sum(np.linalg.norm(np.diff(s.points, axis=0), axis=1).sum() for s in strokes))


@pytest.mark.parametrize("camera", CAMERAS, ids=lambda c: c.name)
def test_cameras_are_right_handed_unit_frames(camera) -> None:
    axes = np.array([camera.right, camera.up, camera.toward])
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1)


def test_third_angle_stands_views_on_the_side_they_are_seen_from() -> None:
    # the face turned to the front (w+) lies next to the front view in every neighbour
    front = np.array([0, 0, 1.0])
    assert front @ RIGHT.right < 0  # right-side view stands right: its left border is the front
    assert front @ LEFT.right > 0
    assert front @ TOP.up < 0  # view from above stands above: its lower border is the front
    assert front @ BOTTOM.up > 0


def test_a_plate_hides_its_own_back() -> None:
    seen = view(folded_body(CASES["plate_square"]), FRONT, 0.5)
    assert seen.bounds == pytest.approx((-81, -30, 81, 30))
    holes = [s for s in seen.strokes if s.kind == "hole"]
    rims = sum(math.pi * h.diameter_mm for h in CASES["plate_square"].flanges[0].holes)
    # the upper rims are seen; the lower ones coincide with them and leave no hidden line
    assert length(s for s in holes if not s.hidden) >= 0.98 * rims
    assert not [s for s in seen.strokes if s.hidden and s.kind == "sharp"]


def test_a_wall_before_another_hides_it() -> None:
    # two squares, the smaller one 10 mm nearer: of the farther outline the covered part disappears
    def square(x0: float, x1: float, z: float) -> np.ndarray:
        return np.array([(x0, 0, z), (x1, 0, z), (x1, 10, z), (x0, 10, z)], dtype=float)

    up = np.array([0, 0, 1.0])
    near, far = square(5, 15, 10), square(0, 10, 0)
    body = Body(
        faces=(Face((near,), up), Face((far,), up)),
        edges=(Edge(np.vstack([far[1:3], far[3:], far[:2]]), "sharp"), Edge(near[[3, 0]], "sharp")),
        turns=(),
    )
    seen = view(body, FRONT, 0.1)
    # of the farther square's right side all 10 mm are behind; of its top and bottom 5 mm each lie on
    # the border of the nearer one
    hidden = length(s for s in seen.strokes if s.hidden)
    assert 10.0 <= hidden <= 20.5


@pytest.mark.parametrize("name", [n for n in CASES if CASES[n].bends])
def test_views_are_as_large_as_the_folded_part(name: str) -> None:
    plan = CASES[name]
    body = folded_body(plan)
    points = np.vstack([ring for face in body.faces for ring in face.rings])
    for camera in CAMERAS:
        x, y = (points @ camera.right), (points @ camera.up)
        assert view(body, camera, 2.0).bounds == pytest.approx((x.min(), y.min(), x.max(), y.max()), abs=0.03)


@pytest.mark.parametrize("degrees", [30, 60, 90, 120])
def test_legs_are_the_outside_lengths_of_the_spec(degrees: float) -> None:
    plan = make(
        "reservoir_bracket", angle_rad=math.radians(degrees), base_height_mm=75.0, shelf_depth_mm=82.0
    )
    legs = outside_legs(plan, folded_frames(plan), plan.bends)
    assert [leg.length for leg in legs] == pytest.approx([75.0, 82.0])
    assert legs[0].outside == pytest.approx([0, 0, -1])
    # both begin where the outside faces meet
    assert legs[0].start[1:] == pytest.approx(legs[1].start[1:])


def test_channel_legs_run_from_mould_line_to_mould_line() -> None:
    plan = make("pedal_hanger", inside_width_mm=80.0, pivot_out_mm=90.0, pivot_boss_mm=24.0)
    frames = folded_frames(plan)
    legs = outside_legs(plan, frames, [b for b in plan.bends if b.name != "tab"])
    # 80 inside + two sheets of 3; cheeks reach 90 + 24 from the panel
    assert [leg.length for leg in legs] == pytest.approx([86.0, 114.0, 114.0])
    assert bend_axis(frames, plan.bends[0]) == pytest.approx([0, 1, 0])


@pytest.mark.parametrize("name", ["tree", "tree_down_up", "shelf_120", "hanger"])
def test_arc_middles_lie_on_the_inside_radius(name: str) -> None:
    plan = CASES[name]
    frames = folded_frames(plan)
    for bend in plan.bends:
        parent = frames[bend.parent]
        up = bend.direction == "up"
        w = plan.thickness_mm + bend.inside_radius_mm if up else -bend.inside_radius_mm
        axis = (parent @ np.array([*bend.start, w, 1.0]))[:3]
        at = inside_arc_middle(frames, bend, plan.thickness_mm) - axis
        along = bend_axis(frames, bend)
        assert np.linalg.norm(at - along * (at @ along)) == pytest.approx(bend.inside_radius_mm)


def test_views_of_a_channel_and_of_a_shelf() -> None:
    hanger, shelf = CASES["hanger"], CASES["shelf"]
    names = [c.name for c in folded_views(hanger, folded_body(hanger), 0.5).cameras]
    assert names == ["FRONT", "RIGHT SIDE", "FROM BELOW"]
    assert [c.name for c in folded_views(shelf, folded_body(shelf), 0.5).cameras] == ["FRONT", "RIGHT SIDE"]


def test_datums_are_edges_where_there_are_straight_ones() -> None:
    plate = flat_pattern(make("fitting_plate", count=2, spacing_mm=38.0, end_margin_mm=36.0, height_mm=60.0))
    hanger = flat_pattern(make("pedal_hanger", web_below_mm=45.0))
    assert (find_datums(plate).u_words, find_datums(plate).v_words) == ("the left edge", "the lower edge")
    assert (find_datums(plate).u_mm, find_datums(plate).v_mm) == pytest.approx((-55, -30))
    # the hanger's left end is round, so X starts at the master bore
    datums = find_datums(hanger)
    assert (datums.u_words, datums.u_mm) == ("the centre of hole 1", 0.0)
    assert datums.v_words == "the lower edge"
    assert datums.v_mm == pytest.approx(-45.0)


def test_hole_table_by_hand() -> None:
    plan = make(
        "pedal_hanger",
        pivot_out_mm=90.0,
        pivot_up_mm=60.0,
        pivot_bore_mm=16.0,
        web_below_mm=45.0,
        inside_width_mm=76.0,
        master_bore_mm=32.0,
    )
    flat = flat_pattern(plan)
    table = hole_table(plan, number_openings(plan, flat, 0.0), find_datums(flat))
    assert table is not None
    rows = {row[0]: row for row in table.rows}
    # 32 mm = 1.260 in; lower edge 45 below the master
    assert rows["1"][:6] == ("1", "32.00", "1.260", "0.00", "45.00", "–")
    # right pivot: half of 76 + 3 (outside), flat = 41 + 90 - BD 5.19 = 125.81; 90 off the panel
    assert rows["8"][:6] == ("8", "16.00", "0.630", "125.81", "105.00", "90.00")


def test_tables_split_to_the_height_they_get() -> None:
    plan = CASES["plate_long"]
    flat = flat_pattern(plan)
    table = hole_table(plan, number_openings(plan, flat, 0.0), find_datums(flat))
    assert table is not None
    pieces = table.split(40.0)
    assert [row for piece in pieces for row in piece.rows] == list(table.rows)
    assert all(piece.size()[1] <= 40.0 for piece in pieces)
    assert len({piece.name for piece in pieces}) == len(pieces)


BLOCKS = st.lists(st.tuples(st.floats(5, 90), st.floats(5, 90)), min_size=1, max_size=5)


@settings(max_examples=80, deadline=None)
@given(BLOCKS, st.floats(60, 300), st.floats(60, 300))
def test_blocks_keep_apart_and_inside(sizes: list[tuple[float, float]], width: float, height: float) -> None:
    blocks = [Block(f"b{i}", w, h) for i, (w, h) in enumerate(sizes)]
    cells = arrange(blocks, width, height)
    if cells is None:
        # one beside the other must not have been possible
        wide = sum(b.width for b in blocks) + GAP_MM * (len(blocks) - 1)
        assert wide > width or max(b.height for b in blocks) > height
        return
    for b in blocks:
        c = cells[b.name]
        assert c.width >= b.width - 1e-9
        assert c.height >= b.height - 1e-9
        assert c.x >= -1e-9
        assert c.y >= -1e-9
        assert c.x + c.width <= width + 1e-9
        assert c.y + c.height <= height + 1e-9
    for i, b in enumerate(blocks):
        for other in blocks[i + 1 :]:
            p, q = cells[b.name], cells[other.name]
            apart_x = max(p.x, q.x) - min(p.x + p.width, q.x + q.width)
            apart_y = max(p.y, q.y) - min(p.y + p.height, q.y + q.height)
            assert max(apart_x, apart_y) >= GAP_MM - 1e-6


@given(st.lists(st.floats(0, 100), min_size=1, max_size=15), st.floats(0.5, 8))
def test_spread_keeps_order_and_distance(values: list[float], apart: float) -> None:
    values = sorted(values)
    out = spread(values, apart)
    assert all(b - a >= apart - 1e-6 for a, b in itertools.pairwise(out))
    if all(b - a >= apart for a, b in itertools.pairwise(values)):
        assert out == pytest.approx(values)
    # moved as little as can be: the middle stays
    assert sum(out) / len(out) == pytest.approx(sum(values) / len(values), abs=1e-6)


@given(st.floats(-20, 20))
def test_texts_are_never_upside_down(angle: float) -> None:
    turned = readable(angle)
    assert -math.pi / 2 < turned <= math.pi / 2 + 1e-6
    assert math.sin(2 * (turned - angle)) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    ("value", "text"),
    [(90.0, "90"), (12.5, "12.5"), (0.004, "0"), (-0.001, "0"), (-12.346, "-12.35"), (100.0, "100")],
)
def test_numbers(value: float, text: str) -> None:
    assert number(value) == text
