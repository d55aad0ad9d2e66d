"""One spec on the board without a browser: what is read, written and told."""

from __future__ import annotations

import os
import threading
from pathlib import Path
from typing import Any

import pytest
from spec_pieces import panel

from generators.board import desk as desks
from generators.board.desk import Desk
from generators.board.numbers import Refused
from generators.errors import SpecError

TEXT = '# kept\r\n[job]\r\nname = "van" # and kept\r\ntitle = "a"\r\n'


PLATE = (
    """[job]
name = "plate"
title = "Plate"

"""
    + panel("wall", 300, 200)
    + """
  [[panel.hole]]
  name = "bolt"
  kind = "bolt"
  thread = "M8"
  purpose = "a bolt"
  at = { u = "7 mm", v = "100 mm" } # as measured
"""
)


@pytest.fixture
def told() -> list[dict[str, Any]]:
    return []


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """A spec that is TOML and no more, with the line ends of another system."""
    path = tmp_path / "van.toml"
    path.write_bytes(TEXT.encode())
    return path


def step(desk: Desk, **wish: Any) -> str:
    return desk.edit({**wish, "base": desk.state["digest"]})


def test_line_ends_comments_and_rights_stay(spec: Path, told: list[dict[str, Any]]) -> None:
    if os.name == "posix":
        spec.chmod(0o640)
    desk = Desk(spec, told.append)
    desk.first()
    step(desk, do="set", path="job.title", text="b")
    assert spec.read_bytes() == TEXT.replace('"a"', '"b"').encode()
    if os.name == "posix":
        assert spec.stat().st_mode & 0o777 == 0o640
    desk.undo({"base": desk.state["digest"]})
    assert spec.read_bytes() == TEXT.encode()
    assert [s["text"] for s in told] == [TEXT, TEXT.replace('"a"', '"b"'), TEXT]


@pytest.mark.skipif(os.name != "posix", reason="links")
def test_a_link_stays_a_link(spec: Path, told: list[dict[str, Any]], tmp_path: Path) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(spec)
    desk = Desk(link, told.append)
    desk.first()
    step(desk, do="set", path="job.title", text="b")
    assert link.is_symlink()
    assert b'"b"' in spec.read_bytes()


def test_what_is_no_text_is_said_and_not_written_over(spec: Path, told: list[dict[str, Any]]) -> None:
    desk = Desk(spec, told.append)
    desk.first()
    spec.write_bytes(TEXT.encode() + b"# \xff\r\n")
    desk.first()
    (fault,) = desk.state["faults"]
    assert (fault["line"], fault["found"]) == (5, "the byte 0xff")
    with pytest.raises(SpecError):
        step(desk, do="set", path="job.title", text="b")
    spec.unlink()
    desk.first()
    assert "no such file" in desk.state["faults"][0]["found"]
    with pytest.raises(SpecError):
        Desk(spec, told.append)


def test_what_is_no_toml_is_mended_elsewhere_or_taken_back(spec: Path, told: list[dict[str, Any]]) -> None:
    desk = Desk(spec, told.append)
    desk.first()
    spec.write_text("[job\n", encoding="utf-8")
    desk.first()
    with pytest.raises(Refused, match="not TOML"):
        step(desk, do="set", path="job.title", text="b")
    desk.undo({"base": desk.state["digest"]})
    assert spec.read_bytes() == TEXT.encode()
    with pytest.raises(Refused, match="nothing to take back"):
        desk.undo({"base": desk.state["digest"]})
    desk.redo({"base": desk.state["digest"]})
    assert spec.read_bytes() == b"[job\n"
    with pytest.raises(Refused, match="nothing to put on again"):
        desk.redo({"base": desk.state["digest"]})


def test_a_change_in_the_file_meanwhile_is_not_written_over(spec: Path, told: list[dict[str, Any]]) -> None:
    desk = Desk(spec, told.append)
    desk.first()
    seen = desk.state["digest"]
    theirs = TEXT.replace("van", "bus").encode()
    spec.write_bytes(theirs)
    with pytest.raises(Refused, match="changed since"):
        desk.edit({"do": "set", "path": "job.title", "text": "b", "base": seen})
    assert spec.read_bytes() == theirs
    # the page is told of it, and goes on from there
    assert told[-1]["text"] == theirs.decode()
    step(desk, do="set", path="job.title", text="b")
    assert spec.read_bytes() == theirs.replace(b'"a"', b'"b"')


