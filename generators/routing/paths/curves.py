"""Straights and arcs as arrays: place, direction, extent and exact heights of any number of pieces at once.

A piece starts at ``start`` along ``along``; an arc bends toward the unit vector ``toward`` with radius r:

    p(s) = start + r sin(s/r) along + r (1 - cos(s/r)) toward

and a straight is the same with r without bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.geometry.frames import cross
from generators.model.hose_path import Arc, HosePath, Point3, Segment, Straight

Array = NDArray[np.float64]
Index = NDArray[np.intp]


def point3(vector: Array) -> Point3:
    """A plain triple."""
    return float(vector[0]), float(vector[1]), float(vector[2])


def unit(vector: Array) -> Array:
    """Rows (or one vector) scaled to length 1; a zero row stays zero."""
    size = np.sqrt(np.einsum("...j,...j->...", vector, vector))[..., None]
    out: Array = vector / np.where(size > 0, size, 1.0)
    return out


def square_to(vector: Array) -> Array:
    """A unit vector square to each row, picked by the row's smallest component."""
    pick = np.eye(3)[np.argmin(np.abs(vector), axis=-1)]
    return unit(cross(vector, pick))


@dataclass(frozen=True, slots=True)
class Pieces:
    """``n`` pieces: ``start``, ``along``, ``toward`` (n, 3); ``radius`` (inf: straight) and ``length`` (n,).

    ``owner`` is the path's number, ``station`` the path length before the piece, mm.
    """

    start: Array
    along: Array
    toward: Array
    radius: Array
    length: Array
    owner: Index
    station: Array


def pieces(paths: Sequence[HosePath]) -> Pieces:
    """All segments of the paths in order, those without length left out."""
    rows: list[tuple[Array, Array, Array, float, float]] = []
    owner: list[int] = []
    station: list[float] = []
    for number, path in enumerate(paths):
        at = 0.0
        for segment in path.segments:
            length = segment.length_mm
            if length > 0:
                rows.append((*_piece(segment), length))
                owner.append(number)
                station.append(at)
            at += length
    columns = list(zip(*rows, strict=True)) if rows else [np.empty((0, 3))] * 3 + [(), ()]
    return Pieces(
        start=np.array(columns[0], dtype=float).reshape(-1, 3),
        along=np.array(columns[1], dtype=float).reshape(-1, 3),
        toward=np.array(columns[2], dtype=float).reshape(-1, 3),
        radius=np.array(columns[3], dtype=float),
        length=np.array(columns[4], dtype=float),
        owner=np.array(owner, dtype=np.intp),
        station=np.array(station, dtype=float),
    )


def _piece(segment: Segment) -> tuple[Array, Array, Array, float]:
    start = np.array(segment.start)
    if isinstance(segment, Straight):
        return start, unit(np.array(segment.end) - start), np.zeros(3), math.inf
    toward = unit(np.array(segment.centre) - start)
    return start, cross(np.array(segment.axis), -toward), toward, segment.radius_mm


def places(of: Pieces, which: Index, s_mm: Array) -> Array:
    """Points at ``s_mm`` along the pieces ``which``; shapes (m,) and (m,) to (m, 3), mm."""
    radius = of.radius[which]
    straight = np.isinf(radius)
    bend = np.where(straight, 1.0, radius)
    turn = np.where(straight, 0.0, s_mm / bend)
    ahead = np.where(straight, s_mm, bend * np.sin(turn))
    # 1 - cos(x) as 2 sin²(x/2) keeps its digits for small turns
    aside = np.where(straight, 0.0, 2.0 * bend * np.sin(turn / 2.0) ** 2)
    out: Array = of.start[which] + ahead[:, None] * of.along[which] + aside[:, None] * of.toward[which]
    return out


def directions(of: Pieces, which: Index, s_mm: Array) -> Array:
    """Unit tangents at ``s_mm`` along the pieces ``which``, (m, 3)."""
    turn = s_mm / of.radius[which]
    out: Array = np.cos(turn)[:, None] * of.along[which] + np.sin(turn)[:, None] * of.toward[which]
    return out


def extents(of: Pieces) -> tuple[Array, Array]:
    """Exact boxes of the pieces, lower and upper corners (n, 3), mm.

    On each axis an arc's coordinate is c + A sin φ - B cos φ; it turns back where tan φ = -A / B.
    """
    every = np.arange(len(of.radius), dtype=np.intp)
    ends = np.stack([of.start, places(of, every, of.length)])
    low, high = ends.min(axis=0), ends.max(axis=0)
    for axis in range(3):
        for station in turning_stations(of, axis):
            inside = np.isfinite(station)
            value = places(of, every, np.where(inside, station, 0.0))[:, axis]
            low[:, axis] = np.where(inside, np.minimum(low[:, axis], value), low[:, axis])
            high[:, axis] = np.where(inside, np.maximum(high[:, axis], value), high[:, axis])
    return low, high


def turning_stations(of: Pieces, axis: int) -> tuple[Array, Array]:
    """Where on each arc the coordinate ``axis`` turns back: two arrays (n,), NaN where it does not."""
    first = np.mod(np.arctan2(-of.along[:, axis], of.toward[:, axis]), math.pi)
    found = []
    for turn in (first, first + math.pi):
        with np.errstate(invalid="ignore"):
            station = turn * of.radius
            found.append(np.where((station > 0) & (station < of.length), station, np.nan))
    return found[0], found[1]


def at_station(path: HosePath, station_mm: float) -> tuple[Point3, Point3]:
    """Point and direction at a distance along the path, held to its ends."""
    of = pieces([path])
    ends = of.station + of.length
    which = min(int(np.searchsorted(ends, station_mm)), len(ends) - 1)
    s_mm = np.array([min(max(station_mm - of.station[which], 0.0), of.length[which])])
    row = np.array([which], dtype=np.intp)
    return point3(places(of, row, s_mm)[0]), point3(directions(of, row, s_mm)[0])


def sampled(path: HosePath, step_mm: float) -> tuple[Array, Array, Array]:
    """Stations (m,), points and directions (m, 3) at most ``step_mm`` apart, the joints among them."""
    of = pieces([path])
    which: list[Index] = []
    along: list[Array] = []
    for number, length in enumerate(of.length):
        count = max(2, math.ceil(float(length) / step_mm) + 1)
        which.append(np.full(count, number, dtype=np.intp))
        along.append(np.linspace(0.0, float(length), count))
    rows, s_mm = np.concatenate(which), np.concatenate(along)
    return of.station[rows] + s_mm, places(of, rows, s_mm), directions(of, rows, s_mm)


def arc(start: Array, along: Array, toward: Array, radius_mm: float, sweep_rad: float) -> Arc:
    """The arc that leaves ``start`` along ``along`` and bends toward ``toward``."""
    return Arc(
        centre=point3(start + radius_mm * toward),
        axis=point3(cross(along, toward)),
        start=point3(start),
        sweep_rad=sweep_rad,
    )
