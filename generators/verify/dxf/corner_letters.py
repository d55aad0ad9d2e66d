"""The corners' letters of a finished flat DXF: each beside its own corner, on metal, never on what is cut.

The corners are walked here anew: counter-clockwise from the lower left one, an arc is one corner, and where
two straight sides meet is one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.geometry import Point, Polygon

from generators.geometry.contours import arc_middle, arc_of, polyline, segments
from generators.sheetmetal.folding import FlatPattern
from generators.verify.dxf.cut_contours import at
from generators.verify.dxf.flat_marks import Sheet

ALPHABET = "abcdefhkmnrstuvwxz"
SAME_MM = 1e-6
OFF_MM = 0.5
NEVER = "MARK OR LEAVE OUT, NEVER CUT"


def corner_letter_problems(sheet: Sheet, flat: FlatPattern, layer: str) -> Iterator[str]:
    """What is wrong with the letters; without a ``layer`` there must be none."""
    if not layer:
        if sheet.letters:
            yield f"{len(sheet.letters)} letters of corners, which nobody asked for"
        return
    corners = lettered(flat)
    if len(corners) < 2:
        return
    if not any(text.startswith(f"Layer {layer}: letters") and NEVER in text for text, _ in sheet.texts):
        yield f"no note says that the letters on {layer} are never cut"
    found = {text: (place, high) for text, place, high in sheet.letters}
    if len(sheet.letters) != len(corners) or set(found) != set(corners):
        yield f"the letters {sorted(found)} of corners, by the outline {sorted(corners)}"
        return
    metal = Polygon(polyline(flat.contour, 0.05)).buffer(OFF_MM)
    for text, (place, high) in found.items():
        x, y = place[0] + high * len(text) / 2, place[1] + high / 2
        nearest = min(corners, key=lambda c: math.dist(corners[c], (x, y)))
        if nearest != text:
            yield f"letter {text} at {at((x, y))} stands beside corner {nearest}"
        if not metal.contains(Point(x, y)):
            yield f"letter {text} at {at((x, y))} is not on the blank"


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
