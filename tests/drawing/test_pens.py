"""Both pens draw the same thing in the same place; what one promises the other keeps."""

from __future__ import annotations

import inspect
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import Pen, text_width, wrap_text
from generators.drawing.paper.svg_pen import SvgPen
from generators.geometry.contours import polygon
from generators.verify.pdf.content import as_circle, read_pdf

SVG = "{http://www.w3.org/2000/svg}"
WIDE, TALL = 60.0, 40.0


def sheet(pen: Pen) -> None:
    """Each call once; what is set within the clip must not hold after it."""
    pen.stroke(0.5)
    with pen.clipped(5, 5, 50, 30):
        pen.stroke(0.1, 0.5, (2.0, 1.0))
        pen.line(0, 0, 60, 40)
    pen.line(1, 2, 3, 4)
    pen.rect(10, 11, 12, 13)
    pen.circle(30, 20, 8)
    pen.polygon([(1, 1), (5, 1), (3, 4)], fill=0.85)
    pen.contour(polygon([(40, 5), (50, 5), (50, 15), (40, 15)], 2.0))
    pen.quadrants(20, 30, 6)
    pen.text(5, 6, "words", 3.0, align="right")
    pen.close()


@pytest.fixture
def drawn(tmp_path: Path) -> tuple[Path, Path]:
    pdf = PdfPen(tmp_path / "a.pdf", title="t", subject="s")
    pdf.page(WIDE, TALL)
    sheet(pdf)
    sheet(SvgPen(tmp_path / "a.svg", WIDE, TALL, title="t", subject="s"))
    return tmp_path / "a.pdf", tmp_path / "a.svg"


def test_no_pen_is_made_of_another_and_both_take_every_call_alike() -> None:
    assert inspect.isabstract(Pen)
    assert not issubclass(SvgPen, PdfPen)
    assert not issubclass(PdfPen, SvgPen)
    for name in Pen.__abstractmethods__:
        wanted = inspect.signature(getattr(Pen, name)).parameters
        for kind in (PdfPen, SvgPen):
            assert list(inspect.signature(getattr(kind, name)).parameters) == list(wanted), name


def test_both_put_lines_and_circles_in_the_same_place(drawn: tuple[Path, Path]) -> None:
    page = read_pdf(drawn[0]).pages[0]
    root = ET.parse(drawn[1]).getroot()
    lines = {
        tuple(round(c, 2) for p in s.points for c in p)
        for s in page.shapes
        if len(s.points) == 2 and s.stroked and not s.filled
    }
    for item in root.iter(f"{SVG}line"):
        x1, y1, x2, y2 = (float(item.attrib[k]) for k in ("x1", "y1", "x2", "y2"))
        assert (x1, TALL - y1, x2, TALL - y2) in lines
    (circle,) = [c for s in page.shapes if (c := as_circle(s)) is not None]
    svg = root.find(f"{SVG}circle")
    assert svg is not None
    found = [float(svg.attrib[k]) for k in ("cx", "cy", "r")]
    assert found == pytest.approx([circle.x, TALL - circle.y, circle.diameter / 2], abs=1e-3)


def test_both_draw_the_quarters_of_a_mark(drawn: tuple[Path, Path]) -> None:
    """Quarters above right and below left of the middle, black."""
    page = read_pdf(drawn[0]).pages[0]
    quarters = [s for s in page.shapes if s.filled and not s.stroked and len(s.curves) == 1]
    ends = {tuple(round(c, 2) for c in s.curves[0][3]) for s in quarters}
    assert ends == {(20.0, 33.0), (20.0, 27.0)}
    paths = [
        p.attrib["d"] for p in ET.parse(drawn[1]).getroot().iter(f"{SVG}path") if "0 0 0" in p.attrib["d"]
    ]
    svg = {tuple(map(float, m.groups())) for d in paths for m in re.finditer(r"0 0 0 ([\d.]+),([\d.]+) Z", d)}
    assert svg == {(20.0, TALL - 33.0), (20.0, TALL - 27.0)}


def test_a_line_set_within_a_clip_is_forgotten_with_it(drawn: tuple[Path, Path]) -> None:
    page = read_pdf(drawn[0]).pages[0]
    after = next(
        s for s in page.shapes if s.points[:1] and round(s.points[0][0], 2) == 1.0 and len(s.points) == 2
    )
    assert after.width == pytest.approx(0.5, abs=1e-3)
    assert not after.dashed
    item = next(i for i in ET.parse(drawn[1]).getroot().iter(f"{SVG}line") if i.attrib["x1"] == "1")
    assert item.attrib["stroke-width"] == "0.5"
    assert "stroke-dasharray" not in item.attrib


def test_a_word_wider_than_its_column_is_broken() -> None:
    lines = wrap_text("on " + "W" * 40 + " end", 3.0, 30.0)
    assert all(text_width(line, 3.0) <= 30.0 for line in lines)
    assert "".join(lines).replace(" ", "") == "on" + "W" * 40 + "end"
    assert wrap_text("W", 3.0, 0.1) == ["W"]
