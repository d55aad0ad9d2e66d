"""Both faces as a pair: measured from the finished files and laid on each other."""

from dataclasses import replace

import pytest
from drawing.sample import JOB, REVISION, firewall

from generators.drawing.template.pdf import write_template
from generators.model.spec.shop import PaperPrinter
from generators.verify.pdf.template.pair import measured_holes, pair_reading

PRINTER = PaperPrinter(name="p", x_scale=0.99, y_scale=1.01, skew_rad=0.003)


def _write(path, layout, face, printer=None):
    write_template(layout, path, face=face, paper="A4", job=JOB, revision=REVISION, printer=printer)


@pytest.fixture(scope="module")
def pair(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pair")
    for face in ("cab", "engine"):
        _write(folder / f"{face}.pdf", firewall(), face)
    return folder


def test_a_sound_pair_agrees_hole_for_hole(pair):
    result = pair_reading(pair / "cab.pdf", pair / "engine.pdf", firewall(), rel="x")
    assert result.problems == ()
    assert "20 holes" in result.facts[0]


def test_measured_positions_are_the_layout_not_the_other_file(pair):
    found = measured_holes(pair / "engine.pdf", firewall(), "engine", None)
    for hole in firewall().holes:
        assert found[hole.number] == pytest.approx((hole.u_mm, hole.v_mm, hole.final_dia_mm), abs=0.01)


def test_two_holes_of_a_waived_job_in_one_place_are_each_measured_by_its_own_circle(tmp_path):
    layout = firewall()
    (seven,) = (h for h in layout.holes if h.number == "7")
    twin = replace(
        seven, number="99", name="twin", u_mm=seven.u_mm + 0.8, final_dia_mm=seven.final_dia_mm + 0.1
    )
    both = replace(layout, holes=(*layout.holes, twin))
    _write(tmp_path / "cab.pdf", both, "cab")
    found = measured_holes(tmp_path / "cab.pdf", both, "cab", None)
    for hole in (seven, twin):
        assert found[hole.number] == pytest.approx((hole.u_mm, hole.v_mm, hole.final_dia_mm), abs=0.01)


@pytest.mark.parametrize("move", [{"u_mm": 0.05}, {"v_mm": -0.02}, {"final_dia_mm": 0.05}])
def test_a_hole_moved_on_one_face_only_is_named(pair, tmp_path, move):
    layout = firewall()
    ((name, by),) = move.items()
    holes = [replace(h, **{name: getattr(h, name) + by}) if h.number == "7" else h for h in layout.holes]
    _write(tmp_path / "engine.pdf", replace(layout, holes=tuple(holes)), "engine")
    problems = pair_reading(pair / "cab.pdf", tmp_path / "engine.pdf", layout, rel="x").problems
    assert len(problems) == 1
    assert problems[0].startswith("hole 7 is")


def test_a_hole_missing_on_one_face_is_named(pair, tmp_path):
    layout = firewall()
    _write(tmp_path / "engine.pdf", replace(layout, holes=layout.holes[1:]), "engine")
    problems = pair_reading(pair / "cab.pdf", tmp_path / "engine.pdf", layout, rel="x").problems
    assert problems == ("hole 1 is on the cab template only",)


def test_an_engine_sheet_that_is_not_mirrored_does_not_agree(pair):
    problems = pair_reading(pair / "cab.pdf", pair / "cab.pdf", firewall(), rel="x").problems
    # both are measured through their marks, so the numbers agree; the page's own reading says "not mirrored"
    assert problems == ()
    from generators.verify.pdf.template.pages import read_template_pdf

    said = read_template_pdf(pair / "cab.pdf", firewall(), face="engine", job=JOB, revision=REVISION, rel="x")
    assert any("not mirrored" in p for p in said.problems)
    assert any("which is the flipped sheet" in p for p in said.problems)


def test_a_pair_for_one_printer_agrees_as_that_printer_sets_it(tmp_path):
    for face in ("cab", "engine"):
        _write(tmp_path / f"{face}.pdf", firewall(), face, PRINTER)
    good = pair_reading(tmp_path / "cab.pdf", tmp_path / "engine.pdf", firewall(), rel="x", printer=PRINTER)
    assert good.problems == ()
