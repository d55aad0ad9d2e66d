"""The bodies of a GLB file, read by glTF 2.0 (Khronos Group), ISO/IEC 12113:2022.

Read here and not by a mesh library, which takes longer to load than a whole assembly to read. Only what an
assembly needs is understood: triangles with indices in the one buffer, poses as matrices; anything else is
refused, so that nothing is overlooked.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from generators.geometry.frames import Matrix

HEADER_BYTES, CHUNK_BYTES = 12, 8
TRIANGLES, CORNERS = 4, 3
TYPES: Mapping[tuple[int, str], tuple[str, int]] = {
    (5126, "VEC3"): ("<f4", 3),
    (5121, "SCALAR"): ("u1", 1),
    (5123, "SCALAR"): ("<u2", 1),
    (5125, "SCALAR"): ("<u4", 1),
}
"""Component type and type of an accessor: how a number is stored, and how many go together."""

DEEPEST = 32
"""Nodes in nodes: deeper is a circle, or no assembly."""

ALLOWED = {"name", "mesh", "matrix", "children", "extras"}


@dataclass(frozen=True, slots=True)
class Body:
    """A node with a mesh: its name, points (n, 3) and triangles (m, 3), and its pose in the scene."""

    name: str
    points: NDArray[np.float64]
    faces: NDArray[np.int64]
    pose: Matrix


def bodies(data: bytes) -> list[Body]:
    """Every node with a mesh. Raises ``ValueError``, ``LookupError``, ``TypeError`` or ``struct.error``."""
    text, buffer = _chunks(data)
    tree = json.loads(text.decode("utf-8"))
    scene = tree["scenes"][tree.get("scene", 0)]
    found = [body for k in scene["nodes"] for body in _node(tree, buffer, k, np.eye(4), 0)]
    names = [body.name for body in found]
    if len(set(names)) != len(names):
        raise ValueError("two nodes of one name")
    return found


def _chunks(data: bytes) -> tuple[bytes, bytes]:
    """The JSON and the buffer."""
    chunks = []
    at = HEADER_BYTES
    while at < len(data):
        length, kind = struct.unpack_from("<I4s", data, at)
        content = data[at + CHUNK_BYTES : at + CHUNK_BYTES + length]
        if len(content) != length:
            raise ValueError("a chunk is cut short")
        chunks.append((kind, content))
        at += CHUNK_BYTES + length
    if [kind for kind, _ in chunks] != [b"JSON", b"BIN\0"]:
        raise ValueError("other chunks than one of JSON and one buffer")
    return chunks[0][1], chunks[1][1]


def _node(tree: Mapping[str, Any], buffer: bytes, number: int, above: Matrix, depth: int) -> Iterator[Body]:
    node = tree["nodes"][_index(number)]
    if depth > DEEPEST or not set(node) <= ALLOWED:
        raise ValueError("a node that is not understood")
    own = np.array(node.get("matrix", np.eye(4).ravel().tolist()), dtype=np.float64)
    pose = above @ own.reshape(4, 4).T
    if "mesh" in node:
        points, faces = _mesh(tree, buffer, tree["meshes"][_index(node["mesh"])])
        yield Body(str(node["name"]), points, faces, pose)
    for child in node.get("children", []):
        yield from _node(tree, buffer, child, pose, depth + 1)


def _mesh(
    tree: Mapping[str, Any], buffer: bytes, mesh: Mapping[str, Any]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    (drawn,) = mesh["primitives"]
    if drawn.get("mode", TRIANGLES) != TRIANGLES:
        raise ValueError("a mesh of other things than triangles")
    accessor = tree["accessors"][_index(drawn["attributes"]["POSITION"])]
    points = _numbers(tree, buffer, accessor)
    index = _numbers(tree, buffer, tree["accessors"][_index(drawn["indices"])]).reshape(-1)
    if len(index) % CORNERS or (len(index) and int(index.max()) >= len(points)):
        raise ValueError("triangles of points that are not there")
    # the standard asks for both, and viewers go by them
    bounds = np.array([accessor["min"], accessor["max"]], dtype=np.float32)
    if len(points) and not np.array_equal(bounds, [points.min(axis=0), points.max(axis=0)]):
        raise ValueError("bounds that are not those of its points")
    return points.astype(np.float64), index.astype(np.int64).reshape(-1, CORNERS)


def _numbers(tree: Mapping[str, Any], buffer: bytes, accessor: Mapping[str, Any]) -> NDArray[Any]:
    """The content of an accessor, (count, together)."""
    stored, together = TYPES[accessor["componentType"], accessor["type"]]
    view = tree["bufferViews"][_index(accessor["bufferView"])]
    if view["buffer"] != 0 or "byteStride" in view or "sparse" in accessor:
        raise ValueError("numbers stored in a way that is not understood")
    first = _index(view.get("byteOffset", 0))
    content = buffer[first : first + _index(view["byteLength"])]
    count = _index(accessor["count"]) * together
    return np.frombuffer(content, stored, count, _index(accessor.get("byteOffset", 0))).reshape(-1, together)


def _index(value: object) -> int:
    """A whole number from 0: Python would count a negative one from the end."""
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise ValueError(f"{value!r} is no index")
    return value
