"""One object of one finished file changed, as an editor or a faulty program would."""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import ezdxf
import trimesh

from generators.issue.manifest import NAME


def _pick(random_: random.Random, folder: Path, pattern: str) -> Path | None:
    found = sorted(folder.rglob(pattern))
    return random_.choice(found) if found else None


def _text_replaced(random_: random.Random, data: bytes, pattern: bytes) -> bytes | None:
    """One digit in one of the matches made another."""
    places = [k for m in re.finditer(pattern, data) for k in range(*m.span(1)) if data[k : k + 1].isdigit()]
    if not places:
        return None
    at = random_.choice(places)
    other = random_.choice([d for d in b"0123456789" if d != data[at]])
    return data[:at] + bytes([other]) + data[at + 1 :]


def dxf_entity(random_: random.Random, folder: Path) -> list[str]:
    """An entity moved by a tenth of a millimetre, deleted, or put in twice."""
    path = _pick(random_, folder, "*.dxf")
    if path is None:
        return []
    document = ezdxf.readfile(path)
    space = document.modelspace()
    entity = random_.choice(list(space))
    how = random_.choice(["move", "delete", "copy"])
    if how == "move":
        entity.translate(0.1, 0, 0)
    elif how == "delete":
        space.delete_entity(entity)
    else:
        space.add_entity(entity.copy())
    document.saveas(path)
    return [path.relative_to(folder).as_posix()]


def pdf_text(random_: random.Random, folder: Path) -> list[str]:
    """A figure or a letter of a word on a page of a PDF."""
    path = _pick(random_, folder, "*.pdf")
    if path is None:
        return []
    data = path.read_bytes()
    letters = [k for m in re.finditer(rb"\(([^()\\]+)\) Tj", data) for k in range(*m.span(1))]
    letters = [k for k in letters if data[k : k + 1].isalnum()]
    at = random_.choice(letters)
    other = b"8" if data[at : at + 1] != b"8" else b"3"
    path.write_bytes(data[:at] + other + data[at + 1 :])
    return [path.relative_to(folder).as_posix()]


def step_number(random_: random.Random, folder: Path) -> list[str]:
    """A figure of a number in the data of a STEP file."""
    path = _pick(random_, folder, "*.step")
    if path is None:
        return []
    head, mark, data = path.read_bytes().partition(b"DATA;")
    changed = _text_replaced(random_, data, rb"([0-9]+\.[0-9]*)")
    assert changed is not None
    path.write_bytes(head + mark + changed)
    return [path.relative_to(folder).as_posix()]


def glb_node(random_: random.Random, folder: Path) -> list[str]:
    """A body of an assembly moved by a millimetre."""
    path = _pick(random_, folder, "*.glb")
    if path is None:
        return []
    scene = trimesh.load_scene(path)
    name = random_.choice(sorted(scene.graph.nodes_geometry))
    matrix, geometry = scene.graph[name]
    moved = matrix.copy()
    moved[random_.randrange(3), 3] += 0.001
    scene.graph.update(frame_to=name, matrix=moved, geometry=geometry)
    scene.export(path)
    return [path.relative_to(folder).as_posix()]


def mesh_vertex(random_: random.Random, folder: Path) -> list[str]:
    """A vertex of a 3MF file moved."""
    path = _pick(random_, folder, "*.3mf")
    if path is None:
        return []
    out = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w") as new:
        for info in old.infolist():
            data = old.read(info)
            if info.filename.endswith(".model"):
                data = _text_replaced(random_, data, rb'<vertex [^>]*?x="([^"]+)"') or data
            new.writestr(info, data, compress_type=info.compress_type)
    path.write_bytes(out.getvalue())
    return [path.relative_to(folder).as_posix()]


def rows_swapped(random_: random.Random, folder: Path) -> list[str]:
    """Two unequal rows of a table change places."""
    path = _pick(random_, folder, "*.csv")
    if path is None:
        return []
    rows = path.read_bytes().split(b"\n")
    pairs = [(a, b) for a in range(len(rows)) for b in range(a) if rows[a] != rows[b]]
    a, b = random_.choice(pairs)
    rows[a], rows[b] = rows[b], rows[a]
    path.write_bytes(b"\n".join(rows))
    return [path.relative_to(folder).as_posix()]


def files_exchanged(random_: random.Random, folder: Path) -> list[str]:
    """Two files of one kind exchanged."""
    files = [p for p in sorted(folder.rglob("*")) if p.is_file() and p.name != NAME]
    pairs = [
        (a, b)
        for a in files
        for b in files
        if a < b and a.suffix == b.suffix and a.read_bytes() != b.read_bytes()
    ]
    if not pairs:
        return []
    a, b = random_.choice(pairs)
    first, second = a.read_bytes(), b.read_bytes()
    a.write_bytes(second)
    b.write_bytes(first)
    return [p.relative_to(folder).as_posix() for p in (a, b)]


def emptied(random_: random.Random, folder: Path) -> list[str]:
    """A file left empty."""
    path = random_.choice([p for p in sorted(folder.rglob("*")) if p.is_file()])
    path.write_bytes(b"")
    return [path.relative_to(folder).as_posix()]


def removed(random_: random.Random, folder: Path) -> list[str]:
    """A file taken away."""
    path = random_.choice([p for p in sorted(folder.rglob("*")) if p.is_file()])
    path.unlink()
    return [path.relative_to(folder).as_posix()]


def key_renamed(random_: random.Random, folder: Path) -> list[str]:
    """A key of the manifest, or of one of its rows, called something else."""
    path = folder / NAME
    manifest = json.loads(path.read_text(encoding="utf-8"))
    tables = [manifest, *manifest["files"], *manifest["findings"], manifest.get("made_with", {})]
    table = random_.choice([t for t in tables if t])
    key = random_.choice(sorted(table))
    table[key + "_"] = table.pop(key)
    path.write_text(json.dumps(manifest, indent=2, ensure_ascii=False) + "\n", encoding="utf-8", newline="\n")
    return [NAME]


OBJECTS: dict[str, Callable[[random.Random, Path], list[str]]] = {
    f.__name__: f
    for f in (
        dxf_entity,
        pdf_text,
        step_number,
        glb_node,
        mesh_vertex,
        rows_swapped,
        files_exchanged,
        emptied,
        removed,
        key_renamed,
    )
}
