"""Where two flanges of a bent part meet to be welded: the gap the bends leave, how long, and from which side.

All of it follows from the flat sizes and the bends: the edge of one flange is carried into the frame of the
other, whose faces are w = 0 and w = thickness there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapePoint

from generators.geometry.contours import polyline, segments
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import bend_allowance, flat_placements, fold_step, folded_frames
from generators.sheetmetal.in_line import hangs_on
from generators.standards import GROWN_GAP_MM, fillet_leg, general_deviation_mm

Point = tuple[float, float]
FARTHEST_MM = 8.0
"""An edge farther from a face than this does not meet it (ours)."""

FINE_MM, SAME_MM = 0.05, 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """A straight edge of one flange over a face of another; mm.

    ``ends`` is that edge in its own flange's frame; ``upper`` the face it meets. ``gap_mm`` is the least and
    ``most_mm`` the greatest distance along the edge's nearer rim, ``length_mm`` how much of it lies over the
    other flange. ``sides`` are the faces of the edge's flange beside which a weld's leg has room. ``play_mm``
    is by how much the gap may come out otherwise: every bent length on the way from the one flange to the
    other and the blank between the edge and the next bend, each at its tolerance, added up. ``skew_mm`` is by
    how much an end of it may, while the bends' angles are off: that one is pulled square before it is tacked.
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
    play_mm: float = 0.0
    skew_mm: float = 0.0

    @property
    def worst_mm(self) -> float:
        """The widest gap within the tolerances of lengths, mm."""
        return self.most_mm + self.play_mm

    @property
    def least_mm(self) -> float:
        """The narrowest, mm; none is below 0."""
        return max(self.gap_mm - self.play_mm, 0.0)


def seams(plan: PartPlan) -> Iterator[tuple[tuple[str, str], Seam | None]]:
    """Each pair of flanges that is to be welded, with its seam; None where no edge comes near."""
    frames = folded_frames(plan) if plan.welds else {}
    for edge, onto in plan.welds:
        seam = _seam(plan, edge, onto, frames)
        yield (edge, onto), None if seam is None else _with_room(plan, _with_play(plan, seam))


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
                best = Seam(
                    edge=edge,
                    onto=onto,
                    ends=((a.u, a.v), (b.u, b.v)),
                    upper=upper,
                    gap_mm=max(min(near), 0.0),
                    most_mm=max(*near, 0.0),
                    length_mm=over,
                    leg_mm=fillet_leg(t),
                    sides=(),
                )
    return best


def _with_play(plan: PartPlan, seam: Seam) -> Seam:
    """The seam with what bends and blank may do to its gap, and the leg that its widest asks for."""
    lengths = angles = farthest = 0.0
    for bend in _between(plan, seam):
        # a line that lies farther out makes the one leg longer and the other shorter
        by_length = max(_shift(plan, seam, bend, by=by) for by in (plan.bent_mm, -plan.bent_mm))
        if by_length > SAME_MM:
            lengths, farthest = lengths + by_length, max(farthest, _apart(plan, seam, bend))
        angles += max(_shift(plan, seam, bend, turn_rad=by) for by in (plan.bent_rad, -plan.bent_rad))
    if lengths:
        lengths += general_deviation_mm(plan.tolerance, farthest)
    worst = seam.most_mm + lengths
    leg = seam.leg_mm + (worst if worst > GROWN_GAP_MM else 0.0)
    return replace(seam, play_mm=lengths, skew_mm=angles, leg_mm=leg)


def _between(plan: PartPlan, seam: Seam) -> Iterator[Bend]:
    """The bends on the way from the one flange to the other."""
    above = {bend.child: bend for bend in plan.bends}

    def up(name: str) -> list[Bend]:
        line = []
        while name in above:
            line.append(above[name])
            name = above[name].parent
        return line

    one, other = up(seam.edge), up(seam.onto)
    yield from (b for b in (*one, *other) if (b in one) != (b in other))


def _shift(plan: PartPlan, seam: Seam, bend: Bend, *, by: float = 0.0, turn_rad: float = 0.0) -> float:
    """By how much either end of the gap changes with one bend's line ``by`` farther out, or turned more."""
    frames = folded_frames(plan)
    length, t = math.dist(bend.start, bend.end), plan.thickness_mm
    out, back = np.eye(4), np.eye(4)
    out[:2, 3] = np.array([bend.end[1] - bend.start[1], bend.start[0] - bend.end[0]]) / length * by
    back[1, 3] = -by
    step = fold_step(bend, t, 1 + turn_rad / bend.angle_rad)
    move = frames[bend.parent] @ out @ step @ back @ np.linalg.inv(frames[bend.child])
    heights = []
    for moved in (np.eye(4), move):
        # what hangs on the bend moves, whichever of the two that is
        edge, onto = (
            moved @ frames[name] if hangs_on(plan, name, bend) else frames[name]
            for name in (seam.edge, seam.onto)
        )
        into = np.linalg.inv(onto) @ edge
        rims = [apply(into, np.array([(*end, w) for end in seam.ends])) for w in (0.0, t)]
        off = [(rim[:, 2] - t if seam.upper else -rim[:, 2]) for rim in rims]
        heights.append(np.minimum(*off))
    return float(np.abs(heights[1] - heights[0]).max())


def _apart(plan: PartPlan, seam: Seam, bend: Bend) -> float:
    """How far the middle of the edge lies from a bend's line on the blank, mm."""
    placed = flat_placements(plan)
    (a, b), (c, d) = (placed[seam.edge].apply(*end) for end in seam.ends)
    length = math.dist(bend.start, bend.end)
    half = bend_allowance(bend, plan.thickness_mm) / 2
    nu, nv = (bend.end[1] - bend.start[1]) / length, (bend.start[0] - bend.end[0]) / length
    start, end = (placed[bend.parent].apply(u + nu * half, v + nv * half) for u, v in (bend.start, bend.end))
    across = (end[0] - start[0]) * ((b + d) / 2 - start[1]) - (end[1] - start[1]) * ((a + c) / 2 - start[0])
    return abs(across) / length


def _with_room(plan: PartPlan, seam: Seam) -> Seam:
    """The seam with the faces beside which the other flange reaches on for a leg, half-way along."""
    frames = folded_frames(plan)
    into = np.linalg.inv(frames[seam.onto]) @ frames[seam.edge]
    ground = Polygon(polyline(plan.flange(seam.onto).contour, FINE_MM))
    lower, upper = (
        apply(into, np.array([(*end, w) for end in seam.ends])).mean(axis=0)[:2]
        for w in (0.0, plan.thickness_mm)
    )
    across = math.dist(lower, upper)
    if across < SAME_MM:
        return seam
    out = (lower - upper) / across
    sides = tuple(
        name
        for name, start, way in (("lower", lower, 1.0), ("upper", upper, -1.0))
        if ground.covers(ShapePoint(*(start + out * way * seam.leg_mm)))
    )
    return replace(seam, sides=sides)
