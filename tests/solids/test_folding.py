"""Folded solids against published and hand-worked sizes, and what cannot be folded."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import replace

import numpy as np
import pytest
from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.GeomAbs import GeomAbs_Cylinder

from generators.errors import GeometryFault
from generators.geometry.contours import bounds, circle, rectangle
from generators.geometry.frames import apply
from generators.model.plan import Bend, Fitting, Flange, Hole, PanelHole, PanelLayout, PartPlan, Slot
from generators.sheetmetal.allowance import setback
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.sheetmetal.volume import folded_volume
from generators.solids import kernel
from generators.solids.build import panel_solid
from generators.solids.extents import folded_box, print_frame
from generators.solids.files.step import write_step
from generators.solids.shapes import folded_shape, panel_shape
from generators.verify.step.solid import read_step

INCH = 25.4
BORE = Fitting(kind="bore", label="bore")


def box_of(shape):
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    corners = box.Get()
    return np.array(corners[:3]), np.array(corners[3:])


def hole(name, u, v, d):
    return Hole(name=name, u_mm=u, v_mm=v, diameter_mm=d, purpose="test", fitting=BORE)


def bend(name, parent, child, start, end, **changed):
    values = {
        "angle_rad": math.pi / 2,
        "inside_radius_mm": 2.0,
        "direction": "up",
        "k_factor": 0.44,
        "k_source": "test",
    }
    return Bend(name=name, parent=parent, child=child, start=start, end=end, **{**values, **changed})


def part(name, t, flanges, bends):
    return PartPlan(
        name=name,
        kind="by_hand",
        title=name,
        material="1008 steel",
        thickness_mm=t,
        flanges=tuple(flanges),
        bends=tuple(bends),
    )


@pytest.fixture
def faa_channel():
    """FAA-H-8083-31 ch. 4, U-channel: 2024-T3, T .040, R .16, mould lines 1.00, 2.00, 1.00 in."""
    t, r, length = 0.040 * INCH, 0.16 * INCH, 3.0 * INCH
    back = setback(math.pi / 2, r, t)
    leg, web = 1.00 * INCH - back, 2.00 * INCH - 2 * back
    # the handbook's rule (0.01743 R + 0.0078 T) per degree is K = 0.4469
    rule = {"inside_radius_mm": r, "k_factor": 0.4469}
    return part(
        "channel",
        t,
        [
            Flange(name="web", contour=rectangle(0, 0, web, length), holes=(hole("a", web / 3, 20.0, 6.0),)),
            Flange(name="right", contour=rectangle(0, 0, length, leg), holes=(hole("b", 30.0, 8.0, 5.0),)),
            Flange(name="left", contour=rectangle(0, 0, length, leg), holes=(hole("c", 12.0, 7.0, 4.0),)),
        ],
        [
            bend("right", "web", "right", (web, 0.0), (web, length), **rule),
            bend("left", "web", "left", (0.0, length), (0.0, 0.0), **rule),
        ],
    )


def test_faa_channel_flats_and_developed_width(faa_channel):
    widths = [bounds(f.contour) for f in faa_channel.flanges]
    assert widths[0][2] / INCH == pytest.approx(1.60, abs=1e-9)
    assert [w[3] / INCH for w in widths[1:]] == pytest.approx([0.80, 0.80], abs=1e-9)
    low_u, _low_v, high_u, _high_v = bounds(flat_pattern(faa_channel).contour)
    # .80 + 1.60 + .80 + 2 x .2791 = 3.758; the handbook prints 3.74 from a rounded .27. Its 0.01743
    # per degree is 0.13 % below pi/180, which is 0.0007 in here.
    by_handbook = 3.20 + 2 * (0.01743 * 0.16 + 0.0078 * 0.040) * 90
    assert by_handbook == pytest.approx(3.758, abs=5e-4)
    assert (high_u - low_u) / INCH == pytest.approx(by_handbook, abs=8e-4)


def test_faa_channel_mould_lines_in_the_step_file(faa_channel, tmp_path):
    path = tmp_path / "channel.step"
    write_step(faa_channel, path, revision="r1", job="test")
    back = read_step(path, faa_channel, rel="channel.step")
    assert back.good, back.problems
    low, high = box_of(folded_shape(faa_channel))
    assert (high - low) / INCH == pytest.approx([2.00, 3.00, 1.00], abs=1e-6)
    assert "box 50.80 x 76.20 x 25.40 mm" in back.facts


def bores(shape):
    """Axis point, axis direction and diameter of every round face, as the kernel has them."""
    for face in kernel.faces_of(shape):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() == GeomAbs_Cylinder:
            axis = surface.Cylinder().Axis()
            at, along = axis.Location(), axis.Direction()
            yield (
                np.array([at.X(), at.Y(), at.Z()]),
                np.array([along.X(), along.Y(), along.Z()]),
                2 * surface.Cylinder().Radius(),
            )


def unfolded_holes(plan, shape):
    """Holes of the solid taken back into each flange's frame: flange, u, v, diameter."""
    found = []
    for name, frame in folded_frames(plan).items():
        wanted = {round(h.diameter_mm, 6) for h in plan.flange(name).holes}
        into = np.linalg.inv(frame)
        for at, along, diameter in bores(shape):
            square = abs(abs((into[:3, :3] @ along)[2]) - 1) < 1e-9
            u, v, w = apply(into, at[None])[0]
            if square and round(diameter, 6) in wanted and -1e-6 <= w <= plan.thickness_mm + 1e-6:
                found.append((name, u, v, diameter))
    return found


