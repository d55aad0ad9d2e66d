"""Welds as a finished drawing says them, held against the folded part: gap, length and leg measured anew."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
from shapely.geometry import Point, Polygon

from generators.geometry.contours import polyline
from generators.geometry.frames import apply
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames

WELD = re.compile(
    r"WELD \d+: edge [a-z]{1,2} to [a-z]{1,2} of (?P<edge>[a-z0-9 ]+) to the (?P<face>upper|lower) side of "
    r"(?P<onto>[a-z0-9 ]+), fillet \(triangle of ISO 2553\), leg z(?P<leg>[\d.]+), (?P<long>\d+) mm long, "
    r"on the (?P<side>[a-z ]+) side of [a-z0-9 ]+, after bending\. Gap (?P<gap>[\d.]+) mm, "
    r"(?P<low>[\d.]+) to (?P<high>[\d.]+) as bent\."
)
LEGS = ((6.0, 3.0), (12.0, 5.0), (20.0, 6.0))
"""Least legs by thickness, AWS D1.1, written down anew."""

SAMPLE_MM, GAP_MM, LONG_MM = 0.25, 0.06, 1.6
NEAR_MM = 8.0


def weld_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """What is wrong with the welds a drawing's words give."""
    said = {(m["edge"], m["onto"]): m for m in WELD.finditer(text)}
    wanted = {(a.replace("_", " "), b.replace("_", " ")): (a, b) for a, b in plan.welds}
    for pair in said.keys() - wanted.keys():
        yield f"the drawing welds {pair[0]} to {pair[1]}, which nobody asked for"
    for pair, (edge, onto) in wanted.items():
        measured = _measured(plan, edge, onto)
        if measured is None:
            continue
        if pair not in said:
            yield f"the drawing says nothing of the weld of {pair[0]} to {pair[1]}"
            continue
        match, (gap, long) = said[pair], measured
        if abs(float(match["gap"]) - gap) > GAP_MM:
            yield f"weld of {pair[0]}: a gap of {match['gap']} mm; folded it is {gap:.2f} mm"
        if abs(float(match["high"]) - gap - plan.bent_mm) > GAP_MM:
            yield f"weld of {pair[0]}: up to {match['high']} mm; by the tolerance {gap + plan.bent_mm:.2f} mm"
        if abs(float(match["long"]) - long) > LONG_MM:
            yield f"weld of {pair[0]}: {match['long']} mm long; folded it is {long:.1f} mm"
        least = min(next((leg for to, leg in LEGS if plan.thickness_mm <= to), 8.0), plan.thickness_mm)
        least += gap if gap > 25.4 / 16 else 0.0
        if not least - 1e-6 <= float(match["leg"]) <= least + 0.5:
            yield f"weld of {pair[0]}: a leg of {match['leg']} mm; by the table {least:.1f} mm"


def _measured(plan: PartPlan, edge: str, onto: str) -> tuple[float, float] | None:
    """Least distance of rim points of one flange to the other's faces, and the length they are that near.

    Points are walked along the outline of the edge's flange, on both its faces, over the other's metal.
    """
    frames = folded_frames(plan)
    into = np.linalg.inv(frames[onto]) @ frames[edge]
    ground = Polygon(polyline(plan.flange(onto).contour, 0.05))
    ring = Polygon(polyline(plan.flange(edge).contour, 0.05)).exterior
    along = np.arange(0.0, ring.length, SAMPLE_MM)
    flat = np.array([ring.interpolate(s).coords[0] for s in along])
    t = plan.thickness_mm
    offs = []
    for w in (0.0, t):
        there = apply(into, np.column_stack([flat, np.full(len(flat), w)]))
        offs.append((there, np.maximum(there[:, 2] - t, -there[:, 2])))
    near = np.minimum(offs[0][1], offs[1][1])
    middle = (offs[0][0] + offs[1][0]) / 2
    over = np.array([ground.contains(Point(p[0], p[1])) for p in middle])
    if not np.any(over & (near < NEAR_MM)):
        return None
    gap = float(near[over].min())
    return max(gap, 0.0), float(np.sum(over & (near < gap + 0.1))) * SAMPLE_MM
