"""Tools and plates of a part as solids, and the volume two of them share."""

from __future__ import annotations

import cadquery as cq
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from generators.geometry.frames import Matrix, apply

AIR_MM = 0.06
"""Taken off both faces of flat metal that may lie against a tool."""


def prism(ring: NDArray[np.float64], along: NDArray[np.float64]) -> cq.Solid:
    """An outline in space pushed along a vector."""
    wire = cq.Wire.makePolygon([cq.Vector(*p) for p in ring], close=True)
    return cq.Solid.extrudeLinear(cq.Face.makeFromWires(wire), cq.Vector(*along))


def tool(outline: Polygon, up: float, low: float, high: float) -> cq.Solid:
    ring = np.array([(low, y, z + up) for y, z in outline.exterior.coords[:-1]])
    return prism(ring, np.array((high - low, 0.0, 0.0)))


def plate(outline: Polygon, frame: Matrix, low: float, high: float) -> cq.Solid:
    corners = np.array([(u, v, low) for u, v in outline.exterior.coords[:-1]])
    return prism(apply(frame, corners), frame[:3, 2] * (high - low))


def shared(one: cq.Solid, two: cq.Solid) -> float:
    a, b = one.BoundingBox(), two.BoundingBox()
    apart = any(
        low > high
        for low, high in (
            (a.xmin, b.xmax),
            (b.xmin, a.xmax),
            (a.ymin, b.ymax),
            (b.ymin, a.ymax),
            (a.zmin, b.zmax),
            (b.zmin, a.zmax),
        )
    )
    return 0.0 if apart else float(one.intersect(two).Volume())
