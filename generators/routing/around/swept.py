"""Distance from points to what turns about an axis: bars with round or flat ends, and boxes, over their turn.

The point is turned back instead of the body: back(t) = a + b cos t + c sin t. The distance is the least over
the turn: samples, then golden-section steps about the best one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import cross, turned_about
from generators.model.hose_path import Block, Limb, Sweep3
from generators.routing.paths.curves import Array, Index, square_to, unit

_TURN_SAMPLES = 25
_TURN_STEPS = 16
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0

ROUND, FLAT, BLOCK = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Swept:
    """Rows of moving pieces: the turn of each, its middle, own axes (n, 3, 3) and half sizes along them.

    A bar lies along its third axis; half of the other two is its radius. ``shape`` is one of ``ROUND``,
    ``FLAT`` and ``BLOCK``.
    """

    pivot: Array
    axis: Array
    turn: Array
    middle: Array
    axes: Array
    half: Array
    shape: Index


def collected(rows: Sequence[tuple[Sweep3, Limb | Block]]) -> Swept:
    """Moving pieces as rows."""
    made = [_placed(piece) for _, piece in rows]
    return Swept(
        pivot=np.array([s.pivot for s, _ in rows], dtype=float).reshape(-1, 3),
        axis=unit(np.array([s.axis for s, _ in rows], dtype=float).reshape(-1, 3)),
        turn=np.array([s.turn_rad for s, _ in rows], dtype=float),
        middle=np.array([m[0] for m in made]).reshape(-1, 3),
        axes=np.array([m[1] for m in made]).reshape(-1, 3, 3),
        half=np.array([m[2] for m in made]).reshape(-1, 3),
        shape=np.array([m[3] for m in made], dtype=np.intp),
    )


def _placed(piece: Limb | Block) -> tuple[Array, Array, tuple[float, float, float], int]:
    """Middle, own axes, half sizes and shape."""
    if isinstance(piece, Block):
        u, v = np.array(piece.u), np.array(piece.v)
        return np.array(piece.centre), np.array([u, v, np.cross(u, v)]), piece.half_mm, BLOCK
    start, end = np.array(piece.start), np.array(piece.end)
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length if length > 0 else np.array([0.0, 0.0, 1.0])
    side = square_to(along)
    axes = np.array([side, np.cross(along, side), along])
    half = (piece.radius_mm, piece.radius_mm, length / 2)
    return (start + end) / 2, axes, half, FLAT if piece.flat_ends else ROUND


def extent(of: Swept, row: int) -> tuple[Array, Array]:
    """A box along the vehicle's axes that the piece never leaves on its way."""
    half = of.half[row].copy()
    if of.shape[row] == ROUND:
        half[2] += half[0]
    signs = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float)
    corners = of.middle[row] + signs * half @ of.axes[row] - of.pivot[row]
    turns = np.linspace(0.0, of.turn[row], _TURN_SAMPLES)
    seen = np.concatenate([turned_about(corners, of.axis[row], np.full(len(corners), t)) for t in turns])
    # between two samples a point leaves their chord by no more than r (1 - cos of half a step)
    bulge = np.linalg.norm(corners, axis=1).max() * (1.0 - math.cos(of.turn[row] / (_TURN_SAMPLES - 1) / 2.0))
    return of.pivot[row] + seen.min(axis=0) - bulge, of.pivot[row] + seen.max(axis=0) + bulge


def to_swept(of: Swept, points: Array, row: Index) -> Array:
    """Distance of each point (m, 3) to the way of the piece in ``row`` (m,), mm; negative within it."""
    out = np.empty(len(points))
    for code, measure in ((ROUND, _to_round), (FLAT, _to_flat), (BLOCK, _to_block)):
        here = np.flatnonzero(of.shape[row] == code)
        if len(here):
            out[here] = _least(of, points[here], row[here], measure)
    return out


def _to_round(local: Array, half: Array) -> Array:
    beyond = np.maximum(np.abs(local[2]) - half[2], 0.0)
    return np.asarray(np.sqrt(local[0] ** 2 + local[1] ** 2 + beyond**2) - half[0])


def _to_flat(local: Array, half: Array) -> Array:
    aside = np.sqrt(local[0] ** 2 + local[1] ** 2) - half[0]
    return _outside(aside, np.abs(local[2]) - half[2])


def _to_block(local: Array, half: Array) -> Array:
    return _outside(*(np.abs(local[k]) - half[k] for k in range(3)))


def _outside(*past: Array) -> Array:
    """Distance from the amounts by which a point is past each pair of faces; negative inside."""
    out = sum((np.maximum(p, 0.0) ** 2 for p in past), np.zeros(1))
    most = past[0]
    for p in past[1:]:
        most = np.maximum(most, p)
    return np.asarray(np.where(most > 0, np.sqrt(out), most))


def _least(of: Swept, points: Array, row: Index, measure: Callable[[Array, Array], Array]) -> Array:
    pivot, axis, turn = of.pivot[row], of.axis[row], of.turn[row]
    off = points - pivot
    along = np.einsum("ij,ij->i", off, axis)[:, None] * axis
    # seen from the middle of the piece, along its own axes: (3, m) each
    a, b, c = (
        np.ascontiguousarray(np.einsum("mij,mj->im", of.axes[row], x))
        for x in (along - (of.middle[row] - pivot), off - along, cross(off, axis))
    )
    half = np.ascontiguousarray(of.half[row].T)

    def at_turn(angle: Array) -> Array:
        """Distances at a turn of each point (m,), or at several (k, m)."""
        cos, sin = np.cos(angle), np.sin(angle)
        return measure(np.stack([a[k] + b[k] * cos + c[k] * sin for k in range(3)]), half)

    steps = np.linspace(0.0, 1.0, _TURN_SAMPLES)
    table = at_turn(turn * steps[:, None])
    best = np.argmin(table, axis=0)
    low, high = turn * steps[np.maximum(best - 1, 0)], turn * steps[np.minimum(best + 1, _TURN_SAMPLES - 1)]
    least = table.min(axis=0)
    # all points at once; scipy's searches take one at a time
    for _ in range(_TURN_STEPS):
        first, second = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        near, far = at_turn(first), at_turn(second)
        least = np.minimum(least, np.minimum(near, far))
        low, high = np.where(near < far, low, first), np.where(near < far, second, high)
    return np.asarray(least)
