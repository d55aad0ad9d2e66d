"""Hoses against each other: the least gap between the outsides of every two that come close.

Arcs are cut into chords that stay within 0.02 mm of them, straights into pieces of 10 mm at most; boxes
of pieces met in a tree leave the few pairs whose exact distance (two straight pieces in space) is worked
out, all at once.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from generators.model.hose_path import HosePath
from generators.model.hose_results import Clearance
from generators.routing.paths.curves import Array, Index, Pieces, pieces, places, point3

SAGITTA_MM = 0.02
"""How far a chord may lie inside its arc."""

PIECE_MM = 10.0
HOSE = "hose"
_TINY = 1e-12


def hose_gaps(
    paths: Sequence[HosePath], limit_mm: float, joined: Mapping[tuple[int, int], float] | None = None
) -> tuple[Clearance, ...]:
    """Gaps between hoses under ``limit_mm``, the least of each two, named at the hose that comes first.

    ``joined`` are pairs of path numbers, the lower first, that end on one component: within that length
    of an end (mm) they are not measured, as their fittings keep them apart or put them side by side.
    Raises nothing.
    """
    of = pieces(paths)
    if len(paths) < 2 or len(of.radius) == 0:
        return ()
    start, end, owner, station = _chords(of)
    half = np.array([path.outside_dia_mm / 2.0 for path in paths])
    first, second = _close(start, end, owner, half, limit_mm)
    if joined:
        middle = station + np.linalg.norm(end - start, axis=1) / 2.0
        keep = _measured(paths, owner, middle, first, second, joined)
        first, second = first[keep], second[keep]
    gap, s = _distances(start[first], end[first], start[second], end[second])
    gap = gap - half[owner[first]] - half[owner[second]]
    order = np.argsort(gap, kind="stable")
    key = owner[first] * len(paths) + owner[second]
    _, least = np.unique(key[order], return_index=True)
    out = []
    for row in order[least]:
        if gap[row] >= limit_mm:
            continue
        a, b = int(first[row]), int(second[row])
        at = start[a] + s[row] * (end[a] - start[a])
        out.append(
            Clearance(
                hose=paths[int(owner[a])].name,
                body=paths[int(owner[b])].name,
                what="hose",
                kind="hose",
                gap_mm=float(gap[row]),
                limit_mm=limit_mm,
                station_mm=float(station[a] + s[row] * np.linalg.norm(end[a] - start[a])),
                at=point3(at),
            )
        )
    return tuple(out)


def _chords(of: Pieces) -> tuple[Array, Array, Index, Array]:
    """Straight pieces: start and end (m, 3), the path each belongs to, and the station of its start."""
    straight = np.isinf(of.radius)
    bend = np.where(straight, 1.0, of.radius)
    # the sagitta of a chord over the angle x is r (1 - cos(x / 2))
    widest = 2.0 * np.arccos(np.clip(1.0 - SAGITTA_MM / np.maximum(bend, SAGITTA_MM), 0.0, 1.0))
    count = np.ceil(of.length / np.where(straight, PIECE_MM, bend * widest)).astype(np.intp)
    which = np.repeat(np.arange(len(count), dtype=np.intp), count)
    within = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    step = of.length[which] / count[which]
    start, end = places(of, which, within * step), places(of, which, (within + 1) * step)
    return start, end, of.owner[which], of.station[which] + within * step


def _close(start: Array, end: Array, owner: Index, half: Array, limit_mm: float) -> tuple[Index, Index]:
    """Chords of two hoses whose boxes come within the limit, the lower path first."""
    room = (half[owner] + limit_mm / 2.0)[:, None]
    low, high = np.minimum(start, end) - room, np.maximum(start, end) + room
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    a, b = shapely.STRtree(boxes).query(boxes)
    meets = (owner[a] < owner[b]) & (low[a, 2] <= high[b, 2]) & (high[a, 2] >= low[b, 2])
    return a[meets], b[meets]


def _measured(
    paths: Sequence[HosePath],
    owner: Index,
    middle: Array,
    first: Index,
    second: Index,
    joined: Mapping[tuple[int, int], float],
) -> NDArray[np.bool_]:
    """False for chords of a joined pair of which one has its middle by an end of its hose."""
    pairs = zip(owner[first].tolist(), owner[second].tolist(), strict=True)
    room = np.array([joined.get(pair, 0.0) for pair in pairs])
    whole = np.array([path.length_mm for path in paths])
    off = np.minimum(middle, whole[owner] - middle)
    out: NDArray[np.bool_] = np.minimum(off[first], off[second]) >= room
    return out


def _distances(p0: Array, p1: Array, q0: Array, q1: Array) -> tuple[Array, Array]:
    """Least distance of straight pieces, row by row, and where on the first it is (0 to 1).

    The foot on the endless lines where it lies on both pieces, else the nearest of the four ends to the
    other piece; either is exact.
    """
    u, v, w = p1 - p0, q1 - q0, p0 - q0
    a, b, c = _dot(u, u), _dot(u, v), _dot(v, v)
    d, e = _dot(u, w), _dot(v, w)
    size = a * c - b * b
    skew = size > _TINY * np.maximum(a * c, _TINY)
    safe = np.where(skew, size, 1.0)
    s, t = (b * e - c * d) / safe, (a * e - b * d) / safe
    inside = skew & (s >= 0) & (s <= 1) & (t >= 0) & (t <= 1)
    zero, one = np.zeros(len(a)), np.ones(len(a))
    tries = [(np.where(inside, s, 0.0), np.where(inside, t, _foot(p0, q0, v)))]
    tries += [
        (zero, _foot(p0, q0, v)),
        (one, _foot(p1, q0, v)),
        (_foot(q0, p0, u), zero),
        (_foot(q1, p0, u), one),
    ]
    gaps = np.array(
        [np.linalg.norm(p0 + s[:, None] * u - q0 - t[:, None] * v, axis=1) for s, t in tries]
    ).reshape(len(tries), -1)
    best = np.argmin(gaps, axis=0)
    rows = np.arange(len(a))
    return gaps[best, rows], np.array([s for s, _ in tries])[best, rows]


def _dot(a: Array, b: Array) -> Array:
    out: Array = np.einsum("ij,ij->i", a, b)
    return out


def _foot(point: Array, start: Array, way: Array) -> Array:
    """Where on a piece (0 to 1) a point is nearest, row by row."""
    size = np.maximum(_dot(way, way), math.ulp(1.0))
    out: Array = np.clip(_dot(point - start, way) / size, 0.0, 1.0)
    return out
