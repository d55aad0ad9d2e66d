"""Filing sheets: one page for each hole to be filed or opened, at full size, with the line to file to.

Above, the hole and what lies round it 1:1, to be cut out and stuck on the metal by its rim; below, the same
hole larger, with its sizes, to see which rim it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from generators.drawing.paper.furniture import Live, Words, draw_furniture, live_area
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import BLACK, GREY, LIGHT, MEDIUM, THIN, WHITE, Pen, text_width, wrap_text
from generators.drawing.paper.sizes import PaperChoice, paper_choices
from generators.figures import fixed
from generators.geometry.contours import stadium
from generators.model.contour import Contour
from generators.model.filing import Cut, Opening
from generators.model.words import TemplateFace
from generators.standards import paper as paper_row

FACE: TemplateFace = "FILING SHEET"
ROLL_SHEET = "A4"
DASH = (2.0, 1.0)
LARGER = 4.0
LARGEST_PART = 0.42
"""Share of the page's height that the enlarged view and the words have."""

CROSS_MM = 4.0
ARROW_MM = 7.0
PLAIN, LOUD = 3.4, 4.6
HANDLE = (
    "File to the dashed line and leave the line standing; try the part on before you take more: metal cannot "
    "be put back. Take the part off the vehicle and clamp it. Goggles. Deburr both sides, blow the filings "
    "out, paint bare metal. A nut over a slot wants a thick washer."
)


@dataclass(frozen=True, slots=True)
class _Map:
    """From the frame of a cut to page mm."""

    x: float
    y: float
    scale: float
    about: tuple[float, float]

    def __call__(self, u: float, v: float) -> tuple[float, float]:
        return self.x + self.scale * (u - self.about[0]), self.y + self.scale * (v - self.about[1])

    def contour(self, outline: Contour) -> Contour:
        """The outline on the page: bulges stay, there is no mirror."""
        at = [self(p.u, p.v) for p in outline.vertices]
        return Contour(
            vertices=tuple(replace(p, u=x, v=y) for p, (x, y) in zip(outline.vertices, at, strict=True))
        )


def write_filing(cuts: Sequence[Cut], path: Path, *, paper: str, job: str, revision: str) -> tuple[str, ...]:
    """Write the filing sheets, a page for each cut. Off a roll they are A4 pages.

    Raises ``ExportError`` when the file cannot be written, and what ``paper_choices`` raises.
    """
    choice = _sheet(paper_choices(paper)[0])
    width, height = choice.width_mm, choice.height_mm or choice.width_mm
    pen = PdfPen(path, title=f"{job}: filing sheets", subject=f"{job}, revision {revision}, 1:1")
    for number, cut in enumerate(cuts, 1):
        pen.page(width, height)
        words = Words(
            face=FACE,
            job=job,
            panel=f"{cut.thing}, hole {cut.before.name}",
            material="1:1",
            revision=revision,
            paper=choice.name,
            witness_note=f"Drawn as seen {cut.seen}.",
            join=HANDLE,
        )
        draw_furniture(pen, words, f"hole {cut.before.name}", number, len(cuts), None)
        _page(pen, cut, live_area(width, height))
    pen.finish()
    return ()


def _sheet(choice: PaperChoice) -> PaperChoice:
    if not choice.is_roll:
        return choice
    row = paper_row(ROLL_SHEET)
    return PaperChoice(name=row.name, width_mm=row.width_mm, height_mm=row.height_mm)


def _page(pen: Pen, cut: Cut, live: Live) -> None:
    """The cut at full size above, larger with words below."""
    low = round(live.height * LARGEST_PART)
    pen.stroke(THIN)
    pen.line(live.x, live.y + low, live.x + live.width, live.y + low)
    middle = _middle(cut)
    with pen.clipped(live.x + 0.5, live.y + low + 0.5, live.width - 1, live.height - low - 1):
        full = _Map(live.x + live.width / 2, live.y + low + (live.height - low) / 2, 1.0, middle)
        _around(pen, cut, full)
        _hole(pen, cut, full)
    title = "FULL SIZE, 1:1"
    box = text_width(title, LOUD, bold=True) + 4
    pen.rect(live.x + 0.5, live.y + live.height - 9.5, box, 9, fill=WHITE, edge=False)
    pen.text(live.x + 3, live.y + live.height - 6, title, LOUD, bold=True)
    side = min(live.width * 0.45, low - 6.0)
    scale = min(LARGER, (side - 12) / _reach(cut))
    x, y = live.x + 3, live.y + 3
    with pen.clipped(x, y, side, low - 6.0):
        large = _Map(x + side / 2, y + (low - 6.0) / 2, scale, middle)
        _hole(pen, cut, large, metal=True)
        _depth(pen, cut, large)
    pen.text(x + 1, live.y + low - 6, f"LARGER, {scale:.2g} : 1, do not measure here", PLAIN, bold=True)
    _words(pen, cut, x + side + 4, live.y + low - 5, live.x + live.width - x - side - 7)


