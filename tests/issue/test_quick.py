"""``verify --quick``: hashes and geometry, nothing made again."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from issue.finished import Finished, fit_hash, silent

from generators.issue import prove
from generators.issue.manifest import NAME
from generators.jobs.verify import verify

FLAT = "parts/plate/plate_flat.dxf"


@pytest.fixture
def copy(rich_whole: Finished, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:

    def never(*_: object, **__: object) -> None:
        raise AssertionError("made again")

    monkeypatch.setattr(prove, "remade", never)
    return rich_whole.copy(tmp_path / "copy")


def bad(folder: Path) -> dict[str, str]:
    readings = verify(folder, progress=silent, quick=True)
    return {r.path: "; ".join(r.problems) for r in readings if not r.good}


def hole_moved(folder: Path, by_mm: float) -> None:
    document = ezdxf.readfile(folder / FLAT)
    next(iter(document.modelspace().query("CIRCLE"))).translate(by_mm, 0, 0)
    document.saveas(folder / FLAT)


def test_a_good_folder_is_good_and_nothing_is_made_again(copy: Path) -> None:
    assert bad(copy) == {}
    (last,) = (r for r in verify(copy, progress=silent, quick=True) if r.path == NAME)
    assert "nothing was made again" in last.facts[0]


def test_a_hole_moved_with_its_hash_fitted_is_found_by_its_place(copy: Path) -> None:
    hole_moved(copy, 0.05)
    fit_hash(copy, FLAT)
    said = bad(copy)
    assert set(said) == {FLAT}
    assert "sha256" not in said[FLAT]
    assert "hole" in said[FLAT]


def test_a_changed_file_is_found_by_its_hash(copy: Path) -> None:
    (copy / "bom.csv").write_bytes((copy / "bom.csv").read_bytes().replace(b"2.00 mm", b"3.00 mm"))
    assert bad(copy) == {"bom.csv": prove.CHANGED}


@pytest.mark.parametrize("path", ["reuse.json", "bom.csv", FLAT])
@pytest.mark.parametrize("link", [False, True])
def test_a_file_that_is_gone_or_a_link_is_missing(copy: Path, tmp_path: Path, path: str, link: bool) -> None:
    kept = tmp_path / "kept"
    (copy / path).rename(kept)
    if link:
        (copy / path).symlink_to(kept)
    assert bad(copy) == {path: "is missing"}


def test_a_file_more_or_off_the_list_is_named(copy: Path) -> None:
    (copy / "mine.txt").write_text("mine")
    assert bad(copy) == {"mine.txt": "is no file of this job"}
