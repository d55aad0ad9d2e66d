"""A folder of other versions is compared by content, says so, and a change in it is still found."""

from __future__ import annotations

import json
import re
import shutil
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import ezdxf
import pytest
import trimesh
from issue import ways
from issue.finished import Finished, fit_hash, remade_of, silent

from generators.cli.app import run
from generators.issue import issue as issuing
from generators.issue.digest import made_with
from generators.issue.manifest import NAME
from generators.issue.prove import ALIKE
from generators.jobs.verify import verify
from generators.verify.readback import ReadBack

FLAT = "parts/plate/plate_flat.dxf"
SHEET = "panels/left/template_cab.pdf"
OTHER = {"ezdxf": "0.9.1"}


def readings(folder: Path) -> dict[str, ReadBack]:
    return {r.path: r for r in verify(folder, progress=silent)}


@pytest.fixture(scope="module")
def older(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that says it was made with another release, and whose files carry that release's marks."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(issuing, "made_with", lambda: {**made_with(), **OTHER})
        folder = ways.whole(tmp_path_factory.mktemp("older"))
    for path in sorted(folder.rglob("*.pdf")):
        data = path.read_bytes()
        marked = data.replace(b"ReportLab PDF Library", b"Reportlab Pdf library")
        assert marked != data
        path.write_bytes(marked)
        fit_hash(folder, path.relative_to(folder).as_posix())
    for path in sorted(folder.rglob("*.dxf")):
        path.write_bytes(b"999\nwritten by another release\n" + path.read_bytes())
        fit_hash(folder, path.relative_to(folder).as_posix())
    return folder


@pytest.fixture(scope="module")
def oldest(rich_whole: Finished, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a manifest of format 1: no kind, no versions, no list for reuse, findings as text."""
    folder = rich_whole.copy(tmp_path_factory.mktemp("oldest") / rich_whole.folder.name)
    (folder / "reuse.json").unlink()
    manifest = json.loads((folder / NAME).read_text(encoding="utf-8"))
    for key in ("kind", "made_with", "letter"):
        del manifest[key]
    manifest["format"] = 1
    manifest["version"] = "0.0.9"
    manifest["files"] = [f for f in manifest["files"] if f["kind"] != "reuse"]
    manifest["findings"] = [{k: str(v) for k, v in f.items()} for f in manifest["findings"]]
    (folder / NAME).write_text(json.dumps(manifest, indent=2) + "\n", encoding="utf-8")
    return folder


@pytest.fixture
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    return Path(shutil.copytree(request.getfixturevalue(request.param), tmp_path / "copy"))


@pytest.fixture(scope="module")
def again(older: Path, oldest: Path, tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Finished]:
    """Both made again by this release, once for all copies that are spoiled."""
    folders = {"older": older, "oldest": oldest}
    return {name: remade_of(where, tmp_path_factory.mktemp(name)) for name, where in folders.items()}


@pytest.fixture
def whole(request: pytest.FixtureRequest, again: Mapping[str, Finished]) -> Finished:
    """What the copy in ``folder`` is of."""
    return again[request.param]


each = ("older", "oldest")
both = pytest.mark.parametrize(("whole", "folder"), list(zip(each, each, strict=True)), indirect=True)


@pytest.mark.parametrize("folder", ["older"], indirect=True)
def test_files_of_another_release_are_good_by_their_content_and_the_releases_are_named(folder: Path) -> None:
    said = readings(folder)
    assert [r for r in said.values() if not r.good] == []
    assert ALIKE in said[FLAT].facts
    assert ALIKE in said[SHEET].facts
    (fact,) = (f for f in said[NAME].facts if "compared by content" in f)
    assert fact == f"made with ezdxf 0.9.1 (here {made_with()['ezdxf']}): compared by content"


@pytest.mark.parametrize("folder", ["oldest"], indirect=True)
def test_a_folder_of_format_1_is_good_by_its_content_and_says_so(folder: Path) -> None:
    said = readings(folder)
    assert [r for r in said.values() if not r.good] == []
    (fact,) = (f for f in said[NAME].facts if "compared by content" in f)
    assert "version 0.0.9" in fact
    assert "did not say with what" in fact


@pytest.mark.parametrize("folder", ["older"], indirect=True)
def test_a_file_that_was_called_otherwise_is_named_under_both_names(folder: Path) -> None:
    """Nothing else of the folder is the worse for it."""
    manifest = json.loads((folder / NAME).read_text(encoding="utf-8"))
    (entry,) = (f for f in manifest["files"] if f["path"] == FLAT)
    was = "parts/plate/flat.dxf"
    (folder / FLAT).rename(folder / was)
    entry["path"] = was
    (folder / NAME).write_text(json.dumps(manifest, indent=2) + "\n", encoding="utf-8")
    bad = {path: r.problems for path, r in readings(folder).items() if not r.good}
    assert bad == {
        FLAT: ("is not listed, though these versions make it of this job",),
        was: ("is listed, but these versions make no such file of it",),
    }


def hole_moved(folder: Path) -> str:
    document = ezdxf.readfile(folder / FLAT)
    next(iter(document.modelspace().query("CIRCLE"))).translate(0.05, 0, 0)
    document.saveas(folder / FLAT)
    return FLAT


def word_changed(folder: Path) -> str:
    data = (folder / SHEET).read_bytes()
    assert b"(CAB FACE)" in data
    (folder / SHEET).write_bytes(data.replace(b"(CAB FACE)", b"(CAB SIDE)", 1))
    return SHEET


def body_moved(folder: Path) -> str:
    scene = trimesh.load_scene(folder / "assembly.glb")
    name = sorted(scene.graph.nodes_geometry)[0]
    matrix, geometry = scene.graph[name]
    moved = matrix.copy()
    moved[0, 3] += 0.001
    scene.graph.update(frame_to=name, matrix=moved, geometry=geometry)
    scene.export(folder / "assembly.glb")
    return "assembly.glb"


def step_point_moved(folder: Path) -> str:
    path = folder / "assembly.step"
    head, mark, data = path.read_bytes().partition(b"DATA;")
    moved, count = re.subn(rb"(CARTESIAN_POINT\('',\()([1-9][0-9]*\.)", rb"\g<1>1\g<2>", data, count=1)
    assert count == 1
    path.write_bytes(head + mark + moved)
    return "assembly.step"


def cell_changed(folder: Path) -> str:
    path = folder / "bom.csv"
    path.write_bytes(path.read_bytes().replace(b"2.00 mm", b"3.00 mm", 1))
    return "bom.csv"


@both
@pytest.mark.parametrize(
    "change", [hole_moved, word_changed, body_moved, step_point_moved, cell_changed], ids=lambda f: f.__name__
)
def test_a_change_in_a_folder_of_other_versions_is_found(
    whole: Finished, folder: Path, change: Callable[[Path], str]
) -> None:
    path = change(folder)
    fit_hash(folder, path)
    assert set(whole.bad(folder)) == {path}


@both
@pytest.mark.parametrize(
    ("key", "value"), [("revision", "0000000"), ("units", "in"), ("title", "Other"), ("complete", False)]
)
def test_the_head_of_a_manifest_of_other_versions_counts(
    whole: Finished, folder: Path, key: str, value: object
) -> None:
    manifest = json.loads((folder / NAME).read_text(encoding="utf-8"))
    manifest[key] = value
    (folder / NAME).write_text(json.dumps(manifest, indent=2) + "\n", encoding="utf-8")
    assert NAME in whole.bad(folder)


@both
def test_a_file_taken_out_of_a_folder_of_other_versions_and_off_its_list_is_missed(
    whole: Finished, folder: Path
) -> None:
    (folder / "bom.csv").unlink()
    manifest = json.loads((folder / NAME).read_text(encoding="utf-8"))
    manifest["files"] = [f for f in manifest["files"] if f["path"] != "bom.csv"]
    (folder / NAME).write_text(json.dumps(manifest, indent=2) + "\n", encoding="utf-8")
    assert whole.bad(folder) == {"bom.csv": "is not listed, though these versions make it of this job"}


def test_the_list_for_reuse_of_other_versions_cannot_be_taken_off_the_list(
    older: Path, again: Mapping[str, Finished], tmp_path: Path
) -> None:
    folder = Path(shutil.copytree(older, tmp_path / "copy"))
    (folder / "reuse.json").unlink()
    manifest = json.loads((folder / NAME).read_text(encoding="utf-8"))
    manifest["files"] = [f for f in manifest["files"] if f["kind"] != "reuse"]
    (folder / NAME).write_text(json.dumps(manifest, indent=2) + "\n", encoding="utf-8")
    assert again["older"].bad(folder) == {"reuse.json": "is not listed"}


@pytest.mark.parametrize("folder", ["oldest"], indirect=True)
@pytest.mark.parametrize("options", [(), ("--quick",)])
def test_a_spec_that_no_longer_reads_is_one_plain_sentence(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    folder: Path,
    options: tuple[str, ...],
) -> None:
    spec = folder / "spec" / "rich.toml"
    spec.write_bytes(spec.read_bytes().replace(b'kind = "blanking_plate"', b'family = "blanking_plate"'))
    fit_hash(folder, "spec/rich.toml")
    monkeypatch.setattr(sys, "argv", ["pedalplate", "verify", str(folder), *options])
    assert run() == 4
    told = capsys.readouterr()
    assert told.out == ""
    (sentence,) = told.err.splitlines()
    assert "what the files were made from no longer reads" in sentence
    assert "`family` is now `kind`" in sentence
