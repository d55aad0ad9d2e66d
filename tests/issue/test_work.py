"""Workers: begun either way they give the same files; whatever ends a run, none goes on writing."""

from __future__ import annotations

import multiprocessing
import os
import time
from functools import partial
from pathlib import Path

import pytest
from issue.small import small_spec

from generators.errors import ExportError, ReadBackError
from generators.issue import work
from generators.issue.artefact import Artefact, Job
from generators.issue.issue import issue
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER, Stamp
from generators.jobs.make.run import make
from generators.solve.job import prepare
from generators.verify.readback import ReadBack


def silent(what: str, done: int, total: int) -> None:
    assert what
    assert done <= total


def plain(path: Path, *, text: str) -> None:
    path.write_text(text)


def refused(path: Path) -> None:
    while not list(path.parent.glob("restless_*")):
        time.sleep(0.01)  # until the other file is being written
    raise OSError(28, "no space left on device")


def restless(path: Path) -> None:
    """Write for ever, and make the folder again when it is gone."""
    number = 0
    while True:
        number += 1
        path.parent.mkdir(parents=True, exist_ok=True)
        path.with_name(f"restless_{number % 50}").write_text("x")


def dies(path: Path) -> None:
    os._exit(9)


def raises(path: Path) -> ReadBack:
    raise ReadBackError(path.name, "is not to be read at all")


def artefact(path: str, body: partial[None], **more: object) -> Artefact:
    return Artefact(entry=Entry(path=path, kind="text"), body=body, **more)  # type: ignore[arg-type]


def job(*artefacts: Artefact) -> Job:
    more = [artefact(f"plain_{k}.txt", partial(plain, text=PLACEHOLDER)) for k in range(4)]
    stamp = Stamp(job="job", title="Job", revision="1234567")
    return Job(kind="make", stamp=stamp, head={}, kept=(), artefacts=(*artefacts, *more))


@pytest.fixture(autouse=True)
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(work.CORES, "2")


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_workers_started_afresh_make_the_same_folder(
    small_made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    prepared = prepare(small_spec(tmp_path))
    monkeypatch.setattr(work, "start_method", lambda: "spawn")
    afresh = make(prepared, tmp_path / "afresh", paper="A4", progress=silent)
    assert contents(afresh.folder) == contents(small_made)
    assert multiprocessing.active_children() == []


def test_no_worker_writes_on_when_the_folder_is_taken_away(tmp_path: Path) -> None:
    broken = job(artefact("a.txt", partial(refused)), artefact("b.txt", partial(restless)))
    with pytest.raises(ExportError, match=r"cannot write a\.txt: no space left"):
        issue(broken, tmp_path / "job", progress=silent)
    assert list(tmp_path.iterdir()) == []
    assert multiprocessing.active_children() == []


@pytest.mark.parametrize("files", [1, 6])
def test_a_worker_that_dies_is_said_in_words(tmp_path: Path, files: int) -> None:
    broken = job(*(artefact(f"{k}.txt", partial(dies)) for k in range(files)))
    with pytest.raises(ExportError, match="a process that wrote files died"):
        issue(broken, tmp_path / "job", progress=silent)
    assert list(tmp_path.iterdir()) == []


def test_an_error_of_a_reader_comes_through_as_it_is(tmp_path: Path) -> None:
    broken = job(artefact("a.txt", partial(plain, text=PLACEHOLDER), read=partial(raises)))
    with pytest.raises(ReadBackError, match=r"^a\.txt: is not to be read at all$"):
        issue(broken, tmp_path / "job", progress=silent)


@pytest.mark.parametrize("lacking", [OSError(38, "Function not implemented"), ImportError("no semaphores")])
def test_where_no_process_can_begin_the_work_is_done_in_this_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lacking: Exception
) -> None:
    def none(*_args: object, **_more: object) -> None:
        raise lacking

    monkeypatch.setattr(work, "ProcessPoolExecutor", none)
    made = issue(job(), tmp_path / "job", progress=silent)
    assert contents(made.folder)["plain_0.txt"] == b"1234567"


def test_never_more_workers_than_windows_can_wait_for(monkeypatch: pytest.MonkeyPatch) -> None:
    # 61: the most ProcessPoolExecutor takes there, https://docs.python.org/3.11/library/concurrent.futures.html
    asked = []
    monkeypatch.setenv(work.CORES, "500")
    monkeypatch.setattr(work, "_pool", lambda artefacts, count: asked.append(count))
    with work.team((artefact("a.txt", partial(plain, text="")),) * 400):
        pass
    assert asked == [61]
