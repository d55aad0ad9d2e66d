"""Convex pieces a body is made of: boxes, rods with flat or round ends, and hulls of points.

Vehicle frame, mm. A piece is plain frozen data; ``distance`` turns it into what the library measures. Every
piece has a ``box``: its extent along the vehicle's axes, ((x, y, z) lowest, (x, y, z) highest).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix, cross

Array = NDArray[np.float64]
Point3 = tuple[float, float, float]

_SMALL_MM = 1e-9


@dataclass(frozen=True, kw_only=True)
class Box:
    """A box: ``pose`` (4×4) has its centre and unit axes, ``half_mm`` half its size along each."""

    pose: Matrix
    half_mm: Point3

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Extent along the vehicle's axes."""
        reach = np.abs(self.pose[:3, :3]) @ np.array(self.half_mm)
        return self.pose[:3, 3] - reach, self.pose[:3, 3] + reach


@dataclass(frozen=True, kw_only=True)
class Rod:
    """A round rod from ``start`` to ``end``; ends flat, or half spheres past them if ``round_ends``."""

    start: Point3
    end: Point3
    radius_mm: float
    round_ends: bool = False

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a rod with flat ends that has no length."""
        if not self.round_ends and math.dist(self.start, self.end) < _SMALL_MM:
            raise GeometryFault("two points in one place give no axis", "end")

    @cached_property
    def axis(self) -> Point3:
        """Unit vector from start to end; up for a ball."""
        length = math.dist(self.start, self.end)
        if length < _SMALL_MM:
            return 0.0, 0.0, 1.0
        x, y, z = ((b - a) / length for a, b in zip(self.start, self.end, strict=True))
        return x, y, z

    @cached_property
    def pose(self) -> Matrix:
        """Middle of the rod and three unit axes, the third along it."""
        x, y, z = self.axis
        # square to the vehicle's axis the rod is least along
        least = min((abs(x), 0), (abs(y), 1), (abs(z), 2))[1]
        side = ((0.0, z, -y), (-z, 0.0, x), (y, -x, 0.0))[least]
        size = math.hypot(*side)
        a, b, c = (s / size for s in side)
        middle = [(p + q) / 2 for p, q in zip(self.start, self.end, strict=True)]
        return np.array(
            [
                [a, y * c - z * b, x, middle[0]],
                [b, z * a - x * c, y, middle[1]],
                [c, x * b - y * a, z, middle[2]],
                [0.0, 0.0, 0.0, 1.0],
            ]
        )

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Extent along the vehicle's axes."""
        low, high = [], []
        for a, b, along in zip(self.start, self.end, self.axis, strict=True):
            share = 1.0 if self.round_ends else math.sqrt(max(1.0 - along * along, 0.0))
            low.append(min(a, b) - self.radius_mm * share)
            high.append(max(a, b) + self.radius_mm * share)
        return np.array(low), np.array(high)


@dataclass(frozen=True, kw_only=True)
class Hull:
    """The convex hull of ``points`` (n, 3). Raises ``GeometryFault`` when they lie in one plane.

    ``faces`` are its triangles (k, 3), each counter-clockwise from outside, where whoever makes it knows
    them; the points are then all corners.
    """

    points: Array
    faces: NDArray[np.intp] | None = None

    @cached_property
    def solid(self) -> tuple[Array, NDArray[np.intp]]:
        """Its corners (m, 3) and its triangles (k, 3), each counter-clockwise from outside."""
        if self.faces is not None:
            return self.points, self.faces
        spread = np.linalg.svd(self.points - self.points.mean(axis=0), compute_uv=False)
        if len(self.points) < 4 or spread[-1] < 1e-7 * max(1.0, spread[0]):
            raise GeometryFault("points in one plane, which bound no body", "points")
        from scipy.spatial import ConvexHull  # noqa: PLC0415 - slow to load, and most hulls know their faces

        # joggled input would move corners; merged facets are split into triangles
        hull = ConvexHull(self.points, qhull_options="Qt")
        number = {int(old): new for new, old in enumerate(hull.vertices)}
        corners = self.points[hull.vertices]
        faces = np.array([[number[int(i)] for i in row] for row in hull.simplices], dtype=np.intp)
        a, b, c = (corners[faces[:, k]] for k in range(3))
        inward = np.einsum("ij,ij->i", np.cross(b - a, c - a), hull.equations[:, :3]) < 0
        faces[inward] = faces[inward][:, ::-1]
        return corners, faces

    @cached_property
    def normals(self) -> Array:
        """Unit directions its triangles look, (k, 3)."""
        corners, faces = self.solid
        a, b, c = (corners[faces[:, k]] for k in range(3))
        p, q = b - a, c - a
        square = np.column_stack(
            [
                p[:, 1] * q[:, 2] - p[:, 2] * q[:, 1],
                p[:, 2] * q[:, 0] - p[:, 0] * q[:, 2],
                p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0],
            ]
        )
        size = np.sqrt((square * square).sum(axis=1))
        kept = size > _SMALL_MM
        return np.asarray(square[kept] / size[kept, None])

    @cached_property
    def edges(self) -> Array:
        """Unit directions of its edges, each once and one of both senses, (k, 3)."""
        corners, faces = self.solid
        ways = np.vstack([corners[faces[:, (k + 1) % 3]] - corners[faces[:, k]] for k in range(3)])
        # the greatest component counts up
        lead = ways[np.arange(len(ways)), np.abs(ways).argmax(axis=1)]
        return _each_once(ways * np.where(lead < 0, -1.0, 1.0)[:, None])

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Extent along the vehicle's axes."""
        return self.points.min(axis=0), self.points.max(axis=0)


