"""The content of a finished file as ordered lines, for telling where two files of one kind differ.

Nothing here knows a plan: two files with the same lines say and draw the same to a person and a machine.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from generators.verify.pdf.content import Content, read_pdf
from generators.verify.readback import said

DIGITS = 6
"""Decimals (mm) that two releases of a library may differ beyond."""

SHOWN = 160
STEP_HEADER = b"DATA;"


def first_difference(found: Path, wanted: Path) -> str | None:
    """Where the content of two files of one kind first differs, in words; None where it is the same."""
    lines = KINDS.get(wanted.suffix.lower(), _text)
    try:
        mine = list(lines(found))
    except Exception as error:  # libraries raise of everything on bytes that are no file of its kind
        return f"cannot be read: {said(error)}"
    right = list(lines(wanted))
    for (where, a), (_, b) in zip(mine, right, strict=False):
        if a != b:
            return f"{where} has {_cut(a)}, made again {_cut(b)}"
    if len(mine) != len(right):
        more = mine[len(right) :] or right[len(mine) :]
        which = "has beside that" if len(mine) > len(right) else "lacks"
        return f"{which} {_cut(more[0][1])} ({more[0][0]})"
    return None


def _cut(text: str) -> str:
    return repr(text if len(text) <= SHOWN else text[:SHOWN] + "…")


def _n(value: float) -> str:
    return f"{value:.{DIGITS}f}".replace(f"-0.{'0' * DIGITS}", f"0.{'0' * DIGITS}")


Lines = Iterator[tuple[str, str]]


def _text(path: Path) -> Lines:
    for number, line in enumerate(path.read_bytes().decode("utf-8").splitlines(), start=1):
        yield f"line {number}", line


def _pdf(path: Path) -> Lines:
    pdf = read_pdf(path)
    yield "the file", f"version {pdf.version}, scaling {pdf.print_scaling}, user unit {pdf.user_unit}"
    for number, page in enumerate(pdf.pages, start=1):
        yield from _page(page, f"page {number}")


def _page(page: Content, name: str) -> Lines:
    head = (page.rotation, page.cropped, page.annotations, page.others)
    yield name, f"{_n(page.width)} x {_n(page.height)} {head}"
    for word in page.words:
        where = f"{name} at ({word.box[0]:.1f}, {word.box[1]:.1f}) mm"
        yield where, f"{word.text} {' '.join(f'{x:.3f}' for x in word.box)}"
    for shape in page.shapes:
        x, y = shape.points[0] if shape.points else (0.0, 0.0)
        style = (shape.closed, shape.stroked, shape.filled, round(shape.width, 4), shape.dashed)
        points = " ".join(f"{px:.4f},{py:.4f}" for px, py in shape.points)
        yield f"{name}, line near ({x:.1f}, {y:.1f}) mm", f"{style} {points}"


def _dxf(path: Path) -> Lines:
    from ezdxf.filemanagement import readfile  # noqa: PLC0415 - as trimesh below

    document = readfile(path)
    yield "the head", f"{document.dxfversion} units {document.units}"
    for layer in document.layers:
        yield f"layer {layer.dxf.name}", repr(sorted(layer.dxfattribs().items(), key=str))
    # what is drawn, then every block and sheet: an insert draws what stands there
    drawn = [e for block in document.blocks if block.name.lower() != "*model_space" for e in block]
    for entity in (*document.modelspace(), *drawn):
        name = f"{entity.dxftype()} on {entity.dxf.get('layer', '')}"
        attributes = {k: v for k, v in entity.dxfattribs().items() if k not in ("handle", "owner")}
        yield name, repr({k: _rounded(v) for k, v in sorted(attributes.items())})
        if entity.dxftype() == "LWPOLYLINE":
            for point in entity.get_points():
                yield name, " ".join(_n(x) for x in point)
        elif entity.dxftype() == "POLYLINE":
            for vertex in entity.vertices:
                yield name, repr(_rounded(vertex.dxf.location)) + _n(vertex.dxf.get("bulge", 0.0))
        elif entity.dxftype() == "MTEXT":
            yield name, entity.text


def _rounded(value: object) -> object:
    if isinstance(value, float):
        return _n(value)
    if hasattr(value, "xyz"):
        return tuple(_n(x) for x in value.xyz)
    return value


def _step(path: Path) -> Lines:
    data = path.read_bytes()
    head, _, body = data.partition(STEP_HEADER)
    for part in (head, body):
        for statement in part.decode("ascii", "backslashreplace").split(";\n"):
            said = " ".join(statement.split())
            if not said.startswith(("FILE_NAME", "FILE_DESCRIPTION")):
                yield said.partition("=")[0].strip(), said
            elif said.startswith("FILE_DESCRIPTION"):
                yield "the head", said


def _stl(path: Path) -> Lines:
    data = path.read_bytes()
    yield "the head", data[:80].decode("ascii", "backslashreplace")
    (count,) = struct.unpack_from("<I", data, 80)
    yield "the head", f"{count} triangles, {len(data)} bytes"
    for k in range(min(count, (len(data) - 84) // 50)):
        yield f"triangle {k + 1}", " ".join(f"{x:.4f}" for x in struct.unpack_from("<12f", data, 84 + 50 * k))


def _three_mf(path: Path) -> Lines:
    from generators.verify.mesh.three_mf import unpacked  # noqa: PLC0415 - as trimesh below

    for name, content in unpacked(path).items():
        for number, line in enumerate(content.decode("utf-8").replace("><", ">\n<").splitlines()):
            yield f"{name} line {number + 1}", line


def _glb(path: Path) -> Lines:
    import trimesh  # noqa: PLC0415 - slow to load, and asked only when two files differ

    scene = trimesh.load_scene(path, file_type="glb")
    for name in sorted(scene.graph.nodes_geometry):
        matrix, geometry = scene.graph[name]
        yield f"body {name}", " ".join(_n(float(x)) for x in matrix.ravel())
        mesh = scene.geometry[geometry]
        yield f"body {name}", f"{len(mesh.vertices)} points, {len(mesh.faces)} triangles"
        for point in mesh.vertices:
            yield f"body {name}", " ".join(_n(float(x)) for x in point)
        yield f"body {name}", json.dumps(mesh.faces.tolist())
    yield "the scene", json.dumps(scene.metadata, sort_keys=True, default=str)


KINDS: Mapping[str, Callable[[Path], Lines]] = {
    ".pdf": _pdf,
    ".dxf": _dxf,
    ".step": _step,
    ".stl": _stl,
    ".3mf": _three_mf,
    ".glb": _glb,
}
