"""The tree of flanges laid flat and folded up: two readings of one plan.

Where a child flange sits in its parent's frame (see ``model.plan``):

* the bend line runs along the parent's edge with unit direction ``e``; ``n`` points out of the parent;
* flat: the child's frame is shifted out by the bend allowance;
* folded ``up``: it is turned by the bend angle about an axis ``inside radius`` above the upper side,
  ``down``: as much below the lower side. Both leave every flange congruent, so only the strip
  between two tangent lines changes length.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from generators.errors import GeometryFault
from generators.geometry.contours import MIN_SEGMENT_MM, Placement, segments, tidy
from generators.geometry.frames import Matrix, plane_move
from generators.model.contour import Contour, Vertex
from generators.model.plan import Bend, Flange, Hole, PartPlan, Slot
from generators.sheetmetal.allowance import allowance
from generators.sheetmetal.tree import require_foldable

ON_EDGE_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatBend:
    """A bend strip on the flat blank: both tangent lines and the middle line, in blank coordinates."""

    bend: Bend
    near: tuple[tuple[float, float], tuple[float, float]]
    far: tuple[tuple[float, float], tuple[float, float]]
    middle: tuple[tuple[float, float], tuple[float, float]]
    allowance_mm: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatPattern:
    """The blank: one outline, all openings, all bend strips, in the root flange's frame.

    Each is only like itself; ``flat_pattern`` gives one plan the same one.
    """

    contour: Contour
    holes: tuple[Hole, ...]
    slots: tuple[Slot, ...]
    bends: tuple[FlatBend, ...]
    placements: dict[str, Placement]


def bend_length(bend: Bend) -> float:
    """Length of the tangent line, mm."""
    return math.dist(bend.start, bend.end)


def bend_axis(frames: Mapping[str, Matrix], bend: Bend) -> Matrix:
    """Unit vector along a bend, in the root's frame."""
    length = math.dist(bend.start, bend.end)
    line = np.array([bend.end[0] - bend.start[0], bend.end[1] - bend.start[1], 0.0]) / length
    out: Matrix = frames[bend.parent][:3, :3] @ line
    return out


def bend_allowance(bend: Bend, thickness_mm: float) -> float:
    """Allowance of this bend, mm."""
    return allowance(bend.angle_rad, bend.inside_radius_mm, thickness_mm, bend.k_factor)


def past_limit(plan: PartPlan, bend: Bend) -> float:
    """How far a bend may end past its angle, rad; short of it every one may by the plan's ``bent_rad``."""
    return plan.bent_rad if bend.past_rad is None else bend.past_rad


def between_limits(plan: PartPlan, bend: Bend) -> tuple[float, float]:
    """Least and most angle between the faces of a bend's two flanges, rad: bent farther, less is left."""
    between = math.pi - bend.angle_rad
    return between - past_limit(plan, bend), between + plan.bent_rad


def _axes(bend: Bend) -> tuple[float, float, float, float]:
    """Unit direction ``e`` of the tangent line and outward normal ``n``."""
    length = bend_length(bend)
    eu, ev = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    return eu, ev, ev, -eu


def flat_step(bend: Bend, thickness_mm: float) -> Placement:
    """Child frame in the parent frame on the blank."""
    eu, ev, nu, nv = _axes(bend)
    out = bend_allowance(bend, thickness_mm)
    # the child's u axis runs against e
    return Placement(bend.end[0] + nu * out, bend.end[1] + nv * out, math.atan2(-ev, -eu))


def fold_step(bend: Bend, thickness_mm: float, fraction: float = 1.0) -> Matrix:
    """Child frame in the parent frame after bending by ``fraction`` of the angle, 4×4."""
    eu, ev, _nu, _nv = _axes(bend)
    place = plane_move(bend.end[0], bend.end[1], math.atan2(-ev, -eu))
    angle = bend.angle_rad * fraction
    up = bend.direction == "up"
    axis_w = thickness_mm + bend.inside_radius_mm if up else -bend.inside_radius_mm
    turn = angle if up else -angle
    c, s = math.cos(turn), math.sin(turn)
    # turn about the line v = 0, w = axis_w, parallel to u: +v goes toward +w for an up bend
    rotate = np.array(
        [[1.0, 0, 0, 0], [0, c, -s, s * axis_w], [0, s, c, axis_w - c * axis_w], [0, 0, 0, 1.0]]
    )
    out: Matrix = place @ rotate
    return out


def children(plan: PartPlan, flange: str) -> list[Bend]:
    """Bends that leave this flange."""
    return [b for b in plan.bends if b.parent == flange]


def bends_above(plan: PartPlan, flange: str) -> list[Bend]:
    """The bends a flange hangs on, its own first; none for the root."""
    over, line = {bend.child: bend for bend in plan.bends}, []
    while flange in over:
        line.append(over[flange])
        flange = over[flange].parent
    return line


def folded_frames(plan: PartPlan) -> dict[str, Matrix]:
    """Frame of every flange in the root's frame after all bends."""
    frames: dict[str, Matrix] = {plan.flanges[0].name: np.eye(4)}
    pending = [plan.flanges[0].name]
    while pending:
        parent = pending.pop()
        for bend in children(plan, parent):
            frames[bend.child] = frames[parent] @ fold_step(bend, plan.thickness_mm)
            pending.append(bend.child)
    return frames


def compose(outer: Placement, inner: Placement) -> Placement:
    """``outer`` after ``inner``; neither mirrors."""
    du, dv = outer.apply(inner.du, inner.dv)
    return Placement(du, dv, outer.angle + inner.angle)


