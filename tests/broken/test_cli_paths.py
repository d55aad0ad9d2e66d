"""Paths no file system, sheet or reader could take: one sentence and the right exit code, every command."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest
from calling import call

from generators.cli.app import commands

SPECS = Path(__file__).parents[2] / "specs"
VAN = str(SPECS / "wrenfield_van.toml")
READINGS = str(SPECS / "wrenfield_readings.toml")
BUS = str(SPECS / "ferrow_bus.toml")
VEHICLE = str(SPECS / "ferrow_vehicle_readings.toml")
DRILLED = str(SPECS / "wrenfield_hanger_readings.toml")
# POSIX, limits.h: NAME_MAX is 255 on every common file system
LONG = "a" * 300
STRAY = os.fsdecode(b"\xff")

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="names and files of POSIX systems")

# a command that reads P first, and one that writes to P
READS = {
    "make": ["make", "P", "--out", "out"],
    "check": ["check", "P"],
    "draft": ["draft", "P", "--out", "out"],
    "nest": ["nest", "P", "--out", "out"],
    "board": ["board", "P", "--no-open"],
    "size": ["size", "P"],
    "stiffness": ["stiffness", "P"],
    "calibrate": ["calibrate", "P", "--test", "sheet.pdf"],
    "measure": ["measure", "P", "--out", "out"],
    "asdrilled spec": ["asdrilled", "P", DRILLED, "--out", "out"],
    "asdrilled readings": ["asdrilled", VAN, "P", "--out", "out"],
    "compare": ["compare", "P", VAN],
    "sweep": ["sweep", "P", "--vary", "job.units = inch", "--out", "out"],
    "kit": ["kit", "P", "--out", "out"],
    "form": ["form", "P", "--out", "out"],
    "fits spec": ["fits", "P", VEHICLE],
    "fits readings": ["fits", BUS, "P"],
    "spread": ["spread", "P", "--out", "out"],
    "issue": ["issue", "P", "--date", "2026-11-29", "--why", "first issue"],
    "sold recall": ["sold", "recall", "P", "--why", "a hole moved", "--do", "drill it there"],
}
WRITES_FOLDER = {
    "make": ["make", VAN, "--out", "P"],
    "measure": ["measure", READINGS, "--out", "P"],
    "new": ["new", "my_van", "--dir", "P"],
    "asdrilled": ["asdrilled", VAN, DRILLED, "--out", "P"],
    "manual": ["manual", "P"],
}
WRITES_FILE = {
    "calibrate": ["calibrate", VAN, "--test", "P"],
    "kinds": ["kinds", "doubler", "--picture", "P"],
}
NO_PATHS = {"explain": ["explain", "P"], "kinds": ["kinds", "P"], "new": ["new", "P"]}
PROVES = {"verify": ["verify", "P"]}

# name of the path, what is there, exit code to read it, to write a folder there, to write a file there, to prove
PATHS = [
    (LONG, "", 3, 4, 4, 4),
    ("x/" * 2500 + "y", "", 3, 4, 4, 4),  # PATH_MAX is 4096
    (STRAY, "file", 3, 2, 2, 2),
    ("line\nbreak", "file", 3, 2, 2, 2),
    ("\x1b[31mred", "file", 3, 2, 2, 2),
    ("nul\0inside", "", 2, 2, 2, 2),
    ("", "", 2, 2, 2, 2),
    ("folder", "folder", 3, None, 4, 4),
    ("file", "file", 3, 4, None, 4),
    ("pipe", "pipe", 3, 4, 4, 4),
    ("/dev/zero", "", 3, 4, 4, 4),
    ("loop", "loop", 3, 4, 4, 4),
    ("dangling", "dangling", 3, 4, None, 4),
    ("file/below", "below a file", 3, 4, 4, 4),
    ("missing", "", 3, None, None, 4),
]


def _place(folder: Path, name: str, what: str) -> None:
    if what == "file":
        (folder / name).write_text("no TOML =")
    elif what == "folder":
        (folder / name).mkdir()
    elif what == "pipe":
        os.mkfifo(folder / name)
    elif what == "loop":
        (folder / name).symlink_to(name)
    elif what == "dangling":
        (folder / name).symlink_to("gone")
    elif what == "below a file":
        (folder / "file").write_text("")


def _cases() -> Sequence[object]:
    cases = []
    for name, what, read, folder, file, prove in PATHS:
        for table, code in ((READS, read), (WRITES_FOLDER, folder), (WRITES_FILE, file), (PROVES, prove)):
            for command, arguments in table.items():
                label = (
                    f"{command}: {what or name[:8]!a} {PATHS.index((name, what, read, folder, file, prove))}"
                )
                # a command that fails late is asked once, for a path that it alone can find wrong
                slow = command == "asdrilled" and table is WRITES_FOLDER and name != LONG
                # its suffix makes another name of it, in the system's own folder
                device = command == "kinds" and name.startswith("/dev")
                # it shows a spec with faults, and goes on
                shows = command == "board" and what == "file"
                # it reads a finished folder as well as a spec
                exits = 4 if command == "compare" and what == "folder" else code
                if code is not None and not slow and not device and not shows:
                    cases.append(pytest.param(arguments, name, what, exits, id=label))
    for name, what, *_ in PATHS[2:5]:
        cases += [pytest.param(a, name, what, 2, id=f"{c} named {name!a}") for c, a in NO_PATHS.items()]
    return cases


def test_the_tables_have_every_command() -> None:
    tables = (READS, WRITES_FOLDER, WRITES_FILE, NO_PATHS, PROVES)
    assert {arguments[0] for table in tables for arguments in table.values()} == set(commands.commands)


@pytest.mark.parametrize(("arguments", "name", "what", "code"), _cases())
def test_one_sentence(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    arguments: list[str],
    name: str,
    what: str,
    code: int,
) -> None:
    monkeypatch.chdir(tmp_path)
    _place(tmp_path, name, what)
    suffix = ".pdf" if "--picture" in arguments and name else ""  # its name says what to draw
    if suffix and what in {"folder", "pipe", "loop"}:
        _place(tmp_path, name + suffix, what)
    before = sorted(os.listdir(tmp_path))
    given = [name + suffix if a == "P" else a for a in arguments]
    assert call(*given) == code
    streams = capsys.readouterr()
    assert streams.out == ""
    said = streams.err
    assert "Traceback" not in said
    assert "did not expect" not in said
    assert all(c.isprintable() or c == "\n" for c in said)
    sentences = [x for x in said.splitlines() if x and not x.startswith(("Usage:", "Try ", "1 fault;"))]
    # a file that is there and is no TOML is quoted with a mark under the place
    assert len(sentences) == (3 if code == 3 and what == "file" and name == "file" else 1), said
    assert sorted(os.listdir(tmp_path)) == before


@pytest.mark.parametrize("arguments", READS.values(), ids=list(READS))
def test_a_file_that_may_not_be_read(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, arguments: list[str]
) -> None:
    shut = tmp_path / "shut.toml"
    shut.write_text("[job]\n")
    honest = os.open

    def refusing(path: object, flags: int, *more: int, **others: object) -> int:
        if os.fspath(path) == os.fspath(shut):  # type: ignore[call-overload]
            raise PermissionError(13, "Permission denied", os.fspath(path))  # type: ignore[call-overload]
        return honest(path, flags, *more, **others)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "open", refusing)
    monkeypatch.chdir(tmp_path)
    assert call(*(str(shut) if a == "P" else a for a in arguments)) == 3
    assert "permission denied" in capsys.readouterr().err


def test_a_pipe_that_takes_the_place_of_a_file_is_not_waited_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    swapped = tmp_path / "van.toml"
    os.mkfifo(swapped)
    honest = os.stat

    def late(path: object, **more: object) -> os.stat_result:
        return honest(VAN if path == swapped else path, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "stat", late)
    assert call("check", str(swapped)) == 3
    assert "a device or a pipe" in capsys.readouterr().err


def test_a_pipe_for_a_manifest_is_not_waited_for(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "manifest.json")
    assert call("verify", str(tmp_path)) == 4
    assert "manifest.json: is not a file" in capsys.readouterr().err


@pytest.mark.parametrize("option", ["--because", "--printer", "--paper"])
@pytest.mark.parametrize("text", [f"{STRAY} reason", "two\nlines", "\x1b[2J clear"])
def test_words_no_sheet_can_hold(capsys: pytest.CaptureFixture[str], option: str, text: str) -> None:
    assert call("make", VAN, "--accept", "hole-tool", option, text) == 2
    said = capsys.readouterr().err
    assert option in said
    assert all(c.isprintable() or c == "\n" for c in said)


def test_a_reason_the_sheets_cannot_print(capsys: pytest.CaptureFixture[str]) -> None:
    # the standard PDF fonts: ISO 32000-1 annex D.2, WinAnsiEncoding has no L with stroke
    assert call("make", VAN, "--accept", "hole-tool", "--because", "seen in Łódź") == 2
    assert "'Ł' at character 9" in capsys.readouterr().err


def test_usage_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert call("make", "--json") == 2
    answer = json.loads(capsys.readouterr().out)
    assert answer["ok"] is False
    assert answer["error"]["kind"] == "usage"
    assert "SPEC" in answer["error"]["message"]


def test_new_leaves_nothing_when_the_disk_fills(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    honest = Path.open

    def full(self: Path, mode: str = "r", *more: object, **others: object) -> object:
        if self.name == "shop.schema.json" and "x" in mode:
            raise OSError(28, "No space left on device", str(self))
        return honest(self, mode, *more, **others)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", full)
    (tmp_path / "my_van_shop.toml").write_text("mine")
    assert call("new", "my_van", "--dir", str(tmp_path)) == 4
    assert "no space left" in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["my_van_shop.toml"]
    assert (tmp_path / "my_van_shop.toml").read_text() == "mine"


def test_new_follows_no_link_out_of_its_folder(tmp_path: Path) -> None:
    (tmp_path / "specs").mkdir()
    (tmp_path / "specs" / "my_van.toml").symlink_to(tmp_path / "elsewhere.toml")
    assert call("new", "my_van", "--dir", str(tmp_path / "specs")) == 2
    assert not (tmp_path / "elsewhere.toml").exists()


def test_a_path_like_markup_is_printed_as_it_is(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "[red]:wrench:"
    folder.mkdir()
    shutil.copy(READINGS, folder / "readings.toml")
    assert call("measure", str(folder / "readings.toml"), "--out", str(folder)) == 0
    assert f"{folder}/" in capsys.readouterr().out