def test_what_clears_a_finding_is_tried_and_typed(told: list[dict[str, Any]], tmp_path: Path) -> None:
    # a bolt hole with its middle 7 mm from the edge: nearer than two diameters of it
    path = tmp_path / "plate.toml"
    path.write_text(PLATE, encoding="utf-8")
    desk = Desk(path, told.append)
    desk.first()
    with pytest.raises(Refused, match="in a moment"):
        desk.mend(1)
    desk.whole()
    (found,) = [f for f in desk.state["findings"] if f["severity"] == "fail"]
    with pytest.raises(Refused, match="no such finding"):
        desk.mend(99)
    with pytest.raises(Refused, match="ask again"):
        step(desk, do="mend", number=found["number"])
    mend = desk.mend(found["number"])
    assert mend["holds"], mend
    step(desk, do="mend", number=found["number"])
    desk.whole()
    assert [f for f in desk.state["findings"] if f["severity"] == "fail"] == []
    assert "# as measured" in path.read_text(encoding="utf-8")
    desk.undo({"base": desk.state["digest"]})
    assert path.read_text(encoding="utf-8") == PLATE


def test_a_surprise_is_said_and_the_picture_stays(
    spec: Path, told: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk(spec, told.append)
    desk.surprised(RuntimeError("odd"))
    assert "RuntimeError: odd" in desk.state["faults"][0]["found"]

    def none(*_: object) -> None:
        raise OSError(28, "No space left on device")

    desk.first()
    monkeypatch.setattr(desks, "write_text", none)
    before = spec.read_bytes()
    with pytest.raises(OSError, match="No space"):
        step(desk, do="set", path="job.title", text="b")
    assert spec.read_bytes() == before


def test_an_edit_while_an_older_text_is_drawn_keeps_what_came_between(
    spec: Path, told: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As when the thread that solves puts the text it began with back, just after the edit has read its own."""
    desk = Desk(spec, told.append)
    desk.first()
    older = desk._parsed(TEXT)
    step(desk, do="set", path="job.title", text="b")
    desk._last = None
    put = Desk.__setattr__

    def late(self: Desk, name: str, value: Any) -> None:
        put(self, name, value)
        if name == "_last" and value is not None and value.text != TEXT:
            put(self, name, older)

    monkeypatch.setattr(Desk, "__setattr__", late)
    step(desk, do="set", path="job.name", text="bus")
    assert spec.read_bytes() == TEXT.replace('"a"', '"b"').replace('"van"', '"bus"').encode()


def test_an_answer_begun_while_a_text_is_taken_back_is_not_shown_as_that_of_another(
    told: list[dict[str, Any]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Solving begins within an undo; the change is put on again before the answer is there."""
    spec = tmp_path / "plate.toml"
    spec.write_text(PLATE, encoding="utf-8")
    desk = Desk(spec, told.append)
    desk.first()
    step(desk, do="set", path="panel[0].hole[0].at.u", text="40 mm")
    real, begun, goes_on = desks.prepare, threading.Event(), threading.Event()

    def slow(*given: Any, **more: Any) -> Any:
        begun.set()
        assert goes_on.wait(60)
        return real(*given, **more)

    monkeypatch.setattr(desks, "prepare", slow)
    first, solving = desk.first, threading.Thread(target=desk.whole)

    def within() -> None:
        if not solving.ident:
            solving.start()
            begun.wait(0.5)  # it reads the text now, if it does not wait for the undo to be done
        first()

    monkeypatch.setattr(desk, "first", within)
    desk.undo({"base": desk.state["digest"]})
    assert begun.wait(60)
    desk.redo({"base": desk.state["digest"]})
    goes_on.set()
    solving.join(60)
    assert desk.state["text"] == spec.read_text(encoding="utf-8")
    assert '"40 mm"' in desk.state["text"]
    desk.whole()
    assert desk.state["stage"] == "whole"
    assert [s["text"] for s in told if s["stage"] == "whole"] == [desk.state["text"]]
