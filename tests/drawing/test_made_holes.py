"""Tool, size and limits on finished sheets, metric and in inches: said, and read back by what is said."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest
from drawing.sample import JOB, REVISION, firewall

from generators.drawing.dxf.template import write_template_dxf
from generators.drawing.template.pdf import write_template
from generators.model.plan import PanelHole, PanelLayout
from generators.units import UNIT_SYSTEMS, UnitSystem
from generators.verify.dxf.template import read_template_dxf
from generators.verify.pdf.template.pages import read_template_pdf

# a -4 bulkhead fitting: thread 7/16 in = 11.1125 mm, with 0.2 to 1 mm of play (common practice, no source)
LIMITS = (11.3125, 12.1125)
TOOLS: dict[UnitSystem, tuple[float, str]] = {
    "metric": (12.0, "step drill 12 mm"),
    "inch": (15 / 32 * 25.4, "step drill 15/32 in"),
}


def made(units: UnitSystem) -> PanelLayout:
    """The sample firewall, its two fittings drilled with the step of the country."""
    sheet = firewall()
    size, tool = TOOLS[units]

    def hole(h: PanelHole) -> PanelHole:
        if h.kind != "bulkhead":
            return h
        return replace(h, final_dia_mm=size, tool=tool, least_mm=LIMITS[0], most_mm=LIMITS[1])

    return replace(sheet, holes=tuple(hole(h) for h in sheet.holes), units=units)


def first(layout: PanelLayout, change: Callable[[PanelHole], PanelHole]) -> PanelLayout:
    """The layout with its first fitting changed."""
    which = next(h for h in layout.holes if h.kind == "bulkhead")
    return replace(layout, holes=tuple(change(h) if h is which else h for h in layout.holes))


@pytest.fixture(scope="module", params=UNIT_SYSTEMS)
def sheets(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Path, UnitSystem]:
    units: UnitSystem = request.param
    folder = tmp_path_factory.mktemp(units)
    pdf, dxf = folder / "template.pdf", folder / "template.dxf"
    write_template(made(units), pdf, face="cab", paper="letter", job=JOB, revision=REVISION)
    write_template_dxf(made(units), dxf, job=JOB, revision=REVISION)
    return pdf, dxf, units


def pdf_problems(path: Path, layout: PanelLayout) -> tuple[str, ...]:
    return read_template_pdf(path, layout, face="cab", job=JOB, revision=REVISION, rel="t").problems


def test_both_files_are_read_back(sheets: tuple[Path, Path, UnitSystem]) -> None:
    pdf, dxf, units = sheets
    assert pdf_problems(pdf, made(units)) == ()
    assert read_template_dxf(dxf, made(units), rel="t", revision=REVISION).problems == ()


@pytest.mark.parametrize(
    "change",
    [
        lambda h: replace(h, tool=h.tool.replace("step", "twist")),
        lambda h: replace(h, least_mm=h.least_mm + 0.03),
        lambda h: replace(h, most_mm=h.most_mm - 0.03),
        lambda h: replace(h, final_dia_mm=h.final_dia_mm - 0.3),
    ],
    ids=["tool", "least", "most", "size"],
)
def test_another_tool_limit_or_size_is_a_problem(
    sheets: tuple[Path, Path, UnitSystem], change: Callable[[PanelHole], PanelHole]
) -> None:
    pdf, dxf, units = sheets
    wrong = first(made(units), change)
    number = next(h.number for h in wrong.holes if h.kind == "bulkhead")
    assert any(f"hole {number}" in p for p in pdf_problems(pdf, wrong))
    found = read_template_dxf(dxf, wrong, rel="t", revision=REVISION).problems
    assert any(f"hole {number}" in p for p in found)


def test_what_is_printed_in_each_country(sheets: tuple[Path, Path, UnitSystem]) -> None:
    path, _, units = sheets
    with pdfplumber.open(path) as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
        bars = [w["text"] for w in pdf.pages[1].extract_words(keep_blank_chars=True) if w["upright"]]
    if units == "metric":
        # 12 mm = 0.4724 in; limits to the hundredth that is still allowed
        assert "Ø12 (0.472 in)" in text
        assert "may be 11.32 to 12.11 mm" in text
        # 3 : 4 : 5 in steps of 5 mm: letter is 279.4 mm high and 48 mm are kept free, so 220 mm up
        assert "ACROSS 165 mm" in text
        return
    # 15/32 in = 11.906 mm; 11.3125 mm = 0.44537 in, 12.1125 mm = 0.47687 in
    assert "Ø15/32 in (11.91 mm)" in text
    assert "may be 0.446 to 0.476 in" in text
    # 3 : 4 : 5 in steps of a quarter inch on 8.5 x 11 in: 6 3/4, 9 and 11 1/4 in
    for words in ("ACROSS 6 3/4 in", "up, drawn 9 in", "diagonal, drawn 11 1/4 in"):
        assert words in text
    # millimetres stand beside inches, in brackets, or on the bar that is 100 mm long
    alone = re.sub(r"\([^()]*mm\)|100 mm", "", text)
    assert not re.search(r"\d mm\b", alone)
    # from the top of the page down: the inch bar lies over the millimetre bar
    assert bars.index("4 in") < bars.index("100 mm")


def test_the_plotters_file_carries_the_cautions_as_text_that_is_not_cut(
    sheets: tuple[Path, Path, UnitSystem], tmp_path: Path
) -> None:
    import ezdxf

    _, path, units = sheets
    doc = ezdxf.readfile(path)
    said = {t.dxf.text: t.dxf.layer for t in doc.modelspace().query("TEXT")}
    cautions = [text for text in said if "licensed mechanic" in text or "Before drilling look" in text]
    assert len(cautions) == 2
    assert {said[text] for text in cautions} == {"NOTES"}
    for entity in doc.modelspace().query("TEXT"):
        if entity.dxf.text in cautions:
            doc.modelspace().delete_entity(entity)
    bare = tmp_path / "bare.dxf"
    doc.saveas(bare)
    problems = read_template_dxf(bare, made(units), rel="t", revision=REVISION).problems
    assert any("licensed mechanic" in p for p in problems)
