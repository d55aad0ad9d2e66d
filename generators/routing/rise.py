"""Heights from the slave to the reservoir: where air stays, and by how much to mend it.

Air leaves a line by itself where the line only rises toward the reservoir. Every high point with a lower
one after it is a trap. The heights of straights turn at their ends and those of arcs at closed-form
places, so every high and low point is exact.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from generators.model.hose_path import HosePath
from generators.model.hose_results import AirTrap, RisePoint, RiseProfile
from generators.routing.paths.curves import pieces, places, point3, turning_stations

_UP = 2
LEVEL_MM = 1.0
"""A drop of no more counts as level: ours, what a bracket is out by."""


def rise_profile(lines: Sequence[tuple[HosePath, bool]], level_mm: float = LEVEL_MM) -> RiseProfile:
    """Profile of hoses and rigid lines in order from the slave; True where a path runs the other way.

    A drop of no more than ``level_mm`` counts as level. Raises nothing.
    """
    points: list[RisePoint] = []
    before = 0.0
    for path, backward in lines:
        points += _heights(path, backward, before)
        before += path.length_mm
    return RiseProfile(points=tuple(points), traps=_traps(points, level_mm), length_mm=before)


def _heights(path: HosePath, backward: bool, before_mm: float) -> list[RisePoint]:
    of = pieces([path])
    rows, along = [], []
    for k, (first, second) in enumerate(zip(*turning_stations(of, _UP), strict=True)):
        for s_mm in sorted({0.0, *(float(s) for s in (first, second) if np.isfinite(s))}):
            rows.append(k)
            along.append(s_mm)
    if rows:
        rows.append(rows[-1])
        along.append(float(of.length[-1]))
    which, s = np.array(rows, dtype=np.intp), np.array(along)
    out = []
    # a guide is the router's own: nobody knows its name
    held = [support for support in path.supports if support.kind != "guide"]
    for station, place in zip(of.station[which] + s, places(of, which, s), strict=True):
        gone = path.length_mm - float(station) if backward else float(station)
        near = min(held, key=lambda support: abs(support.station_mm - float(station)))
        out.append(
            RisePoint(
                hose=path.name,
                station_mm=before_mm + gone,
                hose_station_mm=float(station),
                height_mm=float(place[_UP]),
                at=point3(place),
                near=near.name,
            )
        )
    return out[::-1] if backward else out


def _traps(points: Sequence[RisePoint], level_mm: float) -> tuple[AirTrap, ...]:
    """Every high point, in order from the slave, with the lowest point before the line is as high again.

    ``mend_mm`` is the drop: with less than ``level_mm`` left of it the line counts as rising.
    """
    traps: list[AirTrap] = []
    for high in _highs(points, level_mm):
        after = high + 1
        while after < len(points) and points[after].height_mm <= points[high].height_mm:
            after += 1
        low = min(points[high:after], key=lambda point: point.height_mm)
        drop = points[high].height_mm - low.height_mm
        traps.append(AirTrap(high=points[high], low=low, mend_mm=drop, at_start=high == 0))
    return tuple(traps)


def _highs(points: Sequence[RisePoint], level_mm: float) -> list[int]:
    """Numbers of the points the line falls away from by more than ``level_mm`` before it passes them."""
    found: list[int] = []
    top, bottom, falling = 0, 0, False
    for k, point in enumerate(points):
        if falling:
            if point.height_mm < points[bottom].height_mm:
                bottom = k
            elif point.height_mm > points[bottom].height_mm + level_mm:
                falling, top = False, k
        elif point.height_mm > points[top].height_mm:
            top = k
        elif point.height_mm < points[top].height_mm - level_mm:
            found.append(top)
            falling, bottom = True, k
    return found


def reservoir_head(level_mm: float, ports: Mapping[str, float]) -> tuple[str, float]:
    """The port with the least head under a fluid level at height ``level_mm``: its name and the head, mm.

    Negative when the fluid stands below it. Raises ``ValueError`` when there is no port.
    """
    name = max(sorted(ports), key=lambda port: ports[port])
    return name, level_mm - ports[name]
