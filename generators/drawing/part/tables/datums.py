"""Where X and Y of a blank are counted from."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.geometry.contours import bounds, segments
from generators.sheetmetal.folding import FlatPattern

DATUM_EDGE_MM = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Datums:
    """Where X and Y of the blank are measured from, in blank coordinates and in words."""

    u_mm: float
    v_mm: float
    u_words: str
    v_words: str


def find_datums(flat: FlatPattern) -> Datums:
    """The left and lower edges of the blank where they are straight, else a hole's centre or its middle."""
    low_u, low_v, high_u, high_v = bounds(flat.contour)
    has_left = has_low = False
    for a, b in segments(flat.contour):
        if a.bulge == 0 and math.hypot(b.u - a.u, b.v - a.v) >= DATUM_EDGE_MM:
            has_left |= max(abs(a.u - low_u), abs(b.u - low_u)) < 1e-6
            has_low |= max(abs(a.v - low_v), abs(b.v - low_v)) < 1e-6
    # two arcs and nothing else close only as one circle
    round_blank = [p.bulge for p in flat.contour.vertices] == [1.0, 1.0]
    # the part's own origin if there is a hole, else the first hole
    holes = sorted(enumerate(flat.holes), key=lambda h: math.hypot(h[1].u_mm, h[1].v_mm) >= 1e-6)

    def fallback(low: float, high: float, *, along: bool) -> tuple[float, str]:
        if holes and not round_blank:
            number, hole = holes[0]
            return (hole.u_mm if along else hole.v_mm), f"the centre of hole {number + 1}"
        return (low + high) / 2, "the middle of the blank"

    u, u_words = (low_u, "the left edge") if has_left else fallback(low_u, high_u, along=True)
    v, v_words = (low_v, "the lower edge") if has_low else fallback(low_v, high_v, along=False)
    return Datums(u_mm=u, v_mm=v, u_words=u_words, v_words=v_words)
