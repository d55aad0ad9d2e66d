"""Where two flanges of a bent part meet to be welded: the gap the bends leave, how long, and from which side.

All of it follows from the flat sizes and the bends: the edge of one flange is carried into the frame of the
other, whose faces are w = 0 and w = thickness there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapePoint

from generators.geometry.contours import polyline, segments
from generators.geometry.frames import Matrix, apply
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.standards import GROWN_GAP_MM, fillet_leg

Point = tuple[float, float]
FARTHEST_MM = 8.0
"""An edge farther from a face than this does not meet it (ours)."""

FINE_MM, SAME_MM = 0.05, 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """A straight edge of one flange over a face of another; mm.

    ``ends`` is that edge in its own flange's frame; ``upper`` the face it meets. ``gap_mm`` is the least and
    ``most_mm`` the greatest distance along the edge's nearer rim, ``length_mm`` how much of it lies over the
    other flange. ``sides`` are the faces of the edge's flange beside which a weld's leg has room.
    """

    edge: str
    onto: str
    ends: tuple[Point, Point]
    upper: bool
    gap_mm: float
    most_mm: float
    length_mm: float
    leg_mm: float
    sides: tuple[str, ...]


def seams(plan: PartPlan) -> Iterator[tuple[tuple[str, str], Seam | None]]:
    """Each pair of flanges that is to be welded, with its seam; None where no edge comes near."""
    frames = folded_frames(plan) if plan.welds else {}
    for edge, onto in plan.welds:
        yield (edge, onto), _seam(plan, edge, onto, frames)


def _seam(plan: PartPlan, edge: str, onto: str, frames: dict[str, Matrix]) -> Seam | None:
    into = np.linalg.inv(frames[onto]) @ frames[edge]
    ground = Polygon(polyline(plan.flange(onto).contour, FINE_MM))
    t = plan.thickness_mm
    best: Seam | None = None
    for a, b in segments(plan.flange(edge).contour):
        if a.bulge:
            continue
        rims = [apply(into, np.array([(a.u, a.v, w), (b.u, b.v, w)])) for w in (0.0, t)]
        for upper in (True, False):
            off = [[(z - t) if upper else -z for z in rim[:, 2]] for rim in rims]
            near = [min(pair) for pair in zip(*off, strict=True)]
            if min(near) < -SAME_MM or max(near) > FARTHEST_MM:
                continue
            line = LineString([(p[0], p[1]) for p in (rims[0] + rims[1]) / 2])
            over = float(line.intersection(ground).length)
            if over > t and (best is None or over > best.length_mm + SAME_MM):
                gap = max(near)
                leg = fillet_leg(t) + (gap if gap > GROWN_GAP_MM else 0.0)
                best = Seam(
                    edge=edge,
                    onto=onto,
                    ends=((a.u, a.v), (b.u, b.v)),
                    upper=upper,
                    gap_mm=max(min(near), 0.0),
                    most_mm=max(gap, 0.0),
                    length_mm=over,
                    leg_mm=leg,
                    sides=tuple(_with_room(rims, ground, leg)),
                )
    return best


def _with_room(rims: list[Matrix], ground: Polygon, leg_mm: float) -> Iterator[str]:
    """The faces of the standing flange beside which the other one reaches on for a leg, half-way along."""
    lower, upper = (rim.mean(axis=0)[:2] for rim in rims)
    across = math.dist(lower, upper)
    if across < SAME_MM:
        return
    out = (lower - upper) / across
    for name, start, way in (("lower", lower, 1.0), ("upper", upper, -1.0)):
        if ground.covers(ShapePoint(*(start + out * way * leg_mm))):
            yield name
