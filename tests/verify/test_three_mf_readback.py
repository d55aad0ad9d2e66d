"""A good 3MF is found good, and every way of spoiling one is named; pegs are read in every file kind."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace

import pytest

from generators.geometry.contours import rectangle
from generators.model.plan import Bush, Fitting, Flange, Hole, PartPlan, Peg
from generators.solids.files.step import write_step
from generators.solids.files.stl import write_stl
from generators.solids.files.three_mf import MODEL_PART, write_three_mf
from generators.verify.mesh.stl import read_stl
from generators.verify.mesh.three_mf import read_three_mf
from generators.verify.step.solid import read_step

PEG = Peg(
    name="peg_A",
    u_mm=-28.0,
    v_mm=0.0,
    diameter_mm=9.7,
    height_mm=4.0,
    chamfer_mm=1.0,
    hole_mm=10.0,
    purpose="hole A",
)


def guide(*pegs: Peg) -> PartPlan:
    bore = Hole(
        name="bore_1",
        u_mm=0.0,
        v_mm=3.0,
        diameter_mm=7.2,
        purpose="hole 1",
        fitting=Fitting(kind="bore", label="bush"),
        bush=Bush(drill_mm=4.0, outside_mm=7.0, length_mm=12.0),
    )
    block = Flange(name="block", contour=rectangle(-40.0, -20.0, 40.0, 20.0, 4.0), holes=(bore,), pegs=pegs)
    return PartPlan(
        name="guide",
        kind="drill_guide",
        title="Guide",
        material="PLA",
        thickness_mm=12.0,
        flanges=(block,),
        printed=True,
        tool=True,
    )


PLAN = guide(PEG, replace(PEG, name="peg_B", u_mm=26.0, v_mm=8.0, diameter_mm=11.7, hole_mm=12.0))
READERS = {
    "step": lambda path, plan: read_step(path, plan, rel="a"),
    "stl": lambda path, plan: read_stl(path, plan, rel="a"),
    "3mf": lambda path, plan: read_three_mf(path, plan, revision="r1", rel="a"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("guide")
    write_step(PLAN, out / "a.step", revision="r1", job="job")
    write_stl(PLAN, out / "a.stl", revision="r1")
    write_three_mf(PLAN, out / "a.3mf", revision="r1")
    return out


def repacked(data: bytes, change, *, name: str = MODEL_PART) -> bytes:
    """The package with one part's text changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for entry in old.namelist():
            text = old.read(entry).decode()
            changed = change(text) if entry == name else text
            assert entry != name or changed != text
            new.writestr(entry, changed)
    return out.getvalue()


@pytest.mark.parametrize("kind", READERS)
def test_good_files(folder, kind):
    back = READERS[kind](folder / f"a.{kind}", PLAN)
    assert back.problems == ()
    assert "2 pegs" in " ".join(back.facts)


# each by a tenth of a millimetre: what a printer can show, and a person with calipers
OTHER_PLANS = {
    "a peg moved": (lambda p: replace(p, u_mm=p.u_mm + 0.1), "peg_A"),
    "a thinner peg": (lambda p: replace(p, diameter_mm=p.diameter_mm - 0.1), "peg_A"),
    "a longer peg": (lambda p: replace(p, height_mm=4.1), "peg_A"),
    "another chamfer": (lambda p: replace(p, chamfer_mm=0.9), "peg_A"),
}


@pytest.mark.parametrize("kind", READERS)
@pytest.mark.parametrize("how", OTHER_PLANS)
def test_a_peg_that_is_not_the_plans(folder, kind, how):
    change, wanted = OTHER_PLANS[how]
    block = PLAN.flanges[0]
    other = replace(PLAN, flanges=(replace(block, pegs=(change(block.pegs[0]), block.pegs[1])),))
    back = READERS[kind](folder / f"a.{kind}", other)
    assert wanted in "\n".join(back.problems)


@pytest.mark.parametrize("kind", READERS)
def test_a_peg_too_few_in_the_plan(folder, kind):
    back = READERS[kind](folder / f"a.{kind}", guide(PEG))
    assert "volume" in "\n".join(back.problems)


def second_item(text):
    return text.replace('<item objectid="1"/>', '<item objectid="1"/><item objectid="1"/>')


