"""By what a patch is laid: distances of its outer holes from the rims of existing holes, or from edges."""

from __future__ import annotations

import math

from generators.drawing.template.hole_groups import LAID_BY, HoleGroup
from generators.drawing.template.tiles import EXISTING
from generators.figures import fixed
from generators.geometry.contours import counter_clockwise, segments
from generators.geometry.determining import determining_pair
from generators.geometry.rims import from_rim
from generators.geometry.sight import reached
from generators.layout.distances import between
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import Face
from generators.units import INCH_MM, UnitSystem

ALONG = 0.92  # cosine to an axis from which on an edge counts as left, right, upper or lower
NOT_PARALLEL = 0.5
NOTHING = "No existing hole and no straight edge to measure from: lay it by the large template."


def laying(
    layout: PanelLayout, group: HoleGroup, face: Face
) -> tuple[tuple[PanelHole, tuple[tuple[float, str], ...]], ...]:
    """The two holes of a patch that lie farthest apart, each with distances to its centre: mm from what.

    Two distances from the rims of existing holes, which a column or a pipe may fill, place a hole; with fewer
    holes there, distances square to the
    panel's edges take their place. Left and right as seen on that ``face``.
    """
    new = [h for h in group.holes if h not in group.laid_by] or list(group.holes)
    ends = max(((a, b) for a in new for b in new), key=lambda p: between(*p))
    found = []
    for hole in dict.fromkeys(ends):
        old = _bases(layout, group, hole)
        from_what = [(from_rim(hole.u_mm, hole.v_mm, h), f"the rim of {h.number}") for h in old]
        if len(old) < LAID_BY and layout.edge_known:
            from_what += [(mm, f"the {name} edge") for name, mm in _edges(layout, hole, face)]
        found.append((hole, tuple(from_what)))
    return tuple(found)


def _bases(layout: PanelLayout, group: HoleGroup, hole: PanelHole) -> list[PanelHole]:
    """The existing holes a hole is measured from: the sheet's own, unless something stands on the way there.

    Then of all that a rule reaches the two whose distances fix it best.
    """
    own = [h for h in group.laid_by if h is not hole][:LAID_BY]
    if all(reached(layout, h, hole) for h in own):
        return own
    free = [h for h in layout.holes if h.status in EXISTING and h is not hole and reached(layout, h, hole)]
    pair = determining_pair((hole.u_mm, hole.v_mm), [(h.u_mm, h.v_mm) for h in free])
    return [free[k] for k in pair] if pair is not None else free


def laying_note(layout: PanelLayout, group: HoleGroup, face: Face) -> str:
    """The distances a patch is laid by in words, and which hole each letter is."""
    lines = [
        f"hole {hole.number}: {', '.join(f'{_far(mm, layout.units)} from {what}' for mm, what in found)}"
        for hole, found in laying(layout, group, face)
        if found
    ]
    if not lines:
        return NOTHING
    said = {what for _, found in laying(layout, group, face) for _, what in found}
    named = {h.number: h.purpose for h in layout.holes if f"the rim of {h.number}" in said}
    letters = ", ".join(f"{number} = {what}" for number, what in named.items())
    return f"To its centre: {'; '.join(lines)}." + (f" {letters}." if letters else "")


def _far(mm: float, units: UnitSystem) -> str:
    return f"{fixed(mm, 1)} mm" if units == "metric" else f"{fixed(mm / INCH_MM, 2)} in"


def _edges(layout: PanelLayout, hole: PanelHole, face: Face) -> list[tuple[str, float]]:
    """The nearest straight edge square beside the hole, and the nearest across that one: names and mm."""
    found = []
    for a, b in segments(counter_clockwise(layout.contour)):
        length = math.hypot(b.u - a.u, b.v - a.v)
        if a.bulge != 0 or length == 0:
            continue
        du, dv = (b.u - a.u) / length, (b.v - a.v) / length
        along = (hole.u_mm - a.u) * du + (hole.v_mm - a.v) * dv
        inward = (hole.v_mm - a.v) * du - (hole.u_mm - a.u) * dv
        if 0 <= along <= length and inward > 0:
            found.append((inward, _named(dv, -du, face), (du, dv)))
    found.sort(key=lambda e: e[0])
    if not found:
        return []
    (_, _, (du, dv)) = found[0]
    across = [e for e in found[1:] if abs(e[2][0] * dv - e[2][1] * du) > NOT_PARALLEL]
    return [(name, mm) for mm, name, _ in (found[0], *across[:1])]


def _named(out_u: float, out_v: float, face: Face) -> str:
    """An edge by where it faces, as seen on the paper."""
    sides = ("right", "left") if face == "cab" else ("left", "right")
    words = []
    if abs(out_u) < ALONG:
        words.append("upper" if out_v > 0 else "lower")
    if abs(out_v) < ALONG:
        words.append(sides[0] if out_u > 0 else sides[1])
    return " ".join(words)
