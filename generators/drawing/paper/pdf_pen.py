"""A sheet of PDF in millimetres: a thin skin over reportlab.

Every PDF of the project goes through here, so they share what 1:1 paper needs: no rounding of
coordinates, no UserUnit, PrintScaling None under a PDF version that knows it (ISO 32000-1 12.2),
and fixed dates.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from generators.drawing.paper.pdf_code import Outline, measure_once, number, plain
from generators.drawing.paper.pen import BLACK, BOLD, MEDIUM, POINTS_PER_MM, REGULAR, Pen
from generators.errors import ExportError
from generators.geometry.contours import arc_of, segments
from generators.geometry.printing import PrintMap
from generators.model.contour import Contour

MM = POINTS_PER_MM
LARGEST_PAGE_MM = 200 * 25.4
QUARTERS_UP_TO_MM = 30.0
LEADING = 1.2
"""From line to line in sizes of the letters, as the library takes it."""
ALIGNED = {"left": 0.0, "centre": 0.5, "right": 1.0}
"""Which part of its width a text begins before its place."""
CANVAS: Mapping[str, Any] = MappingProxyType(
    {
        "invariant": 1,
        # open text, so that the revision can be put on last (``issue.stamp``)
        "pageCompression": 0,
        "pdfVersion": (1, 7),
        "initialFontName": REGULAR,
    }
)
"""How every PDF of this program is begun: the same bytes for the same pages."""


measure_once()


def label_document(canvas: Any, *, title: str, subject: str, one_sided: bool = False) -> None:
    """Title, author and print preferences of a PDF; ``one_sided`` for sheets to cut or lay on metal."""
    canvas.setTitle(title)
    canvas.setSubject(subject)
    canvas.setAuthor("pedalplate")
    canvas.setCreator("pedalplate")
    canvas.setViewerPreference("PrintScaling", "None")
    if one_sided:
        canvas.setViewerPreference("Duplex", "Simplex")


class PdfPen(Pen):
    """Draws on the pages of one PDF.

    With ``print_map`` every page is drawn the opposite way wrong, so that this printer makes it true.
    """

    def __init__(
        self,
        path: Path,
        *,
        title: str,
        subject: str,
        print_map: PrintMap | None = None,
    ) -> None:
        self._canvas: Any = Canvas(str(path), **CANVAS)
        label_document(self._canvas, title=title, subject=subject, one_sided=True)
        self._name = path.name
        self.print_map = print_map
        self.width = 0.0
        self.height = 0.0

    @classmethod
    def pages_on(cls, canvas: Any, print_map: PrintMap | None = None) -> PdfPen:
        """A pen that begins pages on somebody else's canvas; ``end`` finishes the last of them."""
        pen = cls.__new__(cls)
        pen._canvas = canvas
        pen._name = ""
        pen.print_map = print_map
        pen.width = pen.height = 0.0
        return pen

    def end(self) -> None:
        """Finish the last page, but do not write the file."""
        self._end_page()
        self.width = self.height = 0.0

    @classmethod
    def over(cls, canvas: Any, width_mm: float, height_mm: float) -> PdfPen:
        """A pen on a page somebody else opened and will close; its origin is the canvas's."""
        pen = cls.__new__(cls)
        pen._canvas = canvas
        pen._name = ""
        pen.print_map = None
        pen.width, pen.height = width_mm, height_mm
        pen.stroke()
        return pen

    @classmethod
    def aside(cls, fonts: Sequence[str]) -> PdfPen:
        """A pen on a page nobody sees, of a file that has these fonts; see ``code``."""
        pen = cls.over(Canvas(io.BytesIO(), **CANVAS), 0.0, 0.0)
        for font in fonts:
            pen._canvas._doc.getInternalFontName(font)
        pen._canvas._code.clear()
        return pen

    @property
    def fonts(self) -> tuple[str, ...]:
        """The fonts of the file so far: each is called in it by its place among them."""
        return tuple(self._canvas._doc.fontMapping)

    @property
    def code(self) -> str:
        """What was drawn on this page, as it stands in a file."""
        return "\n".join(self._canvas._code)

    def put(self, code: str, fonts: Sequence[str]) -> None:
        """What was drawn ``aside`` for this file, with the fonts it brings."""
        for font in fonts:
            self._canvas._doc.getInternalFontName(font)
        self._canvas.addLiteral(code)

    def page(
        self,
        width_mm: float,
        height_mm: float,
        *,
        lying: bool | None = None,
        on: tuple[float, float] | None = None,
    ) -> None:
        """Begin a page of that size. Raises ``ValueError`` beyond 200 in, where viewers disagree.

        ``lying`` says that it is printed turned by 90°; by itself a page wider than high is. ``on`` is the
        sheet it lies on the middle of, where that is larger: the pen keeps to the page.
        """
        sheet = on or (width_mm, height_mm)
        if max(sheet) > LARGEST_PAGE_MM:
            raise ValueError(f"a page of {sheet[0]:g} x {sheet[1]:g} mm is beyond {LARGEST_PAGE_MM:g} mm")
        if self.width:
            self._end_page()
        self.width, self.height = width_mm, height_mm
        self._canvas.setPageSize((sheet[0] * MM, sheet[1] * MM))
        if self.print_map is not None:
            self._compensate(self.print_map, sheet, width_mm > height_mm if lying is None else lying)
        if sheet != (width_mm, height_mm):
            self._canvas.translate((sheet[0] - width_mm) / 2 * MM, (sheet[1] - height_mm) / 2 * MM)
        self.stroke()

    def _compensate(self, print_map: PrintMap, sheet: tuple[float, float], lying: bool) -> None:
        """Distort all that follows on the sheet about its middle, so that the printer sets it right."""
        matrix = print_map.compensation(lying=lying)
        middle = np.array(sheet) / 2 * MM
        shift = middle - matrix @ middle
        self._canvas.transform(
            float(matrix[0, 0]),
            float(matrix[1, 0]),
            float(matrix[0, 1]),
            float(matrix[1, 1]),
            float(shift[0]),
            float(shift[1]),
        )

    def close(self) -> None:
        """Finish the last page and write the file."""
        self._end_page()
        self._canvas.save()

    def finish(self) -> None:
        """``close`` a file of a folder that is made. Raises ``ExportError`` when it cannot be written."""
        try:
            self.close()
        except OSError as fault:
            raise ExportError(f"{self._name}: {fault}") from fault

    def _end_page(self) -> None:
        self._canvas.showPage()

    # --- state ------------------------------------------------------------------------------
    @contextmanager
    def clipped(self, x: float, y: float, width: float, height: float) -> Iterator[None]:
        """Everything drawn inside shows only within this box."""
        self._canvas.saveState()
        path = self._canvas.beginPath()
        path.rect(x * MM, y * MM, width * MM, height * MM)
        self._canvas.clipPath(path, stroke=0, fill=0)
        try:
            yield
        finally:
            self._canvas.restoreState()

    def stroke(
        self, width_mm: float = MEDIUM, grey: float = BLACK, dash: Sequence[float] | None = None
    ) -> None:
        """Set line width, grey level (0 black) and dash pattern in mm."""
        self._canvas.setLineWidth(width_mm * MM)
        self._canvas.setStrokeGray(grey)
        self._canvas.setDash([d * MM for d in dash] if dash else [])

    # --- shapes -----------------------------------------------------------------------------
    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """A straight line."""
        ends = f"n {number(x1 * MM)} {number(y1 * MM)} m {number(x2 * MM)} {number(y2 * MM)} l S"
        self._canvas.addLiteral(ends)

    def rect(
        self, x: float, y: float, width: float, height: float, *, fill: float | None = None, edge: bool = True
    ) -> None:
        """A box from its lower left corner, filled with a grey level if given."""
        if fill is not None:
            self._canvas.setFillGray(fill)
        self._canvas.rect(
            x * MM, y * MM, width * MM, height * MM, stroke=int(edge), fill=int(fill is not None)
        )

    def circle(
        self, x: float, y: float, diameter: float, *, fill: float | None = None, edge: bool = True
    ) -> None:
        """A circle by its diameter: a closed path of four Béziers, eight above 30 mm.

        A Bézier quarter leaves its circle by 0.00027 r (4/3·tan(a/4) handles), more than 0.004 mm
        above that size; an eighth by less than 0.000005 r.
        """
        path = Outline()
        count = 4 if diameter <= QUARTERS_UP_TO_MM else 8
        turn = 2 * math.pi / count
        r, handle = diameter / 2, 4 / 3 * math.tan(turn / 4) * diameter / 2
        path.move_to((x + r) * MM, y * MM)
        for i in range(count):
            c0, s0 = math.cos(i * turn), math.sin(i * turn)
            c1, s1 = math.cos((i + 1) * turn), math.sin((i + 1) * turn)
            path.curve_to(
                (x + r * c0 - handle * s0) * MM,
                (y + r * s0 + handle * c0) * MM,
                (x + r * c1 + handle * s1) * MM,
                (y + r * s1 - handle * c1) * MM,
                (x + r * c1) * MM,
                (y + r * s1) * MM,
            )
        path.close()
        if fill is not None:
            self._canvas.setFillGray(fill)
        self._canvas.drawPath(path, stroke=int(edge), fill=int(fill is not None))

    def quadrants(self, x: float, y: float, diameter: float) -> None:
        """Two opposite black quarters of a disc: the inside of a registration mark."""
        self._canvas.setFillGray(BLACK)
        r = diameter / 2
        handle = 4 / 3 * math.tan(math.pi / 8) * r
        for sign in (1, -1):
            path = Outline()
            path.move_to(x * MM, y * MM)
            path.line_to((x + sign * r) * MM, y * MM)
            path.curve_to(
                (x + sign * r) * MM,
                (y + sign * handle) * MM,
                (x + sign * handle) * MM,
                (y + sign * r) * MM,
                x * MM,
                (y + sign * r) * MM,
            )
            path.close()
            self._canvas.drawPath(path, stroke=0, fill=1)

    def polygon(
        self,
        points: Sequence[tuple[float, float]],
        *,
        fill: float | None = None,
        edge: bool = True,
        closed: bool = True,
    ) -> None:
        """A polygon or polyline."""
        path = Outline()
        path.move_to(points[0][0] * MM, points[0][1] * MM)
        for x, y in points[1:]:
            path.line_to(x * MM, y * MM)
        if closed:
            path.close()
        if fill is not None:
            self._canvas.setFillGray(fill)
        self._canvas.drawPath(path, stroke=int(edge), fill=int(fill is not None))

    def contour(self, contour: Contour, *, fill: float | None = None, edge: bool = True) -> None:
        """An outline whose coordinates are already those of the page; arcs as Bézier quarters."""
        path = Outline()
        first = contour.vertices[0]
        path.move_to(first.u * MM, first.v * MM)
        for a, b in segments(contour):
            if a.bulge == 0:
                path.line_to(b.u * MM, b.v * MM)
                continue
            arc = arc_of(a, b)
            pieces = max(1, math.ceil(abs(arc.sweep) / (math.pi / 2) - 1e-9))
            step = arc.sweep / pieces
            handle = 4 / 3 * math.tan(step / 4) * arc.radius
            for i in range(pieces):
                t0, t1 = arc.start + i * step, arc.start + (i + 1) * step
                x0, y0 = arc.cu + arc.radius * math.cos(t0), arc.cv + arc.radius * math.sin(t0)
                x1, y1 = arc.cu + arc.radius * math.cos(t1), arc.cv + arc.radius * math.sin(t1)
                path.curve_to(
                    (x0 - handle * math.sin(t0)) * MM,
                    (y0 + handle * math.cos(t0)) * MM,
                    (x1 + handle * math.sin(t1)) * MM,
                    (y1 - handle * math.cos(t1)) * MM,
                    x1 * MM,
                    y1 * MM,
                )
        path.close()
        if fill is not None:
            self._canvas.setFillGray(fill)
        self._canvas.drawPath(path, stroke=int(edge), fill=int(fill is not None))

    # --- text -------------------------------------------------------------------------------
    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = 3.0,
        *,
        bold: bool = False,
        align: str = "left",
        grey: float = BLACK,
        angle_deg: float = 0.0,
    ) -> None:
        """One line of text with its baseline at ``y``; ``align`` left, centre or right of ``x``."""
        font, points = (BOLD if bold else REGULAR), size * MM
        letters = plain(text, font)
        if angle_deg or not letters:
            self._set_out(x, y, text, font, points, align=align, grey=grey, angle_deg=angle_deg)
            return
        back = ALIGNED[align] * stringWidth(text, font, points)
        name = self._canvas._doc.getInternalFontName(font)
        self._canvas.addLiteral(
            f"q\n{number(grey)} g\n"
            f"BT {name} {number(points)} Tf {number(points * LEADING)} TL ET\n"
            f"1 0 0 1 {number(x * MM)} {number(y * MM)} cm\n"
            f"BT 1 0 0 1 {number(-back)} 0 Tm ({letters}) Tj T* ET\nQ"
        )

    def _set_out(
        self,
        x: float,
        y: float,
        text: str,
        font: str,
        points: float,
        *,
        align: str,
        grey: float,
        angle_deg: float,
    ) -> None:
        """``text`` the canvas's own way: turned, with letters of another font, or with none."""
        self._canvas.saveState()
        self._canvas.setFillGray(grey)
        self._canvas.setFont(font, points)
        self._canvas.translate(x * MM, y * MM)
        if angle_deg:
            self._canvas.rotate(angle_deg)
        draw = {
            "left": self._canvas.drawString,
            "centre": self._canvas.drawCentredString,
            "right": self._canvas.drawRightString,
        }[align]
        draw(0, 0, text)
        self._canvas.restoreState()

    def picture(self, path: Path, x: float, y: float, width: float, height: float) -> None:
        """A raster picture in a box, its proportions kept."""
        self._canvas.drawImage(
            str(path), x * MM, y * MM, width * MM, height * MM, preserveAspectRatio=True, anchor="c"
        )
