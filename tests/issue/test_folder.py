"""A folder is one run's at a time, swapped in whole, and nothing of anybody's is lost."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from generators.errors import ExportError
from generators.issue import folder as folders
from generators.issue.folder import foreign, last_run, locked, mend, swapped_in


@pytest.fixture
def target(tmp_path: Path) -> Path:
    made = tmp_path / "job"
    made.mkdir()
    (made / "good").write_text("good")
    return made


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_what_ends_well_takes_the_place_of_the_old(target: Path) -> None:
    with locked(target), swapped_in(target) as fresh:
        (fresh / "new").write_text("new")
    assert names(target) == ["new"]
    assert names(target.parent) == ["job"]


@pytest.mark.parametrize("ending", [ZeroDivisionError, KeyboardInterrupt, SystemExit])
def test_a_failure_inside_leaves_the_last_good_folder(target: Path, ending: type[BaseException]) -> None:
    with pytest.raises(ending), locked(target), swapped_in(target) as fresh:
        (fresh / "half").write_text("half")
        raise ending
    assert (target / "good").read_text() == "good"
    assert names(target.parent) == ["job"]


@pytest.mark.parametrize("ending", [KeyboardInterrupt, SystemExit, OSError, MemoryError])
@pytest.mark.parametrize("rename", [1, 2])
def test_an_interrupt_at_either_rename_puts_the_old_folder_back(
    target: Path, monkeypatch: pytest.MonkeyPatch, ending: type[BaseException], rename: int
) -> None:
    honest, count = Path.rename, 0

    def broken(self: Path, to: Path) -> Path:
        nonlocal count
        count += 1
        if count == rename:
            raise ending
        return honest(self, to)

    monkeypatch.setattr(Path, "rename", broken)
    with pytest.raises((ending, ExportError)), locked(target), swapped_in(target) as fresh:
        (fresh / "new").write_text("new")
    assert names(target) == ["good"]
    assert names(target.parent) == ["job"]


def test_a_run_killed_between_the_two_renames_is_mended(tmp_path: Path) -> None:
    aside = tmp_path / ".job.old"
    aside.mkdir()
    (aside / "good").write_text("good")
    (tmp_path / ".job.new-0123abcd").mkdir()
    mend(tmp_path / "job")
    assert (tmp_path / "job" / "good").read_text() == "good"
    assert names(tmp_path) == ["job"]


@pytest.mark.parametrize("what", ["file", "link", "dangling link"])
def test_what_stands_where_the_old_folder_goes_is_named_and_kept(target: Path, what: str) -> None:
    aside = target.with_name(".job.old")
    if what == "file":
        aside.write_text("mine")
    else:
        aside.symlink_to(target if what == "link" else target.with_name("nowhere"))
    with pytest.raises(ExportError, match=r"\.job\.old is in the way"):
        mend(target)
    assert aside.is_symlink() or aside.read_text() == "mine"


def test_the_second_run_is_told_in_words_and_the_first_goes_on(target: Path) -> None:
    with locked(target), swapped_in(target) as fresh:
        (fresh / "new").write_text("new")
        with pytest.raises(ExportError, match="is being made by another run"), locked(target):
            pytest.fail("must not get here")
    assert names(target) == ["new"]
    with locked(target):
        pass
    assert names(target.parent) == ["job"]


def test_a_lock_left_by_a_killed_run_holds_nobody(target: Path) -> None:
    code = (
        "import os, sys; from pathlib import Path; from generators.issue.folder import locked\n"
        "with locked(Path(sys.argv[1])):\n    os._exit(9)"
    )
    ended = subprocess.run([sys.executable, "-c", code, str(target)], timeout=120)
    assert ended.returncode == 9
    assert target.with_name(".job.lock").exists()
    with locked(target):
        pass
    assert names(target.parent) == ["job"]


def test_a_link_in_the_locks_place_is_not_followed(target: Path) -> None:
    victim = target.parent / "victim"
    victim.write_text("mine")
    target.with_name(".job.lock").symlink_to(victim)
    with pytest.raises(ExportError, match="cannot write beside"), locked(target):
        pytest.fail("must not get here")
    assert victim.read_text() == "mine"


def test_the_lock_is_of_the_file_that_has_the_name_now(target: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # another run ends, and takes the name away, between our opening it and our locking it
    honest, calls = folders._lock, 0

    def slow(handle: int) -> None:
        nonlocal calls
        calls += 1
        if calls == 1:
            target.with_name(".job.lock").unlink()
        honest(handle)

    monkeypatch.setattr(folders, "_lock", slow)
    with locked(target):
        assert calls == 2
        assert target.with_name(".job.lock").exists()


def test_links_and_empty_folders_inside_are_seen(target: Path) -> None:
    (target / "kept" / "deep").mkdir(parents=True)
    (target / "kept" / "deep" / "a").write_text("a")
    (target / "empty").mkdir()
    (target / "linked").symlink_to(target.parent)
    (target / "kept" / "link").symlink_to(target / "good")
    assert foreign(target, ["good", "kept/deep/a"]) == ["empty/", "kept/link", "linked"]
    assert foreign(target, ["good", "kept/deep/a", "empty/x", "linked", "kept/link"]) == ["linked"]


def test_a_file_or_a_link_where_the_folder_should_go(tmp_path: Path) -> None:
    (tmp_path / "job").write_text("a file")
    with pytest.raises(ExportError, match="not a folder"):
        last_run(tmp_path / "job")
    (tmp_path / "link").symlink_to(tmp_path)
    with pytest.raises(ExportError, match="not a folder"):
        last_run(tmp_path / "link")


def test_what_a_file_browser_leaves_is_nobodys(target: Path) -> None:
    # the names: from memory, what the file browsers of macOS and Windows write into a folder they show
    for litter in (".DS_Store", "Thumbs.db", "desktop.ini"):
        (target / litter).write_bytes(b"\0")
    (target / "notes.txt").write_text("mine")
    assert foreign(target, ["good"]) == ["notes.txt"]
    (target / ".DS_Store").unlink()
    (target / ".DS_Store").symlink_to(target)
    assert foreign(target, ["good"]) == [".DS_Store", "notes.txt"]
