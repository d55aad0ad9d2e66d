"""Distances between bodies by python-fcl (Pan, Chitta and Manocha 2012): near pieces measured pair by pair.

A distance is between the nearest points of two convex pieces; where they are in each other it is minus the
depth by which one has to be moved out of the other (`depth`). A body is the union of its pieces, so its
distance is the least of theirs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

import fcl
import numpy as np

from generators.geometry.frames import Matrix
from generators.space.body import Body, Gap
from generators.space.depth import depth, middle_of, support
from generators.space.nearest import apart, nearest, reach
from generators.space.pieces import Array, Box, Hull, Piece, Point3, Rod, moved

_EYE = np.eye(4)
_DOUBTFUL_MM = 1e-4
"""Nearer than this the library only knows that pieces touch: `depth` says how deep. Its own signed distance
loses its way where flat faces lie on each other, and may take minutes over it."""

_PROVEN_MM = 5e-3

WAYS: Array = np.array(
    [
        *((1, 0, 0), (0, 1, 0), (0, 0, 1)),
        *((1, 1, 0), (1, -1, 0), (1, 0, 1), (1, 0, -1), (0, 1, 1), (0, 1, -1)),
        *((1, 1, 1), (1, 1, -1), (1, -1, 1), (1, -1, -1)),
    ],
    dtype=np.float64,
)
"""Thirteen unit directions: the vehicle's axes first, then half way between two and between all three."""
WAYS /= np.linalg.norm(WAYS, axis=1)[:, None]
_BOTH = np.concatenate((WAYS, -WAYS))

_MANY = 4
"""From so many pairs on, a plane that rules several out at once is cheaper than measuring them."""


def _shape(piece: Piece) -> tuple[Any, Matrix]:
    """What the library measures, and where it stands in the piece's own rest place."""
    match piece:
        case Box():
            return fcl.Box(*(2 * h for h in piece.half_mm)), piece.pose
        case Rod():
            length = float(np.linalg.norm(np.subtract(piece.end, piece.start)))
            if piece.round_ends:
                return fcl.Capsule(piece.radius_mm, length), piece.pose
            return fcl.Cylinder(piece.radius_mm, length), piece.pose
        case Hull():
            # about its own middle: the library's tolerances are relative to the coordinates
            corners, faces = piece.solid
            middle = corners.mean(axis=0)
            flat = np.column_stack([np.full(len(faces), 3), faces]).ravel()
            pose = np.eye(4)
            pose[:3, 3] = middle
            return fcl.Convex(corners - middle, len(faces), flat), pose


def _transform(pose: Matrix) -> Any:
    return fcl.Transform(pose[:3, :3], pose[:3, 3])


