"""What a part with welds must be once it is welded, for drawing and inspection: a weld pulls as it cools.

And beside which face no fillet can be laid, where the other flange does not go on for its leg.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from shapely.geometry import LineString, Point, Polygon

from generators.figures import fixed
from generators.geometry.contours import bounds, polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Flange, PartPlan
from generators.sheetmetal.folding import bends_above, folded_frames
from generators.sheetmetal.lying import lying
from generators.sheetmetal.seams import Seam, seams
from generators.standards import general_deviation_mm

FLATNESS = ((120.0, 0.5), (400.0, 1.0), (1000.0, 1.5), (2000.0, 2.0))
"""Flatness up to a length, mm: ISO 13920 class E, from memory (M-high). It begins at 30 mm; a shorter
face has its first step."""

FINE_MM, FAR_MM = 0.05, 1e4


def welded_flanges(plan: PartPlan) -> tuple[str, ...]:
    """The flanges that a weld joins to each other, or that a boss is welded on, in the plan's order."""
    joined = {name for pair, seam in seams(plan) if seam is not None for name in pair}
    return tuple(flange.name for flange in plan.flanges if flange.name in joined or _bossed(flange))


def flat_face(plan: PartPlan) -> tuple[str, float] | None:
    """The welded flange that is bolted down, as people read it, and how far off flat it may be, mm.

    By its longer side. None where no weld joins it, and for feet on one panel, which are held together
    (``feet_limit``).
    """
    on, *others = lying(plan)
    if others or on[0].name not in welded_flanges(plan) or not any(o.mates for o in on[0].openings):
        return None
    u0, v0, u1, v1 = bounds(on[0].contour)
    long = max(u1 - u0, v1 - v0)
    within = next((by for to, by in FLATNESS if long <= to), FLATNESS[-1][1])
    return on[0].name.replace("_", " "), within


def welded_lines(plan: PartPlan) -> Iterator[str]:
    """What the drawing says of it."""
    names = welded_flanges(plan)
    if not names:
        return
    shown = ", ".join(name.replace("_", " ") for name in names)
    face = ""
    if (found := flat_face(plan)) is not None:
        face = f"; lower side of {found[0]} flat within {found[1]:g} mm (ISO 13920 E)"
    yield (
        f"ONCE WELDED and cool {shown}: outside lengths ±{plan.bent_mm:g} mm, angles of their bends "
        f"±{math.degrees(plan.bent_rad):g}°{face}; straighten what the weld pulled."
    )


def _bossed(flange: Flange) -> bool:
    return any(
        hole.finish is not None and hole.finish.ring is not None and hole.finish.ring.welded
        for hole in flange.holes
    )


def no_room_text(plan: PartPlan, seam: Seam) -> str:
    """``No fillet on its lower side: …``: why one face has none, where the other flange ends under its leg.

    Empty where both have room, or neither. The edge may stand proud or short where each bent length between
    the two flanges and the blank may be off by more. Common practice, no source: no leg runs over an edge.
    """
    if len(seam.sides) != 1:
        return ""
    side = "lower" if seam.sides[0] == "upper" else "upper"
    frames = folded_frames(plan)
    into = np.linalg.inv(frames[seam.onto]) @ frames[seam.edge]
    lower, upper = (
        apply(into, np.array([(*end, w) for end in seam.over])).mean(axis=0)[:2]
        for w in (0.0, plan.thickness_mm)
    )
    out = (lower - upper) / math.dist(lower, upper) * (1.0 if side == "lower" else -1.0)
    start = lower if side == "lower" else upper
    ground = Polygon(polyline(plan.flange(seam.onto).contour, FINE_MM))
    goes_on = _goes_on(ground, start, out)
    by = _may_be_off(plan, seam, frames, out)
    onto = seam.onto.replace("_", " ")
    on = fixed(abs(goes_on), 1)
    past = "flush with it" if on == "0.0" else f"{on} mm {'past' if goes_on > 0 else 'before'} it"
    proud = ": it may stand proud or short" if abs(goes_on) <= by else ""
    return f"No fillet on its {side} side: {onto} ends {past} there, ±{fixed(by, 1)} mm{proud}. "


def _goes_on(ground: Polygon, start: Matrix, out: Matrix) -> float:
    """How far the ground goes on from a place that way, mm; below 0 where it ends before it."""
    if ground.covers(Point(start)):
        ray = LineString([start, start + out * FAR_MM]).intersection(ground)
        first = min(getattr(ray, "geoms", [ray]), key=lambda part: part.distance(Point(start)))
        return float(first.length)
    return -float(ground.distance(Point(start)))


def _may_be_off(plan: PartPlan, seam: Seam, frames: dict[str, Matrix], out: Matrix) -> float:
    """By how much the edge may lie otherwise that way over the other flange, mm."""
    way = frames[seam.onto][:3, :3] @ np.array([*out, 0.0])
    total = 0.0
    one, other = bends_above(plan, seam.edge), bends_above(plan, seam.onto)
    for bend in (*one, *other):
        if (bend in one) != (bend in other):
            total += plan.bent_mm * abs(float(_shift(bend, frames) @ way))
    u0, v0, u1, v1 = bounds(plan.flange(seam.onto).contour)
    return total + general_deviation_mm(plan.tolerance, float(abs(out @ np.array([u1 - u0, v1 - v0]))))


def _shift(bend: Bend, frames: dict[str, Matrix]) -> Matrix:
    """Where the child goes when a bend's line lies 1 mm farther out: its parent longer, itself shorter."""
    along = np.array([*bend.end, 0.0]) - np.array([*bend.start, 0.0])
    out = np.array([along[1], -along[0], 0.0]) / np.linalg.norm(along)
    moved: Matrix = frames[bend.parent][:3, :3] @ out - frames[bend.child][:3, 1]
    return moved
