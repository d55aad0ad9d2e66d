"""Good files are found good, and every way of spoiling one is named."""

from __future__ import annotations

import dataclasses
import re
import warnings

import numpy as np
import pytest
import trimesh
from solids.glb_files import write_glb

from generators.geometry.contours import rectangle
from generators.geometry.frames import panel_frame
from generators.model.plan import PanelLayout
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.parts import kind_named
from generators.sheetmetal.allowance import bend_rule
from generators.solids.extents import folded_box
from generators.solids.files.step import write_step
from generators.solids.files.stl import write_stl
from generators.verify.assembled import Expected, Extent
from generators.verify.folded_cylinders import expected_cylinders
from generators.verify.mesh.checks import volume_bound
from generators.verify.mesh.glb import read_glb
from generators.verify.mesh.stl import read_stl
from generators.verify.step.part21 import Part21Error, Ref, Word, parse
from generators.verify.step.solid import read_step


def make_plan(name, r=None, t=3.0, **parameters):
    kind = kind_named(name)
    spec = PartSpec(
        name=name,
        kind=name,
        material="1008 steel",
        thickness_mm=t,
        parameters=kind.parameters(**parameters),
    )
    return kind.plan(spec, bend_rule(Shop(), "1008 steel", t, r))


VARIANTS = {
    "plate": ("fitting_plate", {}),
    "full round plate": ("fitting_plate", {"corner_radius_mm": 30.0, "bolts": 2, "count": 4}),
    "square plate": ("fitting_plate", {"corner_radius_mm": 0.0, "t": 1.2}),
    "bracket": ("reservoir_bracket", {}),
    "slotted bracket": ("reservoir_bracket", {"mount_slot_mm": 6.0, "pattern_slot_mm": 12.0, "r": 0.0}),
    "obtuse bracket": ("reservoir_bracket", {"angle_rad": 2.0, "outlet_bore_mm": 20.0}),
    "round blank": ("blanking_plate", {"bolts": 5}),
    "square blank": ("blanking_plate", {"shape": "rectangular"}),
    "two reservoirs": ("reservoir_plate", {"outlet_bore_mm": 25.0}),
    "joggle": ("clamp_standoff", {"angle_rad": 1.0, "mounts": 1}),
    "sharp joggle": ("clamp_standoff", {"r": 0.0}),
    "slave bracket": ("slave_bracket", {"t": 6.0}),
    "slave bracket with one gusset": ("slave_bracket", {"gussets": "right", "mounts": 2}),
    "hanger": ("pedal_hanger", {}),
    "hanger without tab": ("pedal_hanger", {"tab_length_mm": 0.0, "pivot_up_mm": 140.0}),
    "hanger with leaning tab": ("pedal_hanger", {"tab_angle_rad": 1.9, "tab_bolts": 2, "r": 1.0}),
    "twin hanger": ("twin_pedal_hanger", {}),
    "twin hanger with two masters": (
        "twin_pedal_hanger",
        {"t": 4.0, "r": 6.0, "balance_spacing_mm": 0.0, "balance_bore_mm": 0.0, "tab_length_mm": 0.0},
    ),
    "throttle bracket": ("throttle_pedal_bracket", {}),
    "throttle bracket with two bolts": (
        "throttle_pedal_bracket",
        {"module_bolts": 2, "pattern_slot_mm": 6.0, "mount_slot_mm": 0.0, "r": 0.0},
    ),
}


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Of the slotted bracket: its plan and its files' contents."""
    folder = tmp_path_factory.mktemp("good")
    plan = make_plan("reservoir_bracket", mount_slot_mm=0.0, pattern_slot_mm=12.0)
    write_step(plan, folder / "a.step", revision="r1", job="job")
    write_stl(plan, folder / "a.stl", revision="r1")
    return plan, (folder / "a.step").read_text("ascii"), (folder / "a.stl").read_bytes()


@pytest.mark.parametrize("variant", VARIANTS)
def test_good_files(variant, tmp_path, capfd):
    name, changed = VARIANTS[variant]
    plan = make_plan(name, **changed)
    write_step(plan, tmp_path / "a.step", revision="r1", job="job")
    write_stl(plan, tmp_path / "a.stl", revision="r1")
    step = read_step(tmp_path / "a.step", plan, rel="parts/a/a.step")
    stl = read_stl(tmp_path / "a.stl", plan, rel="parts/a/a.stl")
    assert step.problems == ()
    assert stl.problems == ()
    assert step.path == "parts/a/a.step"
    holes = sum(len(f.holes) for f in plan.flanges)
    slots = sum(len(f.slots) for f in plan.flanges)
    wanted = f"{len(expected_cylinders(plan))} round faces as planned ({holes} holes, {slots} slots)"
    assert any(fact.startswith(wanted) for fact in step.facts)
    assert f"{2 * holes + 4 * slots} rims of holes and slots as planned" in " ".join(stl.facts)
    # STL stores 24 bits of mantissa (IEEE 754 binary32): the largest error of a rim is some 1e-6 mm, not nought
    (rims,) = (fact for fact in stl.facts if "rims of holes" in fact)
    assert 1e-8 < float(rims.rsplit(" within ", 1)[1].removesuffix(" mm")) < 1e-4
    assert capfd.readouterr() == ("", "")


