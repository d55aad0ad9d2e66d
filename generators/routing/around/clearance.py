"""The least gap between hoses and everything near them.

Boxes round pieces and bodies, met in a tree, leave the few pairs that may be too close. For each pair the
gap is bounded below on an interval of the path by (d(a) + d(b) - (b - a)) / 2, for distance changes by no
more than the way gone; intervals that may hold less than the best found are halved until none can by
more than 0.25 mm, and the best is then refined by golden-section steps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from generators.model.hose_path import ClearanceLimits, HosePath, Obstacle3, Panel3
from generators.model.hose_results import Clearance
from generators.routing.around.bodies import PANEL, Bodies, collect, distances
from generators.routing.around.crossings import crossings
from generators.routing.paths.curves import Array, Index, Pieces, extents, pieces, places, point3

SURE_MM = 0.25
_GOLDEN = (5.0**0.5 - 1.0) / 2.0
_GOLDEN_STEPS = 14


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Intervals of pieces against bodies: piece, body row, and from where to where on the piece, mm."""

    piece: Index
    body: Index
    begin: Array
    end: Array


def clearances(
    paths: Sequence[HosePath],
    obstacles: Sequence[Obstacle3],
    panels: Sequence[Panel3],
    limits: ClearanceLimits,
    beyond_mm: float = 0.0,
) -> tuple[Clearance, ...]:
    """Gaps smaller than their limit plus ``beyond_mm``, the least of each hose and body, and all crossings.

    Sorted by hose, then body. Hoses are told apart by their place in ``paths``, not by name.
    """
    found = gaps(paths, collect(obstacles, panels, limits), beyond_mm)
    met = [crossing for path in paths for crossing in crossings(path, panels)]
    return tuple(
        sorted((*(gap for _, gap in found), *met), key=lambda c: (c.hose, c.body, c.what, c.station_mm))
    )


def gaps(paths: Sequence[HosePath], bodies: Bodies, beyond_mm: float = 0.0) -> list[tuple[int, Clearance]]:
    """Gaps to bodies gathered before; each with the number of its path."""
    of = pieces(paths)
    if len(of.radius) == 0 or len(bodies.rows) == 0:
        return []
    half = np.array([path.outside_dia_mm / 2.0 for path in paths])
    limit = np.array([body.limit_mm for body in bodies.rows]) + beyond_mm
    pairs = _measured(paths, of, bodies, _close(of, bodies, half, limit), limit)
    names = {name: k for k, name in enumerate(dict.fromkeys((b.name, b.what) for b in bodies.rows))}
    label = np.array([names[b.name, b.what] for b in bodies.rows], dtype=np.intp)
    best = _least(of, bodies, pairs, label[pairs.body] + len(names) * of.owner[pairs.piece], half, limit)
    out = []
    for piece, row, s_mm, distance in best:
        body, owner = bodies.rows[row], int(of.owner[piece])
        gap = distance - float(half[owner])
        if gap < limit[row]:
            place = places(of, np.array([piece], dtype=np.intp), np.array([s_mm]))[0]
            out.append(
                (
                    owner,
                    Clearance(
                        hose=paths[owner].name,
                        body=body.name,
                        what=body.what,
                        kind=body.kind,
                        gap_mm=gap,
                        limit_mm=body.limit_mm,
                        station_mm=float(of.station[piece]) + s_mm,
                        at=point3(place),
                    ),
                )
            )
    return out


