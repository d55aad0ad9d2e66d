"""The sheet for the bench: what is to be filed, drawn at full size and measured from the finished page."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from generators.drawing.bench.filing import write_filing
from generators.geometry.contours import rectangle
from generators.jobs.asdrilled.filing import clock
from generators.model.filing import Cut, Opening
from generators.verify.pdf.filing import read_filing_pdf

HOLE = Opening(name="mount_1", at=(10.0, 5.0), width_mm=9.0)
TOWARD = math.radians(-30)
SLOT = Opening(
    name="mount_1",
    at=(10.0 + 1.0 * math.cos(TOWARD), 5.0 + 1.0 * math.sin(TOWARD)),
    width_mm=9.0,
    travel_mm=2.0,
    angle_rad=TOWARD,
)
CUT = Cut(
    thing="Plate",
    seen="from the cab",
    order="File hole mount_1 of the part longer by 2.0 mm, toward 4 o'clock.",
    edge="The rim at 4 o'clock only.",
    before=HOLE,
    after=SLOT,
    outlines=(rectangle(-30, -30, 60, 40),),
    others=(
        Opening(name="mount_2", at=(40.0, 5.0), width_mm=9.0),
        Opening(name="bore", at=(-8.0, 12.0), width_mm=20.0),
    ),
)


def read(drawn: Cut, wanted: Cut, path: Path, paper: str = "A4") -> str:
    write_filing((drawn,), path, paper=paper, job="Job", revision="0000000")
    back = read_filing_pdf(path, cuts=(wanted,), job="Job", revision="0000000", rel="f.pdf")
    return "; ".join(back.problems)


@pytest.mark.parametrize("paper", ["A4", "A3", "letter", "tabloid", "roll:610 mm"])
def test_it_reads_back_on_every_paper(tmp_path: Path, paper: str) -> None:
    assert read(CUT, CUT, tmp_path / "f.pdf", paper) == ""


def test_an_opened_hole_reads_back(tmp_path: Path) -> None:
    round_ = replace(CUT, after=replace(HOLE, width_mm=10.5))
    assert read(round_, round_, tmp_path / "f.pdf") == ""
    assert "line to file to" in read(
        replace(CUT, after=replace(HOLE, width_mm=10.4)), round_, tmp_path / "g.pdf"
    )


@pytest.mark.parametrize(
    ("drawn", "says"),
    [
        (replace(CUT, after=replace(SLOT, angle_rad=-TOWARD)), "line to file to"),
        (replace(CUT, after=replace(SLOT, travel_mm=2.1)), "line to file to"),
        (replace(CUT, after=replace(SLOT, at=(10.9, 5.5))), "line to file to"),
        (replace(CUT, before=replace(HOLE, width_mm=9.1)), "hole mount_1"),
        # seen from the other side: the hole at the right lies at the left
        (replace(CUT, others=(replace(CUT.others[0], at=(-20.0, 5.0)), CUT.others[1])), "hole mount_2 does"),
        (replace(CUT, order="File the other one."), "does not say"),
    ],
)
def test_what_is_drawn_wrong_is_noticed(tmp_path: Path, drawn: Cut, says: str) -> None:
    assert says in read(drawn, CUT, tmp_path / "f.pdf")


def test_a_page_that_is_no_pdf_is_a_problem(tmp_path: Path) -> None:
    (tmp_path / "f.pdf").write_bytes(b"no")
    back = read_filing_pdf(tmp_path / "f.pdf", cuts=(CUT,), job="Job", revision="0", rel="f.pdf")
    assert not back.good


def test_each_page_carries_its_cautions_and_bars(tmp_path: Path) -> None:
    write_filing((CUT, CUT), tmp_path / "f.pdf", paper="A4", job="Job", revision="0000000")
    document = pypdfium2.PdfDocument(tmp_path / "f.pdf")
    assert len(document) == 2
    for page in document:
        text = " ".join(page.get_textpage().get_text_range().split())
        for word in ("Goggles", "leave the line standing", "local codes", "100 mm", "4 in", "page"):
            assert word in text


@pytest.mark.parametrize(
    ("degrees", "said"),
    [
        (90, "12 o'clock"),
        (0, "3 o'clock"),
        (-90, "6 o'clock"),
        (180, "9 o'clock"),
        (-15, "half past 3"),
        (82, "half past 12"),
        (83, "12 o'clock"),
        (75, "half past 12"),
        (105, "half past 11"),
    ],
)
def test_a_rim_is_named_by_the_clock(degrees: float, said: str) -> None:
    """The hour hand turns 30 degrees an hour, clockwise from the top."""
    assert clock(math.radians(degrees)) == said
