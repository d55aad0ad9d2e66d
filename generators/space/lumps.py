"""Pieces of a body as few solids: coaxial rods with flat ends that meet are one turned body.

A bolt is head, shank and nut on one axis, and is one solid. All else stands for itself.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.space.pieces import Array, Box, Hull, Piece, Rod

SAME_MM = 1e-6
SAME_WAY = 1e-9


@dataclass(frozen=True, kw_only=True)
class Turned:
    """A body turned about an axis: from ``base`` along the unit way ``axis``.

    ``steps`` are (from, to, radius) in mm, one after the other without gaps.
    """

    base: Array
    axis: Array
    steps: tuple[tuple[float, float, float], ...]

    @property
    def corners(self) -> list[tuple[float, float]]:
        """Its section on one side of the axis, (radius, station), from axis to axis."""
        out = [(0.0, self.steps[0][0])]
        for start, end, radius in self.steps:
            out += [(radius, start), (radius, end)]
        return [*out, (0.0, self.steps[-1][1])]

    @property
    def box(self) -> tuple[Array, Array]:
        """Extent along the vehicle's axes: a disc square to the unit way t reaches r·sqrt(1 − t²)."""
        reach = np.sqrt(np.maximum(1.0 - self.axis**2, 0.0))
        ends = [
            (self.base + self.axis * station, radius)
            for start, end, radius in self.steps
            for station in (start, end)
        ]
        low = np.min([at - r * reach for at, r in ends], axis=0)
        return low, np.max([at + r * reach for at, r in ends], axis=0)


Lump = Box | Rod | Hull | Turned


def lumps(pieces: Sequence[Piece]) -> tuple[Lump, ...]:
    """The solids of a body, in the order of its pieces."""
    out: list[Lump] = []
    left = list(pieces)
    while left:
        first = left.pop(0)
        if not isinstance(first, Rod) or first.round_ends:
            out.append(first)
            continue
        base, axis = np.array(first.start), first.pose[:3, 2]
        spans = [_span(first, base, axis)]
        low, high = spans[0][:2]
        grown = True
        while grown:
            grown = False
            for other in list(left):
                span = _coaxial(other, base, axis)
                if span is not None and span[0] <= high + SAME_MM and span[1] >= low - SAME_MM:
                    spans.append(span)
                    low, high = min(low, span[0]), max(high, span[1])
                    left.remove(other)
                    grown = True
        out.append(first if len(spans) == 1 else Turned(base=base, axis=axis, steps=_steps(spans)))
    return tuple(out)


def _span(rod: Rod, base: Array, axis: Array) -> tuple[float, float, float]:
    ends = sorted(float((np.array(p) - base) @ axis) for p in (rod.start, rod.end))
    return ends[0], ends[1], rod.radius_mm


def _coaxial(piece: Piece, base: Array, axis: Array) -> tuple[float, float, float] | None:
    """The rod's stations on an axis and its radius; None for what does not lie on it with flat ends."""
    if not isinstance(piece, Rod) or piece.round_ends:
        return None
    if 1.0 - abs(float(piece.pose[:3, 2] @ axis)) > SAME_WAY:
        return None
    for end in (piece.start, piece.end):
        off = np.array(end) - base
        if float(np.linalg.norm(off - (off @ axis) * axis)) > SAME_MM:
            return None
    return _span(piece, base, axis)


def _steps(spans: Sequence[tuple[float, float, float]]) -> tuple[tuple[float, float, float], ...]:
    """The widest radius at every station."""
    marks: list[float] = []
    for mark in sorted(s for span in spans for s in span[:2]):
        if not marks or mark - marks[-1] > SAME_MM:
            marks.append(mark)
    out: list[tuple[float, float, float]] = []
    for start, end in itertools.pairwise(marks):
        middle = (start + end) / 2
        radius = max(r for low, high, r in spans if low <= middle <= high)
        if out and abs(out[-1][2] - radius) <= SAME_MM:
            out[-1] = (out[-1][0], end, out[-1][2])
        else:
            out.append((start, end, radius))
    return tuple(out)


def lump_volume(lump: Lump) -> float:
    """Closed form, mm³."""
    match lump:
        case Box():
            return 8.0 * math.prod(lump.half_mm)
        case Rod():
            length = math.dist(lump.start, lump.end)
            ball = 4 / 3 * math.pi * lump.radius_mm**3 if lump.round_ends else 0.0
            return math.pi * lump.radius_mm**2 * length + ball
        case Turned():
            return math.pi * sum(r * r * (end - start) for start, end, r in lump.steps)
        case Hull():
            corners, faces = lump.solid
            a, b, c = (corners[faces[:, k]] - corners[0] for k in range(3))
            return float(np.einsum("ij,ij->", np.cross(a, b), c)) / 6.0


def square_to(way: Array) -> Array:
    """A unit direction square to a unit way."""
    least = np.eye(3)[int(np.argmin(np.abs(way)))]
    side = np.cross(way, least)
    return np.asarray(side / np.linalg.norm(side))


def box_solid(box: Box) -> tuple[Array, NDArray[np.intp]]:
    """Corners and triangles of a box, counter-clockwise from outside."""
    signs = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float)
    corners = signs * np.array(box.half_mm) @ box.pose[:3, :3].T + box.pose[:3, 3]
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    faces = [t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))]
    return corners, np.array(faces, dtype=np.intp)
