"""Pieces of pages are taken again letter for letter, and only where they were drawn from the same things."""

from __future__ import annotations

import hashlib
import json
import shutil
from functools import partial
from pathlib import Path

import pytest
from issue.small import small_spec
from issue.ways import silent

from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import Pen
from generators.drawing.pieces import Piece, laid_out, put
from generators.issue.reuse import last_pieces
from generators.issue.shelf import Shelf
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.make.run import make
from generators.solve.job import prepare

DRAWN: list[str] = []


def words(pen: Pen, *, text: str) -> tuple[str, ...]:
    """Draws a text, and remembers that it did."""
    DRAWN.append(text)
    with pen.clipped(0, 0, 50, 50):
        pen.text(10, 10, text, 4.0, bold=True)
        pen.circle(20, 20, 8.0)
    return (text,)


def sheet(path: Path, *texts: str, shelf: Shelf | None) -> bytes:
    """A page with such pieces; with no shelf they are drawn straight on it."""
    pen = PdfPen(path, title="t", subject="s")
    pen.page(100, 100)
    for text in texts:
        if shelf is None:
            words(pen, text=text)
        else:
            with laid_out(shelf):
                assert put(pen, partial(words, text=text)) == (text,)
    pen.finish()
    return path.read_bytes()


@pytest.fixture(autouse=True)
def nothing_drawn() -> None:
    DRAWN.clear()


# the last is in letters that neither of the two fonts of all sheets has
@pytest.mark.parametrize("text", ["M8 (bolt)", "12 mm Ø", "π ⌀"])
def test_a_piece_stands_on_its_page_as_if_it_were_drawn_there(text: str, tmp_path: Path) -> None:
    straight = sheet(tmp_path / "a.pdf", text, "plain", shelf=None)
    assert sheet(tmp_path / "b.pdf", text, "plain", shelf=Shelf()) == straight


def test_a_piece_is_drawn_once_and_taken_again_in_the_next_run(tmp_path: Path) -> None:
    shelf = Shelf()
    # the first brings the bold font to the file, and so is another piece than one that finds it there
    body = sheet(tmp_path / "a.pdf", "one", "two", "three", "two", shelf=shelf)
    cuts = shelf.cuts(body)
    assert DRAWN == ["one", "two", "three"]
    assert [c.said for c in cuts] == [("one",), ("two",), ("three",)]
    assert [len(c.fonts) for c in cuts] == [1, 0, 0]
    assert shelf.cuts(body) == ()  # told once
    later = Shelf({cut.key: (body, cut) for cut in cuts})
    assert sheet(tmp_path / "b.pdf", "one", "two", "three", "two", shelf=later) == body
    assert len(DRAWN) == 3
    assert sheet(tmp_path / "c.pdf", "four", shelf=later) == sheet(tmp_path / "d.pdf", "four", shelf=None)
    assert DRAWN[3:] == ["four", "four"]


def test_a_piece_that_carries_a_revision_or_is_cut_short_is_not_taken_again(tmp_path: Path) -> None:
    shelf = Shelf()
    body = sheet(tmp_path / "a.pdf", f"revision {PLACEHOLDER}", "plain", shelf=shelf)
    (cut,) = shelf.cuts(body)
    assert cut.said == ("plain",)
    short = Shelf({cut.key: (body[: cut.at + 5], cut)})
    sheet(tmp_path / "b.pdf", "other", "plain", shelf=short)
    assert DRAWN[2:] == ["other", "plain"]


def test_the_second_make_takes_the_sheets_the_moved_hole_is_not_on(
    small_made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spec = small_spec(tmp_path)
    shutil.copytree(small_made, tmp_path / "a" / small_made.name)
    taken: list[bool] = []
    again = Shelf._again

    def told(self: Shelf, key: str) -> Piece | None:
        found = again(self, key)
        taken.append(found is not None)
        return found

    monkeypatch.setattr(Shelf, "_again", told)
    moved = tmp_path / "moved" / spec.name
    moved.parent.mkdir()
    moved.write_text(spec.read_text().replace('u = "100 mm"', 'u = "101 mm"'))
    make(prepare(moved), tmp_path / "a", paper="A4", progress=silent)
    assert {True, False} == set(taken)


def test_nothing_is_cut_out_of_a_file_that_was_changed(small_made: Path, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(small_made, tmp_path / small_made.name))
    whole = last_pieces(folder)
    rows = json.loads((folder / "reuse.json").read_text())["files"]
    holders = {path for path, row in rows.items() if row["pieces"]}
    path = next(p for p in sorted(holders) if p.endswith("template_cab.pdf"))
    file = folder / path
    file.write_bytes(file.read_bytes().replace(b" 0 0 1 ", b" 0 0 2 ", 1) + b"%")
    left = last_pieces(folder)
    files = {hashlib.sha256(data).hexdigest() for data, _ in left.values()}
    assert whole
    assert hashlib.sha256(file.read_bytes()).hexdigest() not in files
    assert last_pieces(tmp_path / "nowhere") == {}
    (folder / "reuse.json").write_text("{")
    assert last_pieces(folder) == {}
