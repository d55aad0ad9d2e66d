"""Convex pieces a body is made of: boxes, rods with flat or round ends, and hulls of points.

Vehicle frame, mm. A piece is plain frozen data; ``distance`` turns it into what the library measures. Every
piece has a ``box``: its extent along the vehicle's axes, ((x, y, z) lowest, (x, y, z) highest).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix

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
    def pose(self) -> Matrix:
        """Middle of the rod and three unit axes, the third along it."""
        a, b = np.array(self.start), np.array(self.end)
        length = float(np.linalg.norm(b - a))
        out = np.eye(4)
        out[:3, 3] = (a + b) / 2
        if length > _SMALL_MM:
            axis = (b - a) / length
            side = np.eye(3)[int(np.argmin(np.abs(axis)))]
            first = np.cross(axis, side)
            first /= np.linalg.norm(first)
            out[:3, 0], out[:3, 1], out[:3, 2] = first, np.cross(axis, first), axis
        return out

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Extent along the vehicle's axes."""
        a, b = np.array(self.start), np.array(self.end)
        reach = np.full(3, self.radius_mm)
        if not self.round_ends:
            reach = self.radius_mm * np.sqrt(np.maximum(1.0 - self.pose[:3, 2] ** 2, 0.0))
        return np.minimum(a, b) - reach, np.maximum(a, b) + reach


@dataclass(frozen=True, kw_only=True)
class Hull:
    """The convex hull of ``points`` (n, 3). Raises ``GeometryFault`` when they lie in one plane."""

    points: Array

    @cached_property
    def solid(self) -> tuple[Array, NDArray[np.intp]]:
        """Its corners (m, 3) and its triangles (k, 3), each counter-clockwise from outside."""
        spread = np.linalg.svd(self.points - self.points.mean(axis=0), compute_uv=False)
        if len(self.points) < 4 or spread[-1] < 1e-7 * max(1.0, spread[0]):
            raise GeometryFault("points in one plane, which bound no body", "points")
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
    def box(self) -> tuple[Array, Array]:
        """Extent along the vehicle's axes."""
        return self.points.min(axis=0), self.points.max(axis=0)


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
            return Hull(points=piece.points @ pose[:3, :3].T + pose[:3, 3])


def slab(outline: Sequence[tuple[float, float]], low_mm: float, high_mm: float, pose: Matrix) -> Hull:
    """A convex plane outline in ``pose``'s (u, v), from ``low_mm`` to ``high_mm`` along its w.

    Raises ``GeometryFault`` (from ``Hull.solid``) for an outline without area.
    """
    flat = np.array(outline, dtype=np.float64)
    both = np.vstack([np.column_stack([flat, np.full(len(flat), w)]) for w in (low_mm, high_mm)])
    return Hull(points=both @ pose[:3, :3].T + pose[:3, 3])


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