SPOILED = {
    "inches": (lambda t: t.replace("millimeter", "inch"), "its unit is inch"),
    "no unit": (lambda t: t.replace(' unit="millimeter"', ""), "not declared"),
    "a document type": (lambda t: t.replace("<model", "<!DOCTYPE model><model"), "document type"),
    "cut short": (lambda t: t[: len(t) // 2], "is no XML"),
    "another revision": (lambda t: t.replace("rev=r1", "rev=r2"), "does not carry revision r1"),
    "another part": (lambda t: t.replace("part=guide", "part=other"), "names the part other"),
    "another title": (lambda t: t.replace(">Guide<", ">Other<"), "its title is 'Other'"),
    "no description": (lambda t: t.replace('"Description"', '"Remark"'), "does not give unit, tolerance"),
    "built twice": (second_item, "builds 2"),
    "built smaller": (
        lambda t: t.replace('objectid="1"/>', 'objectid="1" transform="0.5 0 0 0 0.5 0 0 0 0.5 0 0 0"/>'),
        "moves its object",
    ),
    "builds nothing there": (lambda t: t.replace('objectid="1"', 'objectid="2"'), "does not hold"),
    "a support": (lambda t: t.replace('type="model"', 'type="support"'), "its object is support"),
    "an extension": (
        lambda t: t.replace("<model ", '<model requiredextensions="p" xmlns:p="urn:p" '),
        "asks its reader for extensions: p",
    ),
    "another namespace": (lambda t: t.replace("core/2015/02", "core/2013/01"), "no model of the core"),
    "a triangle lost": (lambda t: re.sub(r"<triangle [^>]*>", "", t, count=1), "is not watertight"),
    "a triangle turned": (
        lambda t: re.sub(r'v1="(\d+)" v2="(\d+)"', r'v1="\2" v2="\1"', t, count=1),
        "do not all turn the same way",
    ),
    "a corner too far": (lambda t: re.sub(r'v1="\d+"', 'v1="999999"', t, count=1), "not among its vertices"),
    "a corner of nothing": (lambda t: re.sub(r'v1="\d+"', 'v1="x"', t, count=1), "is damaged"),
    "no number": (lambda t: re.sub(r'<vertex x="[^"]*"', '<vertex x="nan"', t, count=1), "no numbers"),
    "a vertex moved": (
        lambda t: re.sub(r'(<vertex x="[^"]*" y="[^"]*" z=)"16"', r'\1"17"', t, count=1),
        "box",
    ),
    "all of it twice as high": (lambda t: re.sub(r'z="16"', 'z="32"', t), "box 80.00 x 40.00 x 32.00"),
}


@pytest.mark.parametrize("how", SPOILED)
def test_spoiled(folder, tmp_path, how):
    change, wanted = SPOILED[how]
    (tmp_path / "a.3mf").write_bytes(repacked((folder / "a.3mf").read_bytes(), change))
    assert wanted in "\n".join(READERS["3mf"](tmp_path / "a.3mf", PLAN).problems)


def test_spoiled_packages(folder, tmp_path):
    data = (folder / "a.3mf").read_bytes()
    path = tmp_path / "a.3mf"
    for content, wanted in (
        (b"", "no whole ZIP"),
        (data[:-30], "no whole ZIP"),
        (data.replace(b'<vertex x="', b'<vertex y="', 1), "no whole ZIP"),  # its checksum
        (
            repacked(data, lambda t: t.replace("3D/3dmodel", "3D/other"), name="_rels/.rels"),
            "has no 3D/other",
        ),
        (
            repacked(data, lambda t: t.replace("01/3dmodel", "01/x"), name="_rels/.rels"),
            "points at 0 3D models",
        ),
        (
            repacked(data, lambda t: t.replace("3dmanufacturing-", "x-"), name="[Content_Types].xml"),
            "do not say that 3D/3dmodel.model is a 3D model",
        ),
    ):
        path.write_bytes(content)
        assert wanted in "\n".join(READERS["3mf"](path, PLAN).problems)
    for missing in (tmp_path, tmp_path / "nothing"):
        (problem,) = READERS["3mf"](missing, PLAN).problems
        assert "cannot be read" in problem
        assert str(tmp_path) not in problem


def test_a_package_that_unpacks_to_too_much(folder, tmp_path, monkeypatch):
    monkeypatch.setattr("generators.verify.mesh.three_mf.LARGEST_BYTES", 1000)
    (problem,) = READERS["3mf"](folder / "a.3mf", PLAN).problems
    assert "unpacks to more than" in problem
