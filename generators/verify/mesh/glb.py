"""A finished GLB assembly: every named node there, with geometry of a plausible size."""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import trimesh

from generators.verify.readback import ReadBack

MAGIC, VERSION = b"glTF", 2
HEADER_BYTES = 12
SMALLEST_M, LARGEST_M = 0.004, 12.0
"""A body's longest side: below or above, mm were taken for metres or the other way round."""


def read_glb(path: Path, names: Sequence[str], *, rel: str) -> ReadBack:
    """Look at an assembly. ``names`` are the nodes it must have, ``rel`` how reports call the file.

    Raises nothing for a bad file: what is wrong with it is in ``problems``.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {error.strerror}",))
    problems = list(_envelope(data))
    if problems:
        return ReadBack(path=rel, problems=tuple(problems))
    try:
        scene = trimesh.load_scene(io.BytesIO(data), file_type="glb")
    except (ValueError, KeyError, IndexError, TypeError, AttributeError, struct.error) as error:
        return ReadBack(path=rel, problems=(f"its content cannot be read ({type(error).__name__})",))
    facts: list[str] = []
    problems += _nodes(scene, names, facts)
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems))


def _envelope(data: bytes) -> Iterator[str]:
    if not data:
        yield "is empty"
        return
    if len(data) < HEADER_BYTES or data[:4] != MAGIC:
        yield "is no GLB file"
        return
    version, length = struct.unpack_from("<II", data, 4)
    if version != VERSION:
        yield f"is glTF version {version}, not 2"
    if length != len(data):
        yield f"has {len(data)} bytes, its header says {length}"


def _nodes(scene: trimesh.Scene, names: Sequence[str], facts: list[str]) -> Iterator[str]:
    there = set(scene.graph.nodes_geometry)
    for name in names:
        if name not in there:
            yield f"node {name} is missing or has no geometry"
            continue
        pose, geometry = scene.graph[name]
        points = np.asarray(scene.geometry[geometry].vertices)
        if len(points) == 0 or not np.all(np.isfinite(points)) or not np.all(np.isfinite(pose)):
            yield f"node {name} has no usable points"
            continue
        longest = float(np.ptp(points @ np.asarray(pose)[:3, :3].T, axis=0).max())
        if not SMALLEST_M <= longest <= LARGEST_M:
            yield f"node {name} is {longest:g} m long: not a panel or part in metres"
        else:
            facts.append(f"{name}: {longest * 1000:.0f} mm long")
    for extra in sorted(there - set(names)):
        yield f"node {extra} belongs to no panel or part"
