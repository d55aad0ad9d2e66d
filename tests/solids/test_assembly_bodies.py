"""Everything of a job in GLB and STEP, read back with other readers: names, groups, colours, places, volumes.

Volumes and boxes are worked out by hand in each test; files are read with trimesh and with the solid
modeller's own STEP reader, neither of which is told what the writer was given.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool
from solids.glb_files import write_glb

from generators.errors import ExportError
from generators.solids import kernel
from generators.solids.files.assembly import shown_rgba
from generators.solids.files.step_assembly import write_step_assembly
from generators.solids.lump_meshes import lump_mesh
from generators.solids.lump_shapes import lump_shape
from generators.space.body import Body
from generators.space.lumps import Lump, lump_volume, lumps
from generators.space.pieces import Box, Hull, Rod, slab
from generators.space.shown import AT_REST, AT_STOP, BOLTS, OBSTACLES, ZONES, Shown, merged, uniquely
from generators.verify.assembled import Expected, Extent
from generators.verify.mesh.glb import read_glb
from generators.verify.step.assembly import read_step_assembly
from generators.verify.step.solid import corners_of


def standing(x: float, y: float, z: float) -> np.ndarray:
    """A pose turned a quarter about z: its first axis is the vehicle's right."""
    return np.array([[0.0, -1, 0, x], [1, 0, 0, y], [0, 0, 1, z], [0, 0, 0, 1]])


def bolt(x: float) -> tuple[Rod, ...]:
    """Along z: head 4 high and 10 across, shank 6 across from -4 to 14, nut 5 high and 10 across."""
    return (
        Rod(start=(x, 0.0, 0.0), end=(x, 0.0, -4.0), radius_mm=5.0),
        Rod(start=(x, 0.0, 8.0), end=(x, 0.0, 13.0), radius_mm=5.0),
        Rod(start=(x, 0.0, -4.0), end=(x, 0.0, 14.0), radius_mm=3.0),
    )


BOLT_MM3 = math.pi * (25 * 4 + 9 * 8 + 25 * 5 + 9 * 1)
PAD = Box(pose=standing(400.0, 50.0, 300.0), half_mm=(30.0, 6.0, 25.0))
ELBOW = (
    Rod(start=(0.0, 90.0, 0.0), end=(0.0, 90.0, 20.0), radius_mm=4.0, round_ends=True),
    Rod(start=(0.0, 90.0, 20.0), end=(0.0, 110.0, 20.0), radius_mm=4.0),
)
WEDGE = Hull(points=np.array([[0.0, 0, 0], [60, 0, 0], [0, 60, 0], [0, 0, 60]]))
HOT = Box(pose=standing(400.0, 50.0, 300.0), half_mm=(80.0, 40.0, 50.0))

SHOWN = (
    Shown(name="toe_fitting", kind="fitting", pieces=ELBOW),
    Shown(name="bolt in hole 1 (mount_1)", kind="bolt", pieces=bolt(200.0), group=BOLTS),
    Shown(name="bolt in hole 2 (mount_2)", kind="bolt", pieces=bolt(240.0), group=BOLTS),
    Shown(name="gearbox tunnel", kind="obstacle", pieces=(WEDGE,), group=OBSTACLES),
    Shown(name="hot air", kind="zone", pieces=(HOT,), group=ZONES),
    Shown(name="clutch pedal pad, at rest", kind="pad", pieces=(PAD,), group=AT_REST),
    Shown(
        name="clutch pedal pad, at its stop",
        kind="pad",
        pieces=(replace(PAD, pose=standing(280.0, 50.0, 260.0)),),
        group=AT_STOP,
    ),
)
# by hand: low and high in the vehicle, and volumes of the solids
WANTED: dict[str, tuple[list[float], list[float], list[float]]] = {
    "toe_fitting": (
        [-4, 86, -4],
        [4, 110, 24],
        [math.pi * 16 * 20 + 4 / 3 * math.pi * 64, math.pi * 16 * 20],
    ),
    "bolt in hole 1 (mount_1)": ([195, -5, -4], [205, 5, 14], [BOLT_MM3]),
    "bolt in hole 2 (mount_2)": ([235, -5, -4], [245, 5, 14], [BOLT_MM3]),
    "gearbox tunnel": ([0, 0, 0], [60, 60, 60], [36000.0]),
    "hot air": ([360, -30, 250], [440, 130, 350], [160 * 80 * 100.0]),
    "clutch pedal pad, at rest": ([394, 20, 275], [406, 80, 325], [36000.0]),
    "clutch pedal pad, at its stop": ([274, 20, 235], [286, 80, 285], [36000.0]),
}


