"""The distances a finished patch sheet is laid by, against the layout."""

from __future__ import annotations

import math
import re

from generators.geometry.contours import segments
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import Face
from generators.verify.pdf.content import Content

START = "To its centre: "
NOTHING = "No existing hole and no straight edge to measure from"
EDGE = r"the (?:upper|lower|left|right)(?: left| right)? edge"
LINE = re.compile(rf"hole (\w+): ((?:[\d.]+ (?:mm|in) from (?:{EDGE}|the rim of \w+)[,;. ]*)+)")
DISTANCE = re.compile(r"([\d.]+) (mm|in) from (?:the ([a-z ]+) edge|the rim of (\w+))")
ROUNDED_MM = {"mm": 0.0501, "in": 0.1271}
UNIT_MM = {"mm": 1.0, "in": 25.4}


def laying_problems(page: Content, layout: PanelLayout, face: Face) -> list[str]:
    """A distance that is not the layout's, or no word of what to lay the patch by."""
    if START not in page.text:
        return [] if NOTHING in page.text else ["does not say by what it is laid"]
    holes = {h.number: h for h in layout.holes}
    problems = []
    lines = LINE.findall(page.text.split(START, 1)[1])
    if not lines:
        problems.append("does not say by what it is laid")
    for number, text in lines:
        hole = holes.get(number)
        for said, short, edge, other in DISTANCE.findall(text):
            what = f"the {edge} edge" if edge else f"the rim of {other}"
            if hole is None or (other and other not in holes):
                problems.append(f"measures hole {number} from {what}, which is not there")
                continue
            true = _from_edges(layout, hole, edge, face) if edge else [_to_rim(hole, holes[other])]
            if not any(abs(float(said) * UNIT_MM[short] - mm) <= ROUNDED_MM[short] for mm in true):
                problems.append(f"says hole {number} is {said} {short} from {what}, which is not so")
    return problems


def _to_rim(a: PanelHole, b: PanelHole) -> float:
    """From the middle of ``a`` to the nearest point of the hole or slot ``b`` as it is there now."""
    du, dv = a.u_mm - b.u_mm, a.v_mm - b.v_mm
    along = du * math.cos(b.angle_rad) + dv * math.sin(b.angle_rad)
    past = max(abs(along) - b.travel_mm / 2, 0.0)
    across = dv * math.cos(b.angle_rad) - du * math.sin(b.angle_rad)
    return max(math.hypot(past, across) - (b.there_mm or b.final_dia_mm) / 2, 0.0)


def _from_edges(layout: PanelLayout, hole: PanelHole, name: str, face: Face) -> list[float]:
    """Square distances from the straight edges that lie to that side of the hole on the paper."""
    found = []
    for a, b in segments(layout.contour):
        length = math.hypot(b.u - a.u, b.v - a.v)
        if a.bulge != 0 or length == 0:
            continue
        share = ((hole.u_mm - a.u) * (b.u - a.u) + (hole.v_mm - a.v) * (b.v - a.v)) / length**2
        foot = (a.u + share * (b.u - a.u), a.v + share * (b.v - a.v))
        du, dv = foot[0] - hole.u_mm, foot[1] - hole.v_mm
        right = du if face == "cab" else -du
        there = {"left": right < 0, "right": right > 0, "upper": dv > 0, "lower": dv < 0}
        if all(there[word] for word in name.split()):
            found.append(math.hypot(du, dv))
    return found
