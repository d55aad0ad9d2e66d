"""The blank's picture on a setup sheet: whether each stop's edge lies between the letters its step names."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence

from generators.geometry.contours import bounds, segments
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import FlatPattern, flat_pattern
from generators.verify.pdf.bending.blank import along, in_mm, rear_side

Point = tuple[float, float]
Ring = Sequence[Point]
LETTER = re.compile(r"[a-z]{1,2}")
TITLE = "The blank, upper side up"
OFF_MM = 0.05
SHAPE = 0.02
"""How far height over width of a picture may be from the blank's."""


def seen_letters(
    rings: Sequence[Ring], words: Sequence[tuple[str, Point]], flat: FlatPattern
) -> tuple[dict[str, Point], list[str]]:
    """Where letters stand on the blank, mm of it, by the picture's outline; and what is wrong with that."""
    if not rings:
        return {}, ["no picture of the blank"]

    def size(ring: Ring) -> tuple[float, float, float, float]:
        us, vs = [p[0] for p in ring], [p[1] for p in ring]
        return min(us), min(vs), max(us), max(vs)

    x0, y0, x1, y1 = max((size(r) for r in rings), key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))
    u0, v0, u1, v1 = bounds(flat.contour)
    if abs((y1 - y0) / (x1 - x0) - (v1 - v0) / (u1 - u0)) > SHAPE * (v1 - v0) / (u1 - u0):
        return {}, ["the picture of the blank has not the blank's shape"]
    scale = (u1 - u0) / (x1 - x0)
    found = {
        text: (u0 + (x - x0) * scale, v0 + (y - y0) * scale)
        for text, (x, y) in words
        if LETTER.fullmatch(text)
    }
    return found, []


def letter_problems(
    steps: Sequence[re.Match[str]], letters: Mapping[str, Point], plan: PartPlan
) -> Iterator[str]:
    """Stops against edges whose two letters are not those of a straight side at the stop's distance."""
    flat = flat_pattern(plan)
    sides = [((a.u, a.v), (b.u, b.v)) for a, b in segments(flat.contour) if a.bulge == 0]
    for match in steps:
        said = match.groupdict().get("corners")
        strip = next((b for b in flat.bends if b.bend.name.replace("_", " ") == match["bend"]), None)
        if match["stop"] is None or strip is None or match.groupdict().get("on") == "outer face":
            continue
        one, _, two = (said or "").partition(" to ")
        if one not in letters or two not in letters:
            yield f"step {match['number']}: no letters {said or 'of its edge'} on the blank's picture"
            continue
        a, b = letters[one], letters[two]
        side = min(sides, key=lambda s: math.dist(s[0], a) + math.dist(s[1], b))
        off = along(strip, side)
        # on a folder from the front of the noses, which the scribed line lies before
        line = 0.0
        if "line" in match.groupdict():
            line = in_mm(match["line"], match["line_unit"]) * (1 if match["way"] == "in front of" else -1)
        wanted = in_mm(match["stop"], match["unit"]) + line
        if off is None or abs(off * rear_side(strip, match["rear"]) - wanted) > OFF_MM:
            yield f"step {match['number']}: the edge {said} is not where its stop is"
