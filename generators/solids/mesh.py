"""Closed triangle meshes of kernel solids: the same solid gives the same triangles.

The kernel keeps a mesh with the shape and reuses it when it is finer than asked for, so a preview
could change what is cut: only bare copies are meshed. Neighbouring faces get the same points along
a shared edge; they are welded after rounding to float32, the precision of STL and glTF.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location

from generators.errors import ExportError
from generators.geometry.frames import Matrix, apply
from generators.solids import kernel
from generators.solids.kernel import Shape

Points = NDArray[np.float32]
Faces = NDArray[np.int64]

ATTEMPTS = 4
SMALLEST_ALTITUDE_MM = 1e-4
"""A triangle flatter than this is degenerate: its normal would be noise of float32."""


def triangles(shape: Shape, tolerance_mm: float, angle_rad: float, pose: Matrix) -> tuple[Points, Faces]:
    """Points (n, 3) in mm after ``pose``, and triangles (m, 3) that turn left seen from outside.

    No chord is further than ``tolerance_mm`` from its arc nor spans more than ``angle_rad``. When a
    face comes out with a degenerate triangle the whole is meshed again a little finer. Raises
    ``ExportError`` when four meshes all have one, or are not closed.
    """
    finer = 1.0
    trouble = ""
    for _ in range(ATTEMPTS):
        points, faces = _meshed(shape, tolerance_mm * finer, angle_rad * finer, pose)
        trouble = _trouble(points, faces)
        if not trouble:
            return points, faces
        finer *= 0.9
    raise ExportError(f"no clean mesh of the solid: {trouble}")


def _meshed(shape: Shape, tolerance_mm: float, angle_rad: float, pose: Matrix) -> tuple[Points, Faces]:
    bare = kernel.copied(shape)
    BRepMesh_IncrementalMesh(bare, tolerance_mm, False, angle_rad, False)
    blocks: list[Matrix] = []
    faces: list[NDArray[np.int64]] = []
    first = 0
    for face in kernel.faces_of(bare):
        place = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face, place)
        if mesh is None:
            raise ExportError("the kernel left a face of the solid without a mesh")
        move = place.Transformation()
        nodes = [mesh.Node(i + 1).Transformed(move) for i in range(mesh.NbNodes())]
        blocks.append(np.array([(p.X(), p.Y(), p.Z()) for p in nodes]))
        corners = np.array([mesh.Triangle(i + 1).Get() for i in range(mesh.NbTriangles())], dtype=np.int64)
        if face.Orientation() == TopAbs_REVERSED:
            corners = corners[:, ::-1]
        faces.append(corners - 1 + first)
        first += len(nodes)
    rounded = apply(pose, np.concatenate(blocks)).astype(np.float32)
    # adding 0 turns -0 into 0, so that equal points have equal bytes
    rounded += np.float32(0.0)
    points, index = np.unique(rounded, axis=0, return_inverse=True)
    return points, index.reshape(-1)[np.concatenate(faces)]


def _trouble(points: Points, faces: Faces) -> str:
    a, b, c = (points[faces[:, i]].astype(np.float64) for i in range(3))
    longest = np.max([np.linalg.norm(p - q, axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    twice_area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    flat = int(np.count_nonzero(twice_area <= SMALLEST_ALTITUDE_MM * longest))
    if flat:
        return f"{flat} degenerate triangles"
    directed = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    there = np.sort(directed[:, 0] * len(points) + directed[:, 1])
    back = np.sort(directed[:, 1] * len(points) + directed[:, 0])
    if not np.array_equal(there, back) or np.any(there[1:] == there[:-1]):
        return "an edge without its one neighbour"
    return ""
