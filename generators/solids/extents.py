"""Where a folded part reaches in space, in closed form from the plan; and how it lies on a printer.

An arc in space with centre ``c``, radius ``r`` and unit axes ``a``, ``b`` reaches furthest along a
coordinate at the angle ``atan2(b, a)`` of that coordinate, or at its ends. A sheet is the hull of
its outline at both sides, so the arcs and corners at w = 0 and w = thickness are all that counts;
a bend adds its two end sections.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from generators.geometry.contours import arc_of, segments
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Flange, Hole, PartPlan, Peg
from generators.sheetmetal.folding import folded_frames

BELOW_MM = 1e-6
W = np.array((0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True, eq=False)
class SpaceArc:
    """``centre + radius (cos t · first + sin t · second)`` for t from 0 to ``sweep`` > 0."""

    centre: Matrix
    first: Matrix
    second: Matrix
    radius: float
    sweep: float

    def at(self, t: float) -> Matrix:
        """The point at angle ``t`` rad, mm."""
        out: Matrix = self.centre + self.radius * (math.cos(t) * self.first + math.sin(t) * self.second)
        return out

    def extremes(self) -> Iterator[Matrix]:
        """Both ends and every point where a coordinate is largest or smallest."""
        yield self.at(0.0)
        yield self.at(self.sweep)
        for axis in range(3):
            top = math.atan2(self.second[axis], self.first[axis])
            for t in (top % (2 * math.pi), (top + math.pi) % (2 * math.pi)):
                if t < self.sweep:
                    yield self.at(t)


def flange_points(flange: Flange, thickness_mm: float, frame: Matrix) -> Iterator[Matrix]:
    """Corners and furthest arc points of both sides of a flange."""
    turn = frame[:3, :3]
    for w in (0.0, thickness_mm):
        for a, b in segments(flange.contour):
            yield apply(frame, np.array([(a.u, a.v, w)]))[0]
            if a.bulge == 0:
                continue
            arc = arc_of(a, b)
            first = np.array((math.cos(arc.start), math.sin(arc.start), 0.0))
            second = math.copysign(1.0, arc.sweep) * np.cross(W, first)
            centre = apply(frame, np.array([(arc.cu, arc.cv, w)]))[0]
            yield from SpaceArc(centre, turn @ first, turn @ second, arc.radius, abs(arc.sweep)).extremes()


def bend_arcs(bend: Bend, thickness_mm: float, parent: Matrix) -> Iterator[SpaceArc]:
    """The inside and outside arcs of a bend at its start and at its end, from the parent outward."""
    along = np.array((bend.end[0] - bend.start[0], bend.end[1] - bend.start[1], 0.0))
    out = np.cross(along / np.linalg.norm(along), W)
    up = bend.direction == "up"
    r = bend.inside_radius_mm
    axis_w = thickness_mm + r if up else -r
    turn = parent[:3, :3]
    for u, v in (bend.start, bend.end):
        centre = apply(parent, np.array([(u, v, axis_w)]))[0]
        for radius in (r, r + thickness_mm):
            yield SpaceArc(centre, turn @ (-W if up else W), turn @ out, radius, bend.angle_rad)


def peg_arcs(peg: Peg, frame: Matrix) -> Iterator[SpaceArc]:
    """The circles where a peg's cylinder begins and ends, and its tip."""
    turn = frame[:3, :3]
    for w, diameter in (
        (0.0, peg.diameter_mm),
        (-peg.straight_mm, peg.diameter_mm),
        (-peg.height_mm, peg.tip_mm),
    ):
        centre = apply(frame, np.array([(peg.u_mm, peg.v_mm, w)]))[0]
        yield SpaceArc(centre, turn[:, 0], turn[:, 1], diameter / 2, 2 * math.pi)


def ring_arcs(hole: Hole, thickness_mm: float, frame: Matrix) -> Iterator[SpaceArc]:
    """The outer rim of the ring that stands round a hole, if one does."""
    if hole.finish is None or hole.finish.ring is None:
        return
    ring, turn = hole.finish.ring, frame[:3, :3]
    far = thickness_mm + ring.height_mm if hole.finish.side == "upper" else -ring.height_mm
    centre = apply(frame, np.array([(hole.u_mm, hole.v_mm, far)]))[0]
    yield SpaceArc(centre, turn[:, 0], turn[:, 1], ring.outside_mm / 2, 2 * math.pi)


def folded_box(plan: PartPlan) -> tuple[Matrix, Matrix]:
    """Smallest and largest coordinates of the folded part in the root's frame, mm."""
    frames = folded_frames(plan)
    points: list[Matrix] = []
    for flange in plan.flanges:
        points.extend(flange_points(flange, plan.thickness_mm, frames[flange.name]))
        for peg in flange.pegs:
            for arc in peg_arcs(peg, frames[flange.name]):
                points.extend(arc.extremes())
        for hole in flange.holes:
            for arc in ring_arcs(hole, plan.thickness_mm, frames[flange.name]):
                points.extend(arc.extremes())
    for bend in plan.bends:
        for arc in bend_arcs(bend, plan.thickness_mm, frames[bend.parent]):
            points.extend(arc.extremes())
    cloud = np.array(points)
    return cloud.min(axis=0), cloud.max(axis=0)


def print_frame(plan: PartPlan) -> Matrix:
    """Pose for a printer: z up, nothing below z = 0, mm.

    The root's lower side lies on the plate, or its upper side when flanges point down only. With
    flanges both ways the part stands on whatever reaches lowest.
    """
    low, high = folded_box(plan)
    out: Matrix = np.eye(4)
    if low[2] < -BELOW_MM and high[2] <= plan.thickness_mm + BELOW_MM:
        # half a turn about u
        out[1, 1] = out[2, 2] = -1.0
        out[2, 3] = high[2]
    else:
        out[2, 3] = -low[2]
    return out