def flat_placements(plan: PartPlan) -> dict[str, Placement]:
    """Where every flange's frame lies on the blank, in the root's frame."""
    placements: dict[str, Placement] = {plan.flanges[0].name: Placement()}
    pending = [plan.flanges[0].name]
    while pending:
        parent = pending.pop()
        for bend in children(plan, parent):
            placements[bend.child] = compose(placements[parent], flat_step(bend, plan.thickness_mm))
            pending.append(bend.child)
    return placements


def edge_index(contour: Contour, start: tuple[float, float], end: tuple[float, float]) -> int:
    """Which straight side of an outline runs from ``start`` to ``end``. Raises ``GeometryFault``."""
    for i, (a, b) in enumerate(segments(contour)):
        if (
            a.bulge == 0
            and math.dist((a.u, a.v), start) < ON_EDGE_MM
            and math.dist((b.u, b.v), end) < ON_EDGE_MM
        ):
            return i
    raise GeometryFault(f"no straight edge from {start} to {end} to bend at")


def _outline(plan: PartPlan, flange: Flange, placements: dict[str, Placement], entry: int) -> list[Vertex]:
    """Vertices of this flange and all it carries, beginning after edge ``entry`` (-1: the root)."""
    contour = flange.contour
    edges = {edge_index(contour, b.start, b.end): b for b in children(plan, flange.name)}
    place = placements[flange.name]
    count = len(contour.vertices)
    out: list[Vertex] = []
    first = entry + 1
    for step in range(count if entry < 0 else count - 1):
        i = (first + step) % count
        vertex = contour.vertices[i]
        u, v = place.apply(vertex.u, vertex.v)
        out.append(Vertex(u, v, vertex.bulge))
        bend = edges.get(i)
        if bend is not None:
            child = plan.flange(bend.child)
            length = bend_length(bend)
            child_entry = edge_index(child.contour, (0.0, 0.0), (length, 0.0))
            out.extend(_outline(plan, child, placements, child_entry))
    if entry >= 0:
        last = contour.vertices[entry]
        u, v = place.apply(last.u, last.v)
        out.append(Vertex(u, v))
    return out


@lru_cache(maxsize=256)
def flat_pattern(plan: PartPlan) -> FlatPattern:
    """The blank of a plan.

    Raises ``GeometryFault`` when a bend has no edge to bend at, or the bends make no tree of flanges.
    """
    require_foldable(plan)
    placements = flat_placements(plan)
    vertices = _outline(plan, plan.flanges[0], placements, -1)
    holes: list[Hole] = []
    slots: list[Slot] = []
    for flange in plan.flanges:
        place = placements[flange.name]
        holes.extend(_moved_hole(h, place) for h in flange.holes)
        slots.extend(_moved_slot(s, place) for s in flange.slots)
    bends = []
    for bend in plan.bends:
        parent = placements[bend.parent]
        out = bend_allowance(bend, plan.thickness_mm)
        _eu, _ev, nu, nv = _axes(bend)

        def line(
            offset: float, bend: Bend = bend, parent: Placement = parent, nu: float = nu, nv: float = nv
        ) -> tuple[tuple[float, float], tuple[float, float]]:
            return (
                parent.apply(bend.start[0] + nu * offset, bend.start[1] + nv * offset),
                parent.apply(bend.end[0] + nu * offset, bend.end[1] + nv * offset),
            )

        bends.append(FlatBend(bend=bend, near=line(0), far=line(out), middle=line(out / 2), allowance_mm=out))
    return FlatPattern(
        contour=straightened(tidy(vertices)),
        holes=tuple(holes),
        slots=tuple(slots),
        bends=tuple(bends),
        placements=placements,
    )


def straightened(contour: Contour) -> Contour:
    """Without vertices in the middle of a straight side: where a flange is as wide as its bend,
    the strip's sides run on from the flange's, and a cutter needs no stop there."""
    kept = list(contour.vertices)
    i = 0
    while i < len(kept) and len(kept) > 3:
        a, b, c = kept[i - 1], kept[i], kept[(i + 1) % len(kept)]
        cross = (b.u - a.u) * (c.v - b.v) - (b.v - a.v) * (c.u - b.u)
        dot = (b.u - a.u) * (c.u - b.u) + (b.v - a.v) * (c.v - b.v)
        span = math.hypot(c.u - a.u, c.v - a.v)
        if a.bulge == 0 and b.bulge == 0 and dot > 0 and abs(cross) < MIN_SEGMENT_MM * span:
            del kept[i]
            continue
        i += 1
    return Contour(tuple(kept))


def _moved_hole(hole: Hole, place: Placement) -> Hole:
    """On the blank a hole is as it is cut: what is reamed later is a pilot there."""
    u, v = place.apply(hole.u_mm, hole.v_mm)
    if hole.finish is None:
        return replace(hole, u_mm=u, v_mm=v)
    finished = hole.finish.cut_mm == hole.diameter_mm and hole.finish.tolerance is None
    tolerance = hole.tolerance if finished else None
    return replace(hole, u_mm=u, v_mm=v, diameter_mm=hole.finish.cut_mm, tolerance=tolerance)


def _moved_slot(slot: Slot, place: Placement) -> Slot:
    u, v = place.apply(slot.u_mm, slot.v_mm)
    return replace(slot, u_mm=u, v_mm=v, angle_rad=slot.angle_rad + place.angle)
