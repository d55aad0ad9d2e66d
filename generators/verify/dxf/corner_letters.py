"""The corners' letters of a finished flat DXF: each beside its own corner, on metal, never on what is cut."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.geometry import Point, Polygon

from generators.geometry.contours import polyline
from generators.sheetmetal.folding import FlatPattern
from generators.verify.corners import lettered
from generators.verify.dxf.cut_contours import at
from generators.verify.dxf.flat_marks import Sheet

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