def test_holes_unfolded_from_the_solid_are_the_plan_s(faa_channel, make_plan):
    for plan in (
        faa_channel,
        make_plan("reservoir_bracket"),
        make_plan("pedal_hanger", master_angle_rad=0.3),
    ):
        found = unfolded_holes(plan, folded_shape(plan))
        flat = flat_pattern(plan)
        planned = [(f.name, h) for f in plan.flanges for h in f.holes]
        assert len(planned) == len(flat.holes) > 0
        for (flange, want), blank in zip(planned, flat.holes, strict=True):
            near = [
                (u, v, d)
                for name, u, v, d in found
                if name == flange and math.hypot(u - want.u_mm, v - want.v_mm) < 1e-6
            ]
            assert len(near) == 1, want.name
            assert near[0][2] == pytest.approx(want.diameter_mm, abs=1e-6)
            # and through the flange's place on the blank it is the hole that gets cut
            assert flat.placements[flange].apply(*near[0][:2]) == pytest.approx(
                (blank.u_mm, blank.v_mm), abs=1e-6
            )


def zed(r=2.0, first="up", second="down"):
    """A joggle: three flanges one after the other."""
    slot = Slot(
        name="s",
        u_mm=15.0,
        v_mm=10.0,
        width_mm=5.0,
        travel_mm=8.0,
        angle_rad=0.4,
        purpose="test",
        fitting=BORE,
    )
    return part(
        "zed",
        1.5,
        [
            Flange(name="a", contour=rectangle(0, 0, 40, 30), holes=(hole("x", 10, 10, 6),)),
            Flange(name="b", contour=rectangle(0, 0, 30, 20), slots=(slot,)),
            Flange(name="c", contour=rectangle(0, 0, 30, 25)),
        ],
        [
            bend("one", "a", "b", (40, 0), (40, 30), inside_radius_mm=r, direction=first),
            # the far edge of b, walked counter-clockwise
            bend("two", "b", "c", (30, 20), (0, 20), inside_radius_mm=r, direction=second),
        ],
    )


