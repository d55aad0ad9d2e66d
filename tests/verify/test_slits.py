"""Slits: the shortest clear way in, by hand, and read back from finished sheets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from drawing.sample import firewall
from made_once import solved
from shapely.geometry import LineString, Point, box

from generators.drawing.template import page as template_page
from generators.drawing.template.pdf import write_template
from generators.geometry.contours import bounds, circle
from generators.geometry.slits import slit
from generators.layout.passing import with_passing
from generators.model.folds import Passing
from generators.model.plan import KeepOut, PanelLayout
from generators.model.words import Face
from generators.verify.pdf.template.pages import read_template_pdf

PAGE = (0.0, 0.0, 200.0, 100.0)


def test_it_is_the_shortest_to_the_nearest_edge() -> None:
    line = slit(box(90, 20, 110, 60), PAGE, [])
    assert line is not None
    # 20 mm to the lower edge, 40 mm to the upper, 90 mm to the sides
    assert math.dist(*line) == pytest.approx(20.0)
    assert line[0][1] == 0.0


def test_it_goes_round_a_hole() -> None:
    hole = (100.0, 10.0, 12.0)
    line = slit(box(90, 20, 110, 60), PAGE, [hole])
    assert line is not None
    assert LineString(line).distance(Point(hole[:2])) >= hole[2]
    # a line from a lower corner past the hole: its foot is where the tangent from the corner meets the edge
    assert 20.0 < math.dist(*line) < 30.0


def test_what_reaches_the_edge_needs_none_and_what_is_shut_in_has_none() -> None:
    assert slit(box(90, 0, 110, 60), PAGE, []) is None
    assert slit(box(90, 40, 110, 60), PAGE, [(100.0, 50.0, 30.0)]) is None


def standing(u: float, v: float, dia: float = 50.0) -> PanelLayout:
    """The sample with a pipe through it."""
    return replace(firewall(), passing=(Passing(words="heater pipe", contour=circle(u, v, dia / 2)),))


def problems(tmp_path: Path, layout: PanelLayout) -> str:
    path = tmp_path / "t.pdf"
    write_template(layout, path, face="cab", paper="A3", job="job", revision="a1b2c3d")
    reading = read_template_pdf(path, layout, face="cab", job="job", revision="a1b2c3d", rel="t.pdf")
    return "; ".join(reading.problems)


def test_a_sheet_with_its_slit_reads_back(tmp_path: Path) -> None:
    assert problems(tmp_path, standing(430.0, 330.0)) == ""


def test_a_slit_left_out_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(template_page, "slits", lambda *given: [])
    assert "no slit to it" in problems(tmp_path, standing(430.0, 330.0))


@pytest.mark.parametrize(("face", "told"), [("cab", True), ("engine", False)])
def test_only_what_stands_on_the_papers_own_face_wants_a_slit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, face: Face, told: bool
) -> None:
    """The paper lies on the cab face: a boss that touches the sheet there is in its way, one behind it is not."""
    boss = KeepOut(
        name="boss", face=face, contour=circle(430.0, 330.0, 25.0), gap_mm=0.0, depth_mm=50.0, reason="boss"
    )
    layout = replace(firewall(), keepouts=(boss,))
    assert problems(tmp_path, layout) == ""
    monkeypatch.setattr(template_page, "slits", lambda *given: [])
    assert ("no slit to it" in problems(tmp_path, layout)) is told


def test_a_slit_elsewhere_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = template_page.slits

    def moved(*given: object) -> Sequence[object]:
        return [((a[0] + 40.0, a[1]), (b[0] + 40.0, b[1])) for a, b in drawn(*given)]  # type: ignore[arg-type]

    monkeypatch.setattr(template_page, "slits", moved)
    assert "no slit to it" in problems(tmp_path, standing(430.0, 330.0))


def test_words_without_a_thing_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(template_page, "slits", lambda *given: [((60.0, 120.0), (90.0, 120.0))])
    assert "nothing to be slit to" in problems(tmp_path, firewall())


def test_the_column_is_cut_round_where_it_goes_through(tmp_path: Path) -> None:
    """The van's column is 50.8 mm thick and goes 650 mm back and 420 mm up: by hand an ellipse of 50.8 mm
    across and 50.8 / cos(32.87 deg) = 60.48 mm up, as the firewall is upright and the column leans to it; the
    1.2 mm of the sheet make it 1.2 tan(32.87 deg) = 0.78 mm more from face to face."""
    prepared = solved("wrenfield_van")
    found = {x.panel: x.passing for x in prepared.layouts}
    (column,) = found["firewall"]
    assert column.words == "steering column"
    u0, v0, u1, v1 = bounds(column.contour)
    lean = math.atan2(420.0, 650.0)
    assert u1 - u0 == pytest.approx(50.8, rel=0.005)
    assert v1 - v0 == pytest.approx(50.8 / math.cos(lean) + 1.2 * math.tan(lean), rel=0.005)
    # it goes through the bore made for it
    bore = next(h for h in prepared.layouts[0].holes if h.number == "C")
    assert math.hypot((u0 + u1) / 2 - bore.u_mm, (v0 + v1) / 2 - bore.v_mm) < bore.final_dia_mm / 2
    # a job without it has nothing to cut round
    bare = replace(prepared.file.job, obstacle=())
    assert all(not x.passing for x in with_passing(prepared.layouts, bare))
