"""A folder of one form, from several files: it holds all it was made from, and is proven from that alone."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from generators.errors import ReadBackError
from generators.jobs.make.run import make
from generators.jobs.verify import verify
from generators.solve.job import prepare

FORM = '\n[[variant]]\nname = "wide"\nset = { "sizes.hole" = "50 mm" }\n'


def quiet(what: str, done: int, total: int) -> None:
    """No progress."""


@pytest.fixture
def made(plate: Path) -> Path:
    (plate.parent / "shared").mkdir()
    (plate.parent / "shared" / "sizes.toml").write_text('[sizes]\nhole = "40 mm"\n', encoding="utf-8")
    text = plate.read_text(encoding="utf-8").replace('"40 mm"', '"hole"')
    plate.write_text(f'use = ["shared/sizes.toml"]\n{text}{FORM}', encoding="utf-8")
    prepared = prepare(plate, variant="wide")
    return make(prepared, plate.parent / "out", paper="A4", progress=quiet).folder


def test_it_is_made_again_from_what_lies_in_it(made: Path, plate: Path, tmp_path: Path) -> None:
    manifest = json.loads((made / "manifest.json").read_text(encoding="utf-8"))
    assert (made.name, manifest["job"], manifest["variant"]) == ("plate_job_wide", "plate_job_wide", "wide")
    kept = {f["path"]: f["kind"] for f in manifest["files"] if f["path"].startswith("spec/")}
    assert kept == {"spec/plate.toml": "spec", "spec/shared/sizes.toml": "used"}
    # away from the spec it came from
    alone = shutil.copytree(made, tmp_path / "elsewhere")
    shutil.rmtree(plate.parent / "shared")
    plate.unlink()
    assert [r.problems for r in verify(alone, progress=quiet) if r.problems] == []
    with (alone / "spec" / "shared" / "sizes.toml").open("a", encoding="utf-8") as file:
        file.write("# changed\n")
    with pytest.raises(ReadBackError, match="was changed: it is the file its spec uses"):
        verify(alone, progress=quiet)
