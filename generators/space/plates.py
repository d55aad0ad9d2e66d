"""Sheets and bent strips: what is cut into convex pieces to be measured, and is one prism to a hose.

A form keeps what it was made from, so that whoever wants another view of a body takes it from the body.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.frames import Matrix
from generators.space.convex import convex_polygons
from generators.space.pieces import Array, Box, Hull, Piece, Rod, bar, slabs

SLIVER_MM2 = 1e-3
"""A piece of sheet smaller than this comes from rounding."""

Outline = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Prism:
    """An outline in ``pose``'s u and v, from ``low_mm`` to ``high_mm`` along its w; openings filled."""

    pose: Matrix
    outline: Outline
    low_mm: float
    high_mm: float


@dataclass(frozen=True, kw_only=True)
class Plate:
    """A flat sheet: ``metal`` in ``pose``'s u and v, from ``low_mm`` to ``high_mm`` along its w."""

    metal: BaseGeometry
    pose: Matrix
    low_mm: float
    high_mm: float

    @cached_property
    def pieces(self) -> tuple[Hull, ...]:
        """Its convex pieces. Raises ``GeometryFault`` for a sheet without thickness."""
        return _slabs(self.metal.wkb, self.low_mm, self.high_mm, self.pose.tobytes())

    @property
    def prisms(self) -> Iterator[Prism]:
        """Each separate sheet of it, the largest first, without its openings."""
        whole = [p for p in shapely.get_parts(self.metal) if isinstance(p, Polygon) and p.area > SLIVER_MM2]
        for polygon in sorted(whole, key=lambda p: -float(p.area)):
            outline = tuple((float(u), float(v)) for u, v in shapely.get_coordinates(polygon.exterior)[:-1])
            # counter-clockwise, whichever way it was drawn
            turned = outline if polygon.exterior.is_ccw else outline[::-1]
            yield Prism(pose=self.pose, outline=turned, low_mm=self.low_mm, high_mm=self.high_mm)


@lru_cache(maxsize=256)
def _slabs(metal: bytes, low_mm: float, high_mm: float, pose: bytes) -> tuple[Hull, ...]:
    """The same pieces for the same sheet: a job's sheets are looked at more than once while it is solved."""
    frame: Matrix = np.frombuffer(pose, dtype=np.float64).reshape(4, 4)
    polygons = convex_polygons(shapely.from_wkb(metal))
    return tuple(slabs([p for p in polygons if _area(p) > SLIVER_MM2], low_mm, high_mm, frame))


def _area(corners: Sequence[tuple[float, float]]) -> float:
    after = (*corners[1:], corners[0])
    return sum(u * q - p * v for (u, v), (p, q) in zip(corners, after, strict=True)) / 2


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A bent strip, chord by chord: rows (4, 3) of both surfaces at one end, then both at the other."""

    rows: tuple[Array, ...]

    @cached_property
    def pieces(self) -> tuple[Hull, ...]:
        """A bar for each chord."""
        return tuple(
            bar([a[0], a[1], b[1], b[0]], [a[2], a[3], b[3], b[2]]) for a, b in itertools.pairwise(self.rows)
        )

    @property
    def prisms(self) -> Iterator[Prism]:
        """The section of the bend, as long as the bend is."""
        first = self.rows[0]
        along = first[2] - first[0]
        length = float(np.linalg.norm(along))
        pose = np.eye(4)
        pose[:3, 3] = first[0]
        pose[:3, 2] = along / length
        pose[:3, 0] = (first[1] - first[0]) / np.linalg.norm(first[1] - first[0])
        pose[:3, 1] = np.cross(pose[:3, 2], pose[:3, 0])
        section = np.array([row[0] for row in self.rows] + [row[1] for row in reversed(self.rows)])
        flat = (section - pose[:3, 3]) @ pose[:3, :2]
        yield Prism(
            pose=pose, outline=tuple((float(u), float(v)) for u, v in flat), low_mm=0.0, high_mm=length
        )


Form = Plate | Strip | Box | Rod | Hull


def pieces_of(forms: Sequence[Form]) -> tuple[Piece, ...]:
    """The convex pieces of forms, in their order."""
    out: list[Piece] = []
    for form in forms:
        if isinstance(form, Plate | Strip):
            out += form.pieces
        else:
            out.append(form)
    return tuple(out)
