"""The nearest points of two convex pieces that are apart, for where the distance library stops too early.

Gilbert, Johnson and Keerthi (1988): the difference of both pieces is approached from inside by simplices of
its farthest points; a direction in which no point is nearer than the simplex proves the distance.
"""

from __future__ import annotations

import itertools
import math

import numpy as np

from generators.geometry.frames import Matrix
from generators.space.pieces import Array, Box, Hull, Piece, Rod

SURE_MM = 1e-3
"""How exactly a distance is known."""

_MOST = 200
_TINY = 1e-12


def farthest(piece: Piece, way: Array) -> Array:
    """A point of the piece farthest along a unit direction."""
    match piece:
        case Hull():
            return np.asarray(piece.points[int((piece.points @ way).argmax())])
        case Box():
            turn = piece.pose[:3, :3]
            return np.asarray(piece.pose[:3, 3] + turn @ (np.sign(way @ turn) * piece.half_mm))
        case Rod():
            start, end = np.array(piece.start), np.array(piece.end)
            tip = end if float((end - start) @ way) > 0 else start
            if piece.round_ends:
                return np.asarray(tip + piece.radius_mm * way)
            axis = piece.pose[:3, 2]
            across = way - (way @ axis) * axis
            size = float(np.linalg.norm(across))
            return np.asarray(tip if size < _TINY else tip + piece.radius_mm / size * across)


def reach(piece: Piece, way: Array) -> float:
    """How far the piece goes along a unit direction, from the origin, mm."""
    match piece:
        case Hull():
            return float((piece.points @ way).max())
        case Box():
            return float(piece.pose[:3, 3] @ way + np.abs(way @ piece.pose[:3, :3]) @ piece.half_mm)
        case Rod():
            x, y, z = float(way[0]), float(way[1]), float(way[2])
            start = piece.start[0] * x + piece.start[1] * y + piece.start[2] * z
            end = piece.end[0] * x + piece.end[1] * y + piece.end[2] * z
            if piece.round_ends:
                return max(start, end) + piece.radius_mm
            a, b, c = piece.axis
            return max(start, end) + piece.radius_mm * math.sqrt(max(1.0 - (a * x + b * y + c * z) ** 2, 0.0))


def apart(one: Piece, two: Piece, way: Array, pose: Matrix | None = None) -> float:
    """How far the pieces are apart at least, seen along a unit direction from ``one`` to ``two``, mm.

    ``pose`` (4×4) moves the first.
    """
    if pose is None:
        return -reach(two, -way) - reach(one, way)
    return -reach(two, -way) - reach(one, way @ pose[:3, :3]) - float(way @ pose[:3, 3])


def nearest(one: Piece, two: Piece) -> tuple[float, Array, Array]:
    """Distance, mm, and the nearest points; 0 for pieces that touch or are in each other."""
    way = np.mean(two.box, axis=0) - np.mean(one.box, axis=0)
    pairs: list[tuple[Array, Array]] = []
    best = 0.0
    for _ in range(_MOST):
        size = float(np.linalg.norm(way))
        if size < _TINY:
            break
        unit = way / size
        pairs.append((farthest(one, unit), farthest(two, -unit)))
        best = max(best, float((pairs[-1][1] - pairs[-1][0]) @ unit))
        shares, pairs = _least(pairs)
        at = sum((s * p for s, (p, _) in zip(shares, pairs, strict=True)), np.zeros(3))
        to = sum((s * q for s, (_, q) in zip(shares, pairs, strict=True)), np.zeros(3))
        way = to - at
        if float(np.linalg.norm(way)) - best < SURE_MM:
            return float(np.linalg.norm(way)), at, to
    return best, at, to


def _least(pairs: list[tuple[Array, Array]]) -> tuple[list[float], list[tuple[Array, Array]]]:
    """The point of least length between the pairs' differences: its shares, and the pairs it lies between."""
    points = np.array([q - p for p, q in pairs])
    best: tuple[float, list[float], tuple[int, ...]] | None = None
    for count in range(1, min(len(points), 4) + 1):
        for chosen in itertools.combinations(range(len(points)), count):
            shares = _shares(points[list(chosen)])
            if shares is None:
                continue
            length = float(np.linalg.norm(shares @ points[list(chosen)]))
            if best is None or length < best[0] - _TINY:
                best = length, shares.tolist(), chosen
    if best is None:  # one point alone always serves
        raise ValueError("no points")
    return best[1], [pairs[k] for k in best[2]]


def _shares(points: Array) -> Array | None:
    """Shares of the point of least length in the plane of all of them; None where one is negative."""
    if len(points) == 1:
        return np.ones(1)
    sides = points[1:] - points[0]
    gram = sides @ sides.T
    if abs(float(np.linalg.det(gram))) <= _TINY * float(np.prod(np.diag(gram))):
        return None
    rest = np.linalg.solve(gram, -sides @ points[0])
    shares = np.concatenate(([1.0 - rest.sum()], rest))
    return shares if bool((shares >= 0).all()) else None
