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
DRAWN_MM = 0.1
"""How far what is drawn may be off on paper."""
SHAPE = 0.02
"""How far height over width of a picture may be from the blank's."""


def seen_letters(
    rings: Sequence[Ring], words: Sequence[tuple[str, Point]], flat: FlatPattern
) -> tuple[dict[str, Point], list[str]]:
    """Where letters stand on the blank, mm of it, by the picture's outline; and what is wrong with that."""
    if not rings:
        return {}, ["no picture of the blank"]

    x0, y0, x1, y1 = max(map(_size, rings), key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))
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


def unseen_openings(rings: Sequence[Ring], flat: FlatPattern) -> list[str]:
    """Holes and slots of the blank that its picture does not show where they are, as large as they are."""
    u0, v0, u1, _ = bounds(flat.contour)
    x0, y0, x1, _ = max(map(_size, rings), key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))
    scale = (u1 - u0) / (x1 - x0)
    seen = [
        (u0 + (a - x0) * scale, v0 + (b - y0) * scale, c * scale, d * scale) for a, b, c, d in _seats(rings)
    ]
    # an opening is drawn with a fine rim, and the smallest are a millimetre on paper
    off = DRAWN_MM * scale
    wanted = [(h.name, h.u_mm, h.v_mm, h.diameter_mm, h.diameter_mm) for h in flat.holes]
    for s in flat.slots:
        across, up = (abs(math.cos(s.angle_rad)) * s.travel_mm, abs(math.sin(s.angle_rad)) * s.travel_mm)
        wanted.append((s.name, s.u_mm, s.v_mm, across + s.width_mm, up + s.width_mm))
    return [
        f"the picture of the blank does not show {name.replace('_', ' ')}"
        for name, *place in wanted
        if not any(all(abs(a - b) < off for a, b in zip(place, spot, strict=True)) for spot in seen)
    ]


def _size(ring: Ring) -> tuple[float, float, float, float]:
    us, vs = [p[0] for p in ring], [p[1] for p in ring]
    return min(us), min(vs), max(us), max(vs)


def _seats(rings: Sequence[Ring]) -> Iterator[tuple[float, float, float, float]]:
    """Middle, width and height of each outline on the page."""
    for a, b, c, d in map(_size, rings):
        yield (a + c) / 2, (b + d) / 2, c - a, d - b


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
