"""The kinds on ears by hand calculation: volumes, places in space, what lies on the panel, where a pedal hangs."""

from __future__ import annotations

import math
from math import pi
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from parts.plans_in_space import in_space, plan_of
from spec_pieces import clutch

from generators.checks.joint.part_room import check_room
from generators.checks.part.part import check_part
from generators.errors import GeometryFault
from generators.hydraulics.linkage import build_linkage, explicit_frame, motion
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.shop import Brake, Shop
from generators.parts.building.mirror import mirrored
from generators.sheetmetal.lying import lying, on_panel
from generators.sheetmetal.relief import relief_diameter
from generators.sheetmetal.relieving import relieved
from generators.solids import kernel
from generators.solids.shapes import folded_shape
from generators.solve.brackets.cases import brackets, master_bolts
from generators.solve.job import Prepared, prepare

CORNER = 1 - pi / 4  # what rounding one square corner of radius 1 takes away
M8_HOLE = 9.0  # ISO 273, medium
BOTH: dict[str, Any] = {
    "mounting": "both",
    "mount_first_mm": 34.0,
    "mount_pitch_mm": 36.0,
    "rear_up_mm": 44.0,
}
WAYS: list[tuple[str, dict[str, Any]]] = [
    ("carried_hanger", {}),
    ("carried_hanger", {"mounting": "rear"}),
    ("carried_hanger", BOTH),
    ("carried_hanger", {"masters": 2}),
    ("pedal_box", {}),
    ("pedal_box", {"masters": 2}),
]


@pytest.mark.parametrize(("name", "parameters"), WAYS, ids=str)
@pytest.mark.parametrize("thickness", [2.0, 3.0])
def test_every_way_passes_every_rule(name: str, parameters: dict[str, Any], thickness: float) -> None:
    plan = plan_of(name, thickness, **parameters)
    found = [*check_part(plan, Limits(), Shop(brake=Brake())), *check_room(plan, mounted=True)]
    assert [f.code for f in found if f.severity is not Severity.NOTE] == []
    # its corners are cut out by the kind
    assert relieved(plan, relief_diameter(thickness)) == plan


def sector_of(
    pivot: tuple[float, float], boss: float, before: tuple[float, float], after: tuple[float, float]
) -> float:
    """Two kites and a sector: what a round end adds to the polygon through its middle."""
    away = [math.dist(pivot, p) for p in (before, after)]
    at = [math.atan2(p[1] - pivot[1], p[0] - pivot[0]) for p in (before, after)]
    turn = (at[1] - at[0]) % (2 * pi) - sum(math.acos(boss / d) for d in away)
    return sum(boss * math.sqrt(d * d - boss * boss) / 2 for d in away) + boss**2 * turn / 2


def shoelace(points: list[tuple[float, float]]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True)) / 2


@pytest.mark.parametrize(
    ("name", "pivot", "plane", "web"),
    [
        ("carried_hanger", (74.0, 60.0), 108.0, (-45.0, 84.0)),
        ("pedal_box", (74.0, 55.0), 92.0, (-45.0, 80.0)),
    ],
)
def test_volume(name: str, pivot: tuple[float, float], plane: float, web: tuple[float, float]) -> None:
    """3 mm sheet bent to 3: places out from the web's front and toward the ears from the masters' axis.

    The relief is 3/16 in (FAA-H-8083-31 ch. 4), the corner between two bends of a cheek two of it; every bend's
    ends lie on the die for 3 t behind their tangent line (4 t + R outside, common practice).
    """
    t = r = 3.0
    back, land, notch = r + t, 3 * t, 2 * 25.4 * 3 / 16
    crown, neck, end = plane - back, back + notch, 104.0
    foot, shoulder = web[0], min(web[1], crown - notch)
    before, after = (back + land, foot), (end, crown - land)
    cheek = shoelace(
        [(back, foot), before, pivot, after, (end, crown), (neck, crown), (neck, shoulder), (back, shoulder)]
    )
    cheek += sector_of(pivot, 22.0, before, after) + CORNER * (notch / 4) ** 2 - pi / 4 * 16.0**2
    face = (104.0 - 2 * r) * (shoulder - foot) - pi / 4 * (32.0**2 + 2 * M8_HOLE**2)
    ear = (end - neck) * (48.0 - back) - 2 * CORNER * 8.0**2 - 2 * pi / 4 * M8_HOLE**2
    bends = pi / 4 * (back**2 - r**2) * 2 * (shoulder - foot + end - neck)
    solid = folded_shape(plan_of(name))
    assert kernel.volume(solid) == pytest.approx((2 * cheek + face + 2 * ear) * t + bends, rel=1e-9)