def expected(shown: tuple[Shown, ...] = SHOWN) -> list[Expected]:
    out = []
    for body in shown:
        solids = tuple(
            Extent(low=lump.box[0], high=lump.box[1], volume_mm3=lump_volume(lump))
            for lump in lumps(body.pieces)
        )
        out.append(
            Expected(
                name=body.name,
                matrix=np.eye(4),
                solids=solids,
                group=body.group,
                ghost=body.ghost,
                box_mm=2e-3,
            )
        )
    return out


@pytest.fixture(scope="module")
def glb(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("glb") / "a.glb"
    assert write_glb(path, [], [], [], SHOWN) == tuple(WANTED)
    return path


@pytest.fixture(scope="module")
def step(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("step") / "a.step"
    assert write_step_assembly(path, [], [], [], SHOWN, revision="abc1234", job="j") == tuple(WANTED)
    return path


def test_glb_holds_each_body_in_its_group_its_place_and_its_colour(glb: Path) -> None:
    scene = trimesh.load_scene(glb)
    assert set(scene.graph.nodes_geometry) == set(WANTED)
    for body in SHOWN:
        low, high, volumes = WANTED[body.name]
        pose, geometry = scene.graph[body.name]
        mesh = scene.geometry[geometry]
        # glTF 2.0, 3.4: y up, z forward, metres
        world = trimesh.transform_points(mesh.vertices, pose) * 1000
        vehicle = np.column_stack([-world[:, 2], -world[:, 0], world[:, 1]])
        assert vehicle.min(axis=0) == pytest.approx(low, abs=0.11)
        assert vehicle.max(axis=0) == pytest.approx(high, abs=0.11)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        # chords lie inside their rounds; coordinates are float32
        assert 0.93 * sum(volumes) < mesh.volume * 1e9 < sum(volumes) * (1 + 1e-5)
        parent = scene.graph.transforms.parents[body.name]
        assert parent == body.group if body.group else parent in ("vehicle", "world")
        assert tuple(mesh.visual.material.baseColorFactor) == shown_rgba(body)


def test_what_the_vehicle_has_and_a_pedal_at_its_stop_are_seen_through(glb: Path) -> None:
    scene = trimesh.load_scene(glb)
    through = {
        name
        for name, mesh in scene.geometry.items()
        if mesh.visual.material.baseColorFactor[3] < 255 and mesh.visual.material.alphaMode == "BLEND"
    }
    assert through == {"gearbox tunnel", "hot air", "clutch pedal pad, at its stop"}
    solid = {name for name, mesh in scene.geometry.items() if mesh.visual.material.alphaMode is None}
    assert solid == set(WANTED) - through


def names_and_solids(path: Path) -> Iterator[tuple[str, str, list[Any], tuple[float, float, float]]]:
    """Group, name, solids and colour of each body of a STEP file, by the modeller's reader."""
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    with kernel.quiet():
        reader.ReadFile(str(path))
        reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())

    def inside(label: Any) -> list[Any]:
        found = TDF_LabelSequence()
        shapes.GetComponents_s(label, found)
        out = []
        for k in range(1, found.Length() + 1):
            product = TDF_Label()
            shapes.GetReferredShape_s(found.Value(k), product)
            out.append(product)
        return out

    def name(label: Any) -> str:
        word = TDataStd_Name()
        assert label.FindAttribute(TDataStd_Name.GetID_s(), word)
        return str(word.Get().ToExtString())

    def one(group: str, label: Any) -> tuple[str, str, list[Any], tuple[float, float, float]]:
        solids = kernel.solids_of(XCAFDoc_ShapeTool.GetShape_s(label))
        colour = Quantity_Color()
        got = [colours.GetColor(solid, XCAFDoc_ColorType.XCAFDoc_ColorSurf, colour) for solid in solids]
        assert all(got)
        return group, name(label), solids, tuple(colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB))

    roots = TDF_LabelSequence()
    shapes.GetFreeShapes(roots)
    assert roots.Length() == 1
    for product in inside(roots.Value(1)):
        if shapes.IsAssembly_s(product):
            for label in inside(product):
                yield one(name(product), label)
        else:
            yield one("", product)


