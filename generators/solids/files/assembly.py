"""All of a job where it sits in the vehicle, as one GLB file to look at.

glTF 2.0 is in metres with y up and z forward. The vehicle frame is mm with x rearward, y right and
z up, so glTF's (x, y, z) are the vehicle's (-y, z, -x) / 1000.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import trimesh
from numpy.typing import NDArray
from trimesh.visual.material import PBRMaterial

from generators.errors import ExportError
from generators.geometry.frames import Matrix
from generators.model.hose_path import HosePath
from generators.model.plan import PanelLayout, PartPlan
from generators.model.words import BodyKind, RodKind
from generators.solids.kernel import Shape
from generators.solids.lump_meshes import body_mesh
from generators.solids.mesh import triangles
from generators.solids.shapes import folded_shape, panel_shape
from generators.solids.tubes import tube_mesh
from generators.space.shown import Shown

Colour: TypeAlias = tuple[int, int, int, int]
METRES_PER_MM = 0.001
OPAQUE = 255
VEHICLE_TO_GLTF: Matrix = np.array([[0.0, -1, 0, 0], [0, 0, 1, 0], [-1, 0, 0, 0], [0, 0, 0, 1]])

PANEL_RGBA = (214, 210, 200, 255)
PART_RGBA = ((86, 130, 163, 255), (190, 132, 72, 255), (104, 146, 104, 255), (150, 104, 140, 255))
"""Panels look like primer; parts take these in turn (our choice)."""

ROD_RGBA: dict[RodKind, Colour] = {
    "pressure": (60, 60, 64, 255),
    "brake": (60, 60, 64, 255),
    "feed": (168, 90, 70, 255),
    "rigid": (176, 134, 60, 255),
}
"""Hoses by what they carry, and rigid lines (our choice)."""

BODY_RGBA: dict[BodyKind, Colour] = {
    "bolt": (96, 98, 104, 255),
    "cylinder": (150, 150, 156, 255),
    "reservoir": (232, 226, 190, 255),
    "fitting": (184, 148, 74, 255),
    "clamp": (124, 112, 100, 255),
    "pedal": (44, 92, 84, 255),
    "pad": (30, 34, 38, 255),
    "rod": (120, 160, 150, 255),
    "stop": (196, 72, 54, 255),
    "obstacle": (128, 134, 150, 255),
    "zone": (208, 148, 92, 255),
}
"""Everything else by what it is (our choice)."""

GHOST_ALPHA = 90
"""Of 255: how much is seen of what is see-through."""

ZONE_ALPHA = 30
"""The same of a zone, which is no body and is wide."""


def shown_rgba(body: Shown) -> Colour:
    """Colour of a body; see-through for what the vehicle has already and a pedal at its stop."""
    r, g, b, a = BODY_RGBA.get(body.kind, BODY_RGBA["obstacle"])
    ghost = ZONE_ALPHA if body.kind == "zone" else GHOST_ALPHA
    return r, g, b, ghost if body.ghost else a


@dataclass(frozen=True, slots=True, kw_only=True)
class Rod:
    """A hose or a rigid line; ``kind`` is a key of ``ROD_RGBA``."""

    path: HosePath
    kind: RodKind

    @property
    def rgba(self) -> Colour:
        """Its colour."""
        return ROD_RGBA[self.kind]


def glb_data(
    panels: Sequence[tuple[PanelLayout, Matrix]],
    parts: Sequence[tuple[PartPlan, Matrix]],
    rods: Sequence[Rod] = (),
    shown: Sequence[Shown] = (),
    *,
    revision: str = "",
    tolerance_mm: float = 0.1,
    angle_rad: float = 0.2,
) -> tuple[bytes, tuple[str, ...]]:
    """The assembly as the bytes of a GLB file, and its node names.

    Each matrix takes the panel's or part's frame to the vehicle frame, mm. A node is named as its
    panel or part; when a name comes again it gets ``_2``, ``_3``. Raises ``ExportError`` when there
    is nothing to show, ``GeometryFault`` for an impossible solid. A body of
    a group hangs on a node named as the group.
    """
    scene = trimesh.Scene(base_frame="vehicle", metadata={"revision": revision})
    names: list[str] = []
    for name, shape, matrix, rgba in assembly_bodies(panels, parts):
        node = _unique(name, names)
        names.append(node)
        points, faces = triangles(shape, tolerance_mm, angle_rad, np.eye(4))
        _add(scene, node, points.astype(np.float64), faces, rgba, matrix)
    for rod in rods:
        node = _unique(rod.path.name, names)
        names.append(node)
        _add(scene, node, *tube_mesh(rod.path), rod.rgba, np.eye(4))
    for group in dict.fromkeys(body.group for body in shown if body.group):
        scene.graph.update(frame_from="vehicle", frame_to=group, matrix=np.eye(4))
    for body in shown:
        node = _unique(body.name, names)
        names.append(node)
        _add(scene, node, *body_mesh(body.pieces), shown_rgba(body), np.eye(4), body.group)
    if not names:
        raise ExportError("an assembly needs at least one panel or part")
    data: bytes = scene.export(file_type="glb", include_normals=False, tree_postprocessor=_sign)
    return data, tuple(names)


def _add(
    scene: trimesh.Scene,
    node: str,
    points: NDArray[np.float64],
    faces: NDArray[np.integer[Any]],
    rgba: Colour,
    matrix: Matrix,
    group: str = "",
) -> None:
    """One coloured node; ``points`` in mm of the frame that ``matrix`` takes to the vehicle."""
    body = trimesh.Trimesh(vertices=points * METRES_PER_MM, faces=faces, process=False, validate=False)
    body.visual = trimesh.visual.TextureVisuals(
        material=PBRMaterial(
            name=node,
            baseColorFactor=rgba,
            metallicFactor=0.3,
            roughnessFactor=0.6,
            doubleSided=False,
            # viewers ignore the fourth number of a colour unless told (glTF 2.0, 3.9.4)
            alphaMode="BLEND" if rgba[3] < OPAQUE else None,
        )
    )
    scene.add_geometry(
        body,
        node_name=node,
        geom_name=node,
        parent_node_name=group or None,
        transform=_gltf_pose(matrix),
    )


def _sign(tree: dict[str, Any]) -> None:
    tree["asset"]["generator"] = "pedalplate"


def assembly_bodies(
    panels: Iterable[tuple[PanelLayout, Matrix]], parts: Iterable[tuple[PartPlan, Matrix]]
) -> Iterator[tuple[str, Shape, Matrix, Colour]]:
    """Named shapes in their own frames with the matrix to the vehicle, for any kind of assembly file."""
    for layout, matrix in panels:
        yield layout.panel, panel_shape(layout), matrix, PANEL_RGBA
    for i, (plan, matrix) in enumerate(parts):
        yield plan.name, folded_shape(plan), matrix, PART_RGBA[i % len(PART_RGBA)]


def _unique(name: str, taken: Sequence[str]) -> str:
    candidate, count = name, 1
    while candidate in taken:
        count += 1
        candidate = f"{name}_{count}"
    return candidate


def _gltf_pose(matrix: Matrix) -> Matrix:
    pose: Matrix = VEHICLE_TO_GLTF @ matrix
    pose[:3, 3] *= METRES_PER_MM
    return pose