def _words(pen: Pen, cut: Cut, x: float, top: float, width: float) -> None:
    y = top
    for text, size, bold in ((cut.order, LOUD, True), (cut.edge, PLAIN, False), (_sizes(cut), PLAIN, False)):
        for line in wrap_text(text, size, width, bold=bold):
            y -= size * 1.35
            pen.text(x, y, line, size, bold=bold)
        y -= 2.0


def _sizes(cut: Cut) -> str:
    was, now = cut.before, cut.after
    if now.travel_mm:
        over = now.travel_mm + now.width_mm
        return f"Now {_span(was)}. Then {fixed(over, 1)} mm over all, {fixed(now.width_mm, 2)} mm wide."
    return f"Now {_span(was)}. Then {fixed(now.width_mm, 2)} mm across."


def _span(opening: Opening) -> str:
    if opening.travel_mm:
        over = opening.travel_mm + opening.width_mm
        return f"{fixed(over, 1)} mm over all, {fixed(opening.width_mm, 2)} mm wide"
    return f"{fixed(opening.width_mm, 2)} mm across"


def _middle(cut: Cut) -> tuple[float, float]:
    """Between the hole as it is and as it is to be."""
    (u0, v0), (u1, v1) = cut.before.at, cut.after.at
    return (u0 + u1) / 2, (v0 + v1) / 2


def _reach(cut: Cut) -> float:
    """How wide the cut is, whichever way, mm."""
    each = (cut.before, cut.after)
    return math.dist(cut.before.at, cut.after.at) + max(o.width_mm + o.travel_mm for o in each)


def _shape(opening: Opening) -> Contour:
    u, v = opening.at
    return stadium(u, v, opening.width_mm, opening.travel_mm, opening.angle_rad)


def _draw(pen: Pen, opening: Opening, view: _Map, fill: float | None = None) -> None:
    if opening.travel_mm:
        pen.contour(view.contour(_shape(opening)), fill=fill)
    else:
        pen.circle(*view(*opening.at), opening.width_mm * view.scale, fill=fill)


def _around(pen: Pen, cut: Cut, view: _Map) -> None:
    """The outline and the other holes, to lay the paper by."""
    pen.stroke(MEDIUM)
    for outline in cut.outlines:
        pen.contour(view.contour(outline))
    for other in cut.others:
        pen.stroke(THIN)
        _draw(pen, other, view)
        x, y = view(*other.at)
        _cross(pen, x, y, GREY)
        under = y - (other.width_mm + other.travel_mm) / 2 - 3.2
        pen.text(x, under, other.name, 2.6, grey=GREY, align="centre")


def _hole(pen: Pen, cut: Cut, view: _Map, *, metal: bool = False) -> None:
    """The hole as it is, a plain line, and the line to file to, dashed; the metal between may be grey."""
    if metal:
        pen.stroke(THIN, LIGHT)
        _draw(pen, cut.after, view, fill=LIGHT)
        _draw(pen, cut.before, view, fill=1.0)
    pen.stroke(MEDIUM, BLACK, DASH)
    _draw(pen, cut.after, view)
    pen.stroke(MEDIUM)
    _draw(pen, cut.before, view)
    _cross(pen, *view(*cut.before.at), BLACK)


def _depth(pen: Pen, cut: Cut, view: _Map) -> None:
    """An arrow across the metal to be taken off where a hole is made longer, with how deep that is."""
    far = cut.after.travel_mm - cut.before.travel_mm
    if far <= 0:
        return
    du, dv = (b - a for a, b in zip(cut.before.at, cut.after.at, strict=True))
    length = math.hypot(du, dv)
    c, s = du / length, dv / length
    rim = (cut.before.width_mm + cut.before.travel_mm) / 2
    u, v = cut.before.at
    x, y = view(u + c * (rim + far), v + s * (rim + far))
    pen.stroke(MEDIUM)
    pen.line(x, y, x + ARROW_MM * c, y + ARROW_MM * s)
    tip = ((x, y), (x + 2.5 * c - s, y + 2.5 * s + c), (x + 2.5 * c + s, y + 2.5 * s - c))
    pen.polygon(tip, fill=BLACK, edge=False)
    at_x, at_y = x + (ARROW_MM + 6) * c, y + (ARROW_MM + 3) * s - 1.2
    pen.text(at_x, at_y, f"{fixed(far, 1)} mm", PLAIN, bold=True, align="centre")


def _cross(pen: Pen, x: float, y: float, grey: float) -> None:
    pen.stroke(THIN, grey)
    pen.line(x - CROSS_MM, y, x + CROSS_MM, y)
    pen.line(x, y - CROSS_MM, x, y + CROSS_MM)
