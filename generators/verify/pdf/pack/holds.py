"""By what a finished sheet can be laid: counted on the paper, from what is drawn and said on it.

Old holes whole within the frame, straight edges of the panel, distances in words to each of its outer holes;
and the same of the sheets it can be joined to, which carry the same registration marks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from generators.geometry.contours import segments
from generators.model.plan import PanelLayout
from generators.verify.pdf.content import Box, Content, Point
from generators.verify.pdf.template.laying import LINE, START
from generators.verify.pdf.template.pose import HOLE_MM, Pose

TWO = 2
EDGE_MM = 39.9  # of an edge, to lay a sheet along
EDGE_LINE_MM = 0.6
PARALLEL = 0.9
SHORT = "Fewer than two things say where this sheet goes"
SHARED = 2  # marks two sheets have in common, to be joined


@dataclass(slots=True, kw_only=True)
class Held:
    """What one sheet shows: holes whole on it by number, its marks, and what it can be laid by."""

    title: str
    face: str
    number: int
    new: set[str] = field(default_factory=set)
    old: set[str] = field(default_factory=set)
    edges: int = 0
    laid: dict[str, int] = field(default_factory=dict)
    marks: frozenset[tuple[int, int]] = frozenset()
    warned: bool = False
    """True where it says that too little tells its place: with fewer than two holes there that may be."""


def laid_in_words(page: Content) -> dict[str, int]:
    """How many distances the sheet gives to each hole it names."""
    if START not in page.text:
        return {}
    lines = LINE.findall(page.text.split(START, 1)[1])
    return {number: text.count(" from ") for number, text in lines}


def edges_on(page: Content, layout: PanelLayout, pose: Pose, rim: Box) -> int:
    """Straight edges of the panel drawn on the sheet, long enough to lay it along, no two parallel."""
    if not layout.edge_known:
        return 0
    heavy = [s for s in page.shapes if s.stroked and s.width >= EDGE_LINE_MM and not s.filled]
    ways: list[Point] = []
    for a, b in segments(layout.contour):
        p, q = pose.page(a.u, a.v), pose.page(b.u, b.v)
        length = math.dist(p, q)
        if a.bulge != 0 or length == 0:
            continue
        way = (q[0] - p[0]) / length, (q[1] - p[1]) / length
        drawn = any(_near(s.points, p) and _near(s.points, q) for s in heavy)
        new = all(abs(way[0] * x + way[1] * y) < PARALLEL for x, y in ways)
        if drawn and new and _inside(p, q, rim) >= EDGE_MM:
            ways.append(way)
    return len(ways)


def _near(points: Sequence[Point], p: Point) -> bool:
    return any(math.dist(p, x) <= HOLE_MM for x in points)


def _inside(p: Point, q: Point, rim: Box) -> float:
    """Length of a line within a box, mm (Liang and Barsky's clipping)."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        step = q[axis] - p[axis]
        for sign, bound in ((-1.0, rim[axis]), (1.0, rim[axis + 2])):
            run, room = sign * step, sign * (bound - p[axis])
            if abs(run) < 1e-12:
                if room < 0:
                    return 0.0
            elif run > 0:
                high = min(high, room / run)
            else:
                low = max(low, room / run)
    return max(0.0, high - low) * math.dist(p, q)


def held_problems(sheets: Sequence[Held], wanted: Sequence[tuple[str, str]]) -> list[str]:
    """Of each ``wanted`` hole (number, face): is it whole on a sheet of that face, and is that sheet held?"""
    problems = []
    groups = _groups(sheets)
    for number, face in wanted:
        mine = [s for s in sheets if s.face == face and number in s.new]
        if not mine:
            problems.append(f"hole {number} is whole on no sheet of the {face} face")
        elif all(_count(s, groups) < TWO and not s.warned for s in mine):
            said = max(_count(s, groups) for s in mine)
            problems.append(f"hole {number} can be laid by {said} thing only (page {mine[0].number})")
    return problems


def _count(sheet: Held, groups: Sequence[Sequence[Held]]) -> int:
    """Things to lay a sheet by: its own and those of the sheets it is joined to, or distances in words."""
    group = next(g for g in groups if any(x is sheet for x in g))
    drawn = len(set().union(*(x.old for x in group))) + max(x.edges for x in group)
    return max(drawn, min(sheet.laid.values(), default=0))


def _groups(sheets: Sequence[Held]) -> list[list[Held]]:
    """Sheets of one panel and face that share marks, as groups."""
    left, groups = list(sheets), []
    while left:
        group = [left.pop(0)]
        for one in group:
            near = [x for x in left if _joined(one, x)]
            group += near
            left = [x for x in left if all(x is not y for y in near)]
        groups.append(group)
    return groups


def _joined(a: Held, b: Held) -> bool:
    return (a.title, a.face) == (b.title, b.face) and len(a.marks & b.marks) >= SHARED
