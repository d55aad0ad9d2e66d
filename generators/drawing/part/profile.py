"""Outside lengths, bend axes and arcs of a folded part: what a profile view dimensions."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from generators.geometry.contours import Placement, bounds, transformed
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Flange, PartPlan
from generators.sheetmetal.allowance import setback

Point = tuple[float, float]
Frames = Mapping[str, Matrix]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """An outside length of ``flange``, from one bend or between several.

    Both ends are in the root's frame; ``outside`` is the unit vector out of the part.
    """

    flange: str
    bends: tuple[Bend, ...]
    start: Matrix
    end: Matrix
    outside: Matrix

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(np.linalg.norm(self.end - self.start))

    def runs_along(self, direction: Matrix) -> bool:
        """True when the leg is parallel to a unit vector."""
        return abs(abs(float((self.end - self.start) @ direction)) - self.length) < 1e-6


def inside_arc_middle(frames: Frames, bend: Bend, thickness_mm: float) -> Matrix:
    """Middle of the inside arc, half-way along the bend, in the root's frame."""
    inside = thickness_mm if bend.direction == "up" else 0.0
    length = math.dist(bend.start, bend.end)
    far = frames[bend.child] @ np.array([length / 2, 0.0, inside, 1.0])
    middle = ((bend.start[0] + bend.end[0]) / 2, (bend.start[1] + bend.end[1]) / 2)
    near = frames[bend.parent] @ np.array([*middle, inside, 1.0])
    chord = (far[:3] + near[:3]) / 2
    # from the chord to the arc: the sagitta, away from the bend's centre
    normals = frames[bend.parent][:3, 2] + frames[bend.child][:3, 2]
    toward = normals / max(1e-9, float(np.linalg.norm(normals))) * (1.0 if bend.direction == "up" else -1.0)
    out: Matrix = chord - toward * bend.inside_radius_mm * (1 - math.cos(bend.angle_rad / 2))
    return out


def outside_legs(plan: PartPlan, frames: Frames, bends: Sequence[Bend]) -> list[Leg]:
    """Outside lengths of the flanges that these parallel bends join.

    A flange with one bend is measured from where the outside faces meet to its free end, one with
    two from meeting line to meeting line (mould lines of AC 43.13-1B 4-56).
    """
    legs: list[Leg] = []
    for flange in plan.flanges:
        own = [b for b in bends if flange.name in (b.parent, b.child) and b.angle_rad < math.pi]
        if not own:
            continue
        up = own[0].direction == "up"
        w = 0.0 if up else plan.thickness_mm
        frame = frames[flange.name]
        ends = [mould_line(b, flange.name, plan.thickness_mm) for b in own]
        (u, v), (nu, nv) = ends[0]
        along = (-nu, -nv)  # from the first mould line over the flange
        if len(ends) > 1:
            reach = max((e[0][0] - u) * along[0] + (e[0][1] - v) * along[1] for e in ends[1:])
        else:
            reach = _extent(flange, along) - (u * along[0] + v * along[1])
        points = np.array([(u, v, w), (u + along[0] * reach, v + along[1] * reach, w)])
        start, end = apply(frame, points)
        away = frame[:3, 2] * (-1.0 if up else 1.0)
        legs.append(Leg(flange=flange.name, bends=tuple(own), start=start, end=end, outside=away))
    return legs


def _extent(flange: Flange, along: Point) -> float:
    """How far a flange reaches in a direction, exactly."""
    turned = transformed(flange.contour, Placement(angle=-math.atan2(along[1], along[0])))
    return bounds(turned)[2]


def mould_line(bend: Bend, flange: str, thickness: float) -> tuple[Point, Point]:
    """A point where the outside faces meet, in the flange's frame, and the direction out to it."""
    back = setback(bend.angle_rad, bend.inside_radius_mm, thickness)
    length = math.dist(bend.start, bend.end)
    if flange == bend.child:
        return (length / 2, -back), (0.0, -1.0)
    nu, nv = (bend.end[1] - bend.start[1]) / length, -(bend.end[0] - bend.start[0]) / length
    middle = ((bend.start[0] + bend.end[0]) / 2, (bend.start[1] + bend.end[1]) / 2)
    return (middle[0] + nu * back, middle[1] + nv * back), (nu, nv)
