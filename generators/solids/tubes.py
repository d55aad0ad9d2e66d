"""A hose as a solid rod of its outside diameter along its path: cylinders and tori, joined tangent."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipe

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix, turned_about
from generators.model.hose_path import Arc, HosePath, Segment, Straight
from generators.solids import kernel
from generators.solids.kernel import Shape
from generators.solids.lump_meshes import chords, corners_round
from generators.space.lumps import square_to

VOLUME_RATIO = 1e-5
LEAST_MM = 1e-6
LEAST_ARC_MM = 0.01


def segment_end(segment: Segment) -> Matrix:
    """Where a segment ends, mm."""
    if isinstance(segment, Arc):
        centre, axis = np.array(segment.centre), np.array(segment.axis)
        return np.asarray(
            centre + turned_about((np.array(segment.start) - centre)[None, :], axis, segment.sweep_rad)[0]
        )
    return np.array(segment.end)


def segment_way(segment: Segment) -> Matrix:
    """Unit direction in which a segment begins."""
    if isinstance(segment, Arc):
        way = np.cross(np.array(segment.axis), np.array(segment.start) - np.array(segment.centre))
    else:
        way = np.array(segment.end) - np.array(segment.start)
    return np.asarray(way / np.linalg.norm(way))


def tube_shape(path: HosePath) -> Shape:
    """The solid rod of a hose. Raises ``GeometryFault`` when the kernel makes none of the right volume."""
    real, corners = _kept(path)
    points = [kernel.vertex(corner) for corner in corners]
    edges = []
    for segment, (a, b) in zip(real, pairwise(points), strict=True):
        if isinstance(segment, Arc):
            centre, axis = np.array(segment.centre), np.array(segment.axis)
            start = np.array(segment.start) - centre
            edges.append(kernel.arc_edge(a, b, centre, axis, start, segment.radius_mm))
        else:
            edges.append(kernel.line_edge(a, b))
    way = segment_way(real[0])
    ring = kernel.circle_edge(corners[0], way, square_to(way), path.outside_dia_mm / 2)
    profile = BRepBuilderAPI_MakeFace(kernel.wire([ring])).Face()
    maker = BRepOffsetAPI_MakePipe(kernel.wire(edges), profile)
    maker.Build()
    if not maker.IsDone():
        raise GeometryFault(f"the kernel makes no rod of the hose {path.name!r}")
    solids = kernel.solids_of(maker.Shape())
    wanted = math.pi / 4 * path.outside_dia_mm**2 * path.length_mm
    # Pappus: the middle of a round section goes the length of the path, however it bends
    if len(solids) != 1 or abs(kernel.volume(solids[0]) / wanted - 1) > VOLUME_RATIO:
        raise GeometryFault(f"the kernel's rod of the hose {path.name!r} is not of the right volume")
    return solids[0]


def _kept(path: HosePath) -> tuple[list[Segment], list[Matrix]]:
    """Segments the kernel can take, and the corners between them.

    A bend of less than ``LEAST_ARC_MM`` is no curve to the kernel. Beside a straight it goes into that: the
    straight moves by less than a millionth of a millimetre.
    """
    segments = [segment for segment in path.segments if segment.length_mm > LEAST_MM]
    kept: list[Segment] = []
    corners = [np.array(segments[0].start)]
    for index, segment in enumerate(segments):
        beside = [s for s in segments[max(index - 1, 0) : index + 2] if isinstance(s, Straight)]
        if isinstance(segment, Arc) and segment.length_mm < LEAST_ARC_MM and beside:
            if kept and isinstance(kept[-1], Straight):
                corners[-1] = segment_end(segment)
            continue
        kept.append(segment)
        corners.append(segment_end(segment))
    return kept, corners


def tube_mesh(path: HosePath) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Points (n, 3) in mm and triangles (m, 3) of a closed rod, rings square to the path."""
    way = segment_way(path.segments[0])
    side = square_to(way)
    radius = path.outside_dia_mm / 2
    count = corners_round(radius)
    angles = np.linspace(0.0, 2 * math.pi, count, endpoint=False)
    ring = radius * (np.outer(np.cos(angles), side) + np.outer(np.sin(angles), np.cross(way, side)))
    rings = [np.array(path.segments[0].start) + ring]
    for segment in path.segments:
        if isinstance(segment, Arc):
            centre, axis = np.array(segment.centre), np.array(segment.axis)
            steps = chords(segment.radius_mm + radius, segment.sweep_rad)
            arm = np.array(segment.start) - centre
            for step in range(1, steps + 1):
                turn = segment.sweep_rad * step / steps
                rings.append(centre + turned_about(arm[None, :], axis, turn) + turned_about(ring, axis, turn))
            ring = turned_about(ring, axis, segment.sweep_rad)
        else:
            rings.append(np.array(segment.end) + ring)
    return _skin(rings)


def _skin(rings: list[Matrix]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Rings joined by triangles, both ends closed."""
    points = np.vstack([*rings, rings[0].mean(axis=0), rings[-1].mean(axis=0)])
    count = len(rings[0])
    i = np.arange(count)
    j = (i + 1) % count
    first, last, base = len(rings) * count, len(rings) * count + 1, (len(rings) - 1) * count
    faces = [np.column_stack([np.full(count, first), j, i])]
    for row in range(0, base, count):
        a, b, c, d = row + i, row + j, row + count + j, row + count + i
        faces += [np.column_stack([a, b, c]), np.column_stack([a, c, d])]
    faces.append(np.column_stack([np.full(count, last), base + i, base + j]))
    return points, np.vstack(faces).astype(np.int64)
