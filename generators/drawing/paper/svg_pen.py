"""A pen on an SVG picture: one page, mm, y upward as on paper."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from generators.drawing.paper.pen import BLACK, MEDIUM, Pen
from generators.geometry.contours import arc_of, segments
from generators.model.contour import Contour

DIGITS = 4
ANCHORS = {"left": "start", "centre": "middle", "right": "end"}


class SvgPen(Pen):
    """Draws the one page of an SVG file."""

    def __init__(self, path: Path, width_mm: float, height_mm: float, *, title: str, subject: str) -> None:
        self.path, self.title, self.subject = path, title, subject
        self.width, self.height = width_mm, height_mm
        self._out: list[str] = []
        self._line = ""
        self.stroke()

    def close(self) -> None:
        """Write the file."""
        self.path.write_text(self.drawn(), encoding="utf-8", newline="\n")

    def drawn(self) -> str:
        """The picture so far as the text of its file."""
        w, h = _n(self.width), _n(self.height)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">\n'
            f"<title>{escape(self.title)}</title>\n<desc>{escape(self.subject)}</desc>\n"
            f'<rect width="{w}" height="{h}" fill="white"/>\n'
        )
        return head + "\n".join(self._out) + "\n</svg>\n"

    @contextmanager
    def clipped(self, x: float, y: float, width: float, height: float) -> Iterator[None]:
        """Everything drawn inside shows only within this box."""
        name = f"clip{len(self._out)}"
        self._out.append(
            f'<clipPath id="{name}"><rect x="{_n(x)}" y="{self._y(y + height)}" width="{_n(width)}" '
            f'height="{_n(height)}"/></clipPath><g clip-path="url(#{name})">'
        )
        line = self._line
        try:
            yield
        finally:
            self._out.append("</g>")
            self._line = line

    def stroke(
        self, width_mm: float = MEDIUM, grey: float = BLACK, dash: Sequence[float] | None = None
    ) -> None:
        """Set line width, grey level (0 black) and dash pattern in mm."""
        dashes = f' stroke-dasharray="{" ".join(_n(d) for d in dash)}"' if dash else ""
        self._line = f'stroke="{_grey(grey)}" stroke-width="{_n(width_mm)}"{dashes}'

    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """A straight line."""
        self._out.append(
            f'<line x1="{_n(x1)}" y1="{self._y(y1)}" x2="{_n(x2)}" y2="{self._y(y2)}" {self._line}/>'
        )

    def rect(
        self, x: float, y: float, width: float, height: float, *, fill: float | None = None, edge: bool = True
    ) -> None:
        """A box from its lower left corner, filled with a grey level if given."""
        self.polygon([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], fill=fill, edge=edge)

    def circle(
        self, x: float, y: float, diameter: float, *, fill: float | None = None, edge: bool = True
    ) -> None:
        """A circle by its diameter."""
        self._out.append(
            f'<circle cx="{_n(x)}" cy="{self._y(y)}" r="{_n(diameter / 2)}" {self._paint(fill, edge)}/>'
        )

    def quadrants(self, x: float, y: float, diameter: float) -> None:
        """Two opposite black quarters of a disc: the inside of a registration mark."""
        r = diameter / 2
        for sign in (1, -1):
            self._out.append(
                f'<path d="M{_n(x)},{self._y(y)} L{_n(x + sign * r)},{self._y(y)} A{_n(r)},{_n(r)} 0 0 0 '
                f'{_n(x)},{self._y(y + sign * r)} Z" fill="{_grey(BLACK)}"/>'
            )

    def polygon(
        self,
        points: Sequence[tuple[float, float]],
        *,
        fill: float | None = None,
        edge: bool = True,
        closed: bool = True,
    ) -> None:
        """A polygon or polyline."""
        shape = "polygon" if closed else "polyline"
        text = " ".join(f"{_n(x)},{self._y(y)}" for x, y in points)
        self._out.append(f'<{shape} points="{text}" {self._paint(fill, edge)}/>')

    def contour(self, contour: Contour, *, fill: float | None = None, edge: bool = True) -> None:
        """An outline whose coordinates are already those of the page; arcs stay arcs."""
        first = contour.vertices[0]
        path = [f"M{_n(first.u)},{self._y(first.v)}"]
        for a, b in segments(contour):
            if a.bulge == 0:
                path.append(f"L{_n(b.u)},{self._y(b.v)}")
                continue
            arc = arc_of(a, b)
            r = _n(arc.radius)
            large, sweep = int(abs(arc.sweep) > math.pi), int(arc.sweep < 0)  # y runs down
            path.append(f"A{r},{r} 0 {large} {sweep} {_n(b.u)},{self._y(b.v)}")
        self._out.append(f'<path d="{" ".join(path)} Z" {self._paint(fill, edge)}/>')

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
        turn = f" rotate({_n(-angle_deg)})" if angle_deg else ""
        weight = ' font-weight="bold"' if bold else ""
        place = quoteattr(f"translate({_n(x)} {self._y(y)}){turn}")
        self._out.append(
            f'<text transform={place} font-family="Helvetica, Arial, sans-serif" font-size="{_n(size)}" '
            f'text-anchor="{ANCHORS[align]}" fill="{_grey(grey)}"{weight}>{escape(text)}</text>'
        )

    def _y(self, y: float) -> str:
        return _n(self.height - y)

    def _paint(self, fill: float | None, edge: bool) -> str:
        inside = "none" if fill is None else _grey(fill)
        return f'fill="{inside}" {self._line if edge else ""}'.rstrip()


def _n(value: float) -> str:
    """A number of mm without needless digits: a picture is not cut from."""
    return f"{round(value, DIGITS) + 0.0:g}"


def _grey(level: float) -> str:
    step = round(255 * level)
    return f"#{step:02x}{step:02x}{step:02x}"