@pytest.mark.parametrize("r", [0.0, 0.5, 2.0])
@pytest.mark.parametrize(
    ("first", "second"), [("up", "down"), ("down", "up"), ("up", "up"), ("down", "down")]
)
def test_chains_of_bends_both_ways(r, first, second):
    plan = zed(r, first, second)
    shape = folded_shape(plan)
    assert kernel.volume(shape) == pytest.approx(folded_volume(plan), rel=1e-9)
    low, high = box_of(shape)
    planned_low, planned_high = folded_box(plan)
    assert low == pytest.approx(planned_low, abs=1e-6)
    assert high == pytest.approx(planned_high, abs=1e-6)
    # by hand: out 40 and the bend, then 20 straight up or down, then back level
    reach = r + 1.5
    assert high[2] - low[2] == pytest.approx(20 + 2 * r + (3.0 if first == second else 1.5 * 2), abs=1e-6)
    assert high[0] == pytest.approx(40 + reach if first == second else 40 + reach + r + 25, abs=1e-6)


def hook(corner):
    return part(
        "hook",
        2.0,
        [
            Flange(name="a", contour=rectangle(0, 0, 40, 30)),
            Flange(name="b", contour=rectangle(0, 0, 30, 20, corner)),
        ],
        [bend("one", "a", "b", (40, 0), (40, 30), inside_radius_mm=10.0, angle_rad=math.radians(150))],
    )


def test_beyond_a_right_angle_the_bend_reaches_furthest():
    low, high = box_of(folded_shape(hook(0.0)))
    assert high[0] == pytest.approx(40 + 10 + 2, abs=1e-6)
    planned_low, planned_high = folded_box(hook(0.0))
    assert low == pytest.approx(planned_low, abs=1e-6)
    assert high == pytest.approx(planned_high, abs=1e-6)


def test_a_bend_longer_than_the_edge_it_joins_is_refused():
    with pytest.raises(GeometryFault, match="no straight edge"):
        folded_shape(hook(4.0))


def test_printed_side_down(make_plan):
    assert print_frame(make_plan("reservoir_bracket")) == pytest.approx(np.eye(4), abs=1e-12)
    plan = make_plan("reservoir_bracket")
    down = dataclasses.replace(plan, bends=(dataclasses.replace(plan.bends[0], direction="down"),))
    pose = print_frame(down)
    corners = apply(pose, np.array(folded_box(down)))
    assert corners.min(axis=0)[2] == pytest.approx(0.0, abs=1e-9)
    # the upper side of the root is on the plate
    assert apply(pose, np.array([[0.0, 0.0, plan.thickness_mm]]))[0][2] == pytest.approx(0.0, abs=1e-9)
    assert np.linalg.det(pose) == pytest.approx(1.0)
    both = zed()
    assert apply(print_frame(both), np.array(folded_box(both)))[0][2] == pytest.approx(0.0, abs=1e-9)


def test_next_to_no_radius_or_travel(make_plan):
    nearly = folded_shape(make_plan("reservoir_bracket", r=5e-324))
    assert len(kernel.faces_of(nearly)) == len(
        kernel.faces_of(folded_shape(make_plan("reservoir_bracket", r=0.0)))
    )
    with pytest.raises(GeometryFault, match="make it 0 or at least") as fault:
        folded_shape(make_plan("reservoir_bracket", r=1e-5))
    assert fault.value.parameter == "inside_radius"
    # a kind makes a round hole of it; a plan made by hand is refused
    assert make_plan("reservoir_bracket", mount_slot_mm=1e-5).flanges[0].slots == ()
    slotted = make_plan("reservoir_bracket", mount_slot_mm=5.0)
    base, shelf = slotted.flanges
    thin = tuple(replace(slot, travel_mm=1e-5) for slot in base.slots)
    with pytest.raises(GeometryFault, match="travel of slot 'mount_1'"):
        folded_shape(replace(slotted, flanges=(replace(base, slots=thin), shelf)))