def test_places_of_a_carried_hanger() -> None:
    # u to the driver's left, v forward, w down from the beam; the lower side of web and cheeks is their inside
    holes = in_space(plan_of("carried_hanger"))
    assert holes["mount_1"] == pytest.approx([-75.0, -38.0, 0.0])
    assert holes["mount_4"] == pytest.approx([75.0, -70.0, 0.0])
    assert holes["pivot_right"] == pytest.approx([-52.0, -74.0, 108.0 - 60.0])
    assert holes["pivot_left"] == pytest.approx([52.0, -74.0, 108.0 - 60.0])
    assert holes["master_bore"] == pytest.approx([0.0, -3.0, 108.0])
    assert holes["master_1"] == pytest.approx([30.0, -3.0, 108.0])


def test_places_of_a_hanger_on_rear_ears() -> None:
    # u to the driver's left, v up, w forward from the rail; the axis of the masters is the origin's height
    holes = in_space(plan_of("carried_hanger", mounting="rear"))
    assert holes["mount_1"] == pytest.approx([-75.0, 45.0 - 20.0, 0.0])
    assert holes["pivot_right"] == pytest.approx([-52.0, 60.0, 110.0 - 74.0])
    assert holes["master_bore"] == pytest.approx([0.0, 0.0, 110.0 - 3.0])
    both = in_space(plan_of("carried_hanger", **BOTH))
    # bolts 20 beside the middle of the rear ears, 44 above the axis
    assert both["brace_1"] == pytest.approx([-75.0, -110.0, 108.0 - 24.0])
    assert both["brace_4"] == pytest.approx([75.0, -110.0, 108.0 - 64.0])


def test_places_of_a_pedal_box() -> None:
    # u to the driver's right, v forward, w up from the floor
    holes = in_space(plan_of("pedal_box"))
    assert holes["mount_1"] == pytest.approx([-75.0, -42.0, 0.0])
    assert holes["mount_4"] == pytest.approx([75.0, -84.0, 0.0])
    assert holes["pivot_left"] == pytest.approx([-52.0, -74.0, 92.0 - 55.0])
    assert holes["master_bore"] == pytest.approx([0.0, -3.0, 92.0])
    assert holes["master_2"] == pytest.approx([30.0, -3.0, 92.0])


def test_a_second_master_widens_all_that_lies_across() -> None:
    one, two = (
        in_space(plan_of("pedal_box")),
        in_space(plan_of("pedal_box", masters=2, master_pitch_mm=100.0)),
    )
    assert two["mount_4"] - one["mount_4"] == pytest.approx([50.0, 0.0, 0.0])
    assert two["pivot_right"] - one["pivot_right"] == pytest.approx([50.0, 0.0, 0.0])
    # the clutch is to the driver's left of the brake, under a beam as on a floor
    assert two["clutch_bore"] == pytest.approx([-50.0, -3.0, 92.0])
    assert two["brake_bore"] == pytest.approx([50.0, -3.0, 92.0])
    hung = in_space(plan_of("carried_hanger", masters=2))
    assert hung["clutch_bore"] == pytest.approx([50.0, -3.0, 108.0])
    assert hung["brake_bore"] == pytest.approx([-50.0, -3.0, 108.0])


@pytest.mark.parametrize(("name", "parameters"), WAYS, ids=str)
def test_both_ears_lie_on_the_panel(name: str, parameters: dict[str, Any]) -> None:
    plan = plan_of(name, **parameters)
    places = in_space(plan)
    beside = on_panel(plan)
    assert [len(f.holes) for f, _ in lying(plan)] == [2, 2]
    assert {h.name for h in beside.holes} == {f"mount_{i}" for i in (1, 2, 3, 4)}
    for hole in beside.holes:
        assert [hole.u_mm, hole.v_mm, 0.0] == pytest.approx(places[hole.name], abs=1e-9)


def test_a_flange_level_with_the_root_but_upside_down_does_not_lie_on_the_panel() -> None:
    # an angle, bent on by 90 degrees more: its end lies over the base, the other way up
    assert len(lying(plan_of("clamp_standoff"))) == 1
    assert len(lying(plan_of("pedal_hanger"))) == 1


@pytest.mark.parametrize(
    ("parameters", "parameter"),
    [
        ({"pivot_out_mm": 28.0}, "pivot_out"),
        ({"pivot_up_mm": 90.0}, "pivot_up"),
        ({"ear_width_mm": 15.0, "mount_count": 0}, ""),
        ({"ear_end_mm": 40.0, "mount_count": 0}, ""),
        ({"masters": 2, "master_pitch_mm": 34.0}, "master_pitch"),
        ({"mounting": "both", "rear_up_mm": 80.0}, "rear_up"),
        ({"mounting": "rear", "rear_out_mm": 90.0}, "rear_out"),
        ({"inside_width_mm": 30.0, "master_spacing_mm": 15.0}, ""),
    ],
)
def test_what_cannot_be_names_its_parameter(parameters: dict[str, Any], parameter: str) -> None:
    try:
        plan = plan_of("carried_hanger", **parameters)
    except GeometryFault as fault:
        assert parameter in ("", fault.parameter)
    else:
        assert not parameter, plan.name


