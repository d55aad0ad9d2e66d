"""The pegs of a printed block on its drawing: hidden behind it from the front, standing out at its edge."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from shapely.geometry import Polygon
from shapely.ops import unary_union

from generators.drawing.paper.dimensions import (
    TEXT_MM,
    Clutter,
    Point,
    aligned,
    centre_cross,
    disc,
    number,
    turned_text,
)
from generators.drawing.paper.pen import MEDIUM, THIN, Pen, text_width
from generators.drawing.part.folded_view import HIDDEN, HIDDEN_GREY
from generators.model.plan import Peg

DIMENSION_MM = 4.0
WORDS_MM = 2.5
THIS_SIDE = "this side to the metal"


def pegs_from_the_front(
    pen: Pen, clutter: Clutter, pegs: Sequence[Peg], page: Callable[[float, float], Point], scale: float
) -> None:
    """Dashed circles with centre lines; ``page`` takes u and v to the sheet."""
    for peg in pegs:
        x, y = page(peg.u_mm, peg.v_mm)
        diameter = peg.diameter_mm * scale
        centre_cross(pen, clutter, x, y, diameter)
        pen.stroke(THIN, HIDDEN_GREY, dash=HIDDEN)
        pen.circle(x, y, diameter)
        clutter.add(disc(x, y, diameter).boundary, 2.0)


def _profile(peg: Peg, x: float, y: float, toward: float) -> Polygon:
    """Outline of a peg seen from its side, whose foot is at ``x``; ``toward`` is the signed scale."""
    wide, tip = peg.diameter_mm * abs(toward) / 2, peg.tip_mm * abs(toward) / 2
    neck, end = x + toward * peg.straight_mm, x + toward * peg.height_mm
    half = [(x, -wide), (neck, -wide), (end, -tip)]
    return Polygon([(a, y + b) for a, b in half] + [(a, y - b) for a, b in reversed(half)])


def pegs_from_the_side(
    pen: Pen,
    clutter: Clutter,
    pegs: Sequence[Peg],
    level: Callable[[float], float],
    x: float,
    toward: float,
    span: tuple[float, float],
) -> None:
    """The pegs on the edge view, whose lower side is at ``x``, with their height and which side that is.

    ``level`` takes v to the sheet, ``toward`` is the scale, negative where pegs point left, and ``span``
    the lower and upper end of the block on the sheet, mm.
    """
    if not pegs:
        return
    pen.stroke(MEDIUM)
    seen = unary_union([_profile(peg, x, level(peg.v_mm), toward) for peg in pegs])
    for shape in getattr(seen, "geoms", [seen]):
        pen.polygon(list(shape.exterior.coords)[:-1])
        clutter.add(shape.boundary, 2.0)
    highest = max(pegs, key=lambda p: (p.height_mm, p.v_mm))
    top = level(highest.v_mm) + highest.tip_mm * abs(toward) / 2
    end = x + toward * highest.height_mm
    low, high = span
    aligned(
        pen,
        clutter,
        ((x, top), (end, top)),
        (0.0, 1.0),
        high - top + DIMENSION_MM,
        number(highest.height_mm),
    )
    if text_width(THIS_SIDE, TEXT_MM) < high - low:
        beside = end + math.copysign(WORDS_MM, toward)
        turned_text(pen, (beside, (low + high) / 2), THIS_SIDE, math.pi / 2)
