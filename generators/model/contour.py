"""Closed outlines of straight lines and circular arcs, as plain data."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Vertex:
    """A corner at ``(u, v)`` mm; ``bulge`` shapes the segment to the next corner.

    ``bulge`` is tan(sweep / 4) of the arc, positive when it turns left, 0 for a straight line:
    the definition of the DXF reference for LWPOLYLINE group code 42.
    """

    u: float
    v: float
    bulge: float = 0.0


@dataclass(frozen=True, slots=True)
class Contour:
    """A closed counter-clockwise outline; the last vertex joins the first."""

    vertices: tuple[Vertex, ...]
