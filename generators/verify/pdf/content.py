"""What is really on the pages of a finished PDF: paths and words in millimetres.

Reads raw page objects with pdfium, so every matrix of the content is already worked in.
"""

from __future__ import annotations

import ctypes
import math
import re
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
from numpy.typing import NDArray

from generators.verify.pdf_objects import TextOf, bounds_of, objects_on
from generators.verify.pdf_texts import Said, Texts, remember, said_on

MM = 72 / 25.4
BEGINNING = 30
"""Letters of a long word that every sheet has room for."""

MOST_PAGES = 400
MOST_OBJECTS = 200_000
MOST_BYTES = 200_000_000
Point = tuple[float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One subpath in page mm: its on-curve points, and how many of its pieces are Béziers.

    ``curves`` holds the four points of each Bézier. ``order`` counts in drawing order.
    """

    order: int
    points: tuple[Point, ...]
    curves: tuple[tuple[Point, Point, Point, Point], ...]
    closed: bool
    stroked: bool
    filled: bool
    width: float
    dashed: bool

    @property
    def box(self) -> Box:
        """Bounds of the points."""
        xs = [p[0] for p in self.points]
        ys = [p[1] for p in self.points]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """One text object: its text and its box in page mm."""

    text: str
    box: Box


Measured = Callable[[Sequence[Word]], bool]
"""Whether the shapes of a page of those words are asked for; a function of a module."""


@dataclass(frozen=True, kw_only=True)
class Content:
    """One page. ``others`` counts objects that are neither paths nor text."""

    width: float
    height: float
    rotation: int
    cropped: bool
    annotations: int
    others: int
    shapes: tuple[Shape, ...]
    words: tuple[Word, ...]

    # every word that a page must say is looked for in these
    @cached_property
    def text(self) -> str:
        """All words with single blanks between them."""
        return " ".join(" ".join(word.text for word in self.words).split())

    @cached_property
    def bare(self) -> str:
        """All words without blanks."""
        return plain(self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class PdfFile:
    """A file as read; ``print_scaling`` is False when the file asks viewers not to scale.

    ``one_sided`` is True when it asks for one page a sheet.
    """

    pages: tuple[Content, ...]
    version: int
    print_scaling: bool
    one_sided: bool
    user_unit: bool


def printed(page: Content, matrix: NDArray[np.float64]) -> Content:
    """The page as a printer sets it that maps every point by ``matrix`` (2, 2) about the middle."""
    middle = np.array([page.width, page.height]) / 2

    def moved(points: Sequence[Point]) -> tuple[Point, ...]:
        image = (np.array(points) - middle) @ matrix.T + middle
        return tuple((float(x), float(y)) for x, y in image)

    def box(b: Box) -> Box:
        corners = moved(((b[0], b[1]), (b[2], b[1]), (b[0], b[3]), (b[2], b[3])))
        xs, ys = [c[0] for c in corners], [c[1] for c in corners]
        return min(xs), min(ys), max(xs), max(ys)

    def shape(s: Shape) -> Shape:
        curves = tuple((c[0], c[1], c[2], c[3]) for c in map(moved, s.curves))
        return replace(s, points=moved(s.points), curves=curves)

    return replace(
        page,
        shapes=tuple(shape(s) for s in page.shapes),
        words=tuple(replace(w, box=box(w.box)) for w in page.words),
    )


def inner(page: Content, width: float, height: float) -> Content:
    """The middle of a sheet as a page of its own, ``width`` × ``height`` mm of it upright or lying."""
    if (page.width > page.height) != (width > height):
        width, height = height, width
    dx, dy = (page.width - width) / 2, (page.height - height) / 2

    def shape(s: Shape) -> Shape:
        points = tuple((x - dx, y - dy) for x, y in s.points)
        curves = tuple(tuple((x - dx, y - dy) for x, y in curve) for curve in s.curves)
        return replace(s, points=points, curves=tuple((c[0], c[1], c[2], c[3]) for c in curves))

    def word(w: Word) -> Word:
        x0, y0, x1, y1 = w.box
        return replace(w, box=(x0 - dx, y0 - dy, x1 - dx, y1 - dy))

    return replace(
        page,
        width=width,
        height=height,
        shapes=tuple(shape(s) for s in page.shapes),
        words=tuple(word(w) for w in page.words),
    )


def plain(text: str) -> str:
    """Without blanks, for words that are broken over lines."""
    return "".join(text.split())


def says(text: str, word: str) -> bool:
    """True where a text has the word's beginning: a long one may be cut to its room.

    Letters the plain font lacks are not looked for.
    """
    shown = "".join(c if c.encode("cp1252", "ignore") else "\0" for c in word[:BEGINNING])
    told = plain(text)
    return all(plain(piece) in told for piece in shown.split("\0"))


class UnreadablePdfError(Exception):
    """The file is not a PDF that can be measured; the text says why."""


def every_page(_words: Sequence[Word]) -> bool:
    """``measured`` of a file whose pages are all measured."""
    return True


def read_pdf(path: Path, measured: Measured = every_page) -> PdfFile:
    """Read every page; of one whose words are not ``measured`` the shapes are left out.

    Raises ``UnreadablePdfError`` on anything that is no sound PDF of bounded size.
    """
    try:
        data = path.read_bytes()
    except OSError as fault:
        raise UnreadablePdfError(f"cannot be read: {fault.strerror or 'no such file'}") from fault
    return _read(data, measured)


# a template is read by itself, then again as one of a pair
@lru_cache(maxsize=3)
def _read(data: bytes, measured: Measured) -> PdfFile:
    if len(data) > MOST_BYTES:
        raise UnreadablePdfError(f"is larger than {MOST_BYTES} bytes")
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as fault:
        raise UnreadablePdfError(f"is not a readable PDF: {fault}") from fault
    try:
        count = len(document)
        if not 0 < count <= MOST_PAGES:
            raise UnreadablePdfError(f"has {count} pages")
        try:
            looked = [_page(document, index, measured) for index in range(count)]
        except pypdfium2.PdfiumError as fault:
            raise UnreadablePdfError(f"has a page that cannot be read: {fault}") from fault
        # whoever asks next what it says need not open it again
        remember(data, Texts(pages=tuple(said for _, said in looked)))
        return PdfFile(
            pages=tuple(content for content, _ in looked),
            version=document.get_version() or 0,
            print_scaling=bool(pdfium.FPDF_VIEWERREF_GetPrintScaling(document)),
            one_sided=pdfium.FPDF_VIEWERREF_GetDuplex(document) == pdfium.Simplex,
            user_unit=_mentions(data, b"/UserUnit"),
        )
    finally:
        document.close()


def _mentions(data: bytes, key: bytes) -> bool:
    """True when a key stands in the plain objects or in a compressed object stream."""
    if key in data:
        return True
    for match in re.finditer(rb"/ObjStm\b.{0,400}?stream\r?\n", data, re.DOTALL):
        try:
            plain = zlib.decompressobj().decompress(data[match.end() :], 10_000_000)
        except zlib.error:
            continue
        if key in plain:
            return True
    return False


def _page(document: pypdfium2.PdfDocument, index: int, measured: Measured) -> tuple[Content, Said]:
    """What is drawn on a page, and what it says."""
    page = document[index]
    left, bottom, right, top = page.get_mediabox()
    words_page = page.get_textpage()
    shapes: list[Shape] = []
    paths: list[tuple[int, Any]] = []
    words: list[Word] = []
    others = 0
    text_of = TextOf(words_page)
    for order, item, kind in objects_on(page):
        if order > MOST_OBJECTS:
            raise UnreadablePdfError(f"has more than {MOST_OBJECTS} objects on page {index + 1}")
        if kind == pdfium.FPDF_PAGEOBJ_PATH:
            paths.append((order, item))
        elif kind == pdfium.FPDF_PAGEOBJ_TEXT:
            x0, y0, x1, y1 = bounds_of(item)
            box = (x0 - left) / MM, (y0 - bottom) / MM, (x1 - left) / MM, (y1 - bottom) / MM
            words.append(Word(text=text_of(item), box=box))
        else:
            others += 1
    if measured(tuple(words)):
        shapes = [one for order, item in paths for one in _shapes(item, order, (left, bottom))]
    crop = page.get_cropbox()
    cropped = any(abs(a - b) > 0.001 for a, b in zip(crop, (left, bottom, right, top), strict=True))
    drawn = Content(
        width=(right - left) / MM,
        height=(top - bottom) / MM,
        rotation=page.get_rotation(),
        cropped=cropped,
        annotations=pdfium.FPDFPage_GetAnnotCount(page),
        others=others,
        shapes=tuple(shapes),
        words=tuple(words),
    )
    return drawn, said_on(page, words_page)


def _shapes(path: Any, order: int, origin: Point) -> list[Shape]:
    """The subpaths of one path object."""
    matrix = pdfium.FS_MATRIX()
    if not pdfium.FPDFPageObj_GetMatrix(path, matrix):
        raise pypdfium2.PdfiumError("Failed to get matrix of pageobject.")
    a, b, c, d, e, f = matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f
    ox, oy = origin
    fill, stroke = ctypes.c_int(), pdfium.FPDF_BOOL()
    pdfium.FPDFPath_GetDrawMode(path, fill, stroke)
    width = ctypes.c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(path, width)
    dashed = pdfium.FPDFPageObj_GetDashCount(path) > 0
    line = width.value * math.sqrt(abs(a * d - b * c)) / MM
    shapes: list[Shape] = []
    points: list[Point] = []
    curves: list[tuple[Point, Point, Point, Point]] = []
    handles: list[Point] = []
    closed = False

    def finish() -> None:
        if len(points) > 1:
            shapes.append(
                Shape(
                    order=order,
                    points=tuple(points),
                    curves=tuple(curves),
                    closed=closed,
                    stroked=bool(stroke.value),
                    filled=fill.value != 0,
                    width=line,
                    dashed=dashed,
                )
            )

    # asked for each of some ten thousand pieces of a sheet
    at_x, at_y = ctypes.c_float(), ctypes.c_float()
    into_x, into_y = ctypes.byref(at_x), ctypes.byref(at_y)
    piece, place, kind_of, closes = (
        pdfium.FPDFPath_GetPathSegment,
        pdfium.FPDFPathSegment_GetPoint,
        pdfium.FPDFPathSegment_GetType,
        pdfium.FPDFPathSegment_GetClose,
    )
    for index in range(pdfium.FPDFPath_CountSegments(path)):
        segment = piece(path, index)
        place(segment, into_x, into_y)
        px, py = at_x.value, at_y.value
        point = ((a * px + c * py + e - ox) / MM, (b * px + d * py + f - oy) / MM)
        kind = kind_of(segment)
        if kind == pdfium.FPDF_SEGMENT_MOVETO:
            finish()
            points, curves, handles, closed = [point], [], [], False
        elif kind == pdfium.FPDF_SEGMENT_LINETO:
            points.append(point)
        else:
            handles.append(point)
            if len(handles) == 3:
                curves.append((points[-1], handles[0], handles[1], point))
                points.append(point)
                handles = []
        closed = closed or bool(closes(segment))
    finish()
    return shapes


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A circle on a page, in mm."""

    x: float
    y: float
    diameter: float
    shape: Shape


BETWEEN = tuple(((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3) for t in (0.2, 0.5, 0.8))
"""Weights of a Bézier's four points at places along it."""


def as_circle(shape: Shape, tolerance: float = 0.005) -> Circle | None:
    """The circle a closed path of Béziers is, to ``tolerance`` mm, or ``None``.

    Quarter Béziers leave a circle by 0.00027 of its radius; that is allowed on top.
    """
    if len(shape.curves) < 4 or len(shape.points) != len(shape.curves) + 1:
        return None
    first, last = shape.points[0], shape.points[-1]
    if math.dist(first, last) > tolerance:
        return None
    nodes = shape.points[:-1]
    x = sum(p[0] for p in nodes) / len(nodes)
    y = sum(p[1] for p in nodes) / len(nodes)
    radius = sum(math.dist(p, (x, y)) for p in nodes) / len(nodes)
    slack = tolerance + 0.0003 * radius
    if any(abs(math.dist(p, (x, y)) - radius) > tolerance for p in nodes):
        return None
    for (x0, y0), (x1, y1), (x2, y2), (x3, y3) in shape.curves:
        for a, b, c, d in BETWEEN:
            qx, qy = a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3
            if abs(math.hypot(qx - x, qy - y) - radius) > slack:
                return None
    return Circle(x=x, y=y, diameter=2 * radius, shape=shape)