def spoiled_step(tmp_path, text):
    path = tmp_path / "spoiled.step"
    path.write_text(text, "ascii")
    return path


def moved(text, **steps):
    """Every point of the hole mount_1 (middle -30, diameter 6.6) shifted or drawn apart along u."""
    centre, radius = steps.get("centre", -30.0), steps.get("radius", 3.3)
    text, points = re.subn(r"\(-26\.7,", f"({centre + radius:.6g},", text)
    text, centres = re.subn(r"\(-30\.,", f"({centre:.6g}{'' if '.' in f'{centre:.6g}' else '.'},", text)
    assert points > 0
    assert centres > 0
    return text


def test_a_moved_hole(files, tmp_path):
    plan, text, _ = files
    back = read_step(spoiled_step(tmp_path, moved(text, centre=-30.5)), plan, rel="a.step")
    assert len(back.problems) == 2
    assert back.problems[0] == (
        "hole mount_1: no bore of diameter 6.6000 mm at (-30, 0, 0); "
        "nearest is bore of diameter 6.6000 mm at (-30.5, 0, 0), 0.5000 mm off"
    )
    assert "bore of diameter 6.6000 mm at (-30.5, 0, 0) that the plan does not have" in back.problems[1]


def test_a_hole_moved_by_a_tenth_of_a_thousandth_is_let_pass_and_by_two_is_not(files, tmp_path):
    plan, text, _ = files
    for centre, count in ((-30.00005, 0), (-30.0002, 2)):
        near = text.replace("(-26.7,", f"({centre + 3.3:.8g},").replace("(-30.,", f"({centre:.8g},")
        assert len(read_step(spoiled_step(tmp_path, near), plan, rel="a").problems) == count


def test_the_plan_says_another_diameter(files, tmp_path):
    plan, text, _ = files
    base = plan.flanges[0]
    wider = dataclasses.replace(base.holes[0], diameter_mm=6.8)
    other = dataclasses.replace(
        plan, flanges=(dataclasses.replace(base, holes=(wider, *base.holes[1:])), *plan.flanges[1:])
    )
    back = read_step(spoiled_step(tmp_path, text), other, rel="a.step")
    assert any(p.startswith("hole mount_1: no bore of diameter 6.8000 mm") for p in back.problems)
    assert any(p.startswith("volume ") for p in back.problems)


def test_a_hole_that_is_missing_and_one_too_many(files, tmp_path):
    plan, text, _ = files
    base = plan.flanges[0]
    fewer = dataclasses.replace(
        plan, flanges=(dataclasses.replace(base, holes=base.holes[:1]), *plan.flanges[1:])
    )
    back = read_step(spoiled_step(tmp_path, text), fewer, rel="a.step")
    assert any("at (30, 0, 0) that the plan does not have" in p for p in back.problems)


def test_a_slot_turned(files, tmp_path):
    plan, text, _ = files
    shelf = plan.flanges[1]
    turned = tuple(dataclasses.replace(s, angle_rad=0.0) for s in shelf.slots)
    other = dataclasses.replace(plan, flanges=(plan.flanges[0], dataclasses.replace(shelf, slots=turned)))
    back = read_step(spoiled_step(tmp_path, text), other, rel="a.step")
    assert any(p.startswith("slot reservoir_1, first end: no bore") for p in back.problems)


