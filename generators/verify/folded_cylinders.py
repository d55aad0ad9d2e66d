"""Every round face a folded part must have, from the plan alone.

Holes and slot ends are hollow; outline corners and bends are hollow or full by their turn. A
cylinder is told by its axis, its radius, where along the axis it begins and ends, and how much of
a turn it covers: two half turns on one axis are one hole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from generators.geometry.contours import arc_of, segments
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Flange, Hole, PartPlan
from generators.sheetmetal.folding import folded_frames

LINE_MM = 1e-4
SHARP_MM = 1e-7
Pair = tuple[float, float]
W = np.array((0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cylinder:
    """Part of a cylinder between two points of its axis, mm; ``sweep`` rad; ``hollow`` if a bore."""

    label: str
    near: Matrix
    far: Matrix
    radius: float
    sweep: float
    hollow: bool

    @property
    def length(self) -> float:
        """Length along the axis, mm."""
        return float(np.linalg.norm(self.far - self.near))


def place(cylinder: Cylinder) -> str:
    """Where its axis begins and what it is, in words."""
    x, y, z = (float(c) + 0.0 for c in cylinder.near.round(3))
    kind = "bore" if cylinder.hollow else "round"
    return f"{kind} of diameter {2 * cylinder.radius:.4f} mm at ({x:g}, {y:g}, {z:g})"


def expected_cylinders(plan: PartPlan) -> list[Cylinder]:
    """Every round face of the folded part in the root's frame, whole bores first."""
    frames = folded_frames(plan)
    t = plan.thickness_mm
    found: list[Cylinder] = []
    for flange in plan.flanges:
        found.extend(_openings(flange, t, frames[flange.name]))
    for flange in plan.flanges:
        found.extend(_corners(flange, t, frames[flange.name]))
        found.extend(_pegs(flange, frames[flange.name]))
    for bend in plan.bends:
        found.extend(_bend(bend, t, frames[bend.parent]))
    return merged(found)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cone:
    """A whole cone between two points of its axis, mm: ``wide`` across at ``near``, ``narrow`` at ``far``."""

    label: str
    near: Matrix
    far: Matrix
    wide: float
    narrow: float


def expected_cones(plan: PartPlan) -> list[Cone]:
    """The chamfers at the tips of all pegs, and all countersinks, in the root's frame."""
    frames = folded_frames(plan)
    out: list[Cone] = []
    for flange in plan.flanges:
        for hole in flange.holes:
            if hole.finish is None or (sink := hole.finish.sink) is None:
                continue
            low, high = straight(hole, plan.thickness_mm)
            face, end = (plan.thickness_mm, high) if hole.finish.side == "upper" else (0.0, low)
            near, far = _axis((hole.u_mm, hole.v_mm), (face, end), frames[flange.name])
            label = f"countersink of hole {hole.name}"
            out.append(Cone(label=label, near=near, far=far, wide=sink.head_mm, narrow=hole.diameter_mm))
        for peg in flange.pegs:
            if peg.chamfer_mm > 0:
                ends = (-peg.straight_mm, -peg.height_mm)
                near, far = _axis((peg.u_mm, peg.v_mm), ends, frames[flange.name])
                label = f"chamfer of peg {peg.name}"
                out.append(Cone(label=label, near=near, far=far, wide=peg.diameter_mm, narrow=peg.tip_mm))
    return out


def same_cone(a: Cone, b: Cone, tolerance_mm: float = LINE_MM) -> bool:
    """True for the same axis, ends and diameters."""
    lengths = (_gap(a.near, b.near), _gap(a.far, b.far), a.wide - b.wide, a.narrow - b.narrow)
    return max(abs(x) for x in lengths) <= tolerance_mm


def _pegs(flange: Flange, frame: Matrix) -> Iterator[Cylinder]:
    for peg in flange.pegs:
        at, ends = (peg.u_mm, peg.v_mm), (-peg.straight_mm, 0.0)
        yield _square_on(f"peg {peg.name}", at, ends, peg.diameter_mm / 2, frame, hollow=False)


def _axis(at: Pair, ends: Pair, frame: Matrix) -> Matrix:
    """Both ends of an axis square to a flange at (u, v), between two w, in the root's frame."""
    return apply(frame, np.array([(*at, w) for w in ends]))


