"""The job in space as plain triangles and lines for a page that turns it: no kernel.

Positions are in mm of the vehicle (x rearward, y right, z up), as 32-bit floats in base64.
"""

from __future__ import annotations

import base64
import math
from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np
import shapely

from generators.drawing.part.body import Face
from generators.drawing.space.sights import Sight, Tube
from generators.figures import fixed
from generators.sheets.draft.content import Content
from generators.sheets.space.pages import lettered, pair_words
from generators.space.pieces import Array
from generators.space.shown import AT_REST, AT_STOP, BOLTS, OBSTACLES, ZONES

ROUND, BALL = 12, 8
"""Sides of a tube, and half of those of a ball."""
STEP_RAD = math.pi / ROUND


def space_data(content: Content) -> dict[str, Any]:
    """Things with their triangles and edges, what moves, and the closest pairs; JSON of plain values."""
    sheet = content.space
    if sheet is None:
        return {"things": [], "moving": [], "pairs": []}
    groups = {body.name: body.group for body, _title in sheet.bodies}
    things = [_thing(sight, groups.get(sight.name, "")) for sight in sheet.sights()]
    return {
        "things": [thing for thing in things if thing["group"] != AT_STOP],
        "groups": {"bolts": BOLTS, "obstacles": OBSTACLES, "zones": ZONES, "rest": AT_REST},
        "moving": [
            {"name": m.name, "pedal": m.pedal, "poses": [[round(x, 5) for x in pose] for pose in m.poses]}
            for m in content.moving
        ],
        "pairs": [
            {
                "letter": letter,
                "gap": f"{fixed(pair.gap.gap_mm, 1)} mm",
                "first": pair.first,
                "second": pair.second,
                "at": [round(float(x), 3) for x in pair.gap.at],
                "to": [round(float(x), 3) for x in pair.gap.to],
                "stop": pair.at_stop,
                "words": pair_words(pair),
            }
            for letter, pair in lettered(sheet.pairs)
        ],
    }


def _thing(sight: Sight, group: str) -> dict[str, Any]:
    triangles = [*_faces(sight.faces), *(t for tube in sight.tubes for t in _tube(tube))]
    triangles += [t for centre, radius in sight.balls for t in _ball(centre, radius)]
    lines = [np.stack([e.points[:-1], e.points[1:]], axis=1) for e in sight.edges if len(e.points) > 1]
    return {
        "name": sight.name,
        "title": sight.title,
        "kind": sight.kind,
        "group": group,
        "triangles": _packed(np.concatenate(triangles) if triangles else np.zeros((0, 3, 3))),
        "lines": _packed(np.concatenate(lines) if lines else np.zeros((0, 2, 3))),
    }


def _packed(values: Array) -> str:
    return base64.b64encode(np.ascontiguousarray(np.round(values, 3), dtype="<f4").tobytes()).decode()


def _faces(faces: Iterable[Face]) -> Iterator[Array]:
    for face in faces:
        ring = face.rings[0]
        if len(face.rings) == 1 and len(ring) <= 4 and _convex(ring, face.normal):
            yield _fan(ring)
        else:
            yield _cut(face)


def _fan(ring: Array) -> Array:
    return np.stack([np.broadcast_to(ring[0], ring[1:-1].shape), ring[1:-1], ring[2:]], axis=1)


def _convex(ring: Array, normal: Array) -> bool:
    sides = np.roll(ring, -1, axis=0) - ring
    turns = np.cross(sides, np.roll(sides, -1, axis=0)) @ normal
    return bool((turns >= -1e-9).all() or (turns <= 1e-9).all())


def _cut(face: Face) -> Array:
    """A flat face with its openings, cut into triangles in its own plane."""
    normal = np.asarray(face.normal) / np.linalg.norm(face.normal)
    right = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
    right /= np.linalg.norm(right)
    up, origin = np.cross(normal, right), face.rings[0][0]
    flat = [np.stack([(r - origin) @ right, (r - origin) @ up], axis=1) for r in face.rings]
    shape = shapely.make_valid(shapely.Polygon(flat[0], flat[1:]))
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(shape))
    if not len(parts):
        return np.zeros((0, 3, 3))
    corners = shapely.get_coordinates(parts).reshape(-1, 4, 2)[:, :3]
    return np.asarray(origin + corners[..., :1] * right + corners[..., 1:] * up)


def _tube(tube: Tube) -> Iterator[Array]:
    """Rings about the middle line, each turned as little as can be from the one before."""
    way = tube.ways[0]
    side = np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))])
    rings = []
    angles = 2 * STEP_RAD * np.arange(ROUND + 1)
    for point, way in zip(tube.points, tube.ways, strict=True):
        side = side - (side @ way) * way
        side = side / np.linalg.norm(side)
        across = np.outer(np.cos(angles), side) + np.outer(np.sin(angles), np.cross(way, side))
        rings.append(point + tube.radius_mm * across)
    yield _strip(np.array(rings))


def _strip(rings: Array) -> Array:
    a, b = rings[:-1, :-1], rings[:-1, 1:]
    c, d = rings[1:, 1:], rings[1:, :-1]
    return np.concatenate(
        [np.stack([a, b, c], axis=2).reshape(-1, 3, 3), np.stack([a, c, d], axis=2).reshape(-1, 3, 3)]
    )


def _ball(centre: Array, radius: float) -> Iterator[Array]:
    down = np.linspace(0.0, math.pi, BALL + 1)[:, None]
    round_ = np.linspace(0.0, 2 * math.pi, 2 * BALL + 1)[None, :]
    grid = np.stack(
        [np.sin(down) * np.cos(round_), np.sin(down) * np.sin(round_), np.cos(down) + 0 * round_], axis=2
    )
    yield _strip(np.asarray(centre) + radius * grid)


def shown_names(content: Content) -> list[str]:
    """Names of all things the page turns, in their order."""
    if content.space is None:
        return []
    groups = {body.name: body.group for body, _title in content.space.bodies}
    return [s.name for s in content.space.sights() if groups.get(s.name, "") != AT_STOP]
