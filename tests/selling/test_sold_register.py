"""The register: serials, layouts, and that nothing is lost or half there when a run dies, the disk is full, or two write."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from selling.sold_kits import FILES, SOLD, enter

from generators.errors import ExportError, LookupFault, ReadBackError
from generators.register.kits import Entry, begin, content, kits, note
from generators.register.layouts import APPLICATION, LAYOUTS
from generators.register.store import back_up, reading, register_path, writing

NOTE = Entry(kind="note", day="2026-12-01", words="fitted", file="", data=b"")


def all_kits(path: Path) -> dict[str, int]:
    """Every kit with the number of files of its pack, of a register that is sound."""
    with closing(sqlite3.connect(path)) as plain:
        assert plain.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert plain.execute("PRAGMA foreign_key_check").fetchall() == []
    with reading(path) as register:
        return {kit.order: len(kit.files) for kit in kits(register)}


def test_an_order_has_one_serial_and_serials_go_on(tmp_path: Path) -> None:
    path = register_path(tmp_path)
    assert [enter(path, order) for order in ("order 1", "order 2", "order 1")] == [
        "FB-0001",
        "FB-0002",
        "FB-0001",
    ]
    other = replace(SOLD, variant="left", revision="1111111")
    assert enter(path, "order 1", other) == "FB-0003"
    with pytest.raises(
        ExportError, match="order 2 has kit FB-0002 of issue A, revision 0a1b2c3, and this is other"
    ):
        enter(path, "order 2", replace(SOLD, letter="B", revision="2222222"))
    with reading(path) as register:
        mine = kits(register, order="order 1")
        assert [(k.serial, k.variant) for k in mine] == [("FB-0001", ""), ("FB-0003", "left")]
        assert mine[0].files == FILES
        # one content, kept once for all its kits
        assert register.execute("SELECT count(*) FROM content").fetchone()[0] == 2
        assert content(register, mine[0].content) == ("bus.toml", SOLD.numbers, dict(SOLD.kept))


def test_a_kit_that_was_never_finished_does_not_tie_its_order(tmp_path: Path) -> None:
    path, mended = register_path(tmp_path), replace(SOLD, letter="B", revision="2222222")
    with writing(path) as register:
        begin(register, SOLD, letters="FB", order="order 1", day="2026-11-30")
    assert enter(path, "order 1", mended) == "FB-0001"
    with reading(path) as register:
        (kit,) = kits(register)
    assert (kit.letter, kit.revision, kit.files) == ("B", "2222222", FILES)
    with pytest.raises(ExportError, match="what was sold stays"):
        enter(path, "order 1", SOLD)


def test_what_is_noted_is_of_a_kit_that_was_sold(tmp_path: Path) -> None:
    path = register_path(tmp_path)
    enter(path, "order 1")
    with writing(path) as register:
        note(register, "FB-0001", NOTE)
    with pytest.raises(LookupFault), writing(path) as register:
        note(register, "FB-0001", NOTE)
        note(register, "FB-0009", NOTE)
    with reading(path) as register:
        assert [k.entries for k in kits(register)] == [(NOTE,)]


FIRST_LAYOUT = """
CREATE TABLE content (id INTEGER PRIMARY KEY, job TEXT NOT NULL, title TEXT NOT NULL, variant TEXT NOT NULL,
 letter TEXT NOT NULL, issued TEXT NOT NULL, revision TEXT NOT NULL, spec TEXT NOT NULL, numbers TEXT NOT NULL,
 UNIQUE (job, variant, letter, revision));
CREATE TABLE kept (content INTEGER NOT NULL REFERENCES content, path TEXT NOT NULL, data BLOB NOT NULL,
 PRIMARY KEY (content, path));
CREATE TABLE kit (serial TEXT PRIMARY KEY, letters TEXT NOT NULL, number INTEGER NOT NULL, buyer TEXT NOT NULL,
 content INTEGER NOT NULL REFERENCES content, day TEXT NOT NULL, UNIQUE (letters, number));
CREATE TABLE pack (serial TEXT NOT NULL REFERENCES kit, path TEXT NOT NULL, sha256 TEXT NOT NULL,
 PRIMARY KEY (serial, path));
