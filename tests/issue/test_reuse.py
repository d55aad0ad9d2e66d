"""What has not changed is taken from the last run, with the revision of now; edited files are kept."""

from __future__ import annotations

import hashlib
import json
import shutil
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from issue.finished import Finished
from issue.small import small_spec
from issue.ways import rich_spec

from generators.errors import ExportError
from generators.issue.digest import made_from, made_with
from generators.issue.stamp import PLACEHOLDER, places, stamped
from generators.jobs.make.run import make
from generators.jobs.verify import verify
from generators.solve.job import Prepared, for_printer, large_type, prepare


def silent(what: str, done: int, total: int) -> None:
    assert done <= total


def files_of(folder: Path) -> dict[str, str]:
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in folder.rglob("*")
        if p.is_file()
    }


@pytest.fixture(scope="module")
def spec(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_spec(tmp_path_factory.mktemp("spec"))


def taken(small_made: Path, out: Path) -> Path:
    """The small job's folder as a first run left it below ``out``."""
    return Path(shutil.copytree(small_made, out / small_made.name))


def test_moving_one_hole_makes_only_what_hangs_on_it_again(
    small_made: Path, spec: Path, tmp_path: Path
) -> None:
    taken(small_made, tmp_path / "a")
    moved = tmp_path / "small.toml"
    moved.write_text(spec.read_text().replace('u = "100 mm"', 'u = "110 mm"'))
    again = make(prepare(moved), tmp_path / "a", paper="A4", progress=silent)
    fresh = make(prepare(moved), tmp_path / "b", paper="A4", progress=silent)
    assert fresh.reused == 0
    made_again = {r.path for r in again.readings if "used again" not in " ".join(r.facts)}
    assert {p for p in made_again if p.startswith(("parts/", "panels/right"))} == set()
    assert {p for p in made_again if p.startswith("panels/left")}
    # what was taken again, with its new revision, is to the byte what a first run makes
    assert files_of(again.folder) == files_of(fresh.folder)
    was, now = (json.loads((x / "manifest.json").read_text())["revision"] for x in (small_made, again.folder))
    assert was != now
    assert all(r.good for r in verify(again.folder, progress=silent))


def test_a_file_that_was_changed_is_made_again_and_the_copy_kept(
    small_made: Path, spec: Path, tmp_path: Path
) -> None:
    folder = taken(small_made, tmp_path)
    before = files_of(folder)
    bom = folder / "bom.csv"
    bom.write_text(bom.read_text() + "my own note\n")
    again = make(prepare(spec), tmp_path, paper="A4", progress=silent)
    assert files_of(again.folder) == before
    (kept,) = tmp_path.glob("small_edited_*/bom.csv")
    assert kept.read_text().endswith("my own note\n")
    assert any("bom.csv was changed by hand" in r and str(kept) in r for r in again.remarks)
    third = make(prepare(spec), tmp_path, paper="A4", progress=silent)
    assert len(list(tmp_path.glob("small_edited_*"))) == 1
    assert third.reused == len(before) - 3  # all but the spec, the manifest and the list for reuse


def test_a_spoiled_list_for_reuse_only_costs_time(small_made: Path, spec: Path, tmp_path: Path) -> None:
    folder = taken(small_made, tmp_path)
    before = files_of(folder)
    (folder / "reuse.json").write_text("{")
    assert make(prepare(spec), tmp_path, paper="A4", progress=silent).reused == 0
    assert files_of(folder) == before


def test_the_revision_goes_only_where_it_was_left_room() -> None:
    body = f"x {PLACEHOLDER} 1.1234567 {PLACEHOLDER}".encode()
    first = stamped(body, places(body), "1234567")
    assert first == b"x 1234567 1.1234567 1234567"
    # the seven digits that stand there by chance stay when the next revision goes on
    assert stamped(first, places(body), "abcdef0") == b"x abcdef0 1.1234567 abcdef0"
    with pytest.raises(ValueError, match="letters"):
        stamped(body, places(body), "12345678")


def test_equal_content_has_equal_names_and_other_content_another() -> None:
    versions = made_with()

    def name(*given: object) -> str:
        return made_from(partial(print, *given), versions)

    assert name((1, 2), "a") == name((1, 2), "a")
    different = [(1, 2), (1, (2,)), ((1,), 2), "12", b"12", 12, 12.0, {"1": 2}, {"1": "2"}, None, True, 1, ""]
    assert len({name(x) for x in different}) == len(different)
    assert made_from(partial(print, 1), {**versions, "numpy": "0"}) != name(1)
    with pytest.raises(TypeError, match="cannot be told"):
        name(object())


def another(prepared: Prepared) -> list[tuple[str, Prepared, str]]:
    """The same job asked for in other ways: name, job, paper."""
    return [
        ("large type", large_type(prepared), "A4"),
        ("other paper", prepared, "letter"),
        ("one printer", for_printer(prepared, "hall laser"), "A4"),
        ("other printer", for_printer(prepared, "office"), "A4"),
    ]


def test_what_differs_in_another_way_to_ask_is_never_taken_again(
    rich_whole: Finished, tmp_path: Path
) -> None:
    prepared = prepare(rich_spec(tmp_path / "from"))
    rich_whole.copy(tmp_path / "used" / rich_whole.folder.name)
    for name, job, paper in another(prepared):
        used = make(job, tmp_path / "used", paper=paper, progress=silent)
        fresh = make(job, tmp_path / name, paper=paper, progress=silent)
        assert files_of(used.folder) == files_of(fresh.folder), name
        # meshes, solids and tables are the same on any paper
        assert used.reused > 0, name


def test_made_in_two_goes_with_only_it_is_the_folder_made_at_once(
    rich_whole: Finished, tmp_path: Path
) -> None:
    prepared = prepare(rich_spec(tmp_path / "from"))
    for names in (("left",), ("plate", "right"), ("guide",)):
        made = make(prepared, tmp_path / "parts", paper="A4", only=names, progress=silent)
        assert json.loads((made.folder / "manifest.json").read_text())["complete"] is False
    some = files_of(made.folder)
    every = files_of(rich_whole.folder)
    own = {"manifest.json", "reuse.json"}
    assert {p: h for p, h in some.items() if p not in own} == {
        p: every[p] for p in every if p.startswith(("parts/", "panels/", "spec/"))
    }
    # the rest, made last, ends in the folder made at once, its lists included
    done = make(prepared, tmp_path / "parts", paper="A4", progress=silent)
    assert done.reused == len([p for p in some if p not in own and not p.startswith("spec/")])
    assert files_of(done.folder) == every


def test_only_does_not_mix_with_what_was_asked_for_in_another_way(tmp_path: Path) -> None:
    prepared = prepare(rich_spec(tmp_path / "from"))
    made = make(prepared, tmp_path / "out", paper="A4", only=("plate",), progress=silent)
    before = files_of(made.folder)
    for name, job, paper in another(prepared):
        with pytest.raises(ExportError, match="--only would mix the two"):
            make(job, tmp_path / "out", paper=paper, only=("left",), progress=silent)
        assert files_of(made.folder) == before, name


def test_what_a_name_does_not_say_is_refused() -> None:
    versions = made_with()

    def inner() -> int:
        return 0

    for hidden in (lambda: 0, inner, Path("a").exists, [1].append, np.array(["a", 1], dtype=object)):
        with pytest.raises(TypeError, match="cannot be told"):
            made_from(partial(print, hidden), versions)
    assert made_from(partial(print, silent), versions) != made_from(partial(print, files_of), versions)