def _each_once(ways: Array) -> Array:
    size = np.linalg.norm(ways, axis=1)
    kept = size > _SMALL_MM
    unit = ways[kept] / size[kept, None]
    _same, first = np.unique(np.round(unit, 7), axis=0, return_index=True)
    return np.asarray(unit[np.sort(first)])


Piece = Box | Rod | Hull


def moved(piece: Piece, pose: Matrix) -> Piece:
    """The piece carried along by ``pose`` (4×4)."""
    match piece:
        case Box():
            return Box(pose=pose @ piece.pose, half_mm=piece.half_mm)
        case Rod():
            ends = np.array([piece.start, piece.end]) @ pose[:3, :3].T + pose[:3, 3]
            start, end = (tuple(float(c) for c in row) for row in ends)
            return Rod(
                start=(start[0], start[1], start[2]),
                end=(end[0], end[1], end[2]),
                radius_mm=piece.radius_mm,
                round_ends=piece.round_ends,
            )
        case Hull():
            points = piece.points @ pose[:3, :3].T + pose[:3, 3]
            return Hull(points=points, faces=piece.faces)


def slab(outline: Sequence[tuple[float, float]], low_mm: float, high_mm: float, pose: Matrix) -> Hull:
    """``slabs`` of one outline."""
    return slabs([outline], low_mm, high_mm, pose)[0]


def slabs(
    outlines: Sequence[Sequence[tuple[float, float]]], low_mm: float, high_mm: float, pose: Matrix
) -> list[Hull]:
    """Convex plane outlines in ``pose``'s (u, v), counter-clockwise, from ``low_mm`` up to ``high_mm``
    along its w.

    Raises ``GeometryFault`` for an outline without area.
    """
    flat = [_corners(outline) for outline in outlines]
    if high_mm - low_mm < _SMALL_MM or min((len(corners) for corners in flat), default=3) < 3:
        raise GeometryFault("points in one plane, which bound no body", "points")
    base = np.array([corner for corners in flat for corner in corners]).reshape(-1, 2)
    base = base @ pose[:3, :2].T + pose[:3, 3]
    low, high = base + low_mm * pose[:3, 2], base + high_mm * pose[:3, 2]
    ends = np.cumsum([len(corners) for corners in flat]).tolist()
    return [
        Hull(points=np.concatenate((low[a:b], high[a:b])), faces=_prism_faces(b - a))
        for a, b in zip([0, *ends], ends, strict=False)
    ]


def bar(start: Sequence[Point3] | Array, end: Sequence[Point3] | Array) -> Hull:
    """A straight bar between two like convex polygons, corner to corner, in either sense.

    Raises ``GeometryFault`` for ends without area, or in one plane.
    """
    first, last = np.array(start, dtype=np.float64), np.array(end, dtype=np.float64)
    kept = np.linalg.norm(first - np.roll(first, 1, axis=0), axis=1) > _SMALL_MM
    first, last = first[kept], last[kept]
    normal = cross(np.roll(first, 1, axis=0), first).sum(axis=0)
    along = float(normal @ (last[0] - first[0])) if len(first) > 2 else 0.0
    if abs(along) < _SMALL_MM:
        raise GeometryFault("points in one plane, which bound no body", "points")
    if along < 0:
        first, last = first[::-1], last[::-1]
    return Hull(points=np.vstack([first, last]), faces=_prism_faces(len(first)))


def _corners(outline: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """The outline without points on a straight side."""
    kept = []
    for k, (u, v) in enumerate(outline):
        (au, av), (bu, bv) = outline[k - 1], outline[(k + 1) % len(outline)]
        du, dv, eu, ev = u - au, v - av, bu - u, bv - v
        if du * ev - dv * eu > 1e-9 * max(math.hypot(du, dv) * math.hypot(eu, ev), _SMALL_MM):
            kept.append((u, v))
    return kept


@cache
def _prism_faces(count: int) -> NDArray[np.intp]:
    """Triangles of a prism whose first ``count`` points are its bottom, counter-clockwise from above."""
    caps = [(0, k + 1, k) for k in range(1, count - 1)]
    caps += [(count, count + k, count + k + 1) for k in range(1, count - 1)]
    sides = []
    for k in range(count):
        after = (k + 1) % count
        sides += [(k, after, count + after), (k, count + after, count + k)]
    return np.array(caps + sides, dtype=np.intp)


def carried(pieces: Sequence[Piece], pivot: Point3) -> float:
    """How far the farthest point of the pieces is from ``pivot``, at most, mm."""
    far = 0.0
    at = np.array(pivot)
    for piece in pieces:
        match piece:
            case Rod():
                reach = max(math.dist(piece.start, pivot), math.dist(piece.end, pivot))
                reach += piece.radius_mm
            case Hull():
                reach = float(np.linalg.norm(piece.points - at, axis=1).max())
            case Box():
                reach = float(np.linalg.norm(piece.pose[:3, 3] - at) + np.linalg.norm(piece.half_mm))
        far = max(far, reach)
    return far
