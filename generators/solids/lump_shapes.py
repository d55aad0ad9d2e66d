"""Boxes, rods, hulls and turned bodies as kernel solids, vehicle frame, mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid
from OCP.TopoDS import TopoDS_Compound, TopoDS_Shell

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix
from generators.solids import kernel
from generators.solids.kernel import Shape
from generators.space.lumps import Lump, Turned, box_solid, lump_volume, lumps, square_to
from generators.space.pieces import Box, Hull, Piece, Rod

VOLUME_RATIO = 1e-7
FLAT = 1e-9
"""One minus the cosine between two triangles of one flat face."""


def body_shape(pieces: Sequence[Piece], name: str) -> Shape:
    """The solids of a body: one by itself, more in a compound.

    Raises ``GeometryFault`` for an impossible one.
    """
    made = [lump_shape(lump, name) for lump in lumps(pieces)]
    if len(made) == 1:
        return made[0]
    whole = TopoDS_Compound()
    builder = BRep_Builder()
    builder.MakeCompound(whole)
    for solid in made:
        builder.Add(whole, solid)
    return whole


def lump_shape(lump: Lump, name: str) -> Shape:
    """One valid solid. Raises ``GeometryFault`` when the kernel makes none of the right volume."""
    match lump:
        case Turned():
            shape = _turned(lump.base, lump.axis, lump.corners)
        case Rod():
            shape = _rod(lump)
        case Box():
            shape = _polyhedron(*box_solid(lump))
        case Hull():
            shape = _polyhedron(*lump.solid)
    found, wanted = kernel.solids_of(shape), lump_volume(lump)
    if len(found) != 1 or abs(kernel.volume(found[0]) / wanted - 1) > VOLUME_RATIO:
        raise GeometryFault(f"the kernel's solid of {name!r} is not of the right volume")
    return found[0]


def _rod(rod: Rod) -> Shape:
    base, axis, radius = np.array(rod.start), rod.pose[:3, 2], rod.radius_mm
    length = math.dist(rod.start, rod.end)
    if not rod.round_ends:
        return _turned(base, axis, [(0.0, 0.0), (radius, 0.0), (radius, length), (0.0, length)])
    side = rod.pose[:3, 0]
    normal = np.cross(side, axis)
    spots = [base - axis * radius, base + side * radius]
    if length > kernel.SMALL_MM:
        spots.append(spots[1] + axis * length)
    spots.append(base + axis * (length + radius))
    ends = [kernel.vertex(p) for p in spots]
    edges = [kernel.arc_edge(ends[0], ends[1], base, normal, -axis, radius)]
    if length > kernel.SMALL_MM:
        edges.append(kernel.line_edge(ends[1], ends[2]))
    edges.append(kernel.arc_edge(ends[-2], ends[-1], base + axis * length, normal, side, radius))
    edges.append(kernel.line_edge(ends[-1], ends[0]))
    return kernel.turned(kernel.face(base, normal, side, kernel.wire(edges)), base, axis)


def _turned(base: Matrix, axis: Matrix, corners: Sequence[tuple[float, float]]) -> Shape:
    """A section (radius, station) turned once about the axis."""
    side = square_to(axis)
    points = [kernel.vertex(base + side * r + axis * s) for r, s in corners]
    edges = [kernel.line_edge(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    return kernel.turned(kernel.face(base, np.cross(side, axis), side, kernel.wire(edges)), base, axis)


def _polyhedron(corners: Matrix, triangles: NDArray[np.intp]) -> Shape:
    """Flat faces, each of all triangles that lie in its plane, with shared edges."""
    points = [kernel.vertex(p) for p in corners]
    edges: dict[tuple[int, int], Shape] = {}
    shell = TopoDS_Shell()
    builder = BRep_Builder()
    builder.MakeShell(shell)
    for ring, normal in _flats(corners, triangles):
        sides = []
        for a, b in zip(ring, [*ring[1:], ring[0]], strict=True):
            key = (min(a, b), max(a, b))
            if key not in edges:
                edges[key] = kernel.line_edge(points[key[0]], points[key[1]])
            sides.append(edges[key] if a < b else edges[key].Reversed())
        along = corners[ring[1]] - corners[ring[0]]
        outer = kernel.wire([kernel.edge(side) for side in sides])
        builder.Add(shell, kernel.face(corners[ring[0]], normal, along / np.linalg.norm(along), outer))
    return BRepBuilderAPI_MakeSolid(shell).Solid()


def _flats(corners: Matrix, triangles: NDArray[np.intp]) -> list[tuple[list[int], Matrix]]:
    """Rings of corners and normals of the flat faces of a convex body."""
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    left = list(range(len(triangles)))
    out = []
    while left:
        first = left[0]
        same = [k for k in left if 1.0 - float(normals[k] @ normals[first]) < FLAT]
        left = [k for k in left if k not in same]
        sides = {(int(triangles[k][i]), int(triangles[k][(i + 1) % 3])) for k in same for i in range(3)}
        after = {p: q for p, q in sides if (q, p) not in sides}
        ring = [min(after)]
        while after[ring[-1]] != ring[0]:
            ring.append(after[ring[-1]])
        out.append((ring, normals[first]))
    return out
