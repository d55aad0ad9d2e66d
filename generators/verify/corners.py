"""Letters of a blank's corners, found anew from its outline by whoever reads a finished file.

The corners are walked counter-clockwise from the lower left one, an arc is one corner, and where two straight
sides meet is one.
"""

from __future__ import annotations

import math

from generators.geometry.contours import arc_middle, arc_of, segments
from generators.sheetmetal.folding import FlatPattern

ALPHABET = "abcdefhkmnrstuvwxz"
SAME_MM = 1e-6


def lettered(flat: FlatPattern) -> dict[str, tuple[float, float]]:
    """Each corner's letter, and where the outline shows it."""
    sides = list(segments(flat.contour))
    places: list[tuple[float, float]] = []
    middle: tuple[float, float] | None = None
    for i, (a, b) in enumerate(sides):
        if not a.bulge:
            if not sides[i - 1][0].bulge:
                places.append((a.u, a.v))
            middle = None
            continue
        arc = arc_of(a, b)
        wide = abs(arc.sweep) > math.radians(120)
        if not (wide and middle is not None and math.dist(middle, (arc.cu, arc.cv)) < SAME_MM):
            places.append(arc_middle(a, b))
        middle = (arc.cu, arc.cv) if wide else None
    first = min(range(len(places)), key=lambda i: (round(sum(places[i]), 6), i))
    return {_letter(k): place for k, place in enumerate([*places[first:], *places[:first]])}


def _letter(index: int) -> str:
    more, own = divmod(index, len(ALPHABET))
    return (ALPHABET[more - 1] if more else "") + ALPHABET[own]