def test_the_other_hand_hangs_its_pedal_in_the_same_place() -> None:
    plan = plan_of("carried_hanger", masters=2)
    other = mirrored(plan)
    assert plan.pedal is not None
    assert other.pedal == plan.pedal
    assert in_space(other)["clutch_bore"] == pytest.approx([-50.0, -3.0, 108.0])
    assert mirrored(other).pedal == plan.pedal


# ------------------------------------------------------------------------------------------ in a job
PEDAL = """
[[pedal]]
name = "clutch"
kind = "clutch"
hanger = "carrier"
seat = "8 mm"
pin = ["8 mm", "PIN mm"]
pad = ["60 mm", "PAD mm"]
travel = "165 mm"
""" + clutch()

JOB = """
[job]
name = "carried"
title = "Carried pedal, invented"

[[panel]]
name = "sheet"
title = "Beam or floor"
material = "steel"
thickness = "3 mm"
origin = ["900 mm", "-300 mm", "500 mm"]
tilt = "90 deg"
outline = [["-250 mm", "-100 mm"], ["250 mm", "-100 mm"], ["250 mm", "100 mm"], ["-250 mm", "100 mm"]]
EXISTING
[[part]]
name = "carrier"
kind = "KIND"
material = "S235 steel"
thickness = "4 mm"
MORE
  [part.mount]
  panel = "sheet"
  face = "FACE"
  at = { u = "0 mm", v = "60 mm" }
"""


SHOP = """[[stock]]
material = "S235 steel"
thickness = "4 mm"
inside_radius = "4 mm"
k_factor = 0.325
bent_without_cracks = "along"
"""


def job(
    folder: Path, kind: str, pin: str, pad: str, *, existing: str = "", more: str = "", then: str = ""
) -> Prepared:
    face = "cab" if kind == "pedal_box" else "engine"
    text = JOB.replace("KIND", kind).replace("FACE", face).replace("EXISTING", existing).replace("MORE", more)
    path = folder / "carried.toml"
    # the shop has bent this sheet to one thickness without cracks: that goes before the table of structural steel
    (folder / "shop.toml").write_text(SHOP, encoding="utf-8")
    path.write_text(text + then + PEDAL.replace("PIN", pin).replace("PAD", pad), encoding="utf-8")
    return prepare(path)


def test_a_pedal_hangs_under_a_beam(tmp_path: Path) -> None:
    # v forward: the web's front is 60 ahead of x 900; the beam's lower face is 3 under z 500, the axis 108 under that
    frame = job(tmp_path, "carried_hanger", "-60", "-330").pedals[0].frame
    assert frame.pivot == pytest.approx((840.0 + 74.0, -300.0, 497.0 - 108.0 + 60.0))
    assert frame.seat == pytest.approx((840.0 - 8.0, -300.0, 389.0))
    assert frame.axis == pytest.approx((-1.0, 0.0, 0.0))
    assert (frame.out, frame.up) == (pytest.approx((1.0, 0.0, 0.0)), pytest.approx((0.0, 0.0, 1.0)))


def test_a_pedal_stands_on_the_floor_and_works_as_its_mirror_image_hangs(tmp_path: Path) -> None:
    pedal = job(tmp_path, "pedal_box", "57", "300").pedals[0]
    frame = pedal.frame
    assert frame.pivot == pytest.approx((914.0, -300.0, 500.0 + 92.0 - 55.0))
    assert frame.seat == pytest.approx((832.0, -300.0, 592.0))
    # turned over about the level plane through the pivot the same pedal hangs: nothing else changes
    hung = Pedal(
        name="hung",
        kind="clutch",
        pivot=(914.0, -300.0, 537.0),
        seat_at=(832.0, -300.0, 537.0 - 55.0),
        axis_to=(732.0, -300.0, 537.0 - 55.0),
        pin=(8.0, -57.0),
        pad=(60.0, -300.0),
        travel_mm=165.0,
        master=pedal.spec.master,
        slave=pedal.spec.slave,
        clutch=pedal.spec.clutch,
    )
    turns = np.linspace(0.0, 0.4, 9)
    standing, hanging = (
        motion(link, turns) for link in (pedal.linkage, build_linkage(hung, explicit_frame(hung)))
    )
    assert standing.piston_mm == pytest.approx(hanging.piston_mm)
    assert standing.force_ratio == pytest.approx(hanging.force_ratio)
    # pressed, the pad goes forward
    assert pedal.linkage.sense == -1.0
    assert bool((np.diff(standing.piston_mm) > 0).all())


