"""A part as a binary STL file: mm, closed, lying as it would be printed."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from generators.errors import ExportError
from generators.model.plan import PartPlan
from generators.solids.files.printable import ANGLE_RAD, TOLERANCE_MM, mesh_words, part_mesh

HEADER_BYTES = 80
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])


def stl_header(plan: PartPlan, *, revision: str, tolerance_mm: float, angle_rad: float) -> bytes:
    """The 80 bytes before the triangles, in words: unit, tolerances, revision and part.

    Raises ``ExportError`` when they do not fit.
    """
    text = mesh_words(plan, revision=revision, tolerance_mm=tolerance_mm, angle_rad=angle_rad)
    data = text.encode("ascii", "replace")
    if len(data) > HEADER_BYTES:
        raise ExportError(f"the STL header of {plan.name!r} needs {len(data)} bytes, 80 are there")
    return data.ljust(HEADER_BYTES)


def write_stl(
    plan: PartPlan,
    path: Path,
    *,
    revision: str,
    tolerance_mm: float = TOLERANCE_MM,
    angle_rad: float = ANGLE_RAD,
) -> None:
    """Write the folded part to ``path``.

    No chord is further than ``tolerance_mm`` from its arc nor spans more than ``angle_rad``. The
    root flange lies on z = 0 (see ``extents.print_frame``). Raises ``GeometryFault`` when the plan
    makes no solid, ``ExportError`` when there is no clean mesh or the file cannot be written.
    """
    header = stl_header(plan, revision=revision, tolerance_mm=tolerance_mm, angle_rad=angle_rad)
    points, faces = part_mesh(plan, tolerance_mm, angle_rad)
    corners = points[faces]
    exact = corners.astype(np.float64)
    normal = np.cross(exact[:, 1] - exact[:, 0], exact[:, 2] - exact[:, 0])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    records = np.zeros(len(faces), dtype=RECORD)
    # rounded, and adding 0 to turn -0 into 0: the last bits of a normal mean nothing
    records["normal"] = np.round(normal, 6) + 0.0
    records["corners"] = corners
    data = header + np.uint32(len(records)).astype("<u4").tobytes() + records.tobytes()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    except OSError as error:
        raise ExportError(f"cannot write {path.name}: {error.strerror}") from error
