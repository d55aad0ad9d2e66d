"""The paper of an inspection sheet: rows a hand can write in, and no more sheets than they take."""

from __future__ import annotations

import itertools
import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make
from verify.inspected_channel import bored, hole, problems

from generators.drawing.inspection import sheet
from generators.drawing.inspection.place_map import drawn_mm
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.geometry.contours import polygon
from generators.model.plan import Flange
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.inspection import read_inspection_sheet


def test_the_place_to_write_in_is_empty_and_a_page_is_never_a_heading_alone(tmp_path: Path) -> None:
    many = tuple(hole(f"h{i}", 20.0 * (i % 8), 20.0 * (i // 8)) for i in range(40))
    plate = Flange(name="plate", contour=bored().flanges[0].contour, holes=many)
    wide = polygon([(-20.0, -20.0), (160.0, -20.0), (160.0, 100.0), (-20.0, 100.0)])
    plan = replace(bored(), flanges=(replace(plate, contour=wide),), bends=())
    assert problems(tmp_path / "i.pdf", plan) == ()
    pages = read_pdf(tmp_path / "i.pdf").pages
    assert len(pages) > 2
    for page in pages:
        assert sum(1 for w in page.words if w.text.strip() == "measured") == 1


def row_heights(path: Path) -> list[list[float]]:
    """Of each page, mm from rule to rule across the column that is written in, under the table's head."""
    out = []
    for page in read_pdf(path).pages:
        words = {w.text.strip(): w.box for w in page.words}
        left, right = words["measured"][0], words["ok"][0]
        under = words["measured"][1]
        foot = next(w.box[3] for w in page.words if w.text.startswith("A part with an item")) + 3.0
        rules = sorted(
            {
                round(y0, 2)
                for x0, y0, x1, y1 in (s.box for s in page.shapes if s.stroked and not s.closed)
                if y1 - y0 < 0.01 and x0 < left and x1 > right and foot < y0 < under
            },
            reverse=True,
        )
        out.append([a - b for a, b in itertools.pairwise(rules)])
    return out


@pytest.mark.parametrize("count", [20, 26, 34, 60])
def test_rows_are_high_enough_for_a_pencil_and_few_do_not_take_a_sheet(count: int, tmp_path: Path) -> None:
    """By the page's own rules no row but a heading is lower than 6 mm, and no sheet has fewer than five."""
    many = tuple(hole(f"h{i}", 15.0 * (i % 8), 12.0 * (i // 8)) for i in range(count))
    wide = polygon([(-20.0, -20.0), (160.0, -20.0), (160.0, 110.0), (-20.0, 110.0)])
    plan = replace(bored(), flanges=(Flange(name="plate", contour=wide, holes=many),), bends=())
    assert problems(tmp_path / "i.pdf", plan) == ()
    for number, heights in enumerate(row_heights(tmp_path / "i.pdf")):
        assert len(heights) >= 5
        rows = [h for h in heights if h > 5.01]
        assert len(heights) - len(rows) <= (number == 0)
        assert min(rows) >= 6.0 - 0.011


def test_a_hanger_of_ten_holes_is_two_sheets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All but a few of its rows go on two sheets with the map as high as it can be, so that is made lower; not so
    low that its numbers crowd: the blank is 48 mm long or longer there."""
    plan = make("pedal_hanger", t=6.0)
    pulled = ("2", "3", "4", "5", "6", "7", "10")
    path = tmp_path / "i.pdf"

    def pages() -> int:
        write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION, pulled=pulled)
        read = read_inspection_sheet(path, plan, job_title=JOB, revision=REVISION, rel="x", pulled=pulled)
        assert read.problems == ()
        return len(read_pdf(path).pages)

    assert pages() == 2
    assert drawn_mm(plan, 190.0, 62.0) > sheet.READ_MM
    monkeypatch.setattr(sheet, "MAP_MM", sheet.MAP_MM[:1])
    assert pages() == 3


def test_a_carried_hanger_is_two_sheets_and_a_doubler_of_33_holes_three(tmp_path: Path) -> None:
    """Nine holes on five flanges and four of them read again are some sixty rows, 33 holes of a plate over a hundred:
    not a row is left out for it (what is written reads), none but a heading is lower than 6 mm."""
    path = tmp_path / "i.pdf"
    hanger, pulled = replace(make("carried_hanger"), shaft_mm=16.0), ("1", "2", "8", "9")
    write_inspection_sheet(hanger, path, job_title=JOB, revision=REVISION, pulled=pulled)
    read = read_inspection_sheet(path, hanger, job_title=JOB, revision=REVISION, rel="x", pulled=pulled)
    assert read.problems == ()
    assert len(read_pdf(path).pages) == 2
    assert min(h for page in row_heights(path) for h in page if h > 5.01) >= 6.0 - 0.011
    many = tuple(hole(f"h{i}", 40.0 * (i % 7), 40.0 * (i // 7)) for i in range(33))
    wide = polygon([(-40.0, -40.0), (280.0, -40.0), (280.0, 200.0), (-40.0, 200.0)])
    plan = replace(bored(), flanges=(Flange(name="plate", contour=wide, holes=many),), bends=())
    assert problems(path, plan) == ()
    assert len(read_pdf(path).pages) == 3
    assert min(h for page in row_heights(path) for h in page if h > 5.01) >= 6.0 - 0.011
