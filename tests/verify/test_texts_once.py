"""What the pages of a finished PDF say is read once for all its readers, and is what the library finds there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from issue.finished import Finished

from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.waived import MARK
from generators.verify import pdf_texts
from generators.verify.pdf.content import _read, read_pdf
from generators.verify.pdf.made_holes import told_problems
from generators.verify.pdf.pack.pages import may_be_measured, pages_of
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.pdf.waivers import waiver_problems

LONG = "every hole of the sheet " * 30


def written(path: Path, *pages: str) -> Path:
    """A4 pages with a line of text, a curve and a box each."""
    pen = PdfPen(path, title="A sheet", subject="A sheet")
    for said in pages:
        pen.page(210, 297)
        pen.text(20, 200, said, 3.0)
        pen.circle(60, 60, 12)
        pen.rect(20, 100, 30, 10)
    pen.close()
    return path


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """What the library is given to open from here on."""
    _read.cache_clear()
    pdf_texts._KNOWN.clear()
    told: list[bytes] = []
    straight = pypdfium2.PdfDocument

    def counted(data: Any, *more: Any, **named: Any) -> Any:
        told.append(data)
        return straight(data, *more, **named)

    monkeypatch.setattr(pypdfium2, "PdfDocument", counted)
    return told


def test_a_sheet_is_opened_once_for_all_that_is_looked_for_in_it(tmp_path: Path, opened: list[bytes]) -> None:
    path = written(tmp_path / "a.pdf", "one", "two")
    assert read_sheet_pdf(path, title="one", revision="1234567", rel="a.pdf").problems
    assert waiver_problems(path, ()) == []
    assert list(told_problems(path, ())) == []
    assert len(opened) == 1


def test_pages_that_are_measured_are_opened_once(tmp_path: Path, opened: list[bytes]) -> None:
    path = written(tmp_path / "a.pdf", "one", f"two {MARK}")
    assert [page.text for page in read_pdf(path).pages] == ["one", f"two {MARK}"]
    assert waiver_problems(path, ()) == ["page 2 says a rule was waived, and none was"]
    assert len(opened) == 1


def test_a_file_that_was_changed_is_read_anew(tmp_path: Path, opened: list[bytes]) -> None:
    path = written(tmp_path / "a.pdf", "one")
    assert waiver_problems(path, ()) == []
    written(path, MARK)
    assert waiver_problems(path, ()) == ["page 1 says a rule was waived, and none was"]
    assert len(opened) == 2


def test_only_the_last_files_are_held(tmp_path: Path, opened: list[bytes]) -> None:
    paths = [written(tmp_path / f"{k}.pdf", f"page of {k}") for k in range(pdf_texts.KEPT + 1)]
    for path in paths:
        pdf_texts.texts_of(path)
    assert len(pdf_texts._KNOWN) == pdf_texts.KEPT
    assert [pdf_texts.texts_of(path).pages[0].text for path in reversed(paths)] == [
        f"page of {k}" for k in reversed(range(len(paths)))
    ]
    assert len(opened) == len(paths) + 1


def test_words_and_their_boxes_are_those_the_library_finds(tmp_path: Path) -> None:
    # one text longer than the room first given to it, between short ones
    path = written(tmp_path / "a.pdf", "M8 × 1.25, ø 9", LONG, "°")
    document = pypdfium2.PdfDocument(path)
    for page, found in zip(document, read_pdf(path).pages, strict=True):
        words = page.get_textpage()
        texts = [item for item in page.get_objects(textpage=words) if isinstance(item, pypdfium2.PdfTextObj)]
        assert [word.text for word in found.words] == [item.extract() for item in texts]
        bounds = [tuple(side * 25.4 / 72 for side in item.get_bounds()) for item in texts]
        assert [word.box for word in found.words] == [pytest.approx(box) for box in bounds]
        kinds = {item.type for item in page.get_objects()}
        assert kinds == {pypdfium2.raw.FPDF_PAGEOBJ_PATH, pypdfium2.raw.FPDF_PAGEOBJ_TEXT}
    document.close()


def test_a_page_that_cannot_be_read_leaves_those_before_it(
    tmp_path: Path, opened: list[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path / "a.pdf", "one", "two")
    straight = pdf_texts.said_on
    asked: list[Any] = []

    def fails(page: Any, words: Any) -> Any:
        asked.append(page)
        if len(asked) > 1:
            raise pypdfium2.PdfiumError("no such page")
        return straight(page, words)

    monkeypatch.setattr(pdf_texts, "said_on", fails)
    reading = read_sheet_pdf(path, title="one", revision="1234567", rel="a.pdf")
    assert reading.problems[-1] == "has a page that cannot be read: no such page"
    assert "page 1 does not say 'revision 1234567'" in reading.problems
    assert list(told_problems(path, ())) == ["has a page that cannot be read: no such page"]


def test_of_a_pack_everything_is_measured_but_the_pictures_of_the_steps(finished_van: Finished) -> None:
    path = finished_van.folder / "print_me.pdf"
    whole, read = pages_of(read_pdf(path).pages), pages_of(read_pdf(path, may_be_measured).pages)
    assert {page.kind for page in whole} >= {"first", "cab", "tables", "install"}
    for one, other in zip(whole, read, strict=True):
        assert (one.kind, one.content.words) == (other.kind, other.content.words)
        assert other.content.shapes == (() if one.kind == "install" else one.content.shapes)
        assert one.content.shapes
