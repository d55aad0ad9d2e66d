"""A finished GLB assembly: every node there, in its group and place, see-through where it should be.

glTF has y up and z forward, in metres; the vehicle has x rearward, y right and z up, in mm.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import trimesh

from generators.geometry.frames import Matrix, apply
from generators.verify.assembled import Expected
from generators.verify.readback import ReadBack

MAGIC, VERSION = b"glTF", 2
HEADER_BYTES = 12
SMALLEST_M, LARGEST_M = 0.001, 12.0
"""A body's longest side: below or above, mm were taken for metres or the other way round."""
PLACE_MM = 0.25
"""Chords of the writer's rounds lie up to 0.1 mm inside them, those of a bent hose twice."""
OPAQUE = 255


def read_glb(path: Path, bodies: Sequence[Expected], *, rel: str) -> ReadBack:
    """Compare an assembly with what it must hold. ``rel`` is how reports call the file.

    Raises nothing for a bad file: what is wrong with it is in ``problems``.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {error.strerror}",))
    facts, problems = glb_content(data, bodies)
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems))


def glb_content(data: bytes, bodies: Sequence[Expected]) -> tuple[list[str], list[str]]:
    """Facts and problems of the bytes of an assembly, wherever they were kept."""
    problems = list(_envelope(data))
    if problems:
        return [], problems
    try:
        scene = trimesh.load_scene(io.BytesIO(data), file_type="glb")
    except (ValueError, KeyError, IndexError, TypeError, AttributeError, struct.error) as error:
        return [], [f"its content cannot be read ({type(error).__name__})"]
    facts: list[str] = []
    problems += _nodes(scene, bodies, facts)
    return facts, problems


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


def _nodes(scene: trimesh.Scene, bodies: Sequence[Expected], facts: list[str]) -> Iterator[str]:
    there = set(scene.graph.nodes_geometry)
    for body in bodies:
        if body.name not in there:
            yield f"node {body.name} is missing or has no geometry"
            continue
        pose, geometry = scene.graph[body.name]
        mesh = scene.geometry[geometry]
        points = np.asarray(mesh.vertices)
        if len(points) == 0 or not np.all(np.isfinite(points)) or not np.all(np.isfinite(pose)):
            yield f"node {body.name} has no usable points"
            continue
        world = points @ np.asarray(pose)[:3, :3].T + np.asarray(pose)[:3, 3]
        longest = float(np.ptp(world, axis=0).max())
        if not SMALLEST_M <= longest <= LARGEST_M:
            yield f"node {body.name} is {longest:g} m long: not a body in metres"
            continue
        troubles = [*_placed(world, body), *_shown(scene, mesh, body)]
        yield from troubles
        if not troubles:
            facts.append(f"{body.name}: {longest * 1000:.0f} mm long")
    for extra in sorted(there - {body.name for body in bodies}):
        yield f"node {extra} belongs to nothing of the job"


def _placed(world: Matrix, body: Expected) -> Iterator[str]:
    vehicle = np.column_stack([-world[:, 2], -world[:, 0], world[:, 1]]) * 1000.0
    own = apply(np.asarray(np.linalg.inv(body.matrix), dtype=np.float64), vehicle)
    low = np.min([solid.low for solid in body.solids], axis=0)
    high = np.max([solid.high for solid in body.solids], axis=0)
    off = max(float(np.abs(own.min(axis=0) - low).max()), float(np.abs(own.max(axis=0) - high).max()))
    if off > PLACE_MM:
        yield f"node {body.name} is {off:.3f} mm away from its place"


def _shown(scene: trimesh.Scene, mesh: trimesh.Trimesh, body: Expected) -> Iterator[str]:
    group = scene.graph.transforms.parents.get(body.name, "")
    if body.group and group != body.group:
        yield f"node {body.name} belongs to {group}, plan {body.group}"
    material = getattr(mesh.visual, "material", None)
    colour = getattr(material, "baseColorFactor", None)
    if colour is None:
        yield f"node {body.name} has no colour"
    elif body.ghost != (int(colour[3]) < OPAQUE and getattr(material, "alphaMode", None) == "BLEND"):
        yield f"node {body.name} is {'not ' if body.ghost else ''}seen through"
