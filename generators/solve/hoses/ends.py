"""The ends of a hose: where its own run begins past adapters and elbows, and how big its fittings are."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from generators.errors import GeometryFault
from generators.layout.spots import SQUARE, WAYS, PlacedPort, point3
from generators.model.hose_path import HosePath, Point3, Straight
from generators.model.spec.fittings import Adapter, HoseEnd
from generators.model.spec.lines import Hose

ENDS = ("from_end", "to_end")
"""Keys of the tables that say what is on the ends of a hose."""

SOCKET_OUTSIDES = 1.4
"""Socket over hose, outside diameters (common practice, no source)."""
SOCKET_LENGTHS = 2.0
"""How much of the hose its socket covers, in outsides of the hose (common practice, no source)."""


def past(port: PlacedPort, adapter: Adapter | None) -> PlacedPort:
    """The seat a hose is screwed to: the port's own, or the far end of the adapter on it."""
    if adapter is None:
        return port
    seat = np.array(port.position) + adapter.length_mm * np.array(port.direction)
    return replace(port, position=point3(seat), dash=adapter.dash)


def hose_seats(hose: Hose, ports: Mapping[str, PlacedPort]) -> tuple[PlacedPort, PlacedPort]:
    """The seats both ends of a hose are screwed to."""
    return past(ports[hose.from_], hose.from_adapter), past(ports[hose.to], hose.to_adapter)


def run_from(seat: PlacedPort, end: HoseEnd | None) -> PlacedPort:
    """Where and which way the hose itself sets out: from the seat, or from the corner of its elbow.

    Raises ``GeometryFault`` for an elbow that points along its port.
    """
    if end is None or end.drop_mm is None:
        return seat
    out = np.array(seat.direction)
    side = np.array(WAYS[end.toward])
    side = side - (side @ out) * out
    length = float(np.linalg.norm(side))
    if length < SQUARE:
        raise GeometryFault(f"an elbow toward {end.toward}, along the way out of its port", "toward")
    way = math.cos(end.angle_rad) * out + math.sin(end.angle_rad) * side / length
    corner = np.array(seat.position) + end.drop_mm * out
    return replace(seat, position=point3(corner), direction=point3(way / np.linalg.norm(way)))


def socket_mm(hose: Hose, end: HoseEnd | None, outside_mm: float) -> tuple[float, float] | None:
    """Diameter of an end fitting, and its length along the hose; None for a hose pushed on and clipped."""
    if hose.kind != "hose" or (end is None and hose.service == "feed"):
        return None
    given = end or HoseEnd()
    wide = given.diameter_mm or SOCKET_OUTSIDES * outside_mm
    return wide, given.length_mm or hose.end_mm + SOCKET_LENGTHS * outside_mm


def with_elbows(path: HosePath, seats: tuple[Point3, Point3]) -> HosePath:
    """The path from seat to seat, its elbows with it: what the fluid goes through."""
    first, last = path.segments[0], path.segments[-1]
    begin = first.start
    end = last.end if isinstance(last, Straight) else None
    before = math.dist(seats[0], begin)
    segments = path.segments
    if before > 0:
        segments = (Straight(start=seats[0], end=begin), *segments)
    if end is not None and math.dist(seats[1], end) > 0:
        segments = (*segments, Straight(start=end, end=seats[1]))
    if len(segments) == len(path.segments):
        return path
    supports = tuple(replace(s, station_mm=s.station_mm + before) for s in path.supports)
    return replace(path, segments=segments, supports=supports)