def test_a_loose_carrier_hangs_as_on_an_upright_panel(tmp_path: Path) -> None:
    text = JOB.replace("KIND", "carried_hanger").replace("EXISTING", "").replace("MORE", "")
    text = text[: text.index("  [part.mount]")] + PEDAL.replace("PIN", "-60").replace("PAD", "-330")
    path = tmp_path / "loose.toml"
    path.write_text(text, encoding="utf-8")
    frame = prepare(path).pedals[0].frame
    assert frame.pivot == pytest.approx((74.0, 0.0, 60.0))
    assert frame.seat == pytest.approx((-8.0, 0.0, 0.0))
    assert frame.axis == pytest.approx((-1.0, 0.0, 0.0))


def existing(*places: tuple[float, float]) -> str:
    return "".join(
        f'  [[panel.existing]]\n  name = "x{i}"\n  at = ["{u} mm", "{v} mm"]\n  diameter = "9 mm"\n'
        f'  action = "reuse"\n  what = "old bolt {i}"\n'
        for i, (u, v) in enumerate(places)
    )


def test_holes_of_both_ears_become_the_panel_s_and_take_those_it_has(tmp_path: Path) -> None:
    plain = job(tmp_path, "pedal_box", "57", "300")
    drilled = {(round(h.u_mm, 6), round(h.v_mm, 6)) for h in plain.layouts[0].holes}
    # 42 and 84 behind the web's front at v 60
    assert drilled == {(-75.0, 18.0), (75.0, 18.0), (-75.0, -24.0), (75.0, -24.0)}
    assert [f.part for f in plain.layouts[0].footprints] == ["carrier", "carrier"]
    reused = job(tmp_path, "pedal_box", "57", "300", existing=existing(*sorted(drilled)))
    assert {h.status for h in reused.layouts[0].holes} == {"reuse"}
    assert not reused.blocked
    off = job(tmp_path, "pedal_box", "57", "300", existing=existing((-72.0, 18.0), *sorted(drilled)[1:]))
    assert off.blocked


def test_the_vehicle_s_own_pattern_falls_on_the_ears_it_meets(tmp_path: Path) -> None:
    # under a beam u runs to the left, so the panel's places come out mirrored
    pattern = (
        '[[pattern]]\nname = "beam"\npoints = [["-72 mm", "0 mm"], ["76 mm", "-6 mm"], ["74 mm", "36 mm"]]\n'
    )
    pattern += 'thread = "M8"\nwhat = "bolts of the beam"\n'
    use = '  [part.parameters]\n  mount_count = 0\n  [[part.pattern]]\n  name = "beam"\n  drill = true\n'
    use += '  at = ["0 mm", "-84 mm"]\n'
    made = job(tmp_path, "carried_hanger", "-60", "-330", existing=pattern, more=use)
    plan = made.parts[0].plan
    assert [h.name for h in plan.flange("right_top").holes] == ["beam_1"]
    assert [h.name for h in plan.flange("left_top").holes] == ["beam_2", "beam_3"]
    places = {h.name.split(".")[1]: (h.u_mm, h.v_mm) for h in made.layouts[0].holes}
    assert places["beam_1"] == pytest.approx((72.0, 60.0 - 84.0))
    assert places["beam_3"] == pytest.approx((-74.0, 60.0 - 84.0 + 36.0))
    assert made.layouts[0].holes[0].shank_mm == 8.0


def test_each_pedal_loads_its_own_master(tmp_path: Path) -> None:
    made = job(tmp_path, "carried_hanger", "-60", "-330", more="  [part.parameters]\n  masters = 2\n")
    part = made.parts[0]
    assert master_bolts(part, "clutch") == ("clutch_1", "clutch_2")
    assert master_bolts(part, "brake") == ("brake_1", "brake_2")
    (bracket,) = brackets(made.file, made.parts, made.pedals)
    assert {h.bore for h in bracket.holds} == {"mount_1", "mount_2", "mount_3", "mount_4"}
    normal = bracket.cases[0]
    assert {f.bore for f in normal.forces} == {"pivot_right", "pivot_left", "clutch_1", "clutch_2"}
    # the part is in balance but for what the foot presses with: 180 N, here forward and down
    total = np.sum([f.force for f in normal.forces], axis=0)
    assert float(np.linalg.norm(total)) == pytest.approx(180.0, rel=1e-9)
    assert total[1] > 170.0  # forward is v


def test_one_master_is_said_as_one() -> None:
    one, two = (" ".join(plan_of("carried_hanger", masters=n).notes) for n in (1, 2))
    assert "the axis of the master as fitted." in one
    assert "the axis of the masters as fitted." in two
