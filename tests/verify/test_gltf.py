"""GLB files as another library reads and writes them (trimesh), and what glTF 2.0 does not allow."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from generators.solids.files.gltf import Node, glb_bytes
from generators.verify.mesh.glb import read_glb
from generators.verify.mesh.gltf import bodies

TURNED = np.array([[0.0, -1, 0, 0.5], [1, 0, 0, -0.25], [0, 0, 1, 2.0], [0, 0, 0, 1]])
"""A quarter turn about z and a shift."""

BOX = trimesh.creation.box((0.3, 0.2, 0.1))
BALL = trimesh.creation.icosphere(subdivisions=2, radius=0.05)


def two_bodies() -> bytes:
    return glb_bytes(
        [
            Node(name="box", points_m=BOX.vertices, faces=BOX.faces, pose=np.eye(4), rgba=(255, 0, 51, 255)),
            Node(name="ball", points_m=BALL.vertices, faces=BALL.faces, pose=TURNED, rgba=(0, 102, 0, 255)),
        ],
        generator="bench",
        revision="abc1234",
    )


def test_another_library_reads_what_is_written(tmp_path: Path) -> None:
    path = tmp_path / "a.glb"
    path.write_bytes(two_bodies())
    scene = trimesh.load_scene(path)
    assert set(scene.graph.nodes_geometry) == {"box", "ball"}
    assert scene.metadata["revision"] == "abc1234"
    for name, mesh, pose, rgb in (("box", BOX, np.eye(4), (255, 0, 51)), ("ball", BALL, TURNED, (0, 102, 0))):
        matrix, geometry = scene.graph[name]
        body = scene.geometry[geometry]
        assert np.array_equal(matrix, pose)
        # float32 keeps 24 bits
        assert body.vertices == pytest.approx(mesh.vertices, abs=0.3 * 2.0**-24)
        assert np.array_equal(body.faces, mesh.faces)
        assert body.volume == pytest.approx(mesh.volume, rel=1e-6)
        assert tuple(body.visual.material.baseColorFactor[:3]) == rgb


def test_what_another_library_writes_is_read(tmp_path: Path) -> None:
    scene = trimesh.Scene()
    scene.add_geometry(BOX, node_name="box", geom_name="box")
    scene.add_geometry(BALL, node_name="ball", geom_name="ball", transform=TURNED)
    read = {b.name: b for b in bodies(scene.export(file_type="glb"))}
    assert set(read) == {"box", "ball"}
    assert np.array_equal(read["ball"].pose, TURNED)
    assert read["ball"].points == pytest.approx(BALL.vertices, abs=1e-8)
    assert np.array_equal(read["ball"].faces, BALL.faces)


def test_a_node_in_a_node_is_where_both_poses_put_it() -> None:
    def nest(tree: dict[str, Any]) -> None:
        tree["nodes"][0]["matrix"] = TURNED.T.ravel().tolist()
        tree["nodes"][0]["children"] = [1]
        tree["scenes"][0]["nodes"] = [0]

    ball = next(b for b in bodies(changed(nest)) if b.name == "ball")
    # by hand: a quarter turn twice is half a turn, and the shift (0.5, -0.25) turned once is (0.25, 0.5)
    assert ball.pose == pytest.approx(
        np.array([[-1.0, 0, 0, 0.75], [0, -1, 0, 0.25], [0, 0, 1, 4.0], [0, 0, 0, 1]])
    )


def changed(change: Callable[[dict[str, Any]], object], data: bytes | None = None) -> bytes:
    """The file with its JSON changed."""
    data = two_bodies() if data is None else data
    (length,) = struct.unpack_from("<I", data, 12)
    tree = json.loads(data[20 : 20 + length])
    change(tree)
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    rest = data[20 + length :]
    whole = struct.pack("<I4s", len(text), b"JSON") + text + rest
    return struct.pack("<4sII", b"glTF", 2, 12 + len(whole)) + whole


SPOILED: dict[str, Callable[[dict[str, Any]], object]] = {
    "no scene": lambda t: t.pop("scenes"),
    "a mesh that is not there": lambda t: t["nodes"][0].update(mesh=2),
    "a mesh counted from the end": lambda t: t["nodes"][0].update(mesh=-1),
    "two of one name": lambda t: t["nodes"][0].update(name="ball"),
    "a circle of nodes": lambda t: t["nodes"][0].update(children=[0]),
    "a pose in another form": lambda t: t["nodes"][0].update(scale=[2, 2, 2]),
    "a pose of three rows": lambda t: t["nodes"][0].update(matrix=[1.0] * 12),
    "lines for triangles": lambda t: t["meshes"][0]["primitives"][0].update(mode=1),
    "two primitives": lambda t: t["meshes"][0]["primitives"].append(t["meshes"][1]["primitives"][0]),
    "bounds that are not those of the points": lambda t: t["accessors"][0].update(max=[1, 1, 1]),
    "no bounds": lambda t: t["accessors"][0].pop("max"),
    "more points than bytes": lambda t: t["accessors"][0].update(count=9),
    "fewer points than triangles use": lambda t: t["accessors"][0].update(count=7),
    "half a triangle": lambda t: t["accessors"][1].update(count=35),
    "points as whole numbers": lambda t: t["accessors"][0].update(componentType=5125),
    "a view behind the end": lambda t: t["bufferViews"][0].update(byteOffset=10**9),
    "a stride": lambda t: t["bufferViews"][0].update(byteStride=16),
    "another buffer": lambda t: t["bufferViews"][0].update(buffer=1),
}


@pytest.mark.parametrize("what", SPOILED)
def test_what_the_format_does_not_allow_or_nobody_writes_is_a_problem(tmp_path: Path, what: str) -> None:
    path = tmp_path / "a.glb"
    path.write_bytes(changed(lambda tree: None))
    assert read_glb(path, ["box", "ball"], rel="a.glb").problems == ()
    path.write_bytes(changed(SPOILED[what]))
    (problem,) = read_glb(path, ["box", "ball"], rel="a.glb").problems
    assert "its content cannot be read" in problem


def test_chunks_that_do_not_fit_are_a_problem(tmp_path: Path) -> None:
    data = two_bodies()
    path = tmp_path / "a.glb"
    extra = struct.pack("<I4s", 4, b"MORE") + b"\0\0\0\0"
    for body in (data[12:] + extra, data[12:-4], data[12:20]):
        path.write_bytes(struct.pack("<4sII", b"glTF", 2, 12 + len(body)) + body)
        (problem,) = read_glb(path, ["box", "ball"], rel="a.glb").problems
        assert "its content cannot be read" in problem
