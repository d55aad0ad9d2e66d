"""Where a hose's centre line goes through a panel: by a grommet, or through the metal."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from generators.model.hose_path import HosePath, Panel3
from generators.model.hose_results import Clearance
from generators.routing.paths.curves import Array, Pieces, directions, pieces, places, point3

_SAME_MM = 1.0


def crossings(path: HosePath, panels: Sequence[Panel3]) -> Iterator[Clearance]:
    """Every way of the path through a panel's mid-plane inside its outline.

    Through its own grommet the gap is what is left of the opening round the hose, which at an angle α to
    the normal needs d / cos α + t tan α; anywhere else it is minus the hose's half diameter.
    """
    of = pieces([path])
    for panel in panels:
        w = np.cross(panel.u, panel.v)
        level = (panel.low_mm + panel.high_mm) / 2.0
        height = float(np.dot(panel.origin, w)) + level
        for piece, s_mm in _meets(of, w, height):
            row, at = np.array([piece], dtype=np.intp), np.array([s_mm])
            place, along = places(of, row, at)[0], directions(of, row, at)[0]
            off = place - np.array(panel.origin)
            flat = float(off @ np.array(panel.u)), float(off @ np.array(panel.v))
            station = float(of.station[piece]) + s_mm
            own = any(body == panel.name and low <= station <= high for body, low, high in path.own)
            if not own and _inside(flat, panel):
                gap = _gap(path, panel, flat, station, abs(float(along @ w)))
                yield Clearance(
                    hose=path.name,
                    body=panel.name,
                    what="crossing",
                    kind="fixed",
                    gap_mm=gap,
                    limit_mm=0.0,
                    station_mm=station,
                    at=point3(place),
                )


def _meets(of: Pieces, w: Array, height: float) -> Iterator[tuple[int, float]]:
    """Pieces and places on them where w·p = height; a + b sin φ - c cos φ for an arc."""
    for k in range(len(of.radius)):
        start, along = float(of.start[k] @ w) - height, float(of.along[k] @ w)
        length, radius = float(of.length[k]), float(of.radius[k])
        if math.isinf(radius):
            if along != 0.0 and 0.0 <= -start / along < length:
                yield k, -start / along
            continue
        side = float(of.toward[k] @ w)
        size = math.hypot(along, side)
        # start/r + along sin φ + side (1 - cos φ) = 0
        if size == 0.0 or abs(start / radius + side) > size:
            continue
        lean, turn = math.atan2(side, along), math.asin(-(start / radius + side) / size)
        for angle in (turn + lean, math.pi - turn + lean):
            s_mm = (angle % (2.0 * math.pi)) * radius
            if s_mm < length:
                yield k, s_mm


def _inside(flat: tuple[float, float], panel: Panel3) -> bool:
    u, v = flat
    inside = False
    for k, (u0, v0) in enumerate(panel.outline):
        u1, v1 = panel.outline[(k + 1) % len(panel.outline)]
        if (v0 > v) != (v1 > v) and u < u0 + (u1 - u0) * (v - v0) / (v1 - v0):
            inside = not inside
    return inside


def _gap(path: HosePath, panel: Panel3, flat: tuple[float, float], station: float, cosine: float) -> float:
    used = {name for body, name, at in path.passes if body == panel.name and abs(at - station) < _SAME_MM}
    for opening in panel.openings:
        if opening.name in used and cosine > 0:
            off = math.dist(flat, (opening.u_mm, opening.v_mm))
            lean = math.sqrt(max(1.0 - cosine * cosine, 0.0)) / cosine
            needs = path.outside_dia_mm / cosine + (panel.high_mm - panel.low_mm) * lean
            return (opening.diameter_mm - needs) / 2.0 - off
    return -path.outside_dia_mm / 2.0