INSERT INTO content VALUES (1, 'bus', 'A bus', '', 'A', '2026-11-29', '0a1b2c3', 'bus.toml', '{}');
INSERT INTO kept VALUES (1, 'bus.toml', x'73');
INSERT INTO kit VALUES ('FB-0001', 'FB', 1, 'order 1', 1, '2026-11-30');
INSERT INTO pack VALUES ('FB-0001', 'a.pdf', 'aa');
"""
"""The tables as the first program that had a register made them, never to be changed with the program."""


def first_layout(path: Path) -> None:
    with closing(sqlite3.connect(path)) as old:
        old.executescript(f"{FIRST_LAYOUT} PRAGMA application_id = {APPLICATION}; PRAGMA user_version = 1;")


@pytest.mark.parametrize("first", ["read", "write"])
def test_a_register_of_the_first_layout_is_brought_up_with_all_it_holds(tmp_path: Path, first: str) -> None:
    path = register_path(tmp_path)
    first_layout(path)
    if first == "write":
        assert enter(path, "order 2") == "FB-0002"
    with reading(path) as register:
        old = kits(register)[0]
        assert (old.serial, old.order, old.files, old.entries) == ("FB-0001", "order 1", {"a.pdf": "aa"}, ())
        assert register.execute("PRAGMA user_version").fetchone()[0] == len(LAYOUTS)
    with writing(path) as register:
        note(register, "FB-0001", NOTE)
    # the same tables whichever way they came about
    fresh = register_path(tmp_path / "new")
    enter(fresh, "order 1")
    assert columns(path) == columns(fresh)


def columns(path: Path) -> dict[str, list[tuple[object, ...]]]:
    with closing(sqlite3.connect(path)) as plain:
        names = [r[0] for r in plain.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {
            name: [tuple(r[1:]) for r in plain.execute(f"PRAGMA table_info({name})")]
            for name in sorted(names)
        }


def test_a_newer_register_and_what_is_none_are_refused_with_a_sentence(tmp_path: Path) -> None:
    path = register_path(tmp_path)
    enter(path, "order 1")
    with closing(sqlite3.connect(path)) as plain:
        plain.execute(f"PRAGMA user_version = {len(LAYOUTS) + 1}")
    before = path.read_bytes()
    words = f"newer version of this program .layout {len(LAYOUTS) + 1}, this one knows {len(LAYOUTS)}"
    for opened in (reading, writing):
        with pytest.raises(ReadBackError, match=words), opened(path):
            pass
    with pytest.raises(ReadBackError, match=words):
        back_up(path, tmp_path / "copy.sqlite")
    assert path.read_bytes() == before
    other = tmp_path / "other.sqlite"
    with closing(sqlite3.connect(other)) as plain:
        plain.execute("CREATE TABLE mine (x)")
    before = other.read_bytes()
    with pytest.raises(ReadBackError, match="a database of something else"), writing(other):
        pass
    assert other.read_bytes() == before
    other.write_bytes(b"no database at all" * 100)
    with pytest.raises(ReadBackError, match="no sound register"), reading(other):
        pass
    with pytest.raises(ExportError, match="is not there: no kit was sold"), reading(tmp_path / "none.sqlite"):
        pass
    assert not (tmp_path / "none.sqlite").exists()


def test_a_second_writer_is_told_and_a_reader_sees_what_was(tmp_path: Path) -> None:
    path = register_path(tmp_path)
    enter(path, "order 1")
    with writing(path) as register:
        begin(register, SOLD, letters="FB", order="order 2", day="2026-11-30")
        with pytest.raises(ExportError, match="is being written by another run; wait until that has ended"):
            enter(path, "order 3")
        assert list(all_kits(path)) == ["order 1"]
        back_up(path, tmp_path / "copy.sqlite")
    assert list(all_kits(path)) == ["order 1", "order 2"]
    assert list(all_kits(tmp_path / "copy.sqlite")) == ["order 1"]


def test_a_full_disk_enters_nothing(tmp_path: Path) -> None:
    path = register_path(tmp_path)
    enter(path, "order 1")
    big = replace(SOLD, revision="3333333", kept=(("bus.toml", b"x" * 500_000),))
    full = "cannot be written: database or disk is full; nothing was entered"
    with pytest.raises(ExportError, match=full), writing(path) as register:
        pages = register.execute("PRAGMA page_count").fetchone()[0]
        register.execute(f"PRAGMA max_page_count = {pages + 5}")
        begin(register, big, letters="FB", order="order 2", day="2026-11-30")
    assert all_kits(path) == {"order 1": 3}
    assert enter(path, "order 2", big) == "FB-0002"


FULL = """
import resource, signal, sys
from pathlib import Path
sys.path[:0] = [sys.argv[2]]
from selling.sold_kits import SOLD, enter
from dataclasses import replace
path = Path(sys.argv[1])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
try:
    enter(path, "order 2", replace(SOLD, revision="3333333", kept=(("bus.toml", b"x" * 500_000),)))
