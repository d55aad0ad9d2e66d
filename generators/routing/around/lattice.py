"""A corridor through the surroundings: A* on a cubic lattice, then drawn straight between its corners.

Source: P. E. Hart, N. J. Nilsson, B. Raphael, A formal basis for the heuristic determination of minimum
cost paths, IEEE Transactions on Systems Science and Cybernetics 4 (1968) 100-107.
"""

from __future__ import annotations

import heapq
import math

import numpy as np

from generators.routing.around.bodies import Bodies, distances
from generators.routing.paths.curves import Array, Index

_CELLS = 26
_MOST_NODES = 60_000
_NEIGHBOURS = [
    (a, b, c) for a in (-1, 0, 1) for b in (-1, 0, 1) for c in (-1, 0, 1) if (a, b, c) != (0, 0, 0)
]


def corridor(
    start: Array, end: Array, bodies: Bodies, half_mm: float, radius_mm: float
) -> list[Array] | None:
    """Corners between ``start`` and ``end`` of a way that keeps ``half_mm`` plus every body's limit.

    None when the lattice has no such way. The lattice fills a box three radii beyond the ends, with
    about 26 cells along its longest side; near the ends, where a hose must leave its fitting, nodes are free.
    """
    low = np.minimum(start, end) - 3.0 * radius_mm
    high = np.maximum(start, end) + 3.0 * radius_mm
    pitch = float((high - low).max()) / _CELLS
    count = np.ceil((high - low) / pitch).astype(int) + 1
    if int(np.prod(count)) > _MOST_NODES:
        return None
    axes = [low[k] + pitch * np.arange(count[k]) for k in range(3)]
    nodes = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    near = np.flatnonzero(
        np.all(bodies.low - 2 * radius_mm <= high, axis=1)
        & np.all(bodies.high + 2 * radius_mm >= low, axis=1)
    )
    limit = np.array([body.limit_mm for body in bodies.rows])
    shut = _shut(nodes, bodies, near, limit, half_mm)
    free_ends = 1.8 * pitch
    for point in (start, end):
        shut &= np.linalg.norm(nodes - point, axis=1) > free_ends
    shape = (int(count[0]), int(count[1]), int(count[2]))
    first, last = (_nearest(point, low, pitch, shape) for point in (start, end))
    found = _search(shut.reshape(shape), first, last)
    if found is None:
        return None
    points = [start, *(low + pitch * np.array(node) for node in found), end]
    return _drawn(points, bodies, near, limit, half_mm)


def _nearest(point: Array, low: Array, pitch: float, shape: tuple[int, int, int]) -> tuple[int, int, int]:
    at = np.clip(np.rint((point - low) / pitch).astype(int), 0, np.array(shape) - 1)
    return int(at[0]), int(at[1]), int(at[2])


def _shut(
    points: Array, bodies: Bodies, near: Index, limit: Array, half_mm: float
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """True where some body is nearer than its limit and ``half_mm``."""
    shut = np.zeros(len(points), dtype=bool)
    for row in near:
        room = limit[row] + half_mm
        close = np.flatnonzero(
            ~shut
            & np.all(points >= bodies.low[row] - room, axis=1)
            & np.all(points <= bodies.high[row] + room, axis=1)
        )
        if len(close):
            gap = distances(bodies, points[close], np.full(len(close), row, dtype=np.intp))
            shut[close] = gap < room
    return shut


def _search(
    shut: np.ndarray[tuple[int, int, int], np.dtype[np.bool_]],
    first: tuple[int, int, int],
    last: tuple[int, int, int],
) -> list[tuple[int, int, int]] | None:
    """A* with the straight distance as estimate; nodes from the first to the last."""
    cost = {first: 0.0}
    came: dict[tuple[int, int, int], tuple[int, int, int]] = {}
    queue = [(math.dist(first, last), first)]
    done: set[tuple[int, int, int]] = set()
    while queue:
        _, node = heapq.heappop(queue)
        if node == last:
            way = [node]
            while way[-1] in came:
                way.append(came[way[-1]])
            return way[::-1]
        if node in done:
            continue
        done.add(node)
        for step in _NEIGHBOURS:
            there = node[0] + step[0], node[1] + step[1], node[2] + step[2]
            if not all(0 <= there[k] < shut.shape[k] for k in range(3)) or shut[there]:
                continue
            far = cost[node] + math.hypot(*step)
            if far < cost.get(there, math.inf):
                cost[there], came[there] = far, node
                heapq.heappush(queue, (far + math.dist(there, last), there))
    return None


def _drawn(points: list[Array], bodies: Bodies, near: Index, limit: Array, half_mm: float) -> list[Array]:
    """The inner corners left when every point that can be seen past is dropped."""
    corners: list[Array] = []
    k = 0
    while k < len(points) - 1:
        seen = k + 1
        for n in range(len(points) - 1, k + 1, -1):
            if _open(points[k], points[n], bodies, near, limit, half_mm):
                seen = n
                break
        if seen < len(points) - 1:
            corners.append(points[seen])
        k = seen
    return corners


def _open(a: Array, b: Array, bodies: Bodies, near: Index, limit: Array, half_mm: float) -> bool:
    count = max(2, math.ceil(float(np.linalg.norm(b - a)) / max(half_mm, 2.0)))
    line = a + np.linspace(0.0, 1.0, count)[:, None] * (b - a)
    return not bool(_shut(line, bodies, near, limit, half_mm).any())
