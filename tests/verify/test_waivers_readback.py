"""The mark of waived rules, spoilt on purpose: read-back says so."""

from dataclasses import replace
from pathlib import Path

import pytest
from drawing.sample import JOB, REVISION, firewall
from waived_cases import LONG, WAIVED

from generators.drawing.dxf.template import write_template_dxf
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.waived import MARK, waived_list
from generators.drawing.template import labels as template_labels
from generators.drawing.template.pdf import write_template
from generators.verify.pdf.template.pages import read_template_pdf
from generators.verify.pdf.waivers import dxf_waiver_problems, waiver_problems

TWO = WAIVED[:2]


def _file(
    path: Path, *, waived=TWO, pages: int = 2, marked: int = 2, at: tuple[float, float] = (100.0, 280.0)
) -> Path:
    pen = PdfPen(path, title="t", subject="s")
    for k in range(pages):
        pen.page(210, 297)
        pen.text(20, 150, "words")
        if k < marked:
            pen.text(*at, MARK, 4.0, bold=True)
        if k == pages - 1:
            waived_list(waived).draw(pen, 20, 100)
    pen.close()
    return path


def test_as_it_should_be_nothing_is_said(tmp_path):
    path = _file(tmp_path / "a.pdf")
    assert waiver_problems(path, TWO) == []
    assert any("none was" in p for p in waiver_problems(path, ()))


def test_a_page_without_the_mark_is_found(tmp_path):
    assert waiver_problems(_file(tmp_path / "a.pdf", marked=1), TWO) == [f"page 2 does not say {MARK!r}"]


@pytest.mark.parametrize("at", [(200.0, 280.0), (1.0, 280.0), (100.0, 293.0), (100.0, 5.0)])
def test_a_mark_that_runs_off_the_paper_is_found(tmp_path, at):
    problems = waiver_problems(_file(tmp_path / "a.pdf", at=at), TWO)
    # what is wholly off the paper is not there for a reader
    assert problems
    assert all("off the paper" in p or "does not say" in p for p in problems)


def test_a_code_or_a_reason_that_is_not_listed_is_found(tmp_path):
    path = _file(tmp_path / "a.pdf")
    three = waiver_problems(path, WAIVED[:3])
    assert three == ["does not list the waived rule 'hole-edge-distance'"]
    other = (WAIVED[0], replace(WAIVED[1], reason=LONG + "!"))
    assert any("does not give the reason" in p for p in waiver_problems(path, other))
    assert waiver_problems(path, other, reasons=False) == []
    # the list is on the last page, not on the first
    assert any("WAIVED RULES" in p for p in waiver_problems(path, TWO, on_first=True))


def test_a_dxf_says_it_too(tmp_path):
    path = tmp_path / "a.dxf"
    write_template_dxf(firewall(), path, job=JOB, revision=REVISION, waived=TWO)
    assert dxf_waiver_problems(path, TWO) == []
    assert dxf_waiver_problems(path, WAIVED[:3]) == ["does not list the waived rule 'hole-edge-distance'"]
    assert dxf_waiver_problems(path, ()) == ["says a rule was waived, and none was"]
    write_template_dxf(firewall(), path, job=JOB, revision=REVISION)
    assert len(dxf_waiver_problems(path, TWO)) == 4


def test_a_mark_over_a_hole_is_found(tmp_path, monkeypatch):
    """The placer told that every hole is free ground."""
    path = tmp_path / "a.pdf"
    more = {"job": JOB, "revision": REVISION}

    def over(pen, view, placer):
        hole = firewall().holes[6]
        if view.shows(hole.u_mm, hole.v_mm, -40):
            pen.text(*view.point(hole.u_mm, hole.v_mm), MARK, 10.0, align="centre")

    monkeypatch.setattr("generators.drawing.template.page.waived_mark", over)
    write_template(firewall(), path, face="cab", paper="A4", waived=TWO, **more)
    problems = read_template_pdf(path, firewall(), face="cab", rel="x", **more).problems
    assert any("lies over hole 7" in p for p in problems)


def test_without_room_for_it_the_mark_stays_in_the_head(tmp_path, monkeypatch):
    monkeypatch.setattr(template_labels, "MARK_SIZES_MM", (400.0,))
    path = tmp_path / "a.pdf"
    write_template(firewall(), path, face="cab", paper="A4", waived=TWO, job=JOB, revision=REVISION)
    assert waiver_problems(path, TWO, on_first=True, reasons=False) == []
