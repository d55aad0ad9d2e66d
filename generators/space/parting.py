"""How far a body has to be moved along one direction until it is out of another.

While a convex piece is carried along a line it meets another convex piece over one stretch of the way. The
stretch ends where a plane can stand between them: of all directions n that face the movement d the least of
``shared(n) / d·n``, and it begins at the greatest of those that face away. For two polyhedra the directions
of their faces, and those square to an edge of each, are enough (Gottschalk, Lin and Manocha 1996); round
pieces are searched from there, which may let them out a little late and never early.
"""

from __future__ import annotations

import math

import numpy as np

from generators.space.body import Body
from generators.space.depth import parting_ways, searched, shared
from generators.space.pieces import Array, Piece, Rod

_SQUARE = 1e-12
_TOUCH_MM = 1e-6
_STARTS = 4
_LATE_MM = 1e-3
"""A round piece may be let out so much too late at a step of the search: moves are whole mm. Ours."""


def way_out(one: Body, two: Body, along: Array, farthest_mm: float) -> float:
    """How far ``one`` goes along the unit direction until it first is out of ``two``, mm.

    0 when they do not meet as they stand; infinite where that is farther than ``farthest_mm``.
    """
    begin, end = _boxes_meet(one, two, along)
    left = [(i, j) for i, j in np.argwhere((end > 0) & (begin <= farthest_mm))]
    left.sort(key=lambda pair: float(begin[pair]))
    known: dict[tuple[int, int], tuple[float, float]] = {}
    far, gone = 0.0, True
    while gone and far <= farthest_mm:
        gone = False
        for i, j in left:
            if begin[i, j] > far:
                break
            if end[i, j] <= far + _TOUCH_MM:
                continue
            if (i, j) not in known:
                known[i, j] = stretch(one.pieces[i], two.pieces[j], along)
            start, stop = known[i, j]
            if start < far + _TOUCH_MM < stop:
                far, gone = stop, True
    return far if far <= farthest_mm else math.inf


def stretch(one: Piece, two: Piece, along: Array) -> tuple[float, float]:
    """From where to where on its way along a unit direction ``one`` meets ``two``, mm; (inf, -inf) if never.

    Negative figures lie behind where it stands.
    """
    ways = parting_ways(one, two)
    # how far `one` must go against each way to be out of `two`
    needed, speed = shared(one, two, -ways), ways @ along
    across = np.abs(speed) <= _SQUARE
    if (needed[across] <= 0).any():
        return math.inf, -math.inf
    ahead, behind = speed > _SQUARE, speed < -_SQUARE
    when = needed[ahead] / speed[ahead]
    stop, start = float(when.min()), float((needed[behind] / speed[behind]).max())
    # out before it was in, or behind where it stands: how far behind is of no use, and may have no end
    enough = max(start, 0.0)
    if isinstance(one, Rod) or isinstance(two, Rod):

        def until(tries: Array) -> Array:
            out: Array = np.full(len(tries), math.inf)
            fast = tries @ along
            np.divide(shared(one, two, -tries), fast, out=out, where=fast > _SQUARE)
            return out

        starts = ways[ahead][np.argsort(when, kind="stable")[:_STARTS]]
        stop = min(stop, *(searched(until, way, enough, _LATE_MM)[0] for way in starts))
    return (start, stop) if start < stop else (math.inf, -math.inf)


def _boxes_meet(one: Body, two: Body, along: Array) -> tuple[Array, Array]:
    """Over which stretch of the way the extents of each two pieces meet, (pieces, pieces) each, mm."""
    low, high = (np.array([piece.box[k] for piece in one.pieces]) for k in (0, 1))
    bottom, top = (np.array([piece.box[k] for piece in two.pieces]) for k in (0, 1))
    begin = np.full((len(low), len(bottom)), -math.inf)
    end = np.full((len(low), len(bottom)), math.inf)
    for axis, speed in enumerate(along.tolist()):
        # the first's far side reaches the second's near one, and the other way round
        meet, leave = bottom[:, axis] - high[:, axis, None], top[:, axis] - low[:, axis, None]
        if abs(speed) <= _SQUARE:
            end[(meet >= 0) | (leave <= 0)] = -math.inf
            continue
        first, last = (meet, leave) if speed > 0 else (leave, meet)
        begin, end = np.maximum(begin, first / speed), np.minimum(end, last / speed)
    end[begin >= end] = -math.inf
    return begin, end
