"""3MF files: read by the 3MF Consortium's own library, equal to the STL, and the same bytes again."""

from __future__ import annotations

import zipfile
from dataclasses import replace

import lib3mf
import numpy as np
import pytest
import trimesh
from shapely import MultiLineString
from shapely.ops import polygonize

from generators.errors import ExportError
from generators.geometry.contours import rectangle
from generators.model.plan import Bush, Fitting, Flange, Hole, PartPlan, Peg
from generators.solids.files.stl import write_stl
from generators.solids.files.three_mf import write_three_mf


def guide() -> PartPlan:
    fitting = Fitting(kind="bore", label="bush 7 × 12, drill 4")
    bush = Bush(drill_mm=4.0, outside_mm=7.0, length_mm=12.0)
    peg = Peg(
        name="peg_A",
        u_mm=-28.0,
        v_mm=0.0,
        diameter_mm=9.7,
        height_mm=4.0,
        chamfer_mm=1.0,
        hole_mm=10.0,
        purpose="hole A",
    )
    block = Flange(
        name="block",
        contour=rectangle(-40.0, -20.0, 40.0, 20.0, 4.0),
        holes=(
            Hole(
                name="bore_1",
                u_mm=0.0,
                v_mm=3.0,
                diameter_mm=7.2,
                purpose="hole 1",
                fitting=fitting,
                bush=bush,
            ),
        ),
        pegs=(peg, replace(peg, name="peg_B", u_mm=26.0, v_mm=8.0, diameter_mm=11.7, hole_mm=12.0)),
    )
    return PartPlan(
        name="guide",
        kind="drill_guide",
        title="Guide <&> block",
        material="PLA",
        thickness_mm=12.0,
        flanges=(block,),
        printed=True,
        tool=True,
    )


@pytest.fixture(scope="module")
def written(make_plan, tmp_path_factory):
    out = tmp_path_factory.mktemp("three_mf")
    plans = {"guide": guide(), "bracket": make_plan("reservoir_bracket", pattern_slot_mm=12.0)}
    for name, plan in plans.items():
        write_stl(plan, out / f"{name}.stl", revision="7f3a")
        write_three_mf(plan, out / f"{name}.3mf", revision="7f3a")
    return out, plans


def by_the_consortium(path):
    """What lib3mf, in strict mode, makes of a file: unit, metadata, objects and built items."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    group = model.GetMetaDataGroup()
    said = [group.GetMetaData(i) for i in range(group.GetMetaDataCount())]
    objects, found = model.GetMeshObjects(), []
    while objects.MoveNext():
        found.append(objects.GetCurrentMeshObject())
    items, built = model.GetBuildItems(), []
    while items.MoveNext():
        built.append(items.GetCurrent())
    return int(model.GetUnit()), {m.GetName(): m.GetValue() for m in said}, found, built


@pytest.mark.parametrize("name", ["guide", "bracket"])
def test_the_consortium_reads_it(written, name):
    out, plans = written
    unit, said, objects, built = by_the_consortium(out / f"{name}.3mf")
    assert unit == int(lib3mf.ModelUnit.MilliMeter)
    assert said["Title"] == plans[name].title
    assert " rev=7f3a " in said["Description"]
    assert [o.GetName() for o in objects] == [plans[name].name]
    assert objects[0].IsManifoldAndOriented()
    assert not objects[0].HasSlices(False)
    assert len(built) == 1
    assert not built[0].HasObjectTransform()


@pytest.mark.parametrize("name", ["guide", "bracket"])
def test_its_triangles_are_those_of_the_stl(written, name):
    out, _ = written
    _, _, (mesh,), _ = by_the_consortium(out / f"{name}.3mf")
    points = np.array([list(v.Coordinates) for v in mesh.GetVertices()], dtype=np.float32)
    faces = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
    stl = trimesh.load_mesh(out / f"{name}.stl", process=False)
    corners = np.asarray(stl.vertices, dtype=np.float32)[stl.faces]
    # bit for bit, in the same order
    assert np.array_equal(points[faces], corners)
    assert trimesh.Trimesh(points, faces, process=False).is_watertight


def test_a_guide_stands_pegs_up_on_its_flat_side(written):
    out, _ = written
    mesh = trimesh.load_mesh(out / "guide.stl")
    # by hand: 12 mm of block on the bed, pegs of 4 mm on it
    assert mesh.bounds[:, 2] == pytest.approx([0.0, 16.0], abs=1e-5)
    down = mesh.facets_normal[np.argmax(mesh.facets_area)]
    assert abs(down[2]) == pytest.approx(1.0)
    # a section through the pegs is two discs: pi/4 (9.7² + 11.7²), chords inside by the tolerance
    lines = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, 14.0])[:, :, :2].round(6)
    discs = list(polygonize(MultiLineString(list(lines))))
    area = sum(d.area for d in discs)
    assert len(discs) == 2
    assert area == pytest.approx(np.pi / 4 * (9.7**2 + 11.7**2), rel=5e-3)


def test_the_same_bytes_again(written, tmp_path):
    out, plans = written
    write_three_mf(plans["guide"], tmp_path / "again.3mf", revision="7f3a")
    assert (tmp_path / "again.3mf").read_bytes() == (out / "guide.3mf").read_bytes()
    with zipfile.ZipFile(out / "guide.3mf") as archive:
        assert {e.date_time for e in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert {e.compress_type for e in archive.infolist()} == {zipfile.ZIP_STORED}
        assert archive.namelist()[0] == "[Content_Types].xml"


def test_a_place_that_cannot_be_written(written, tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(ExportError, match=r"cannot write a\.3mf"):
        write_three_mf(written[1]["guide"], tmp_path / "file" / "a.3mf", revision="r1")
