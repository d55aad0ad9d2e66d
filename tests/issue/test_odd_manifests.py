"""A manifest or a folder changed on purpose: one sentence that names it, never a surprise or a long wait."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from generators.errors import ReadBackError
from generators.issue.manifest import NAME, read_manifest
from generators.jobs.verify import verify


def silent(what: str, done: int, total: int) -> None:
    assert done <= total


@pytest.fixture
def copy(small_made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(small_made, tmp_path / "copy"))


def said(folder: Path, key: str, value: object) -> None:
    manifest = json.loads((folder / NAME).read_text(encoding="utf-8"))
    manifest[key] = value
    (folder / NAME).write_text(json.dumps(manifest), encoding="utf-8")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("type_scale", float("nan")),
        ("type_scale", 1e9),
        ("type_scale", "large"),
        ("paper", "roll:banana"),
        ("paper", "roll:1e9 mm"),
        ("paper", "napkin"),
        ("printer", "nobody's"),
        ("waivers", {"no-such-rule": "because"}),
    ],
)
def test_a_head_no_make_could_have_written_is_named(copy: Path, key: str, value: object) -> None:
    said(copy, key, value)
    with pytest.raises(ReadBackError, match=r"manifest\.json"):
        verify(copy, progress=silent, quick=True)


@pytest.mark.parametrize(
    "path", ["C:away", "C:\\away", "\\\\server\\share\\away", "..\\away", "../away", "/away"]
)
def test_a_path_that_leads_out_of_the_folder_on_any_system(copy: Path, path: str) -> None:
    files = json.loads((copy / NAME).read_text(encoding="utf-8"))["files"]
    said(copy, "files", [*files, {**files[0], "path": path}])
    with pytest.raises(ReadBackError, match="outside the folder"):
        read_manifest(copy)


@pytest.mark.parametrize("path", ["reuse.json", "bom.csv", "panels/left/template.dxf"])
@pytest.mark.parametrize("quick", [False, True])
def test_a_file_that_is_gone_is_missed(copy: Path, path: str, quick: bool) -> None:
    (copy / path).unlink()
    bad = {r.path: r.problems for r in verify(copy, progress=silent, quick=quick) if not r.good}
    assert bad == {path: ("is missing",)}
