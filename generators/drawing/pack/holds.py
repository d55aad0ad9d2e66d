"""By what a sheet is laid on the metal: two things on it, or distances in words, or sheets it is joined to.

Two points fix a sheet of paper on a panel: existing holes cut out of it, and straight edges of the panel
drawn on it. A sheet with fewer is laid by distances from such things, two to each of its outer holes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import geometry

from generators.drawing.template.sheet import Leaf
from generators.drawing.template.tiles import EXISTING
from generators.geometry.contours import segments
from generators.model.plan import PanelHole

ENOUGH = 2
LEAST_EDGE_MM = 40.0
"""Of an edge on a sheet, to lay it along; common practice, no source."""

FRAME_MM = 0.5
"""An edge no further from the sheet's frame is lost in its line."""

PARALLEL = 0.9
"""Cosine from which on two edges hold a sheet in one direction only."""


def old_holes(leaf: Leaf) -> tuple[PanelHole, ...]:
    """Holes that are in the panel already and whole on the sheet."""
    return tuple(h for h in leaf.layout.holes if h.status in EXISTING and leaf.shows(h))


def edges(leaf: Leaf) -> tuple[tuple[float, float], ...]:
    """Directions of the straight edges to lay a sheet along, no two of them parallel."""
    found: list[tuple[float, float]] = []
    if not leaf.layout.edge_known:
        return ()
    page = geometry.box(*leaf.box).buffer(-FRAME_MM, join_style="mitre")
    for a, b in segments(leaf.layout.contour):
        length = math.hypot(b.u - a.u, b.v - a.v)
        if a.bulge != 0 or length == 0:
            continue
        here = geometry.LineString([(a.u, a.v), (b.u, b.v)]).intersection(page).length
        way = ((b.u - a.u) / length, (b.v - a.v) / length)
        if here >= LEAST_EDGE_MM and all(abs(way[0] * x + way[1] * y) < PARALLEL for x, y in found):
            found.append(way)
    return tuple(found)


def drawn_on(leaves: Sequence[Leaf]) -> int:
    """How many things sheets that are joined show to lay them by."""
    holes = {h.number for leaf in leaves for h in old_holes(leaf)}
    return len(holes) + max((len(edges(leaf)) for leaf in leaves), default=0)


def joined(leaves: Sequence[Leaf]) -> list[list[Leaf]]:
    """Sheets in groups that are taped to each other; a loose one is a group of its own."""
    left, groups = list(leaves), []
    while left:
        group = [left.pop(0)]
        for leaf in group:
            beside = [x for x in left if _neighbours(leaf, x)]
            group += beside
            left = [x for x in left if x not in beside]
        groups.append(group)
    return groups


def _neighbours(a: Leaf, b: Leaf) -> bool:
    if a.cell is None or b.cell is None:
        return False
    return abs(a.cell[0] - b.cell[0]) + abs(a.cell[1] - b.cell[1]) == 1


def held(group: Sequence[Leaf]) -> bool:
    """True when two things say where the joined sheets go."""
    return drawn_on(group) >= ENOUGH or all(leaf.laid >= ENOUGH for leaf in group)
