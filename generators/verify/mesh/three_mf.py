"""A finished 3MF file against the plan: the package, the model in it, and its mesh.

By 3MF Core Specification 1.4.0 (3MF Consortium): the start part is the target of the package's
3D-model relationship; a model has no DTD; a mesh is a list of vertices and of triangles that count
them from 0 and turn left seen from outside; an item of the build may move its object.
"""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import trimesh

from generators.errors import PedalplateError
from generators.model.plan import PartPlan
from generators.verify.certificates import mesh_certificate
from generators.verify.mesh.checks import FARTHEST_MM, mesh_problems
from generators.verify.readback import Mark, ReadBack

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"
RELATIONS = "{http://schemas.openxmlformats.org/package/2006/relationships}"
MODEL_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
START_PART = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
LARGEST_BYTES = 1 << 28
"""What is unpacked at most: a small archive may hold a great deal."""
CORNERS = 3
LEAST_CORNERS = 4


class BadPackageError(PedalplateError):
    """The file cannot be read as 3MF, or not as the core specification allows. The message says why."""


def read_three_mf(path: Path, plan: PartPlan, *, revision: str, rel: str) -> ReadBack:
    """Compare a 3MF file with the plan it was made from. ``rel`` is how reports call the file.

    Raises nothing for a bad file: what is wrong with it is in ``problems``.
    """
    facts: list[str] = []
    problems: list[str] = []
    measured: tuple[Mark, ...] = ()
    try:
        model = _model(path)
        problems += _heading(model, plan, revision, facts)
        mesh = _mesh(model)
        problems += mesh_problems(mesh, plan, _metadata(model).get("Description", ""), "description", facts)
        measured = mesh_certificate(mesh)
    except BadPackageError as error:
        problems.append(str(error))
    except OSError as error:
        problems.append(f"cannot be read: {error.strerror}")
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems), certificate=measured)


def unpacked(path: Path) -> dict[str, bytes]:
    """Every entry of the package by name. Raises ``BadPackageError``, and ``OSError`` for no such file."""
    try:
        with zipfile.ZipFile(path) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > LARGEST_BYTES:
                raise BadPackageError(f"unpacks to more than {LARGEST_BYTES >> 20} MiB")
            names = archive.namelist()
            if len(names) != len(set(names)):
                raise BadPackageError("has two entries of one name")
            # an entry longer than it says is cut at what it says, and its check sum then fails
            return {name: archive.read(name) for name in names}
    # zipfile raises NotImplementedError for a packing method it does not know, RuntimeError for a password
    except (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError) as error:
        raise BadPackageError(f"is no whole ZIP archive: {error}") from error


def _model(path: Path) -> ElementTree.Element:
    """Root of the model part."""
    content = unpacked(path)
    relations = _xml(content, "_rels/.rels")
    starts = [r.get("Target", "") for r in relations if r.get("Type") == START_PART]
    if relations.tag != f"{RELATIONS}Relationships" or len(starts) != 1:
        raise BadPackageError(f"its package points at {len(starts)} 3D models, one is wanted")
    target = starts[0].removeprefix("/")
    known = {t.get("Extension"): t.get("ContentType") for t in _xml(content, "[Content_Types].xml")}
    if known.get(target.rpartition(".")[2]) != MODEL_TYPE:
        raise BadPackageError(f"its content types do not say that {target} is a 3D model")
    root = _xml(content, target)
    if root.tag != f"{CORE}model":
        raise BadPackageError(f"{target} is no model of the core specification")
    return root


def _xml(content: dict[str, bytes], name: str) -> ElementTree.Element:
    if name not in content:
        raise BadPackageError(f"has no {name}")
    # neither the package nor the model may bring a document type, which could make one byte a million
    if b"<!DOCTYPE" in content[name]:
        raise BadPackageError(f"{name} has a document type declaration")
    try:
        return ElementTree.fromstring(content[name])
    except ElementTree.ParseError as error:
        raise BadPackageError(f"{name} is no XML: {error}") from error


def _metadata(model: ElementTree.Element) -> dict[str, str]:
    return {m.get("name", ""): m.text or "" for m in model.iterfind(f"{CORE}metadata")}


def _heading(model: ElementTree.Element, plan: PartPlan, revision: str, facts: list[str]) -> Iterator[str]:
    if model.get("unit") == "millimeter":
        facts.append("unit millimeter")
    else:
        yield f"its unit is {model.get('unit') or 'not declared'}, not millimeter"
    if model.get("requiredextensions"):
        yield f"asks its reader for extensions: {model.get('requiredextensions')}"
    said = _metadata(model)
    if said.get("Title") != plan.title:
        yield f"its title is {said.get('Title', '')!r}, plan {plan.title!r}"
    if f" rev={revision} " not in said.get("Description", ""):
        yield f"does not carry revision {revision}"


def _mesh(model: ElementTree.Element) -> trimesh.Trimesh:
    """The one mesh that is built, where it stands. Raises ``BadPackageError``."""
    objects = model.findall(f"{CORE}resources/{CORE}object")
    items = model.findall(f"{CORE}build/{CORE}item")
    if len(objects) != 1 or len(items) != 1:
        raise BadPackageError(f"holds {len(objects)} objects and builds {len(items)}, plan 1")
    if items[0].get("objectid") != objects[0].get("id"):
        raise BadPackageError("builds an object that it does not hold")
    if items[0].get("transform") is not None:
        raise BadPackageError("moves its object before building it")
    if objects[0].get("type", "model") != "model":
        raise BadPackageError(f"its object is {objects[0].get('type')}, not a model")
    try:
        points = np.array(
            [
                [float(v.attrib[axis]) for axis in "xyz"]
                for v in objects[0].iterfind(f"{CORE}mesh/{CORE}vertices/{CORE}vertex")
            ]
        ).reshape(-1, CORNERS)
        faces = np.array(
            [
                [int(t.attrib[corner]) for corner in ("v1", "v2", "v3")]
                for t in objects[0].iterfind(f"{CORE}mesh/{CORE}triangles/{CORE}triangle")
            ],
            dtype=np.int64,
        ).reshape(-1, CORNERS)
    except (KeyError, ValueError, OverflowError) as error:
        raise BadPackageError(f"a vertex or triangle is damaged: {error}") from error
    if len(points) < LEAST_CORNERS or len(faces) < LEAST_CORNERS:
        raise BadPackageError("holds no closed mesh")
    # a comparison is false for what is no number, too
    if not np.all(np.abs(points) < FARTHEST_MM):
        raise BadPackageError(f"has points that are no numbers, or beyond {FARTHEST_MM:g} mm")
    if faces.min() < 0 or faces.max() >= len(points):
        raise BadPackageError("a triangle has a corner that is not among its vertices")
    return trimesh.Trimesh(vertices=points, faces=faces, process=False, validate=False)
