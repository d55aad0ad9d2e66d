"""Things in space as flat faces, edges, rods and tubes, for drawing; vehicle frame, mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.drawing.part.body import Edge, Face, Turn, folded_body
from generators.geometry.contours import circle, polyline
from generators.geometry.frames import Matrix, apply
from generators.model.hose_path import HosePath
from generators.model.plan import PanelLayout, PartPlan
from generators.model.words import BodyKind
from generators.routing.paths.curves import sampled
from generators.space.lumps import Lump, Turned, box_solid, flats, lumps
from generators.space.pieces import Array, Box, Hull, Piece, Rod

CHORD_MM = 0.2
"""How far a chord of a drawn arc may lie off it."""
SMOOTH_RAD = math.radians(20.0)
"""Two faces that turn by less are one rounded face, whose edge shows only as an outline."""
SMALLEST_MM2 = 6.0
"""A face smaller than this hides nothing worth a line."""
TUBE_STEP_MM = 4.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Tube:
    """A round thing along ``points`` (n, 3) with unit ``ways`` (n, 3); its ends are open."""

    points: Array
    ways: Array
    radius_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Sight:
    """One thing to look at. ``hides`` is False for what is drawn but covers nothing, like a place to come."""

    name: str
    title: str
    kind: BodyKind
    low: Array
    high: Array
    faces: tuple[Face, ...] = ()
    edges: tuple[Edge, ...] = ()
    turns: tuple[Turn, ...] = ()
    tubes: tuple[Tube, ...] = ()
    balls: tuple[tuple[Array, float], ...] = ()
    hides: bool = True


def panel_sight(layout: PanelLayout, matrix: Matrix, title: str) -> Sight:
    """Both faces of a panel with the openings that stay open."""
    outline = polyline(layout.contour, CHORD_MM)
    holes = [
        polyline(circle(h.u_mm, h.v_mm, h.final_dia_mm), CHORD_MM)
        for h in layout.holes
        if h.status != "blank"
    ]
    faces, edges = [], []
    for w, sign in ((0.0, 1.0), (-layout.thickness_mm, -1.0)):
        rings = [apply(matrix, np.array([(u, v, w) for u, v in ring])) for ring in (outline, *holes)]
        faces.append(Face(tuple(rings), sign * matrix[:3, 2]))
        edges += [Edge(_closed(ring), "sharp" if k == 0 else "hole") for k, ring in enumerate(rings)]
    corners = np.vstack([face.rings[0] for face in faces])
    return Sight(
        name=layout.panel,
        title=title,
        kind="panel",
        low=corners.min(axis=0),
        high=corners.max(axis=0),
        faces=tuple(faces),
        edges=tuple(edges),
    )


def part_sight(plan: PartPlan, matrix: Matrix, title: str) -> Sight:
    """A folded part; tangent lines of its bends are left out."""
    body = folded_body(plan)
    turn = matrix[:3, :3]
    faces = tuple(
        Face(tuple(apply(matrix, ring) for ring in face.rings), turn @ face.normal)
        for face in body.faces
        if _area(face.rings[0]) > SMALLEST_MM2
    )
    edges = tuple(Edge(apply(matrix, e.points), e.kind) for e in body.edges if e.kind != "tangent")
    turns = tuple(
        Turn(apply(matrix, t.points), (turn @ t.normals[0], turn @ t.normals[1])) for t in body.turns
    )
    corners = np.vstack([e.points for e in edges])
    return Sight(
        name=plan.name,
        title=title,
        kind="part",
        low=corners.min(axis=0),
        high=corners.max(axis=0),
        faces=faces,
        edges=edges,
        turns=turns,
    )


def hose_sight(path: HosePath, title: str) -> Sight:
    """A hose or a line as the tube it is."""
    _stations, points, ways = sampled(path, TUBE_STEP_MM)
    tube = Tube(points=points, ways=ways, radius_mm=path.outside_dia_mm / 2)
    rims = [_rim(points[k], ways[k], tube.radius_mm) for k in (0, -1)]
    return Sight(
        name=path.name,
        title=title,
        kind="hose",
        low=points.min(axis=0) - tube.radius_mm,
        high=points.max(axis=0) + tube.radius_mm,
        faces=tuple(Face((rim,), ways[k]) for rim, k in zip(rims, (0, -1), strict=True)),
        edges=tuple(Edge(_closed(rim), "sharp") for rim in rims),
        tubes=(tube,),
    )


def piece_sight(
    name: str, title: str, kind: BodyKind, pieces: Sequence[Piece], *, hides: bool = True
) -> Sight:
    """A body of pieces, as the solids they make."""
    faces: list[Face] = []
    edges: list[Edge] = []
    turns: list[Turn] = []
    tubes: list[Tube] = []
    balls: list[tuple[Array, float]] = []
    solids = lumps(pieces)
    for lump in solids:
        match lump:
            case Box():
                _flat(*box_solid(lump), faces, edges, turns)
            case Hull():
                _flat(*lump.solid, faces, edges, turns)
            case Rod() if lump.round_ends:
                balls += [(np.array(end), lump.radius_mm) for end in dict.fromkeys((lump.start, lump.end))]
                if lump.start != lump.end:
                    tubes.append(_straight(np.array(lump.start), np.array(lump.end), lump.radius_mm))
            case _:
                _round(lump, faces, edges, tubes)
    return Sight(
        name=name,
        title=title,
        kind=kind,
        low=np.min([lump.box[0] for lump in solids], axis=0),
        high=np.max([lump.box[1] for lump in solids], axis=0),
        faces=tuple(faces),
        edges=tuple(edges),
        turns=tuple(turns),
        tubes=tuple(tubes),
        balls=tuple(balls),
        hides=hides,
    )


def _round(lump: Lump, faces: list[Face], edges: list[Edge], tubes: list[Tube]) -> None:
    """Cylinders one after the other on an axis, each with the discs it ends in."""
    if isinstance(lump, Turned):
        base, axis, steps = lump.base, lump.axis, lump.steps
    elif isinstance(lump, Rod):
        length = math.dist(lump.start, lump.end)
        base, axis, steps = np.array(lump.start), lump.pose[:3, 2], ((0.0, length, lump.radius_mm),)
    else:
        raise TypeError(type(lump).__name__)
    for start, end, radius in steps:
        tubes.append(_straight(base + axis * start, base + axis * end, radius))
        for station, sign in ((start, -1.0), (end, 1.0)):
            rim = _rim(base + axis * station, axis, radius)
            faces.append(Face((rim,), sign * axis))
            edges.append(Edge(_closed(rim), "sharp"))


def _straight(start: Array, end: Array, radius_mm: float) -> Tube:
    way = (end - start) / np.linalg.norm(end - start)
    return Tube(points=np.vstack([start, end]), ways=np.vstack([way, way]), radius_mm=radius_mm)


def _rim(centre: Array, way: Array, radius_mm: float) -> Array:
    side = np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))])
    side /= np.linalg.norm(side)
    count = max(12, math.ceil(math.pi / math.acos(max(1.0 - CHORD_MM / radius_mm, 0.5))))
    angles = 2 * math.pi * np.arange(count) / count
    ring = np.outer(np.cos(angles), side) + np.outer(np.sin(angles), np.cross(way, side))
    return np.asarray(centre + radius_mm * ring)


def _flat(
    corners: Array, triangles: NDArray[np.intp], faces: list[Face], edges: list[Edge], turns: list[Turn]
) -> None:
    """Faces of a convex body, its sharp edges, and those of its rounded faces."""
    beside: dict[tuple[int, int], Array] = {}
    for ring, normal in flats(corners, triangles):
        faces.append(Face((corners[ring],), normal))
        for a, b in zip(ring, [*ring[1:], ring[0]], strict=True):
            other = beside.pop((b, a), None)
            if other is None:
                beside[a, b] = normal
            elif float(normal @ other) > math.cos(SMOOTH_RAD):
                turns.append(Turn(corners[[a, b]], (normal, other)))
            else:
                edges.append(Edge(corners[[a, b]], "sharp"))


def _closed(ring: Array) -> Array:
    return np.vstack([ring, ring[:1]])


def _area(ring: Array) -> float:
    spokes = ring[1:] - ring[0]
    return float(np.linalg.norm(np.cross(spokes[:-1], spokes[1:]).sum(axis=0))) / 2
