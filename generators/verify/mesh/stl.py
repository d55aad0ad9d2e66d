"""A finished STL file against the plan: a whole binary STL, and its mesh as ``mesh_checks`` has it."""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import trimesh

from generators.model.plan import PartPlan
from generators.verify.certificates import mesh_certificate
from generators.verify.mesh.checks import FARTHEST_MM, mesh_problems
from generators.verify.readback import Mark, ReadBack

HEADER_BYTES, COUNT_BYTES, RECORD_BYTES = 80, 4, 50
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])


def read_stl(path: Path, plan: PartPlan, *, rel: str) -> ReadBack:
    """Compare an STL file with the plan it was made from. ``rel`` is how reports call the file.

    Raises nothing for a bad file: what is wrong with it is in ``problems``.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {error.strerror}",))
    facts: list[str] = []
    measured: tuple[Mark, ...] = ()
    problems = list(_envelope(data))
    if not problems:
        words = data[:HEADER_BYTES].decode("ascii", "replace").rstrip()
        mesh = trimesh.load_mesh(io.BytesIO(data), file_type="stl")
        problems += mesh_problems(mesh, plan, words, "header", facts)
        measured = mesh_certificate(mesh)
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems), certificate=measured)


def _envelope(data: bytes) -> Iterator[str]:
    if not data:
        yield "is empty"
        return
    if len(data) < HEADER_BYTES + COUNT_BYTES:
        yield f"is cut short: {len(data)} bytes are no binary STL"
        return
    (count,) = struct.unpack_from("<I", data, HEADER_BYTES)
    size = HEADER_BYTES + COUNT_BYTES + RECORD_BYTES * count
    if size != len(data):
        yield f"has {len(data)} bytes, its {count} triangles need {size}"
    elif count == 0:
        yield "holds no triangles"
    else:
        corners = np.frombuffer(data, dtype=RECORD, offset=HEADER_BYTES + COUNT_BYTES)["corners"]
        # a comparison is false for what is no number, too
        if not np.all(np.abs(corners) < FARTHEST_MM):
            yield f"has points that are no numbers, or beyond {FARTHEST_MM:g} mm"
