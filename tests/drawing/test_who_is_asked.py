"""Every sheet of a part says who answers questions about it and of what day it is, and is read here by its letters."""

from __future__ import annotations

import itertools
import math
import re
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, hat
from calling import call
from made_once import solved

from generators.bending.search import Search
from generators.bending.trial import Setting
from generators.drawing.bending.profile_sheet import write_profile_sheet
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.jobs.make.part_files import part_files
from generators.sheets.setup.page import write_setup_page
from generators.verify.html.setup import read_setup_page
from generators.verify.pdf.bending.setup import Tools, read_setup_sheet
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.pdf.profile.sheet import read_profile_sheet

PLAN = hat(80.0, 40.0, 30.0)
SETTING = Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0, springback_rad=math.radians(1))
BENDS = Search(plan=PLAN, setting=SETTING).run()
TOOLS = Tools(brake=TWO, dies=TWO.die, tensile_mpa=370.0, opening_mm=24.0)
NAMED = {"job_title": "Toy job", "revision": "abc1234"}
SHORT = "the yard, telephone 555-0100"
# as many letters as the spec takes
LONG = "The workshop behind the water tower, second door, telephone 555-0100 until 16:00"
DAY = "2026-11-30"
POINTS_PER_MM = 72 / 25.4
LEAST_LINE_MM = 40.0
SMALLEST_MM = 2.0

Sheet = tuple[Callable[..., None], Callable[..., Any], dict[str, Any], dict[str, Any]]
SHEETS: dict[str, Sheet] = {
    "drawing": (write_part_drawing, read_part_drawing, {}, {}),
    "inspection": (write_inspection_sheet, read_inspection_sheet, {}, {}),
    "setup": (write_setup_sheet, read_setup_sheet, {"bends": BENDS, "machines": MACHINES}, {"tools": TOOLS}),
    "profile": (write_profile_sheet, read_profile_sheet, {}, {}),
}


def letters(path: Path) -> Iterator[list[tuple[str, tuple[float, float, float, float]]]]:
    """Each page as letters with the boxes of their ink, mm."""
    with pypdfium2.PdfDocument(path) as pdf:
        for page in pdf:
            text = page.get_textpage()
            yield [
                (text.get_text_range(i, 1), tuple(x / POINTS_PER_MM for x in text.get_charbox(i)))  # type: ignore[misc]
                for i in range(text.count_chars())
            ]


def after(page: list[tuple[str, tuple[float, float, float, float]]], lead: str) -> Iterator[int]:
    """Where what stands behind a word begins, blanks left out of it."""
    told = "".join(letter for letter, _ in page)
    yield from (match.end() for match in re.finditer(re.escape(lead), told))


@pytest.mark.parametrize(
    ("contact", "paper"), [("", "A3"), ("", "letter"), (SHORT, "A4"), (LONG, "A4"), (LONG, "A3")]
)
@pytest.mark.parametrize("kind", SHEETS)
def test_every_page_says_who_is_asked_or_has_a_line_to_write_it_on(
    kind: str, contact: str, paper: str, tmp_path: Path
) -> None:
    write, read, made_of, wanted = SHEETS[kind]
    path = tmp_path / "sheet.pdf"
    write(PLAN, path, **NAMED, **made_of, paper=paper, contact=contact, date=DAY)
    for page in letters(path):
        (at,) = after(page, "Questions:")
        behind = [(letter, box) for letter, box in page[at:] if letter.strip()]
        if contact:
            said = "".join(contact.split())
            assert "".join(letter for letter, _ in behind[: len(said)]) == said
            box = [b for _, b in behind[: len(said)]]
            assert max(b[3] for b in box[:3]) - min(b[1] for b in box[:3]) > SMALLEST_MM * 0.7
        else:
            box = [b for letter, b in behind[:60] if letter == "_"]
            assert max(b[2] for b in box) - min(b[0] for b in box) >= LEAST_LINE_MM
            # one line: without gaps, at one height
            assert all(b[0] - a[2] < 0.3 for a, b in itertools.pairwise(box))
            assert max(b[1] for b in box) - min(b[1] for b in box) < 0.01
        assert "".join(letter for letter, _ in page).count(DAY) == 1
    named = {**NAMED, **wanted, "rel": "x", "contact": contact, "date": DAY}
    assert read(path, PLAN, **named).problems == ()
    for other in ({"contact": f"{contact}q"}, {"contact": contact[1:] or "the yard"}, {"date": "2026-12-01"}):
        assert read(path, PLAN, **{**named, **other}).problems, other


@pytest.mark.parametrize("contact", ["", LONG])
def test_the_page_on_a_screen_names_them_too(contact: str, tmp_path: Path) -> None:
    path = tmp_path / "setup.html"
    made: dict[str, Any] = {"job": "toy", "plan": PLAN, "bends": BENDS, "machines": MACHINES, **NAMED}
    write_setup_page(path, **made, contact=contact, date=DAY)
    text = path.read_text(encoding="utf-8")
    assert text.count("Questions:") == bool(contact)
    assert text.count(contact) == 1 or not contact
    assert f"</span>, {DAY}." in text
    named = {"job": "toy", "plan": PLAN, "tools": TOOLS, "waived": (), **NAMED, "rel": "x", "date": DAY}
    assert read_setup_page(path, **named, contact=contact).problems == ()
    assert read_setup_page(path, **named, contact="the harbour").problems


def test_all_sheets_of_a_job_take_them_from_its_head() -> None:
    prepared = solved("dray_tractor")
    head = prepared.file.job.job
    assert head.contact
    assert head.date
    seen = 0
    for part in prepared.parts:
        for made in part_files(prepared, part, "A4"):
            if made.entry.path.endswith((".pdf", ".html")):
                seen += 1
                for told in (made.body.keywords, made.read.keywords):  # type: ignore[attr-defined, union-attr]
                    assert (told["contact"], told["date"]) == (head.contact, head.date), made.entry.path
    assert seen > 3 * len(prepared.parts)


@pytest.mark.parametrize("day", ["30.11.2026", "2026-02-30", "2026-11"])
def test_a_date_that_is_no_day_is_one_fault_with_its_place(
    day: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = tmp_path / "toy.toml"
    spec.write_text(f'[job]\nname = "toy"\ntitle = "Toy"\ndate = "{day}"\n', encoding="utf-8")
    assert call("check", spec) == 3
    said = capsys.readouterr().err
    assert re.search(r"toy\.toml.*4.*job\.date", said, re.DOTALL)
    assert "Traceback" not in said


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_title_has_the_number_that_is_etched(sheet: str, tmp_path: Path) -> None:
    """The number at hand on the part is what its sheets are found by."""
    write, read, made, wanted = SHEETS[sheet]
    plan, path = replace(PLAN, etch="HT-31 B"), tmp_path / "s.pdf"
    write(plan, path, **NAMED, **made)
    with pypdfium2.PdfDocument(path) as pdf:
        for page in pdf:
            lines = page.get_textpage().get_text_range().splitlines()
            assert any(
                line.strip() == "part number and issue HT-31 B" or f"part {plan.name}, HT-31 B" in line
                for line in lines
            ), lines
    assert read(path, plan, rel="s", **NAMED, **wanted).problems == ()
    other = replace(plan, etch="HT-31 C")
    assert any("HT-31 C" in p for p in read(path, other, rel="s", **NAMED, **wanted).problems)
    write(PLAN, path, **NAMED, **made)
    with pypdfium2.PdfDocument(path) as pdf:
        assert not any("number and issue" in page.get_textpage().get_text_range() for page in pdf)
