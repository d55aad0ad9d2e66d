"""The fast way onto a page of PDF: to the byte what reportlab writes itself, the outside reference here."""

import math
import random
from collections.abc import Callable
from typing import Any

import pytest
from reportlab.lib.rl_accel import fp_str
from reportlab.pdfbase.pdfmetrics import Font, stringWidth
from reportlab.pdfgen.canvas import Canvas

from generators.drawing.paper.pdf_code import number
from generators.drawing.paper.pdf_pen import CANVAS, MM, PdfPen
from generators.drawing.paper.pen import BOLD, REGULAR

SIZES = (1e-8, 1e-7, 5e-7, 1e-6, 1e-3, 1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6, 1e7)
TEXTS = ("9.0", "bolt (M8) \\ nut", "Ø 9.0 ± 0.2 °", "", "  two  blanks ", "≥ 4 → 5", "Größe 12½")


def test_numbers_are_written_as_the_library_writes_them() -> None:
    draw = random.Random(7)
    values = [0.0, -0.0, *SIZES, *(-size for size in SIZES), *(math.nextafter(size, 0.0) for size in SIZES)]
    for size in SIZES:
        values += [draw.uniform(-size, size) for _ in range(300)]
        values += [round(draw.uniform(-size, size), places) for places in range(8) for _ in range(30)]
    assert [number(v) for v in values] == [fp_str(v) for v in values]


def test_words_are_as_wide_as_the_library_says() -> None:
    for name in (REGULAR, BOLD):
        own = Font(name, name, "WinAnsiEncoding")
        for text in TEXTS:
            for size in (2.6, 8.0, 9.5, 18.0):
                assert stringWidth(text, name, size) == own.stringWidth(text, size)


def _page(draw: Callable[[Any], None]) -> list[str]:
    canvas: Any = Canvas("never written", **CANVAS)
    draw(canvas)
    return "\n".join(canvas._code).split("\n")


@pytest.mark.parametrize("align", ["left", "centre", "right"])
@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("turned", [0.0, 90.0])
def test_a_text_is_the_same_as_from_the_canvas(text: str, align: str, turned: float) -> None:
    def library(canvas: Any) -> None:
        canvas.saveState()
        canvas.setFillGray(0.4)
        canvas.setFont(BOLD, 3.2 * MM)
        canvas.translate(20.5 * MM, 30.25 * MM)
        if turned:
            canvas.rotate(turned)
        ways = {
            "left": canvas.drawString,
            "centre": canvas.drawCentredString,
            "right": canvas.drawRightString,
        }
        ways[align](0, 0, text)
        canvas.restoreState()

    def ours(canvas: Any) -> None:
        begun = len(canvas._code)
        pen = PdfPen.over(canvas, 100, 100)
        del canvas._code[begun:]
        pen.text(20.5, 30.25, text, 3.2, bold=True, align=align, grey=0.4, angle_deg=turned)

    assert _page(ours) == _page(library)


def test_a_line_and_a_polygon_are_the_same_as_from_the_canvas() -> None:
    corners = [(1.0, 2.0), (30.123456, 2.5), (7.0, 1200.75), (0.00000001, -3.0)]

    def library(canvas: Any) -> None:
        canvas.line(1.25 * MM, 2 * MM, 30 * MM, 40.5 * MM)
        path = canvas.beginPath()
        path.moveTo(corners[0][0] * MM, corners[0][1] * MM)
        for x, y in corners[1:]:
            path.lineTo(x * MM, y * MM)
        path.close()
        canvas.setFillGray(0.85)
        canvas.drawPath(path, stroke=1, fill=1)

    def ours(canvas: Any) -> None:
        begun = len(canvas._code)
        pen = PdfPen.over(canvas, 100, 100)
        del canvas._code[begun:]
        pen.line(1.25, 2, 30, 40.5)
        pen.polygon(corners, fill=0.85)

    assert _page(ours) == _page(library)
