"""Which pieces come near which while a body moves: every cell of its way, by bounds that cannot be passed.

The way is cut into short cells. Half way through each the extents of a moving piece along thirteen
directions are known exactly (its support function; Klosowski and others 1998), and in the rest of the cell no
point of it goes farther than its speed times half the cell. What stands farther off than that is left
out for good; nearly all does, and only what is left is measured.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from generators.space.body import Gap
from generators.space.depth import support
from generators.space.distance import WAYS, Space
from generators.space.motion import SURE_MM, Met, Motion
from generators.space.pieces import Array, carried

_CELL_MM = 10.0
"""Way of the farthest point in one cell, about."""
_MOST_CELLS = 64
_MOST_STEPS = 2000


@dataclass(kw_only=True)
class _Pair:
    """A piece of the mover and one of another body: cells in which they may come near, and what bounds that.

    ``least`` is the least the gap can be in each of those cells, mm; ``speed_mm`` that of the piece.
    """

    piece: int
    other: int
    beside: int
    speed_mm: float
    cells: list[int]
    least: list[float]
    known: dict[float, Gap] = field(default_factory=dict)


class Sweep:
    """One body on its way among others of a ``Space``."""

    def __init__(
        self, space: Space, moving: int, motion: Motion, others: Sequence[int], within_mm: float
    ) -> None:
        """Look which pieces of ``others`` may come within ``within_mm`` of those of ``moving``."""
        self._space, self._moving, self._motion = space, moving, motion
        way = motion.speed_mm * motion.end_rad
        self._count = min(max(math.ceil(way / _CELL_MM), 1), _MOST_CELLS)
        self._edges = np.linspace(0.0, motion.end_rad, self._count + 1).tolist()
        self._pairs: dict[int, list[_Pair]] = {}
        self._find(others, within_mm + SURE_MM)

    def _find(self, others: Sequence[int], within_mm: float) -> None:
        own = self._extents()
        reach = [low.min(axis=0) - far - within_mm for low, _, far in own]
        past = [high.max(axis=0) + far + within_mm for _, high, far in own]
        body_low, body_high = self._space.boxes
        near = [
            k
            for k in others
            if (body_low[k] <= np.max(past, axis=0)[:3]).all()
            and (body_high[k] >= np.min(reach, axis=0)[:3]).all()
        ]
        extents = [self._space.extents(k) for k in near]
        if not near:
            return
        low, high = (np.concatenate([box[side] for box in extents]) for side in (0, 1))
        sizes = [len(box) for box, _ in extents]
        owner = np.repeat(near, sizes)
        number = np.concatenate([np.arange(size) for size in sizes])
        for piece, (own_low, own_high, far) in enumerate(own):
            beside = np.flatnonzero(((low <= past[piece]) & (high >= reach[piece])).all(axis=1))
            apart = np.maximum(low[beside, None] - own_high, own_low - high[beside, None])
            bound = _at_least(apart) - far
            for row in np.flatnonzero((bound <= within_mm).any(axis=1)).tolist():
                cells = np.flatnonzero(bound[row] <= within_mm)
                k = beside[row]
                self._pairs.setdefault(int(owner[k]), []).append(
                    _Pair(
                        piece=piece,
                        other=int(owner[k]),
                        beside=int(number[k]),
                        speed_mm=self._speed(piece),
                        cells=cells.tolist(),
                        least=bound[row, cells].tolist(),
                    )
                )

    def _speed(self, piece: int) -> float:
        """No point of a piece goes faster, mm per rad."""
        motion, shape = self._motion, self._space.bodies[self._moving].pieces[piece]
        return (
            motion.speed_mm if motion.about is None else min(motion.speed_mm, carried([shape], motion.about))
        )

    def _extents(self) -> list[tuple[Array, Array, float]]:
        """How far each moving piece reaches along ``WAYS`` half way through each cell, (cells, 13), lowest
        and highest, and how far it goes at most from there within the cell, mm."""
        poses = [self._motion.pose((a + b) / 2) for a, b in itertools.pairwise(self._edges)]
        turned = np.concatenate([WAYS @ pose[:3, :3] for pose in poses])
        shift = np.concatenate([WAYS @ pose[:3, 3] for pose in poses])
        both = np.concatenate((turned, -turned))
        half = self._motion.end_rad / self._count / 2
        out = []
        for number, piece in enumerate(self._space.bodies[self._moving].pieces):
            high, low = np.split(support(piece, both), 2)
            shape = self._count, len(WAYS)
            ends = (shift - low).reshape(shape), (shift + high).reshape(shape)
            out.append((*ends, self._speed(number) * half))
        return out

    @property
    def near(self) -> frozenset[int]:
        """Those of the others that may come near at all."""
        return frozenset(self._pairs)

    def _at(self, pair: _Pair, turn: float) -> Gap:
        if turn not in pair.known:
            pair.known[turn] = self._space.piece_gap(
                self._moving, pair.piece, pair.other, pair.beside, self._motion.pose(turn)
            )
        return pair.known[turn]

    def _told(self, pair: _Pair, turn: float) -> Met:
        """The gap of both bodies at a turn, of which that of the pair is the least or as good."""
        here = self._at(pair, turn)
        whole = self._space.gap(self._moving, pair.other, here.gap_mm + SURE_MM, self._motion.pose(turn))
        return Met(gap=here if whole is None else whole, turn_rad=turn)

    def first(self, limits: dict[int, float], until_rad: float | None = None) -> tuple[Met, int] | None:
        """Which of the others comes first as near as its limit, to ``SURE_MM``, and where; None for none.

        ``limits`` has the others that count, mm, none above what the sweep was made for. Every pair of
        pieces waits for the turn before which it cannot meet; the earliest is measured and put on by its gap
        over its speed (conservative advancement, Mirtich 1996).
        """
        end = self._motion.end_rad if until_rad is None else min(until_rad, self._motion.end_rad)
        order = {other: k for k, other in enumerate(limits)}
        pairs = [p for other in limits for p in self._pairs.get(other, ())]
        waiting = [(self._edges[p.cells[0]], order[p.other], k, 0) for k, p in enumerate(pairs)]
        heapq.heapify(waiting)
        while waiting:
            turn, rank, number, cell = heapq.heappop(waiting)
            pair = pairs[number]
            limit = limits[pair.other]
            if turn > end:
                return None
            gap = self._at(pair, turn).gap_mm
            if gap <= limit + SURE_MM:
                return self._told(pair, turn), pair.other
            after = turn + (gap - limit) / pair.speed_mm
            if turn >= end or gap - pair.speed_mm * (end - turn) > limit + SURE_MM:
                continue
            turn = min(after, end)
            while cell < len(pair.cells) and self._edges[pair.cells[cell] + 1] < turn:
                cell += 1
            if cell < len(pair.cells):
                turn = max(turn, self._edges[pair.cells[cell]])
                heapq.heappush(waiting, (turn, rank, number, cell))
        return None

    def least(self, other: int, within_mm: float) -> Met | None:
        """The least gap to one of the others on the whole way, to ``SURE_MM``; None where it never falls to
        ``within_mm``, which is not above what the sweep was made for.

        Between two places the gap is nowhere less than the mean of both minus half the way at the piece's
        speed (Piyavskii 1972); the stretch that may hold the least is measured next.
        """
        best: tuple[float, _Pair, float] | None = None
        number = itertools.count()
        spans: list[tuple[float, int, _Pair, float, float, bool]] = []
        for pair in self._pairs.get(other, ()):
            for cell, least in zip(pair.cells, pair.least, strict=True):
                low, high = self._edges[cell], self._edges[cell + 1]
                spans.append((least, next(number), pair, low, high, False))
        heapq.heapify(spans)
        for _ in range(_MOST_STEPS):
            if not spans:
                break
            low_mm, _number, pair, low, high, measured = heapq.heappop(spans)
            if low_mm >= (within_mm if best is None else min(best[0], within_mm)) - SURE_MM:
                break
            turns = [self._between(pair, low, high)] if measured else [low, high]
            for turn in turns:
                gap = self._at(pair, turn).gap_mm
                if best is None or gap < best[0]:
                    best = gap, pair, turn
            for a, b in itertools.pairwise([low, *turns, high] if measured else turns):
                bound = (self._at(pair, a).gap_mm + self._at(pair, b).gap_mm - pair.speed_mm * (b - a)) / 2
                heapq.heappush(spans, (max(bound, low_mm), next(number), pair, a, b, True))
        if best is None or best[0] > within_mm:
            return None
        return self._told(best[1], best[2])

    def _between(self, pair: _Pair, low: float, high: float) -> float:
        """Where in a stretch the least would be, kept off its ends."""
        width = high - low
        lean = (self._at(pair, low).gap_mm - self._at(pair, high).gap_mm) / (2 * pair.speed_mm)
        return min(max((low + high) / 2 + lean, low + 0.05 * width), high - 0.05 * width)


def _at_least(apart: Array) -> Array:
    """The least the gap can be, from what is between the extents along each of ``WAYS`` (…, 13), mm.

    Apart, it is no less than any of them, nor than the distance of the boxes along the vehicle's axes, the
    first three; in each other, the pieces are no deeper than they overlap along any way.
    """
    most = apart.max(axis=-1)
    box = np.sqrt((np.maximum(apart[..., :3], 0.0) ** 2).sum(axis=-1))
    return np.asarray(np.where(most > 0, np.maximum(most, box), most))


def first_of(sweeps: Sequence[Sweep], limits: dict[int, float]) -> tuple[Met, int] | None:
    """The earliest of several bodies that turn together."""
    best: tuple[Met, int] | None = None
    for sweep in sweeps:
        found = sweep.first(limits, None if best is None else best[0].turn_rad)
        if found is not None and (best is None or found[0].turn_rad < best[0].turn_rad):
            best = found
    return best


def first_met(space: Space, moving: int, other: int, motion: Motion, limit_mm: float = 0.0) -> Met | None:
    """Where, from rest on, the gap of two bodies first falls to ``limit_mm``, to ``SURE_MM``, or None."""
    found = Sweep(space, moving, motion, [other], limit_mm).first({other: limit_mm})
    return None if found is None else found[0]


def least_gap(space: Space, moving: int, other: int, motion: Motion, within_mm: float) -> Met | None:
    """The least gap on the whole way, to ``SURE_MM``; None where it never falls to ``within_mm``."""
    return Sweep(space, moving, motion, [other], within_mm).least(other, within_mm)