MILLI = "SI_UNIT(.MILLI.,.METRE.)"
SPOILED_STEP = {
    "empty": (lambda t: "", "is empty"),
    "not STEP": (lambda t: "solid a\nendsolid\n", "is no STEP file"),
    "cut short": (lambda t: t[: len(t) // 2], "is cut short"),
    "a line lost": (lambda t: re.sub(r"#40 = [^;]*;", "", t), "is not a reference to"),
    "centimetres": (lambda t: t.replace(MILLI, "SI_UNIT(.CENTI.,.METRE.)"), "not the millimetre"),
    "metres": (lambda t: t.replace(MILLI, "SI_UNIT($,.METRE.)"), "not the millimetre"),
    "an inch": (lambda t: t.replace(MILLI, "CONVERSION_BASED_UNIT('INCH',#4)"), "does not belong"),
    "no colour": (lambda t: re.sub(r"#\d+ = STYLED_ITEM[^;]*;", "", t), "STYLED_ITEM"),
    "another name": (
        lambda t: t.replace("'reservoir_bracket',", "'left_bracket',"),
        "are left_bracket, plan",
    ),
    "a sphere": (lambda t: t.replace("PLANE(", "SPHERICAL_SURFACE(", 1), "does not belong"),
    "a number lost": (lambda t: t.replace("(-30.,", "(,", 1), "is damaged in line"),
    "a quote lost": (lambda t: t.replace("''", "'", 3), "is damaged"),
    "a direction of nothing": (lambda t: t.replace("(0.,0.,1.)", "(0.,0.,0.)", 1), "not a direction"),
    "a number twice": (lambda t: t.replace("#40 =", "#41 ="), "#41 is there twice"),
    "nested without end": (lambda t: t.replace("(#17,", "(" * 50 + "#17,", 1), "nested more than"),
    "another schema": (lambda t: t.replace("AUTOMOTIVE_DESIGN", "CONFIG_CONTROL"), "neither AP214 nor AP242"),
    "no shell": (
        lambda t: re.sub(r"CLOSED_SHELL\('',\([^)]*\)\)", "CLOSED_SHELL('',())", t),
        "ADVANCED_FACE",
    ),
}


@pytest.mark.parametrize("how", SPOILED_STEP)
def test_spoiled_step(files, tmp_path, capfd, how):
    plan, text, _ = files
    spoil, wanted = SPOILED_STEP[how]
    changed = spoil(text)
    assert changed != text
    back = read_step(spoiled_step(tmp_path, changed), plan, rel="a.step")
    assert not back.good
    assert wanted in "\n".join(back.problems)
    assert capfd.readouterr() == ("", "")


def test_a_face_lost_is_no_valid_solid(files, tmp_path):
    plan, text, _ = files
    shell = re.search(r"CLOSED_SHELL\('',\((#\d+),", text)
    back = read_step(spoiled_step(tmp_path, text.replace(f"({shell[1]},", "(", 1)), plan, rel="a.step")
    assert not back.good
    assert any("volume" in p or "solid" in p for p in back.problems)


def test_files_of_another_part(files, tmp_path):
    _, text, stl = files
    other = make_plan("pedal_hanger")
    back = read_step(spoiled_step(tmp_path, text), other, rel="a.step")
    assert "its products are reservoir_bracket, plan pedal_hanger" in back.problems
    assert any(p.startswith("hole pivot_right: no bore of diameter 16.0000") for p in back.problems)
    (tmp_path / "a.stl").write_bytes(stl)
    back = read_stl(tmp_path / "a.stl", other, rel="a.stl")
    assert "its header names the part reservoir_bracket, plan pedal_hanger" in back.problems
    assert "4 openings go through it, plan 10" in back.problems


def test_a_folder_and_nothing(files, tmp_path):
    plan = files[0]
    for path in (tmp_path, tmp_path / "nothing"):
        for back in (
            read_step(path, plan, rel="x"),
            read_stl(path, plan, rel="x"),
            read_glb(path, [], rel="x"),
        ):
            assert "cannot be read" in back.problems[0]
            assert str(tmp_path) not in back.problems[0]


def test_the_reader_of_the_text():
    text = "ISO-10303-21;HEADER;A(('x'));ENDSEC;DATA;#1=B('it''s',1.5E1,$,.T.,(#1,3));#2=(C()D(*));ENDSEC;END-ISO-10303-21;"
    content = parse(text)
    assert content.instances[1][0].values == ("it's", 15.0, Word("$"), Word(".T."), (Ref(1), 3))
    assert [p.kind for p in content.instances[2]] == ["C", "D"]
    for bad in (text[:-2], text.replace("#2", "#1"), text.replace("*", "&"), text + "#3=E();"):
        with pytest.raises(Part21Error):
            parse(bad)


RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])


def spoiled_stl(data, change):
    """The file with its triangles changed by ``change(records)``."""
    records = np.frombuffer(data, dtype=RECORD, offset=84).copy()
    records = change(records)
    return data[:80] + np.uint32(len(records)).tobytes() + records.tobytes()


def scaled(records, factor):
    records["corners"] *= np.float32(factor)
    return records


def widened(records):
    """The hole mount_1 (middle -30, 0) drawn 0.05 mm wider."""
    corners = records["corners"].reshape(-1, 3)
    away = np.hypot(corners[:, 0] + 30, corners[:, 1])
    rim = away < 3.31
    corners[rim, 0] = -30 + (corners[rim, 0] + 30) * (3.325 / 3.3)
    corners[rim, 1] *= 3.325 / 3.3
    records["corners"] = corners.reshape(-1, 3, 3)
    return records


def nothing(records):
    records["corners"][5, 1, 2] = np.nan
    return records


def turned(records):
    records["corners"][3] = records["corners"][3][::-1]
    return records