def test_flanges_that_run_into_each_other_are_refused():
    legs = [Flange(name=n, contour=rectangle(0, 0, 30, 60)) for n in ("right", "left")]
    web = Flange(name="web", contour=rectangle(0, 0, 40, 30))
    sharp = {"angle_rad": math.radians(130)}
    plan = part(
        "crossed",
        2.0,
        [web, *legs],
        [
            bend("right", "web", "right", (40, 0), (40, 30), **sharp),
            bend("left", "web", "left", (0, 30), (0, 0), **sharp),
        ],
    )
    with pytest.raises(GeometryFault, match="run into each other"):
        folded_shape(plan)


@pytest.mark.parametrize("u", [0.0, 60.0])
def test_a_hole_over_or_outside_the_edge_is_refused(u):
    plan = part(
        "open", 2.0, [Flange(name="a", contour=rectangle(0, 0, 40, 30), holes=(hole("x", u, 15, 10),))], []
    )
    with pytest.raises(GeometryFault, match="'open'"):
        folded_shape(plan)


def test_a_round_plate_has_one_whole_edge_per_side():
    plan = part("disc", 2.0, [Flange(name="a", contour=circle(5, 6, 40), holes=(hole("x", 5, 6, 10),))], [])
    shape = folded_shape(plan)
    assert kernel.volume(shape) == pytest.approx(math.pi / 4 * (40**2 - 10**2) * 2, rel=1e-9)
    assert len(kernel.faces_of(shape)) == 4


def panel_hole(name, u, v, d, status):
    return PanelHole(
        number="1",
        name=name,
        u_mm=u,
        v_mm=v,
        final_dia_mm=d,
        pilot_dia_mm=3.0,
        purpose="test",
        tool="drill",
        drill_face="cab",
        status=status,
        owners=("panel",),
        kind="plain",
    )


def panel(*holes):
    return PanelLayout(
        panel="firewall",
        title="Firewall",
        material="1008 steel",
        thickness_mm=1.2,
        contour=rectangle(-100, -50, 100, 50),
        holes=holes,
        keepouts=(),
        footprints=(),
        folds=(),
        datums=(),
    )


def test_panel_lies_behind_its_cab_face_and_blanked_holes_are_closed():
    layout = panel(
        panel_hole("a", 0, 0, 20, "drill"),
        panel_hole("b", 40, 0, 10, "datum"),
        panel_hole("c", -40, 0, 30, "reuse"),
        panel_hole("d", 70, 20, 16, "blank"),
        panel_hole("e", -80, 30, 8, "weld"),  # a stud: nothing is cut
        replace(panel_hole("f", 0, -35, 8, "datum"), travel_mm=30.0, angle_rad=0.1),
    )
    solid = panel_solid(layout)
    assert solid.Volume() == pytest.approx(
        (200 * 100 - math.pi / 4 * (400 + 100 + 900 + 64) - 8 * 30) * 1.2, rel=1e-9
    )
    low, high = box_of(solid.wrapped)
    assert low == pytest.approx([-100, -50, -1.2], abs=1e-6)
    assert high == pytest.approx([100, 50, 0], abs=1e-6)


def test_panel_holes_that_meet_or_leave_the_edge_are_cut_as_they_are():
    d, apart = 20.0, 10.0
    lens = 2 * (d / 2) ** 2 * math.acos(apart / d) - apart / 2 * math.sqrt(d**2 - apart**2)
    layout = panel(
        panel_hole("a", 0, 0, d, "drill"),
        panel_hole("b", apart, 0, d, "drill"),
        panel_hole("c", 100, 0, d, "datum"),
    )
    expected = (200 * 100 - 2.5 * math.pi * d**2 / 4 + lens) * 1.2
    assert kernel.volume(panel_shape(layout)) == pytest.approx(expected, rel=1e-9)


def test_a_panel_drilled_in_two_is_refused():
    with pytest.raises(GeometryFault, match="2 solids"):
        panel_shape(panel(panel_hole("a", 0, 0, 120, "drill")))
