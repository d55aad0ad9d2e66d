"""The one mesh of a part behind its STL and its 3MF: closed, mm, lying as it would be printed."""

from __future__ import annotations

from functools import lru_cache

from generators.model.plan import PartPlan
from generators.solids.extents import print_frame
from generators.solids.mesh import Faces, Points, triangles
from generators.solids.shapes import folded_shape

TOLERANCE_MM = 0.02
ANGLE_RAD = 0.1


@lru_cache(maxsize=4)
def part_mesh(plan: PartPlan, tolerance_mm: float, angle_rad: float) -> tuple[Points, Faces]:
    """Points (n, 3) in mm and triangles (m, 3) of the folded part, standing on z = 0; read only.

    No chord is further than ``tolerance_mm`` from its arc nor spans more than ``angle_rad``. Both file
    kinds of a part are written from the same arrays, so they cannot differ. Raises ``GeometryFault``
    when the plan makes no solid, ``ExportError`` when there is no clean mesh.
    """
    points, faces = triangles(folded_shape(plan), tolerance_mm, angle_rad, print_frame(plan))
    points.flags.writeable = faces.flags.writeable = False
    return points, faces


def mesh_words(plan: PartPlan, *, revision: str, tolerance_mm: float, angle_rad: float) -> str:
    """What either file says of its mesh: unit, tolerances, revision and part."""
    return f"mm tol={tolerance_mm:g} angle={angle_rad:g} rev={revision} part={plan.name}"