SPOILED_STL = {
    "empty": (lambda d: b"", "is empty"),
    "short": (lambda d: d[:50], "is cut short"),
    "cut": (lambda d: d[: len(d) // 2], "triangles need"),
    "no triangles": (lambda d: d[:80] + bytes(4), "no triangles"),
    "no header": (lambda d: bytes(80) + d[80:], "does not give unit"),
    "odd header": (lambda d: d.replace(b"tol=0.02", b"tol=abcd"), "are no numbers"),
    "a triangle lost": (lambda d: spoiled_stl(d, lambda r: r[1:]), "not watertight"),
    "a triangle turned": (lambda d: spoiled_stl(d, turned), "same way"),
    "no number": (lambda d: spoiled_stl(d, nothing), "no numbers"),
    "inches": (lambda d: spoiled_stl(d, lambda r: scaled(r, 1 / 25.4)), "box 3.54 x"),
    "a hole too wide": (
        lambda d: spoiled_stl(d, widened),
        "hole mount_1 on the lower side of base: no rim of 6.600",
    ),
    "twice": (lambda d: spoiled_stl(d, lambda r: np.concatenate([r, scaled(r.copy(), 1.5)])), "2 bodies"),
}


@pytest.mark.parametrize("how", SPOILED_STL)
def test_spoiled_stl(files, tmp_path, how):
    plan, _, data = files
    spoil, wanted = SPOILED_STL[how]
    changed = spoil(data)
    assert changed != data
    (tmp_path / "a.stl").write_bytes(changed)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        back = read_stl(tmp_path / "a.stl", plan, rel="a.stl")
    assert wanted in "\n".join(back.problems)


def test_the_volume_bound_is_near_what_chords_can_do():
    plan = make_plan("fitting_plate", count=1, bolts=0, corner_radius_mm=0.0)
    hole = plan.flanges[0].holes[0]
    # a polygon of n chords in the hole's circle: n r^2 (2 pi/n - sin 2 pi/n) / 2 less than the circle
    r, n = hole.diameter_mm / 2, 63
    lost = n * r**2 * (2 * np.pi / n - np.sin(2 * np.pi / n)) / 2 * plan.thickness_mm
    bound = volume_bound(plan, 0.02, 2 * np.pi / n, 0.0)
    assert lost < bound < 1.6 * lost


@pytest.fixture(scope="module")
def glb(tmp_path_factory):
    path = tmp_path_factory.mktemp("glb") / "a.glb"
    panel = PanelLayout(
        panel="firewall",
        title="Firewall",
        material="1008 steel",
        thickness_mm=1.2,
        contour=rectangle(-300, -200, 300, 200),
        holes=(),
        keepouts=(),
        footprints=(),
        folds=(),
        datums=(),
    )
    pose = panel_frame((0.0, 0.0, 500.0), 0.2)
    plan = make_plan("reservoir_bracket")
    names = write_glb(path, [(panel, pose)], [(plan, pose)], revision="r1")
    sheet = Extent(low=np.array([-300.0, -200.0, -1.2]), high=np.array([300.0, 200.0, 0.0]))
    low, high = folded_box(plan)
    wanted = [
        Expected(name=names[0], matrix=pose, solids=(sheet,)),
        Expected(name=names[1], matrix=pose, solids=(Extent(low=low, high=high),)),
    ]
    return path, wanted


def test_good_glb(glb):
    path, wanted = glb
    back = read_glb(path, wanted, rel="assembly.glb")
    assert back.problems == ()
    assert back.facts == ("firewall: 600 mm long", "reservoir_bracket: 90 mm long")


def test_spoiled_glb(glb, tmp_path):
    path, names = glb
    data = path.read_bytes()
    spoiled = tmp_path / "a.glb"
    for content, wanted in (
        (b"", "is empty"),
        (b"PK" + data[2:], "is no GLB"),
        (data[:-40], "its header says"),
        (data[:4] + b"\x01" + data[5:], "version 1"),
        (data[:20] + b"?" + data[21:], "cannot be read"),
        (data.replace(b'"meshes"', b'"mashes"'), ""),
    ):
        spoiled.write_bytes(content)
        back = read_glb(spoiled, names, rel="a.glb")
        assert not back.good
        assert wanted in "\n".join(back.problems)
    other = dataclasses.replace(names[1], name="pedal_hanger")
    back = read_glb(path, [names[0], other], rel="a.glb")
    assert back.problems == (
        "node pedal_hanger is missing or has no geometry",
        "node reservoir_bracket belongs to nothing of the job",
    )


def test_glb_in_millimetres(glb, tmp_path):
    path, names = glb
    scene = trimesh.load_scene(path)
    scene.apply_scale(1000.0)
    (tmp_path / "a.glb").write_bytes(scene.export(file_type="glb"))
    back = read_glb(tmp_path / "a.glb", names, rel="a.glb")
    assert any("firewall is 600 m long" in p for p in back.problems)
