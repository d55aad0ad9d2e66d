"""STEP, STL and GLB as files: the same bytes every time, names and colours that survive."""

from __future__ import annotations

import dataclasses
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool
from solids.glb_files import write_glb

from generators.errors import ExportError
from generators.geometry.contours import rectangle
from generators.geometry.frames import panel_frame
from generators.model.plan import PanelLayout
from generators.parts import KINDS
from generators.solids import kernel
from generators.solids.files.step import PART_RGB, encoded, write_step
from generators.solids.files.stl import write_stl
from generators.solids.mesh import triangles
from generators.solids.shapes import folded_shape

FAMILY_NAMES = tuple(f.name for f in KINDS)
# a plate, a folded bracket, a box and a printed block: another process takes seconds a part
NAMES = ("fitting_plate", "slave_bracket", "twin_pedal_hanger", "drill_guide")
PANEL = PanelLayout(
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

OTHER_PROCESS = """
import sys
from pathlib import Path
import numpy as np
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.parts import kind_named
from generators.sheetmetal.allowance import bend_rule
from generators.solids.files.assembly import glb_data
from generators.solids.files.step import write_step
from generators.solids.files.stl import write_stl
out, plans = Path(sys.argv[1]), []
for name in sys.argv[2:]:
    spec = PartSpec(name=name, kind=name, material="1008 steel", thickness_mm=3.0,
                    parameters=kind_named(name).parameters())
    plans.append(kind_named(name).plan(spec, bend_rule(Shop(), "1008 steel", 3.0, None)))
for plan in reversed(plans):
    write_stl(plan, out / f"{plan.name}.stl", revision="r1")
    write_step(plan, out / f"{plan.name}.step", revision="r1", job="job")
data, _names = glb_data([], [(p, np.eye(4)) for p in plans], revision="r1")
(out / "assembly.glb").write_bytes(data)
"""


def write_all(plans, out):
    for plan in plans:
        write_step(plan, out / f"{plan.name}.step", revision="r1", job="job")
        write_stl(plan, out / f"{plan.name}.stl", revision="r1")
    write_glb(out / "assembly.glb", [], [(p, np.eye(4)) for p in plans], revision="r1")


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir())}


def test_same_bytes_again_and_in_another_process(make_plan, tmp_path):
    plans = [make_plan(name) for name in NAMES]
    for folder in ("one", "two", "three"):
        (tmp_path / folder).mkdir()
    write_all(plans, tmp_path / "one")
    first = contents(tmp_path / "one")
    # not from what is remembered of the first run, nor from a shape someone has meshed for a look
    folded_shape.cache_clear()
    for plan in plans:
        BRepMesh_IncrementalMesh(folded_shape(plan), 0.005, False, 0.05, False)
    write_all(plans, tmp_path / "two")
    assert contents(tmp_path / "two") == first
    folded_shape.cache_clear()
    subprocess.run(
        [sys.executable, "-c", OTHER_PROCESS, str(tmp_path / "three"), *NAMES],
        check=True,
        timeout=300,
        env={**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
    )
    assert contents(tmp_path / "three") == first
    assert len(first) == 2 * len(NAMES) + 1


def test_step_header(make_plan, tmp_path, monkeypatch):
    plan = dataclasses.replace(make_plan("fitting_plate"), title="O'Neill plate é")
    write_step(plan, tmp_path / "deep" / "a.step", revision="7f3a", job="van")
    text = (tmp_path / "deep" / "a.step").read_text("ascii")
    assert text.startswith("ISO-10303-21;\nHEADER;\n")
    assert "O''Neill plate \\X2\\00E9\\X0\\; 1008 steel, 3 mm; revision 7f3a; job van" in text
    assert "FILE_NAME('fitting_plate.step','2000-01-01T00:00:00',('pedalplate'),('pedalplate')," in text
    # ISO 10303-21 leaves the name free: the part's, as make calls the file, and not the path's
    assert "a.step" not in text
    assert "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));" in text
    assert "= PRODUCT('fitting_plate','fitting_plate'," in text
    assert "= PRODUCT_DEFINITION_FORMATION('7f3a'," in text
    assert "Open CASCADE" not in text
    # a build machine that sets it must make the same file, else no other could prove it
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    write_step(plan, tmp_path / "b.step", revision="7f3a", job="van")
    assert (tmp_path / "b.step").read_text("ascii") == text


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("plain", "'plain'"),
        ("it's", "'it''s'"),
        ("a\\b", "'a\\\\b'"),
        ("é", "'\\X2\\00E9\\X0\\'"),
        ("😀", "'\\X4\\0001F600\\X0\\'"),
        ("two\nlines", "'two\\X2\\000A\\X0\\lines'"),
    ],
)
def test_step_strings(text, wanted):
    assert encoded(text) == wanted


