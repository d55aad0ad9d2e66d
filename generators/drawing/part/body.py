"""The folded part as faces and edges in space, for drawing: computed from the plan, no kernel.

Faces are flat polygons (a bend is a fan of narrow ones) that can hide what lies behind them.
Edges are what a draughtsman draws: sharp edges, hole rims, tangent lines of bends, and lines that
show only where a rounded face turns away from the eye. All coordinates are the root flange's, mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from generators.geometry.contours import arc_of, circle, polyline, segments, stadium
from generators.geometry.frames import Matrix, apply
from generators.model.contour import Contour, Vertex
from generators.model.plan import Bend, Flange, Hole, PartPlan, Peg
from generators.model.words import EdgeKind
from generators.sheetmetal.folding import bend_length, children, fold_step, folded_frames

CHORD_MM = 0.02
SMOOTH_RAD = math.radians(5)
BEND_STEP_RAD = math.radians(7.5)


@dataclass(frozen=True, slots=True)
class Face:
    """A flat polygon: ``rings[0]`` its outline, the others holes; each of shape (n, 3)."""

    rings: tuple[Matrix, ...]
    normal: Matrix


@dataclass(frozen=True, slots=True)
class Edge:
    """A polyline of shape (n, 3). ``kind``: sharp, hole or tangent."""

    points: Matrix
    kind: EdgeKind


@dataclass(frozen=True, slots=True)
class Turn:
    """A straight line on a rounded face, seen only if just one of its two ``normals`` is."""

    points: Matrix
    normals: tuple[Matrix, Matrix]


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """All of a folded part that can be seen; each is only like itself."""

    faces: tuple[Face, ...]
    edges: tuple[Edge, ...]
    turns: tuple[Turn, ...]


@lru_cache(maxsize=32)
def folded_body(plan: PartPlan) -> Body:
    """Faces and edges of the folded part; of one plan the same body, for all that is drawn of it."""
    frames = folded_frames(plan)
    faces: list[Face] = []
    edges: list[Edge] = []
    turns: list[Turn] = []
    entry = {b.child: b for b in plan.bends}
    for flange in plan.flanges:
        bends = [(b.start, b.end) for b in children(plan, flange.name)]
        if flange.name in entry:
            bends.append(((0.0, 0.0), (bend_length(entry[flange.name]), 0.0)))
        _add_flange(flange, frames[flange.name], plan.thickness_mm, bends, faces, edges, turns)
        for hole in flange.holes:
            _add_finish(hole, frames[flange.name], plan.thickness_mm, faces, edges, turns)
        for peg in flange.pegs:
            _add_peg(peg, frames[flange.name], faces, edges, turns)
    for bend in plan.bends:
        _add_bend(bend, frames[bend.parent], plan.thickness_mm, faces, edges, turns)
    return Body(tuple(faces), tuple(edges), tuple(turns))


def _lift(points: list[tuple[float, float]], w: float, frame: Matrix) -> Matrix:
    flat = np.array([(u, v, w) for u, v in points])
    return apply(frame, flat)


def opening_contours(flange: Flange) -> Iterator[Contour]:
    """Outlines of the holes and slots of a flange."""
    for hole in flange.holes:
        yield circle(hole.u_mm, hole.v_mm, hole.diameter_mm)
    for slot in flange.slots:
        yield stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad)


def _add_flange(
    flange: Flange,
    frame: Matrix,
    thickness: float,
    bends: list[tuple[tuple[float, float], tuple[float, float]]],
    faces: list[Face],
    edges: list[Edge],
    turns: list[Turn],
) -> None:
    outline = polyline(flange.contour, CHORD_MM)
    openings = [polyline(c, CHORD_MM) for c in opening_contours(flange)]
    up = frame[:3, 2]
    for w, normal in ((0.0, -up), (thickness, up)):
        rings = [_lift(outline, w, frame), *(_lift(o, w, frame) for o in openings)]
        faces.append(Face(tuple(rings), normal))
        edges += [Edge(_closed(ring), "hole") for ring in rings[1:]]
    sides = list(segments(flange.contour))
    is_bend = [
        any(math.dist((a.u, a.v), s) < 1e-6 and math.dist((b.u, b.v), e) < 1e-6 for s, e in bends)
        for a, b in sides
    ]
    headings: list[tuple[float, float]] = []
    chord_headings: list[tuple[float, float]] = []
    for (a, b), bent in zip(sides, is_bend, strict=True):
        chords = _side_points(a, b)
        if bent:
            edges += [Edge(_lift([chords[0], chords[-1]], w, frame), "tangent") for w in (0.0, thickness)]
            # the strip leaves square to its edge and comes back the same way
            out = math.atan2(b.v - a.v, b.u - a.u) - math.pi / 2
            headings.append((out, out + math.pi))
            chord_headings.append((out, out + math.pi))
            continue
        edges += [Edge(_lift(chords, w, frame), "sharp") for w in (0.0, thickness)]
        normals = _add_walls(chords, frame, thickness, faces)
        for point, before, after in zip(chords[1:-1], normals, normals[1:], strict=False):
            line = np.vstack([_lift([point], 0.0, frame), _lift([point], thickness, frame)])
            turns.append(Turn(line, (before, after)))
        headings.append(_end_headings(a, b))
        chord_headings.append((_heading(chords[0], chords[1]), _heading(chords[-2], chords[-1])))
    for i, (a, _) in enumerate(sides):
        turn = math.remainder(headings[i][0] - headings[i - 1][1], 2 * math.pi)
        line = np.vstack([_lift([(a.u, a.v)], 0.0, frame), _lift([(a.u, a.v)], thickness, frame)])
        if abs(turn) > SMOOTH_RAD:
            edges.append(Edge(line, "sharp"))
        else:
            normals = [_outward(frame, h) for h in (chord_headings[i - 1][1], chord_headings[i][0])]
            turns.append(Turn(line, (normals[0], normals[1])))


def _add_finish(
    hole: Hole, frame: Matrix, thickness: float, faces: list[Face], edges: list[Edge], turns: list[Turn]
) -> None:
    """The ring that stands round a hole, and the rim of its countersink."""
    finish = hole.finish
    if finish is None:
        return
    upper = finish.side == "upper"
    if (ring := finish.ring) is not None:
        shifted: Matrix = np.eye(4)
        shifted[2, 3] = thickness if upper else -ring.height_mm
        bore = replace(hole, finish=None)
        round_ = Flange(name="ring", contour=circle(hole.u_mm, hole.v_mm, ring.outside_mm), holes=(bore,))
        _add_flange(round_, frame @ shifted, ring.height_mm, [], faces, edges, turns)
    if (sink := finish.sink) is not None:
        rim = polyline(circle(hole.u_mm, hole.v_mm, sink.head_mm), CHORD_MM)
        edges.append(Edge(_closed(_lift(rim, thickness if upper else 0.0, frame)), "hole"))


def _add_peg(peg: Peg, frame: Matrix, faces: list[Face], edges: list[Edge], turns: list[Turn]) -> None:
    """A cylinder and its chamfered tip under a flange; the chamfer's walls are a fan like a bend's."""
    around = polyline(circle(0.0, 0.0, peg.diameter_mm), CHORD_MM)
    rings = [
        _lift([(peg.u_mm + u * share, peg.v_mm + v * share) for u, v in around], w, frame)
        for w, share in (
            (0.0, 1.0),
            (-peg.straight_mm, 1.0),
            (-peg.height_mm, peg.tip_mm / peg.diameter_mm),
        )
    ]
    edges += [Edge(_closed(ring), "sharp") for ring in rings]
    faces.append(Face((rings[2],), -frame[:3, 2]))
    for upper, lower in itertools.pairwise(rings):
        quads = [np.vstack([upper[i], upper[i - 1], lower[i - 1], lower[i]]) for i in range(len(around))]
        normals = [_normal(quad) for quad in quads]
        faces += [Face((quad,), normal) for quad, normal in zip(quads, normals, strict=True)]
        for i in range(len(around)):
            turns.append(Turn(np.vstack([upper[i - 1], lower[i - 1]]), (normals[i - 1], normals[i])))


def _normal(quad: Matrix) -> Matrix:
    """Unit normal of a flat four-cornered face that turns left seen from outside."""
    across: Matrix = np.cross(quad[2] - quad[0], quad[3] - quad[1])
    out: Matrix = across / np.linalg.norm(across)
    return out


def _side_points(a: Vertex, b: Vertex) -> list[tuple[float, float]]:
    if a.bulge == 0:
        return [(a.u, a.v), (b.u, b.v)]
    # the way back is straight, so only the arc is divided
    return [*polyline(Contour((a, Vertex(b.u, b.v))), CHORD_MM)[:-1], (b.u, b.v)]


def _heading(a: tuple[float, float], b: tuple[float, float]) -> float:
    return math.atan2(b[1] - a[1], b[0] - a[0])


def _end_headings(a: Vertex, b: Vertex) -> tuple[float, float]:
    """Directions in which a side leaves ``a`` and arrives at ``b``."""
    if a.bulge == 0:
        heading = _heading((a.u, a.v), (b.u, b.v))
        return heading, heading
    arc = arc_of(a, b)
    quarter = math.copysign(math.pi / 2, arc.sweep)
    return arc.start + quarter, arc.start + arc.sweep + quarter


def _add_walls(
    chords: list[tuple[float, float]], frame: Matrix, thickness: float, faces: list[Face]
) -> list[Matrix]:
    """Edge faces under a side of the outline; their outward normals in order."""
    normals: list[Matrix] = []
    for a, b in itertools.pairwise(chords):
        normal = _outward(frame, _heading(a, b))
        low, high = _lift([a, b], 0.0, frame), _lift([b, a], thickness, frame)
        faces.append(Face((np.vstack([low, high]),), normal))
        normals.append(normal)
    return normals


def _outward(frame: Matrix, heading: float) -> Matrix:
    """Normal of an edge face, out of the part, where the outline runs along ``heading``."""
    out: Matrix = frame[:3, :3] @ np.array([math.sin(heading), -math.cos(heading), 0.0])
    return out


def _closed(ring: Matrix) -> Matrix:
    out: Matrix = np.vstack([ring, ring[:1]])
    return out


def _add_bend(
    bend: Bend,
    parent: Matrix,
    thickness: float,
    faces: list[Face],
    edges: list[Edge],
    turns: list[Turn],
) -> None:
    length = bend_length(bend)
    count = max(2, math.ceil(bend.angle_rad / BEND_STEP_RAD))
    frames = [parent @ fold_step(bend, thickness, i / count) for i in range(count + 1)]
    middles = [parent @ fold_step(bend, thickness, (i + 0.5) / count) for i in range(count)]
    normals = [frames[0][:3, 2], *(m[:3, 2] for m in middles), frames[-1][:3, 2]]
    lines = {
        w: [apply(f, np.array([(0.0, 0.0, w), (length, 0.0, w)])) for f in frames] for w in (0.0, thickness)
    }
    for w, sign in ((0.0, -1.0), (thickness, 1.0)):
        for i in range(count):
            quad = np.vstack([lines[w][i], lines[w][i + 1][::-1]])
            faces.append(Face((quad,), sign * normals[i + 1]))
        for i, line in enumerate(lines[w]):
            turns.append(Turn(line, (normals[i], normals[i + 1])))
        edges += [Edge(np.array([line[end] for line in lines[w]]), "sharp") for end in (0, 1)]
    for end, sign in ((0, -1.0), (1, 1.0)):
        for i in range(count):
            quad = np.array(
                [
                    lines[0.0][i][end],
                    lines[0.0][i + 1][end],
                    lines[thickness][i + 1][end],
                    lines[thickness][i][end],
                ]
            )
            faces.append(Face((quad,), sign * parent[:3, :3] @ _along(bend)))


def _along(bend: Bend) -> Matrix:
    """Unit vector from the bend's end to its start: the child's u axis, in the parent's frame."""
    out = np.array([bend.start[0] - bend.end[0], bend.start[1] - bend.end[1], 0.0]) / bend_length(bend)
    return out