def _square_on(
    label: str,
    at: Pair,
    ends: Pair,
    radius: float,
    frame: Matrix,
    *,
    hollow: bool,
    sweep: float = 2 * math.pi,
) -> Cylinder:
    near, far = _axis(at, ends, frame)
    return Cylinder(label=label, near=near, far=far, radius=radius, sweep=sweep, hollow=hollow)


def straight(hole: Hole, t: float) -> tuple[float, float]:
    """Between which w the bore of a hole is straight, mm: longer by its ring, shorter by its countersink."""
    low, high = 0.0, t
    if hole.finish is not None:
        deep = hole.finish.sink.depth_mm(hole.diameter_mm) if hole.finish.sink is not None else 0.0
        more = (hole.finish.ring.height_mm if hole.finish.ring is not None else 0.0) - deep
        low, high = (low, high + more) if hole.finish.side == "upper" else (low - more, high)
    return low, high


def _openings(flange: Flange, t: float, frame: Matrix) -> Iterator[Cylinder]:
    for hole in flange.holes:
        at, bore = (hole.u_mm, hole.v_mm), straight(hole, t)
        yield _square_on(f"hole {hole.name}", at, bore, hole.diameter_mm / 2, frame, hollow=True)
        if hole.finish is not None and (ring := hole.finish.ring) is not None:
            upper = hole.finish.side == "upper"
            ends = (t, t + ring.height_mm) if upper else (-ring.height_mm, 0.0)
            label = f"ring round hole {hole.name}"
            yield _square_on(label, at, ends, ring.outside_mm / 2, frame, hollow=False)
    for slot in flange.slots:
        half = slot.travel_mm / 2
        du, dv = half * math.cos(slot.angle_rad), half * math.sin(slot.angle_rad)
        for side, which in ((-1, "first"), (1, "second")):
            at = (slot.u_mm + side * du, slot.v_mm + side * dv)
            label, radius = f"slot {slot.name}, {which} end", slot.width_mm / 2
            yield _square_on(label, at, (0.0, t), radius, frame, hollow=True, sweep=math.pi)


def _corners(flange: Flange, t: float, frame: Matrix) -> Iterator[Cylinder]:
    for a, b in segments(flange.contour):
        if a.bulge:
            arc = arc_of(a, b)
            label = f"rounding of {flange.name} at ({a.u:.2f}, {a.v:.2f})"
            # the outline runs counter-clockwise: an arc that turns right is hollow
            hollow, sweep = arc.sweep < 0, abs(arc.sweep)
            yield _square_on(label, (arc.cu, arc.cv), (0.0, t), arc.radius, frame, hollow=hollow, sweep=sweep)


def _bend(bend: Bend, t: float, frame: Matrix) -> Iterator[Cylinder]:
    r = bend.inside_radius_mm
    axis_w = t + r if bend.direction == "up" else -r
    near, far = apply(frame, np.array([(*bend.start, axis_w), (*bend.end, axis_w)]))
    for radius, hollow, side in ((r, True, "inside"), (r + t, False, "outside")):
        if radius > SHARP_MM:
            yield Cylinder(
                label=f"{side} of bend {bend.name}",
                near=near,
                far=far,
                radius=radius,
                sweep=bend.angle_rad,
                hollow=hollow,
            )


def same_place(a: Cylinder, b: Cylinder, tolerance_mm: float = LINE_MM) -> bool:
    """True for the same axis, radius, ends and side, whatever their sweeps."""
    if a.hollow != b.hollow or abs(a.radius - b.radius) > tolerance_mm / 2:
        return False
    # ends within the tolerance of each other put the axes as near as that
    straight = max(_gap(a.near, b.near), _gap(a.far, b.far))
    crossed = max(_gap(a.near, b.far), _gap(a.far, b.near))
    return min(straight, crossed) <= tolerance_mm


def _gap(a: Matrix, b: Matrix) -> float:
    return float(np.linalg.norm(a - b))


def merged(cylinders: Sequence[Cylinder]) -> list[Cylinder]:
    """Cylinders of the same place as one, with the sum of their sweeps."""
    out: list[Cylinder] = []
    for cylinder in cylinders:
        for i, known in enumerate(out):
            if same_place(known, cylinder):
                label = (
                    known.label if known.label == cylinder.label else f"{known.label} and {cylinder.label}"
                )
                out[i] = replace(known, sweep=known.sweep + cylinder.sweep, label=label)
                break
        else:
            out.append(cylinder)
    return out
