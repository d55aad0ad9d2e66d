"""A quarter of a strip with a round hole, pulled, on meshes refined where their error is. Wants ngsolve."""

from __future__ import annotations

import numpy as np
from netgen.occ import Box, Cylinder, Pnt, Z

from generators.strength.elastic import (
    Elastic,
    Fixed,
    Push,
    displaced,
    face_points,
    faces_where,
    loaded,
    mesh_of,
    named,
    on_plane,
    support,
    vector,
)
from generators.strength.recovery import error_shares, refine, smooth_stress

ORIGIN = (0.0, 0.0, 0.0)
E_X, E_Y, E_Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def stress_at(mesh, smooth, point):
    """The smoothed stress (xx, yy, zz, yz, xz, xy) at the mesh vertex on that point."""
    points = np.array([p.p for p in mesh.ngmesh.Points()])
    gaps = np.linalg.norm(points - np.array(point), axis=1)
    at = int(np.argmin(gaps))
    assert gaps[at] < 1e-6
    return np.array(smooth.vec.FV()).reshape(-1, 6)[at]


def strip_meshes(x, near, passes):
    """Unknowns and factor of the net section on a mesh, and on those refined where its error is; ``x`` is d/W."""
    width, length, thickness = 2.0, 6.0, 0.3 * x
    hole = x * width
    quarter = Box((0, 0, 0), (length / 2, width / 2, thickness)) - Cylinder(Pnt(0, 0, -1), Z, hole / 2, 3)
    mesh = mesh_of(
        named(quarter), 0.5, [((0, hole / 2, thickness / 2), near), ((0.15 * hole, 0.47 * hole, 0), near)]
    )
    planes = ((E_X, (True, False, False)), (E_Y, (False, True, False)), (E_Z, (False, False, True)))
    for done in range(passes + 1):
        faces = face_points(mesh)
        fixed = [Fixed(faces=faces_where(faces, on_plane(ORIGIN, n)), axes=axes) for n, axes in planes]
        system = support(mesh, Elastic(e_mpa=200e3, poisson=0.3), fixed)
        end = faces_where(faces, on_plane((length / 2, 0, 0), E_X))
        field = displaced(system, loaded(system, [Push(faces=end, traction=vector(E_X))]))
        smooth = smooth_stress(system, field)
        yield system.unknowns, stress_at(mesh, smooth, (0.0, hole / 2, 0.0))[0] * (1 - x)
        if done < passes:
            refine(mesh, [error_shares(system, field, smooth)], 0.5, 10**6)
