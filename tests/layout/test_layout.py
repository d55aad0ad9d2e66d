"""Placing: two faces, datums, merging, folds. Expected numbers are worked by hand beside each case."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from layout.walls import panel
from made_once import solved

from generators.errors import GeometryFault
from generators.geometry.contours import area, bounds
from generators.geometry.frames import apply, panel_frame
from generators.layout.folds import fold_lines
from generators.layout.mounting import PlacedPart, part_matrix, placement
from generators.layout.openings import letters, panel_holes
from generators.layout.panels import panel_layout
from generators.model.plan import Fitting, Hole
from generators.model.spec.job import (
    ExistingHole,
    Fold,
    HoleSpec,
    Mount,
    Obstacle,
    PartSpec,
    Position,
)
from generators.model.spec.load import Bead
from generators.model.spec.shop import Shop
from generators.model.words import OTHER, Action, Face, FittingFace
from generators.parts import kind_named
from generators.sheetmetal.allowance import bend_rule


def placed(kind_name: str, mount: Mount, **parameters: Any) -> PlacedPart:
    kind = kind_named(kind_name)
    spec = PartSpec(
        name="thing",
        kind=kind_name,
        material="1008 steel",
        thickness_mm=2.0,
        parameters=kind.parameters(**parameters),
        mount=mount,
    )
    return PlacedPart(spec=spec, plan=kind.plan(spec, bend_rule(Shop(), "1008 steel", 2.0, None)))


def mount(face: Face, u: float = 300.0, v: float = 200.0, turn: float = 0.0) -> Mount:
    return Mount(panel="wall", face=face, at=Position(u_mm=u, v_mm=v), rotate_rad=turn)


def test_a_part_on_the_engine_face_is_seen_from_the_other_side() -> None:
    # hanger: master bolts are symmetric, the pivot is not involved; use three doubler bolts, whose
    # third bolt stands at the top middle and whose first at the part's lower left
    cab = {h.name: h for h in panel_holes(panel(), [placed("fitting_plate", mount("cab"), bolts=3)])}
    engine = {h.name: h for h in panel_holes(panel(), [placed("fitting_plate", mount("engine"), bolts=3)])}
    first_cab, first_engine = cab["thing.mount_1"], engine["thing.mount_1"]
    # half width = 38/2 + 36 = 55, bolt inset 12 -> 43 from the middle
    assert first_cab.u_mm == pytest.approx(300 - 43)
    assert first_engine.u_mm == pytest.approx(300 + 43)
    assert first_cab.v_mm == pytest.approx(first_engine.v_mm)
    assert first_cab.nut_face == "cab"
    assert first_engine.nut_face == "engine"


@given(
    turn=st.floats(-3.1, 3.1),
    face=st.sampled_from(["cab", "engine"]),
    tilt=st.floats(-1.2, 1.2),
    u=st.floats(50, 700),
    sideways=st.floats(-math.pi, math.pi),
)
def test_plane_placement_and_pose_in_space_agree(
    turn: float, face: Face, tilt: float, u: float, sideways: float
) -> None:
    sheet = panel(tilt_rad=tilt, turn_rad=sideways)
    where = mount(face, u=u, turn=turn)
    plane, space = placement(sheet, where), part_matrix(sheet, where)
    back = np.linalg.inv(panel_frame(sheet.origin, sheet.tilt_rad, sheet.turn_rad))
    for pu, pv in ((0.0, 0.0), (13.0, -7.0), (-20.0, 41.0)):
        local = apply(np.asarray(back, dtype=np.float64), apply(space, np.array([[pu, pv, 0.0]])))[0]
        assert local[:2] == pytest.approx(plane.apply(pu, pv), abs=1e-9)
        # root flange's lower side lies on the metal: cab face w = 0, engine face w = -thickness
        assert local[2] == pytest.approx(0.0 if face == "cab" else -1.2, abs=1e-9)
    away = (np.linalg.inv(back) @ np.diag([1, 1, 1, 1.0]))[:3, :3].T @ (space[:3, :3] @ np.array([0, 0, 1.0]))
    assert away[2] == pytest.approx(1.0 if face == "cab" else -1.0)
    assert np.linalg.det(space[:3, :3]) == pytest.approx(1.0)


def test_driver_right_up_and_normal() -> None:
    frame = panel_frame((0, 0, 0), 0.0)
    assert frame[:3, 0] == pytest.approx([0, 1, 0])  # u: vehicle's right
    assert frame[:3, 1] == pytest.approx([0, 0, 1])  # v: up
    assert frame[:3, 2] == pytest.approx([1, 0, 0])  # normal: rearward, toward the driver


def test_coincident_holes_of_two_parts_become_one() -> None:
    both = [placed("fitting_plate", mount("cab")), placed("fitting_plate", mount("engine"))]
    both[1] = replace(both[1], spec=replace(both[1].spec, name="other"))
    holes = [h for h in panel_holes(panel(), both) if h.status == "drill"]
    assert len(holes) == 6  # 2 bulkheads + 4 bolts, not 12
    assert {h.nut_face for h in holes} == {"both"}
    assert {h.owners for h in holes} == {tuple(part.spec.name for part in both)}


def test_a_new_hole_on_a_reused_one_takes_its_place() -> None:
    old = ExistingHole(name="old", at=(300.2, 200.0), diameter_mm=10.0, action="reuse", what="old stud")
    new = HoleSpec(
        name="stud", at=Position(u_mm=300.0, v_mm=200.0), kind="bolt", thread="M12", purpose="new stud"
    )
    holes = panel_holes(panel(existing=(old,), hole=(new,)), [])
    assert len(holes) == 1
    only = holes[0]
    assert (only.status, only.name, only.u_mm) == ("reuse", "old", 300.2)
    assert only.final_dia_mm == pytest.approx(13.5)  # ISO 273 medium for M12, opened from 10
    assert "open from 10" in only.tool


@pytest.mark.parametrize(
    ("thread", "hole_mm", "across_flats_mm"),
    # 15/32 in to 12.18 mm and 9/16 in to 14.56 mm (H13): steps of 12 mm, and 14 mm filed to 14.5 mm
    [("M14", 15.5, 21), ("M16", 17.5, 24), ("7/16", 12.0, 11 / 16 * 25.4), ("1/2", 14.5, 19.05)],
)
def test_large_bolts_have_their_hole_their_spanner_and_their_reach(
    thread: str, hole_mm: float, across_flats_mm: float
) -> None:
    # ISO 273 medium and ASME B18.2.8 normal; across flats ISO 4032 and ASME B18.2.2, from memory
    large = HoleSpec(
        name="b", at=Position(u_mm=300.0, v_mm=200.0), kind="bolt", thread=thread, purpose="large bolt"
    )
    hole = next(h for h in panel_holes(panel(hole=(large,)), []) if h.name == "b")
    assert hole.final_dia_mm == pytest.approx(hole_mm)
    assert hole.spanner_circle_mm == pytest.approx(2.2 * across_flats_mm)  # common practice
    # nut ISO 4032, washer ISO 7089 and two pitches of an M16: 14.8 + 3 + 4 mm
    assert hole.reach_cab_mm >= (21.8 if thread == "M16" else 15.0)


def test_numbers_run_from_the_top_left_and_existing_holes_have_letters() -> None:
    specs = tuple(
        HoleSpec(name=n, at=Position(u_mm=u, v_mm=v), kind="plain", diameter_mm=5.0, purpose="test hole")
        for n, u, v in (("c", 100.0, 50.0), ("a", 100.0, 300.0), ("b", 200.0, 300.0))
    )
    holes = panel_holes(panel(hole=specs), [])
    assert [(h.number, h.name) for h in holes] == [("1", "a"), ("2", "b"), ("3", "c"), ("A", "column")]
    assert [letters(i) for i in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]


def test_positions_are_measured_from_the_named_datum() -> None:
    at = Position(u_mm=-40.0, v_mm=25.0, from_="column")
    spec = HoleSpec(name="x", at=at, kind="plain", diameter_mm=5.0, purpose="test hole")
    hole = panel_holes(panel(hole=(spec,)), [])[0]
    assert (hole.u_mm, hole.v_mm) == (460.0, 125.0)
    assert hole.position_note == "40 left, 25 up from column"


def test_shared_edge_and_fold_angle() -> None:
    upper = panel()
    lower = panel(
        name="floor",
        tilt_rad=math.radians(40),
        outline=((0.0, -200.0), (800.0, -200.0), (800.0, 0.0), (0.0, 0.0)),
    )
    lines = fold_lines(Fold(panels=("wall", "floor")), {"wall": upper, "floor": lower}, "fold[0]")
    assert {lines["wall"].start, lines["wall"].end} == {(0.0, 0.0), (800.0, 0.0)}
    assert lines["floor"].angle_rad == pytest.approx(math.radians(40))
    apart = replace(lower, origin=(107.0, -50.0, 600.0))
    with pytest.raises(GeometryFault, match=r"miss by 7\.0 mm") as caught:
        fold_lines(Fold(panels=("wall", "floor")), {"wall": upper, "floor": apart}, "fold[0]")
    assert caught.value.parameter == "fold[0]"


def test_the_demo_has_every_hole_of_its_parts_once() -> None:
    prepared = solved("wrenfield_van")
    holes = [h for layout in prepared.layouts for h in layout.holes if h.status == "drill"]
    # hanger 1 + 2 + 4, fitting plate 1 + 2, reservoir 2, blanking plate 4, one clamp, one bulkhead fitting
    assert len(holes) == 7 + 3 + 2 + 4 + 1 + 1
    firewall = prepared.layouts[0]
    master = next(h for h in firewall.holes if h.name == "clutch_hanger.master_bore")
    assert (master.u_mm, master.v_mm) == pytest.approx((640 - 120, 110 + 125))
    # a nose of 1 1/4 in goes through a hole of 31.75 to 32.75 mm: the step of 32 mm
    assert (master.final_dia_mm, master.tool) == (32.0, "step drill 32 mm")
    assert (master.least_mm, master.most_mm) == pytest.approx((31.75, 32.75))


def test_the_masters_body_stands_off_on_the_far_side() -> None:
    reaches: tuple[tuple[Face, str, str], ...] = (
        ("cab", "reach_cab_mm", "reach_engine_mm"),
        ("engine", "reach_engine_mm", "reach_cab_mm"),
    )
    for face, near, far in reaches:
        holes = panel_holes(panel(), [placed("pedal_hanger", mount(face), master_length_mm=180.0)])
        nose = next(h for h in holes if h.name == "thing.master_bore")
        assert (getattr(nose, near), getattr(nose, far)) == (0.0, 180.0)


def test_a_larger_hole_serves_a_smaller_bolt_as_it_is() -> None:
    # M8 in an old hole of 12: ISO 273 medium would be 9.0, nothing is drilled and the hole keeps its size
    old = ExistingHole(name="old", at=(300.0, 200.3), diameter_mm=12.0, action="reuse", what="old stud")
    new = HoleSpec(
        name="stud", at=Position(u_mm=300.0, v_mm=200.0), kind="bolt", thread="M8", purpose="new stud"
    )
    (only,) = panel_holes(panel(existing=(old,), hole=(new,)), [])
    assert (only.status, only.final_dia_mm, only.tool, only.pilot_dia_mm) == ("reuse", 12.0, "", 0.0)
    assert (only.u_mm, only.v_mm, only.shank_mm, only.purpose) == (300.0, 200.3, 8.0, "new stud")
    # a hole of the very size is not opened either, one a tenth smaller is
    for before, tool in ((9.0, False), (8.9, True)):
        (same,) = panel_holes(panel(existing=(replace(old, diameter_mm=before),), hole=(new,)), [])
        assert (same.final_dia_mm, bool(same.tool)) == (9.0, tool)


@pytest.mark.parametrize(
    ("action", "off", "left"),
    [("reuse", 0.5, 1), ("reuse", 0.51, 2), ("keep", 0.0, 2), ("blank", 0.0, 2)],
)
def test_only_a_hole_meant_for_reuse_within_half_a_millimetre_is_taken(
    action: Action, off: float, left: int
) -> None:
    old = ExistingHole(name="old", at=(300.0 + off, 200.0), diameter_mm=12.0, action=action, what="old stud")
    new = HoleSpec(
        name="stud", at=Position(u_mm=300.0, v_mm=200.0), kind="bolt", thread="M8", purpose="new stud"
    )
    assert len(panel_holes(panel(existing=(old,), hole=(new,)), [])) == left


def test_nuts_go_on_the_face_the_fitting_says() -> None:
    # near: the side the part lies on; far: the other one
    def hole(name: str, u: float, face: FittingFace) -> Hole:
        fitting = Fitting(kind="bolt", label="M6", nut_face=face, shank_mm=6.0)
        return Hole(name=name, u_mm=u, v_mm=0, diameter_mm=6.6, purpose="test", fitting=fitting, mates=True)

    faces: tuple[FittingFace, ...] = ("near", "far", "both", "none")
    part = placed("fitting_plate", mount("cab"))
    root = replace(
        part.plan.flanges[0], holes=tuple(hole(f, 20.0 * i, f) for i, f in enumerate(faces)), slots=()
    )
    plan = replace(part.plan, flanges=(root,))
    for face, far in OTHER.items():
        here = replace(part, plan=plan, spec=replace(part.spec, mount=mount(face)))
        found = {h.name: h.nut_face for h in panel_holes(panel(), [here]) if h.owners == ("thing",)}
        assert found == {"thing.near": face, "thing.far": far, "thing.both": "both", "thing.none": "none"}


def test_a_hole_two_parts_share_takes_the_larger_of_everything() -> None:
    def hole(nut: float, spanner: float, near: float, far: float, shank: float) -> Hole:
        fitting = Fitting(
            kind="bolt",
            label="M6",
            nut_face="near",
            nut_circle_mm=nut,
            spanner_circle_mm=spanner,
            reach_mm=near,
            far_reach_mm=far,
            shank_mm=shank,
        )
        return Hole(name="m", u_mm=0, v_mm=0, diameter_mm=6.6, purpose="test", fitting=fitting, mates=True)

    def part(name: str, opening: Hole) -> PlacedPart:
        base = placed("fitting_plate", mount("cab"))
        root = replace(base.plan.flanges[0], holes=(opening,), slots=())
        return replace(base, plan=replace(base.plan, flanges=(root,)), spec=replace(base.spec, name=name))

    one = part("one", hole(11.0, 24.0, 15.0, 40.0, 6.0))
    two = part("two", hole(12.0, 22.0, 18.0, 30.0, 5.0))
    for parts in ((one, two), (two, one)):
        (shared,) = (h for h in panel_holes(panel(), parts) if h.status == "drill")
        assert (shared.nut_circle_mm, shared.spanner_circle_mm, shared.shank_mm) == (12.0, 24.0, 6.0)
        # mounted in the cab: near is the cab, far the engine bay, never less than near
        assert (shared.reach_cab_mm, shared.reach_engine_mm) == (18.0, 40.0)
        assert set(shared.owners) == {"one", "two"}


@pytest.mark.parametrize(("apart", "wider", "left"), [(0.01, 0.0, 1), (0.011, 0.0, 2), (0.0, 0.02, 2)])
def test_holes_within_a_hundredth_in_place_and_size_are_one(apart: float, wider: float, left: int) -> None:
    # 250.495 and 250.505 fall into different whole millimetres, in v as well
    for u, v in ((250.495, 200.0), (250.0, 200.495), (250.1, 200.1)):
        specs = tuple(
            HoleSpec(
                name=n,
                at=Position(u_mm=u + (s * 0.6), v_mm=v + (s * 0.8)),
                kind="plain",
                diameter_mm=d,
                purpose="test hole",
            )
            for n, s, d in (("a", 0.0, 8.0), ("b", apart - 1e-9, 8.0 + wider))
        )
        assert len([h for h in panel_holes(panel(hole=specs), []) if h.status == "drill"]) == left


def test_a_bead_is_kept_off_on_both_faces_from_the_panel_itself() -> None:
    bead = Bead(name="rib", start=(100.0, 50.0), end=(130.0, 90.0), width_mm=10.0)  # 3-4-5
    layout = panel_layout(panel(bead=(bead,)), (), ())
    assert [(k.name, k.face, k.gap_mm, k.bead) for k in layout.keepouts] == [
        ("rib", "cab", 0.0, True),
        ("rib", "engine", 0.0, True),
    ]
    # half the width to either side, along (-0.8, 0.6)
    corners = sorted((round(p.u, 9), round(p.v, 9)) for p in layout.keepouts[0].contour.vertices)
    assert corners == [(96.0, 53.0), (104.0, 47.0), (126.0, 93.0), (134.0, 87.0)]
    assert layout.notes[-1].startswith("Do not bridge a bead")


def test_obstacles_of_every_outline() -> None:
    things: dict[str, Any] = {"face": "cab", "gap_mm": 4.0, "depth_mm": 30.0, "what": "a thing"}
    box = Obstacle(name="box", corner=(10.0, 20.0), size=(30.0, 40.0), **things)
    ring = Obstacle(name="ring", centre=(200.0, 100.0), diameter_mm=50.0, **things)
    wedge = Obstacle(name="wedge", outline=((0.0, 0.0), (0.0, 9.0), (12.0, 0.0)), movable=True, **things)
    found = panel_layout(panel(obstacle=(box, ring, wedge)), (), ()).keepouts
    assert bounds(found[0].contour) == pytest.approx((10, 20, 40, 60))
    assert area(found[1].contour) == pytest.approx(math.pi / 4 * 50**2)
    assert bounds(found[1].contour) == pytest.approx((175, 75, 225, 125))
    assert area(found[2].contour) == pytest.approx(54.0)  # counter-clockwise whichever way it was given
    assert [(k.gap_mm, k.depth_mm, k.movable, k.bead) for k in found] == [
        (4.0, 30.0, False, False),
        (4.0, 30.0, False, False),
        (4.0, 30.0, True, False),
    ]