def test_step_holds_each_body_in_its_group_its_place_and_its_colour(step: Path) -> None:
    found = {name: (group, solids, colour) for group, name, solids, colour in names_and_solids(step)}
    assert list(found) == list(WANTED)
    for body in SHOWN:
        group, solids, colour = found[body.name]
        low, high, volumes = WANTED[body.name]
        assert group == body.group
        assert [kernel.volume(s) for s in solids] == pytest.approx(volumes, rel=1e-6)
        corners = [corners_of(s) for s in solids]
        assert np.min([c[0] for c in corners], axis=0) == pytest.approx(low, abs=1e-3)
        assert np.max([c[1] for c in corners], axis=0) == pytest.approx(high, abs=1e-3)
        assert colour == pytest.approx([c / 255 for c in shown_rgba(body)[:3]], abs=1e-3)


def test_both_readers_agree_and_find_what_is_a_millimetre_off(glb: Path, step: Path) -> None:
    assert read_glb(glb, expected(), rel="g").problems == ()
    assert read_step_assembly(step, expected(), rel="s", revision="abc1234").problems == ()
    for body in SHOWN:
        for axis in range(3):
            shift = np.eye(4)
            shift[axis, 3] = 1.0
            moved = [replace(e, matrix=shift if e.name == body.name else e.matrix) for e in expected()]
            (problem,) = read_glb(glb, moved, rel="g").problems
            assert problem.startswith(f"node {body.name} is ")
            assert problem.endswith("away from its place")
    shift = np.eye(4)
    shift[1, 3] = 1.0
    moved = [replace(e, matrix=shift) for e in expected()]
    problems = read_step_assembly(step, moved, rel="s", revision="abc1234").problems
    assert {p.partition(" is 1.000 mm")[0] for p in problems} == set(WANTED)


def test_readers_find_a_wrong_group_a_lost_solid_and_what_is_not_seen_through(glb: Path, step: Path) -> None:
    first, *rest = expected()
    lost = [replace(first, solids=first.solids[:1]), *rest]
    assert (
        "toe_fitting is not one valid solid"
        in read_step_assembly(step, lost, rel="s", revision="abc1234").problems
    )
    other = [*rest[:-1], replace(rest[-1], group=AT_REST)]
    wrong = f"clutch pedal pad, at its stop belongs to {AT_STOP}, plan {AT_REST}"
    assert wrong in read_step_assembly(step, [first, *other], rel="s", revision="abc1234").problems
    assert f"node {wrong}" in read_glb(glb, [first, *other], rel="g").problems
    solid = [replace(e, ghost=not e.ghost) for e in expected()]
    problems = read_glb(glb, solid, rel="g").problems
    assert "node gearbox tunnel is seen through" in problems
    assert "node toe_fitting is not seen through" in problems
    assert len(problems) == len(SHOWN)


def test_the_same_bodies_are_the_same_bytes(glb: Path, step: Path, tmp_path: Path) -> None:
    write_glb(tmp_path / "b.glb", [], [], [], SHOWN)
    write_step_assembly(tmp_path / "b.step", [], [], [], SHOWN, revision="abc1234", job="j")
    assert (tmp_path / "b.glb").read_bytes() == glb.read_bytes()
    assert (tmp_path / "b.step").read_bytes() == step.read_bytes()


def test_a_name_of_any_letters_reads_back(tmp_path: Path) -> None:
    shown = (replace(SHOWN[0], name="durite d'eau, Ø 12 — 水"),)
    write_glb(tmp_path / "a.glb", [], [], [], shown)
    write_step_assembly(tmp_path / "a.step", [], [], [], shown, revision="abc1234", job="j")
    assert read_glb(tmp_path / "a.glb", expected(shown), rel="g").problems == ()
    assert (
        read_step_assembly(tmp_path / "a.step", expected(shown), rel="s", revision="abc1234").problems == ()
    )