except Exception as error:
    print(type(error).__name__, error)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="a limit of file size is POSIX")
def test_a_file_that_may_not_grow_enters_nothing(tmp_path: Path) -> None:
    path = register_path(tmp_path)
    enter(path, "order 1")
    tests = str(Path(__file__).parents[1])
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(path), tests],
        capture_output=True,
        text=True,
        timeout=120,
        cwd=Path(tests).parent,
    )
    assert done.stdout.startswith("ExportError"), done.stdout + done.stderr
    assert "nothing was entered" in done.stdout
    assert all_kits(path) == {"order 1": 3}


WRITER = """
import sys
from pathlib import Path
sys.path[:0] = [sys.argv[2]]
from selling.sold_kits import enter
path, start = Path(sys.argv[1]), int(sys.argv[3])
for number in range(start, start + 100_000):
    enter(path, f"order {number}")
    print(number, flush=True)
"""


def killed(path: Path, start: int, after_s: float) -> list[int]:
    """Orders that a writer said were entered before it was killed with signal 9."""
    tests = Path(__file__).parents[1]
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), str(tests), str(start)],
        stdout=subprocess.PIPE,
        text=True,
        cwd=tests.parent,
    )
    assert writer.stdout is not None
    first = writer.stdout.readline()  # it has begun: now at any moment
    time.sleep(after_s)
    writer.send_signal(signal.SIGKILL)
    rest = writer.communicate()[0]
    lines = (first + rest).splitlines()
    return [int(line) for line in lines if line]


def survives(path: Path, rounds: int, seed: int) -> None:
    """Whatever moment a writer is killed at: what it said is there, and every kit is whole."""
    chance, said = random.Random(seed), list[int]()
    for _ in range(rounds):
        said += killed(path, (max(said) + 2) if said else 1, chance.uniform(0, 0.03))
        found = all_kits(path)
        assert {f"order {n}" for n in said} <= set(found)
        # the one that was being entered is there whole or not at all
        assert len(found) - len(said) in range(rounds + 1)
        assert set(found.values()) == {3}
    assert len(said) >= rounds


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no signal 9 on this system")
def test_a_writer_that_is_killed_loses_nothing_it_said(tmp_path: Path) -> None:
    survives(register_path(tmp_path), 3, 1)


@pytest.mark.nightly
@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no signal 9 on this system")
def test_a_hundred_writers_that_are_killed_lose_nothing(tmp_path: Path) -> None:
    survives(register_path(tmp_path), 100, int.from_bytes(os.urandom(4)))


def test_a_copy_takes_the_place_of_nothing_but_an_older_copy(tmp_path: Path) -> None:
    path, copy, spec = register_path(tmp_path), tmp_path / "copy.sqlite", tmp_path / "bus.toml"
    enter(path, "order 1")
    assert (back_up(path, copy), back_up(path, copy)) == (1, 1)
    spec.write_text("[job]", encoding="utf-8")
    other = tmp_path / "other.sqlite"
    with closing(sqlite3.connect(other)) as database:
        database.execute("CREATE TABLE kit (a)")
    for place, words in (
        (spec, "is there and is no copy of a register"),
        (other, "is there and is no copy of a register"),
        (path, "is the register itself"),
        (tmp_path, "it is no file"),
        (tmp_path / "none" / "copy.sqlite", "none is no folder"),
    ):
        with pytest.raises(ExportError, match=words):
            back_up(path, place)
    assert spec.read_text(encoding="utf-8") == "[job]"
    assert all_kits(path) == {"order 1": len(FILES)}


def test_a_copy_while_somebody_writes_is_whole(tmp_path: Path) -> None:
    path, tests = register_path(tmp_path), Path(__file__).parents[1]
    enter(path, "order 0")
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), str(tests), "1"],
        stdout=subprocess.PIPE,
        text=True,
        cwd=tests.parent,
    )
    try:
        assert writer.stdout is not None
        counts = []
        for number in range(5):
            said = int(writer.stdout.readline())
            copy = tmp_path / f"copy_{number}.sqlite"
            assert back_up(path, copy) == len(all_kits(copy)) >= said
            assert set(all_kits(copy).values()) == {3}
            counts.append(len(all_kits(copy)))
        assert counts == sorted(counts)
    finally:
        writer.kill()
        writer.communicate()
    assert not [p for p in tmp_path.iterdir() if p.name.endswith(".new")]