def test_name_and_colour_survive_a_reading(make_plan, tmp_path, capfd):
    plan = make_plan("reservoir_bracket")
    write_step(plan, tmp_path / "a.step", revision="r1", job="job")
    assert capfd.readouterr() == ("", "")
    with kernel.quiet():
        document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        reader.SetColorMode(True)
        reader.ReadFile(str(tmp_path / "a.step"))
        assert reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    labels = TDF_LabelSequence()
    shapes.GetFreeShapes(labels)
    assert labels.Length() == 1
    label = labels.Value(1)
    name = TDataStd_Name()
    assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
    assert name.Get().ToExtString() == "reservoir_bracket"
    colour = Quantity_Color()
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    assert colours.GetColor(shapes.GetShape_s(label), XCAFDoc_ColorType.XCAFDoc_ColorSurf, colour)
    assert colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB) == pytest.approx(PART_RGB, abs=1e-3)


@pytest.mark.parametrize("name", FAMILY_NAMES)
@pytest.mark.parametrize("r", [0.0, 3.0])
def test_stl_is_closed_and_says_what_it_is(make_plan, tmp_path, name, r):
    plan = make_plan(name, r=r, **({"inside_width_mm": 90.0} if name == "pedal_hanger" else {}))
    path = tmp_path / "a.stl"
    write_stl(plan, path, revision="7f3a")
    data = path.read_bytes()
    assert data[:80].decode("ascii").rstrip() == f"mm tol=0.02 angle=0.1 rev=7f3a part={name}"
    assert len(data) == 84 + 50 * int.from_bytes(data[80:84], "little")
    mesh = trimesh.load_mesh(path)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0
    assert mesh.body_count == 1
    assert mesh.nondegenerate_faces().all()
    assert mesh.bounds[0][2] == pytest.approx(0.0, abs=1e-6)
    # the stored normals are the triangles' own
    stored = np.frombuffer(data, dtype=np.dtype("<12f4, <u2"), offset=84)["f0"][:, :3]
    a, b, c = (mesh.triangles[:, i] for i in range(3))
    normal = np.cross(b - a, c - a)
    assert np.abs(stored - normal / np.linalg.norm(normal, axis=1, keepdims=True)).max() < 1e-3


def test_stl_tolerance_is_kept(make_plan, tmp_path):
    plan = make_plan("fitting_plate", dash=8, spacing_mm=60.0)
    counts = []
    for tolerance in (0.2, 0.02, 0.005):
        points, faces = triangles(folded_shape(plan), tolerance, 0.5, np.eye(4))
        counts.append(len(faces))
        hole = plan.flanges[0].holes[0]
        away = np.hypot(points[:, 0] - hole.u_mm, points[:, 1] - hole.v_mm)
        rim = points[(np.abs(away - hole.diameter_mm / 2) < 1e-4) & (points[:, 2] == 0)]
        angles = np.sort(np.arctan2(rim[:, 1] - hole.v_mm, rim[:, 0] - hole.u_mm))
        widest = np.diff(np.append(angles, angles[0] + 2 * np.pi)).max()
        assert hole.diameter_mm / 2 * (1 - np.cos(widest / 2)) <= tolerance
    assert counts[0] < counts[1] < counts[2]


def test_stl_header_that_does_not_fit(make_plan, tmp_path):
    with pytest.raises(ExportError, match="80"):
        write_stl(make_plan("fitting_plate"), tmp_path / "a.stl", revision="r" * 60)
    assert not (tmp_path / "a.stl").exists()


def test_a_place_that_cannot_be_written(make_plan, tmp_path):
    plan = make_plan("fitting_plate")
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    with pytest.raises(ExportError):
        write_step(plan, tmp_path / "file" / "a.step", revision="r1", job="job")
    with pytest.raises(ExportError):
        write_stl(plan, tmp_path / "file" / "a.stl", revision="r1")
    with pytest.raises(ExportError, match="at least one"):
        write_glb(tmp_path / "a.glb", [], [])


def test_assembly_in_the_vehicle(make_plan, tmp_path):
    plan = make_plan("reservoir_bracket")
    pose = panel_frame((1000.0, 200.0, 900.0), 0.0)
    names = write_glb(tmp_path / "a.glb", [(PANEL, pose)], [(plan, pose), (plan, pose)], revision="r1")
    assert names == ("firewall", "reservoir_bracket", "reservoir_bracket_2")
    scene = trimesh.load_scene(tmp_path / "a.glb")
    assert set(scene.graph.nodes_geometry) == set(names)
    assert scene.metadata["revision"] == "r1"
    matrix, geometry = scene.graph["firewall"]
    world = trimesh.transform_points(scene.geometry[geometry].vertices, matrix)
    # glTF: y up, z forward, metres. The panel stands at x = 1000 (rearward), y -100 to 500, z 700 to 1100.
    assert world.min(axis=0) == pytest.approx([-0.5, 0.7, -1.0], abs=1e-6)
    assert world.max(axis=0) == pytest.approx([0.1, 1.1, -0.9988], abs=1e-6)
    colours = {tuple(g.visual.material.baseColorFactor) for g in scene.geometry.values()}
    assert len(colours) == 3
    for body in scene.geometry.values():
        assert body.is_watertight
