"""How much of a line lies inside convex pieces, in closed form."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from generators.space.pieces import Array, Box, Hull, Piece, Rod

_PARALLEL = 1e-12


def inside_shares(piece: Piece, starts: Array, ends: Array) -> Array:
    """The share, 0 to 1, of each straight line (n, 3) to (n, 3) that lies in the piece.

    A line is cut by every plane of the piece; by the round of a rod at the roots of a quadratic.
    Raises ``ValueError`` for a rod with round ends.
    """
    match piece:
        case Box():
            axes, middle = piece.pose[:3, :3].T, piece.pose[:3, 3]
            normals, half = np.vstack([axes, -axes]), np.array(piece.half_mm)
            offsets = normals @ middle + np.concatenate([half, half])
        case Hull():
            normals = piece.normals
            offsets = (piece.points @ normals.T).max(axis=0)
        case Rod():
            if piece.round_ends:
                raise ValueError("a rod with round ends is no zone")
            axis = piece.pose[:3, 2]
            normals = np.vstack([axis, -axis])
            offsets = np.array([axis @ np.array(piece.end), -axis @ np.array(piece.start)])
    low, high = _between(normals, offsets, starts, ends)
    if isinstance(piece, Rod):
        first, last = _in_round(piece, starts, ends)
        low, high = np.maximum(low, first), np.minimum(high, last)
    return np.asarray(np.maximum(high - low, 0.0))


def _between(normals: Array, offsets: Array, starts: Array, ends: Array) -> tuple[Array, Array]:
    """Where each line enters and leaves all half spaces, as shares of its length."""
    room = offsets[None, :] - starts @ normals.T
    rate = (ends - starts) @ normals.T
    flat = np.abs(rate) < _PARALLEL
    at = room / np.where(flat, 1.0, rate)
    low = np.where(~flat & (rate < 0), at, 0.0).max(axis=1)
    high = np.where(~flat & (rate > 0), at, 1.0).min(axis=1)
    out = (flat & (room < 0)).any(axis=1)
    return np.clip(low, 0.0, None), np.where(out, -1.0, np.clip(high, None, 1.0))


def _in_round(rod: Rod, starts: Array, ends: Array) -> tuple[Array, Array]:
    """Where each line is nearer to the rod's axis than its radius."""
    across = rod.pose[:3, :2]
    at = (starts - rod.pose[:3, 3]) @ across
    way = (ends - starts) @ across
    a = (way * way).sum(axis=1)
    b = (at * way).sum(axis=1)
    c = (at * at).sum(axis=1) - rod.radius_mm**2
    along = a < _PARALLEL
    root = b * b - a * c
    safe, half = np.where(along, 1.0, a), np.sqrt(np.maximum(root, 0.0))
    miss = np.where(along, c > 0, root <= 0)
    low = np.where(along, 0.0, (-b - half) / safe)
    high = np.where(along, 1.0, (-b + half) / safe)
    return low, np.where(miss, -1.0, high)


def length_inside(pieces: Sequence[Piece], stations: Array, points: Array) -> float:
    """How much of a line lies in a body, mm: ``points`` (m, 3) at ``stations`` (m,), straight between them.

    The pieces do not overlap. Raises ``ValueError`` as ``inside_shares`` does.
    """
    steps = np.diff(stations)
    return float(sum((inside_shares(p, points[:-1], points[1:]) @ steps for p in pieces), 0.0))
