"""Coloured triangle meshes as the bytes of one GLB file: glTF 2.0 (Khronos Group), ISO/IEC 12113:2022.

Written here and not by a mesh library, which takes longer to load than a whole assembly to write.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from generators.geometry.frames import Matrix

VERSION = 2
FLOAT, UINT = 5126, 5125
"""Component types: float32 and unsigned int32, little-endian."""

VERTICES, INDICES, TRIANGLES = 34962, 34963, 4
METALLIC, ROUGHNESS = 0.3, 0.6
"""How a body catches light (our choice)."""

_WORD = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """One body: points (n, 3) in m of its own frame, triangles (m, 3) that turn left seen from outside.

    ``pose`` takes its frame to the scene's, ``rgba`` is its colour from 0 to 255.
    """

    name: str
    points_m: NDArray[np.floating[Any]]
    faces: NDArray[np.integer[Any]]
    pose: Matrix
    rgba: tuple[int, int, int, int]


def glb_bytes(nodes: Sequence[Node], *, generator: str, revision: str) -> bytes:
    """The file: one scene of these bodies, the revision in its extras. The same bodies, the same bytes."""
    buffer = bytearray()
    views: list[dict[str, int]] = []
    accessors: list[dict[str, Any]] = []

    def added(array: NDArray[Any], target: int, **words: Any) -> int:
        data = array.tobytes()
        views.append(
            {"buffer": 0, "byteOffset": len(buffer), "byteLength": len(data), "target": target},
        )
        buffer.extend(data)
        accessors.append({"bufferView": len(views) - 1, **words})
        return len(accessors) - 1

    meshes = []
    for number, node in enumerate(nodes):
        points = np.ascontiguousarray(node.points_m, dtype="<f4")
        faces = np.ascontiguousarray(node.faces, dtype="<u4")
        low, high = points.min(axis=0).tolist(), points.max(axis=0).tolist()
        where = added(
            points, VERTICES, componentType=FLOAT, type="VEC3", count=len(points), min=low, max=high
        )
        index = added(faces, INDICES, componentType=UINT, type="SCALAR", count=faces.size)
        drawn = {"attributes": {"POSITION": where}, "indices": index, "mode": TRIANGLES, "material": number}
        meshes.append({"name": node.name, "primitives": [drawn]})
    tree = {
        "asset": {"version": "2.0", "generator": generator},
        "scene": 0,
        "scenes": [{"nodes": list(range(len(nodes))), "extras": {"revision": revision}}],
        # glTF holds matrices by columns
        "nodes": [
            {"name": n.name, "mesh": k, "matrix": n.pose.T.ravel().tolist()} for k, n in enumerate(nodes)
        ],
        "meshes": meshes,
        "materials": [_material(n) for n in nodes],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": len(buffer)}],
    }
    text = json.dumps(tree, separators=(",", ":")).encode("ascii")
    chunks = _chunk(b"JSON", text, b" ") + _chunk(b"BIN\0", bytes(buffer), b"\0")
    return struct.pack("<4sII", b"glTF", VERSION, 12 + len(chunks)) + chunks


def _material(node: Node) -> dict[str, Any]:
    return {
        "name": node.name,
        "pbrMetallicRoughness": {
            "baseColorFactor": [c / 255 for c in node.rgba],
            "metallicFactor": METALLIC,
            "roughnessFactor": ROUGHNESS,
        },
        "doubleSided": False,
    }


def _chunk(kind: bytes, data: bytes, filling: bytes) -> bytes:
    """A chunk, filled up to a whole number of words as the format asks."""
    data += filling * (-len(data) % _WORD)
    return struct.pack("<I4s", len(data), kind) + data