def _close(of: Pieces, bodies: Bodies, half: Array, limit: Array) -> tuple[Index, Index]:
    """Pieces and body rows whose boxes come within the limit of each other."""
    low, high = extents(of)
    room = half[of.owner][:, None]
    low, high = low - room, high + room
    body_low, body_high = bodies.low - limit[:, None], bodies.high + limit[:, None]
    tree = shapely.STRtree(shapely.box(body_low[:, 0], body_low[:, 1], body_high[:, 0], body_high[:, 1]))
    piece, body = tree.query(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    meets = (low[piece, 2] <= body_high[body, 2]) & (high[piece, 2] >= body_low[body, 2])
    return piece[meets], body[meets]


def _measured(
    paths: Sequence[HosePath], of: Pieces, bodies: Bodies, close: tuple[Index, Index], limit: Array
) -> _Pairs:
    """The pairs with the stretches left out that belong to a hose's own ends and grommets."""
    piece, body = close
    begin, end = np.zeros(len(piece)), of.length[piece].copy()
    left_out = _left_out(paths, bodies, limit)
    extra: list[tuple[int, int, float, float]] = []
    keep = np.ones(len(piece), dtype=bool)
    if left_out:
        for k in range(len(piece)):
            stretches = left_out.get((int(of.owner[piece[k]]), bodies.rows[body[k]].name))
            if stretches:
                keep[k] = False
                base = float(of.station[piece[k]])
                extra += [
                    (int(piece[k]), int(body[k]), a - base, b - base)
                    for a, b in _without(base, base + float(of.length[piece[k]]), stretches)
                ]
    rest = np.array(extra, dtype=float).reshape(-1, 4)
    return _Pairs(
        np.concatenate([piece[keep], rest[:, 0].astype(np.intp)]),
        np.concatenate([body[keep], rest[:, 1].astype(np.intp)]),
        np.concatenate([begin[keep], rest[:, 2]]),
        np.concatenate([end[keep], rest[:, 3]]),
    )


def _left_out(
    paths: Sequence[HosePath], bodies: Bodies, limit: Array
) -> dict[tuple[int, str], list[tuple[float, float]]]:
    """Stretches not measured, by path number and body: its own ends, and where a grommet lines the rim."""
    out: dict[tuple[int, str], list[tuple[float, float]]] = {}
    reach: dict[str, float] = {}
    for row, body in enumerate(bodies.rows):
        if body.what in {"face", "edge"}:
            reach[body.name] = max(reach.get(body.name, 0.0), float(limit[row]))
    thick = dict(
        zip(
            (bodies.rows[k].name for k in np.flatnonzero(bodies.form == PANEL)),
            bodies.panels.high - bodies.panels.low,
            strict=True,
        )
    )
    for number, path in enumerate(paths):
        for name, begin, end in path.own:
            out.setdefault((number, name), []).append((begin, end))
        for panel, _, station in path.passes:
            room = reach.get(panel, 0.0) + path.outside_dia_mm / 2.0 + float(thick.get(panel, 0.0))
            out.setdefault((number, panel), []).append((station - room, station + room))
    return out


def _without(begin: float, end: float, stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """What is left of an interval after the stretches are taken away."""
    left, at = [], begin
    for low, high in sorted(stretches):
        if low > at:
            left.append((at, min(low, end)))
        at = max(at, high)
        if at >= end:
            break
    # a stretch that ends with the path ends there whatever the last digit says
    if end - at > 1e-9:
        left.append((at, end))
    return [(a, b) for a, b in left if b > a]


def _least(
    of: Pieces, bodies: Bodies, pairs: _Pairs, key: Index, half: Array, limit: Array
) -> list[tuple[int, int, float, float]]:
    """The least distance of each key: piece, body row, place on the piece and distance, by halving."""
    keys, group = np.unique(key, return_inverse=True)
    if len(keys) == 0:
        return []
    best, at, pair = np.full(len(keys), np.inf), np.zeros(len(keys)), np.zeros(len(keys), dtype=np.intp)
    cut = limit[pairs.body] + half[of.owner[pairs.piece]]
    rows, begin, end = np.arange(len(pairs.piece), dtype=np.intp), pairs.begin, pairs.end

    def measure(rows: Index, s_mm: Array) -> Array:
        """Distances at places on the pairs; each group's least is kept, the first of equals."""
        value = distances(bodies, places(of, pairs.piece[rows], s_mm), pairs.body[rows])
        order = np.argsort(value, kind="stable")
        first = order[np.unique(group[rows][order], return_index=True)[1]]
        better = first[value[first] < best[group[rows[first]]]]
        which = group[rows[better]]
        best[which], at[which], pair[which] = value[better], s_mm[better], rows[better]
        return value

    at_begin, at_end = measure(rows, begin), measure(rows, end)
    while len(rows):
        low = (at_begin + at_end - (end - begin)) / 2.0
        todo = (low < best[group[rows]] - SURE_MM) & (low < cut[rows])
        rows, begin, end, at_begin, at_end = rows[todo], begin[todo], end[todo], at_begin[todo], at_end[todo]
        middle = (begin + end) / 2.0
        at_middle = measure(rows, middle)
        rows = np.concatenate([rows, rows])
        begin, end = np.concatenate([begin, middle]), np.concatenate([middle, end])
        at_begin, at_end = np.concatenate([at_begin, at_middle]), np.concatenate([at_middle, at_end])
    piece, body = pairs.piece[pair], pairs.body[pair]
    low = np.maximum(at - 4.0 * SURE_MM, pairs.begin[pair])
    high = np.minimum(at + 4.0 * SURE_MM, pairs.end[pair])
    # all pairs at once; scipy's searches take one at a time
    for _ in range(_GOLDEN_STEPS):
        first, second = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        near = distances(bodies, places(of, piece, first), body)
        far = distances(bodies, places(of, piece, second), body)
        for value, place in ((near, first), (far, second)):
            better = value < best
            best[better], at[better] = value[better], place[better]
        low, high = np.where(near < far, low, first), np.where(near < far, second, high)
    return [(int(p), int(b), float(s), float(d)) for p, b, s, d in zip(piece, body, at, best, strict=True)]