class Space:
    """Bodies ready to be measured; ``pose`` (4×4) moves a body from where it was given."""

    def __init__(self, bodies: Sequence[Body]) -> None:
        """Keep the bodies; a piece is made ready when it is first measured."""
        self.bodies = tuple(bodies)
        self._number = {body.name: k for k, body in enumerate(self.bodies)}
        self._solids: dict[tuple[int, int], tuple[Any, Matrix]] = {}
        self._extents: dict[int, tuple[Array, Array]] = {}
        self._low = [body.boxes[0] for body in self.bodies]
        self._high = [body.boxes[1] for body in self.bodies]

    def _solid(self, body: int, piece: int) -> tuple[Any, Matrix]:
        if (body, piece) not in self._solids:
            shape, pose = _shape(self.bodies[body].pieces[piece])
            self._solids[body, piece] = fcl.CollisionObject(shape, _transform(pose)), pose
        return self._solids[body, piece]

    @cached_property
    def boxes(self) -> tuple[Array, Array]:
        """Extents of all bodies along the vehicle's axes, (bodies, 3), lowest and highest, mm."""
        low = np.array([x.min(axis=0) for x in self._low]).reshape(-1, 3)
        return low, np.array([x.max(axis=0) for x in self._high]).reshape(-1, 3)

    def number(self, name: str) -> int:
        """A body's place in ``bodies``. Raises ``KeyError``."""
        return self._number[name]

    def pairs(self, within_mm: float) -> Iterator[tuple[int, int]]:
        """Pairs of bodies, as given, whose extents are no more than that apart along every axis."""
        low, high = self.boxes
        for k in range(len(self.bodies) - 1):
            near = (low[k + 1 :] - high[k] <= within_mm).all(axis=1) & (
                low[k] - high[k + 1 :] <= within_mm
            ).all(axis=1)
            yield from ((k, k + 1 + int(j)) for j in np.flatnonzero(near))

    def gap(self, first: int, second: int, within_mm: float = np.inf, pose: Matrix = _EYE) -> Gap | None:
        """The distance between two bodies, the first moved by ``pose``; None for more than ``within_mm``.

        Raises ``GeometryFault`` for a piece that bounds no body.
        """
        low, high = self._low[first], self._high[first]
        moving = pose is not _EYE
        if moving:
            low, high = _moved_boxes(low, high, pose)
        apart = np.maximum(
            np.maximum(low[:, None] - self._high[second][None], self._low[second][None] - high[:, None]), 0.0
        )
        # the boxes' distance never exceeds the pieces'
        least = np.sqrt(np.einsum("ijk,ijk->ij", apart, apart))
        best: Gap | None = None
        nearest = (0, 0)
        bound = within_mm
        flat = least.ravel()
        near = np.flatnonzero(flat <= max(bound, 0.0))
        for k in near[np.argsort(flat[near], kind="stable")]:
            i, j = divmod(int(k), least.shape[1])
            if least[i, j] > max(bound, 0.0):
                # either the rest is farther by its boxes, or a plane found below has this pair too far apart
                continue
            found = self.piece_gap(first, i, second, j, pose if moving else None)
            if found.gap_mm <= bound:
                best, bound, nearest = found, found.gap_mm, (i, j)
                if bound >= _DOUBTFUL_MM and len(near) > _MANY:
                    np.maximum(least, self._along(found, first, second, pose if moving else None), out=least)
        return (
            best
            if best is None or best.gap_mm >= _DOUBTFUL_MM
            else self._shared(best, first, second, nearest, pose)
        )

    def extents(self, body: int) -> tuple[Array, Array]:
        """How far each piece of a body reaches along ``WAYS``, (pieces, 13), lowest and highest, mm."""
        if body not in self._extents:
            pieces = self.bodies[body].pieces
            hulls_at, stacked, starts, rest = self.bodies[body].hulls
            low, high = np.empty((len(pieces), len(WAYS))), np.empty((len(pieces), len(WAYS)))
            if len(hulls_at):
                along = stacked @ WAYS.T
                low[hulls_at] = np.minimum.reduceat(along, starts)
                high[hulls_at] = np.maximum.reduceat(along, starts)
            for k in rest:
                along = support(pieces[k], _BOTH)
                high[k], low[k] = along[: len(WAYS)], -along[len(WAYS) :]
            self._extents[body] = low, high
        return self._extents[body]

    def _along(self, gap: Gap, first: int, second: int, pose: Matrix | None) -> Array:
        """How far all pieces of two bodies are apart at least, seen the way of one gap between them."""
        way = np.subtract(gap.to, gap.at)
        way = way / math.sqrt(float(way @ way))
        turned, shift = (way, 0.0) if pose is None else (way @ pose[:3, :3], float(way @ pose[:3, 3]))
        ends = self._reaches(first, turned) + shift
        return np.asarray(-self._reaches(second, -way)[None] - ends[:, None])

    def _reaches(self, body: int, way: Array) -> Array:
        """How far each piece of a body goes along a unit direction, mm: of hulls all at once."""
        pieces = self.bodies[body].pieces
        hulls_at, stacked, starts, rest = self.bodies[body].hulls
        out = np.empty(len(pieces))
        if len(hulls_at):
            out[hulls_at] = np.maximum.reduceat(stacked @ way, starts)
        for k in rest:
            out[k] = reach(pieces[k], way)
        return out

    def _shared(self, gap: Gap, first: int, second: int, pieces: tuple[int, int], pose: Matrix) -> Gap:
        """The same depth, at the middle of what the two deepest pieces share."""
        one, two = self.bodies[first].pieces[pieces[0]], self.bodies[second].pieces[pieces[1]]
        one = one if pose is _EYE else moved(one, pose)
        at = _point(middle_of(one, two))
        return replace(gap, at=at, to=at)

    def piece_gap(self, first: int, i: int, second: int, j: int, pose: Matrix | None = None) -> Gap:
        """The distance between piece ``i`` of one body, moved by ``pose``, and piece ``j`` of another."""
        (one, rest), (two, _) = self._solid(first, i), self._solid(second, j)
        if pose is not None:
            one.setTransform(_transform(pose @ rest))
        request = fcl.DistanceRequest(enable_nearest_points=True, enable_signed_distance=False)
        result = fcl.DistanceResult()
        gap = float(fcl.distance(one, two, request, result))
        if pose is not None:
            one.setTransform(_transform(rest))
        at, to = (np.array(point) for point in result.nearest_points)
        here, there = self.bodies[first].pieces[i], self.bodies[second].pieces[j]
        if gap >= _DOUBTFUL_MM:
            # a plane between the pieces proves the distance; without it the library has stopped too early
            way = to - at
            way = way / max(math.sqrt(float(way @ way)), _DOUBTFUL_MM)
            if abs(gap - apart(here, there, way, pose)) > _PROVEN_MM:
                gap, at, to = nearest(here if pose is None else moved(here, pose), there)
        if gap < _DOUBTFUL_MM:
            gap = -depth(here if pose is None else moved(here, pose), there)[0]
        return Gap(
            first=self.bodies[first].name,
            second=self.bodies[second].name,
            gap_mm=gap,
            at=_point(at),
            to=_point(to),
        )

    def gaps(self, within_mm: float, wanted: Callable[[Body, Body], bool] | None = None) -> Iterator[Gap]:
        """All pairs nearer than that, those fixed to each other left out, and those nobody ``wanted``."""
        for k, j in self.pairs(within_mm):
            one, two = self.bodies[k], self.bodies[j]
            if one.joined & two.joined or (wanted is not None and not wanted(one, two)):
                continue
            found = self.gap(k, j, within_mm)
            if found is not None:
                yield found


def _moved_boxes(low: Array, high: Array, pose: Matrix) -> tuple[Array, Array]:
    middle, half = (low + high) / 2, (high - low) / 2
    centre = middle @ pose[:3, :3].T + pose[:3, 3]
    reach = half @ np.abs(pose[:3, :3]).T
    return centre - reach, centre + reach


def _point(values: Iterable[float]) -> Point3:
    x, y, z = (float(v) + 0.0 for v in values)
    return x, y, z