def test_two_bodies_of_one_name_are_refused_in_step(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="two bodies of an assembly"):
        write_step_assembly(
            tmp_path / "a.step", [], [], [], (SHOWN[0], SHOWN[0]), revision="abc1234", job="j"
        )
    group = (replace(SHOWN[1], name=BOLTS),)
    with pytest.raises(ExportError, match="two bodies of an assembly"):
        write_step_assembly(tmp_path / "a.step", [], [], [], (SHOWN[2], *group), revision="abc1234", job="j")


ANY: list[tuple[Lump, float]] = [
    (Box(pose=standing(3.0, 4.0, 5.0), half_mm=(1.0, 2.0, 3.0)), 48.0),
    (Rod(start=(1.0, 2.0, 3.0), end=(4.0, 6.0, 15.0), radius_mm=2.0), math.pi * 4 * 13),
    (
        Rod(start=(1.0, 2.0, 3.0), end=(4.0, 6.0, 15.0), radius_mm=2.0, round_ends=True),
        math.pi * 4 * 13 + 4 / 3 * math.pi * 8,
    ),
    (Rod(start=(1.0, 2.0, 3.0), end=(1.0, 2.0, 3.0), radius_mm=2.0, round_ends=True), 4 / 3 * math.pi * 8),
    (lumps(bolt(7.0))[0], BOLT_MM3),
    (WEDGE, 36000.0),
    # a trapezium of 40 and 20 wide, 30 tall, 12 deep
    (slab([(0, 0), (40, 0), (30, 30), (10, 30)], -2.0, 10.0, standing(0.0, 0.0, 9.0)), 900.0 * 12),
]


@pytest.mark.parametrize(("lump", "volume"), ANY)
def test_a_piece_has_its_volume_and_box_as_solid_and_as_mesh(lump: Lump, volume: float) -> None:
    assert lump_volume(lump) == pytest.approx(volume, rel=1e-12)
    solid = lump_shape(lump, "piece")
    assert kernel.is_valid(solid)
    assert kernel.volume(solid) == pytest.approx(volume, rel=1e-9)
    low, high = corners_of(solid)
    assert low == pytest.approx(lump.box[0], abs=1e-3)
    assert high == pytest.approx(lump.box[1], abs=1e-3)
    points, faces = lump_mesh(lump)
    mesh = trimesh.Trimesh(points, faces, process=False)
    assert mesh.is_watertight
    assert 0.85 * volume < mesh.volume <= volume * (1 + 1e-9)


def test_only_rods_on_one_axis_that_meet_are_one_solid() -> None:
    assert len(lumps(bolt(0.0))) == 1
    assert len(lumps((*bolt(0.0), *bolt(1e-3)))) == 2
    apart = Rod(start=(0.0, 0.0, 14.5), end=(0.0, 0.0, 16.0), radius_mm=3.0)
    assert len(lumps((*bolt(0.0), apart))) == 2
    turned = Rod(start=(0.0, 0.0, 5.0), end=(0.0, 1.0, 25.0), radius_mm=3.0)
    assert len(lumps((*bolt(0.0), turned))) == 2
    assert len(lumps((*bolt(0.0), replace(apart, start=(0.0, 0.0, 14.0), round_ends=True)))) == 2


def test_an_elbow_and_its_leg_are_one_body_and_a_name_taken_gets_its_key() -> None:
    row = (
        Body(name="component:toe", title="toe fitting", what="fitting", owner="toe", forms=ELBOW[:1]),
        Body(name="component:toe.leg", title="leg", what="fitting", owner="toe", forms=ELBOW[1:]),
    )
    (one,) = merged(row)
    assert (one.name, one.title, one.pieces) == ("component:toe", "toe fitting", ELBOW)
    assert uniquely("bracket", "dash.bracket", ["panel"]) == "bracket"
    assert uniquely("bracket", "dash.bracket", ["bracket"]) == "bracket (dash.bracket)"
    taken = ["bracket", "bracket (dash.bracket)"]
    assert uniquely("bracket", "dash.bracket", taken) == "bracket (dash.bracket) 2"
