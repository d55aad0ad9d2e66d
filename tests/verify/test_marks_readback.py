"""u = 0, v = 0 and datum lines on finished sheets, and when and how in the report: spoilt ones are told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from drawing.sample import firewall

from generators.drawing.dxf.template import write_template_dxf
from generators.drawing.paper.furniture import Live
from generators.drawing.template import page as template_page
from generators.drawing.template.pdf import write_template
from generators.drawing.template.view import View, axis_ticks
from generators.model.hole_work import HoleWork
from generators.model.plan import DatumMark, PanelLayout
from generators.sheets import report
from generators.sheets.report import write_report
from generators.verify.dxf.template import read_template_dxf
from generators.verify.pdf.made_holes import told_problems
from generators.verify.pdf.template.pages import read_template_pdf


def crossed() -> PanelLayout:
    """The sample with a scribed line across its holes."""
    line = DatumMark(name="scribed", kind="horizontal", u_mm=0.0, v_mm=205.0, what="scribed line")
    return replace(firewall(), datums=(line,))


def problems(tmp_path: Path) -> str:
    path = tmp_path / "t.pdf"
    write_template(crossed(), path, face="cab", paper="A3", job="job", revision="a1b2c3d")
    reading = read_template_pdf(path, crossed(), face="cab", job="job", revision="a1b2c3d", rel="t.pdf")
    return "; ".join(reading.problems)


def test_the_axes_are_where_the_marks_put_them(tmp_path: Path) -> None:
    assert problems(tmp_path) == ""


def moved(off_mm: float) -> Callable[..., object]:
    def ticks(view: object) -> object:
        found = axis_ticks(view)  # type: ignore[arg-type]
        return [
            (
                words,
                tuple(
                    ((ax + off_mm, ay + off_mm), (bx + off_mm, by + off_mm)) for (ax, ay), (bx, by) in some
                ),
            )
            for words, some in found
        ]

    return ticks


@pytest.mark.parametrize("off_mm", [0.05, -5.0])
def test_an_axis_elsewhere_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, off_mm: float) -> None:
    monkeypatch.setattr(template_page, "axis_ticks", moved(off_mm))
    assert "has no tick for v = 0" in problems(tmp_path)


def test_an_axis_left_out_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(template_page, "axis_ticks", lambda view: [])
    assert "does not say 'v = 0'" in problems(tmp_path)


def test_a_datum_left_out_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(template_page, "datum_lines", lambda layout, view: [])
    assert "does not draw datum scribed" in problems(tmp_path)


def spoilt(tmp_path: Path, spoil: Callable[[ezdxf.document.Drawing], None]) -> str:
    path = tmp_path / "t.dxf"
    write_template_dxf(firewall(), path, job="job", revision="a1b2c3d")
    doc = ezdxf.readfile(path)
    spoil(doc)
    doc.saveas(path)
    return "; ".join(read_template_dxf(path, firewall(), rel="t.dxf").problems)


def test_the_plotters_file_names_the_axes(tmp_path: Path) -> None:
    def words_gone(doc: ezdxf.document.Drawing) -> None:
        for text in doc.modelspace().query('TEXT[text=="u = 0"]'):
            doc.modelspace().delete_entity(text)

    def tick_moved(doc: ezdxf.document.Drawing) -> None:
        ticks = [
            line
            for line in doc.modelspace().query('LINE[layer=="DATUM"]')
            if line.dxf.start.y == 0.0 == line.dxf.end.y
        ]
        assert len(ticks) == 2
        ticks[0].translate(0, 0.01, 0)

    assert spoilt(tmp_path, lambda doc: None) == ""
    assert "does not name u = 0 on either side" in spoilt(tmp_path, words_gone)
    assert "does not tick v = 0 on either side" in spoilt(tmp_path, tick_moved)


def waiting() -> PanelLayout:
    """The sample with one hole drilled last, through a bracket, after step 12."""
    layout = firewall()
    last = HoleWork(when="last", how="part", part="bracket", part_title="bracket", step=12, guide_mm=9.0)
    holes = tuple(replace(h, decided=last) if h.number == "1" else h for h in layout.holes)
    return replace(layout, holes=holes)


def told(tmp_path: Path, layout: PanelLayout) -> list[str]:
    path = tmp_path / "report.pdf"
    write_report(
        path, title="T", note="", revision="a1b2c3d", findings=[], plans=[], layouts=[layout], paper="A4"
    )
    return list(told_problems(path, [waiting()]))


def test_the_report_says_when_and_how(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert told(tmp_path, waiting()) == []
    assert "names step [], not 12" in " ".join(told(tmp_path, firewall()))
    blunt = tuple(replace(h, tool="hammer") if h.number == "2" else h for h in waiting().holes)
    assert "for hole 2" in " ".join(told(tmp_path, replace(waiting(), holes=blunt)))
    monkeypatch.setattr(report, "work_words", lambda hole, units: "now, through the paper, engine side")
    assert any("another face" in line for line in told(tmp_path, waiting()))


@pytest.mark.parametrize(("low", "there"), [(0, False), (-1, True)])
def test_an_axis_on_the_frame_is_not_ticked(low: int, there: bool) -> None:
    live = Live(x=19, y=36, width=180, height=190)
    view = View(live=live, box=(100, low, 280, low + 190), mirror=False)
    assert bool(axis_ticks(view)) == there
