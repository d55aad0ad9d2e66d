"""Whatever is changed in a finished folder, ``verify`` finds it: words, figures, order, places, the manifest."""

from __future__ import annotations

import json
import random
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial
from pathlib import Path

import ezdxf
import pytest
import trimesh
from issue.finished import ALL, FOLDERS, VAN, Finished, finished, fit_hash
from issue.objects import OBJECTS

from generators.errors import ReadBackError
from generators.issue.artefact import Artefact
from generators.issue.manifest import NAME
from generators.issue.stamp import places, stamped
from generators.jobs.make.run import artefacts
from generators.model.words import FACES, OTHER
from generators.solve.job import Prepared, prepare
from generators.solve.reach import with_reach

TIMES = 40
NIGHTLY = 2000


@pytest.fixture(scope="module")
def folders(
    finished_van: Finished, rich_whole: Finished, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[str], Finished]:
    """A folder of each kind, made once for all that spoil copies of it."""
    ready = {"make": finished_van, "whole": rich_whole}

    @cache
    def made(kind: str) -> Finished:
        return ready[kind] if kind in ready else finished(kind, tmp_path_factory.mktemp(kind))

    return made


@pytest.fixture(scope="module")
def made(folders: Callable[[str], Finished]) -> Finished:
    return folders("make")


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return with_reach(prepare(VAN))


@pytest.fixture
def copy(made: Finished, tmp_path: Path) -> Path:
    return made.copy(tmp_path / "copy")


def artefact(prepared: Prepared, path: str) -> Artefact:
    return next(a for a in artefacts(prepared, "A4") if a.entry.path == path)


def written(folder: Path, one: Artefact, prepared: Prepared, **changed: object) -> None:
    """Write an artefact from other things than the spec says, as a faulty program would."""
    path = folder / one.entry.path
    partial(one.body, **changed)(path=path)
    body = path.read_bytes()
    path.write_bytes(stamped(body, places(body), prepared.file.revision))


def faces_swapped(folder: Path, prepared: Prepared) -> str:
    one = artefact(prepared, "install_sheet.pdf")
    guide = one.body.keywords["guide"]
    swap = {f"on the {face} side": f"on the {OTHER[face]} side" for face in FACES}
    said = re.compile("|".join(swap))
    phases = tuple(
        replace(
            phase,
            steps=tuple(replace(s, do=said.sub(lambda m: swap[m[0]], s.do)) for s in phase.steps),
        )
        for phase in guide.phases
    )
    assert phases != guide.phases
    written(folder, one, prepared, guide=replace(guide, phases=phases))
    return one.entry.path


def hoses_reversed(folder: Path, prepared: Prepared) -> str:
    one = artefact(prepared, "install_sheet.pdf")
    guide = one.body.keywords["guide"]
    cut, *others = guide.lists
    cut = replace(cut, table=replace(cut.table, rows=cut.table.rows[::-1]))
    written(folder, one, prepared, guide=replace(guide, lists=(cut, *others)))
    return one.entry.path


def hose_length(folder: Path, prepared: Prepared) -> str:
    path = folder / "hoses.csv"
    rows = path.read_text(encoding="utf-8").splitlines()
    head = rows[0].split(",")
    cells = rows[1].split(",")
    at = next(k for k, name in enumerate(head) if name.endswith("_mm"))
    cells[at] = f"{float(cells[at]) + 20:g}"
    path.write_text("\n".join([rows[0], ",".join(cells), *rows[2:]]) + "\n", encoding="utf-8", newline="\n")
    return "hoses.csv"


def in_stream(relative: str, found: Callable[[str], bool]) -> Callable[[Path, Prepared], str]:
    """One digit of the first text on the pages of a PDF for which ``found`` holds."""

    def change(folder: Path, _prepared: Prepared) -> str:
        path = folder / relative
        lines = path.read_bytes().decode("latin-1").split("\n")
        for number, line in enumerate(lines):
            if line.endswith("Tj T*") or " Tj" in line:
                text = line[line.find("(") : line.rfind(")")]
                if found(text):
                    digit = next(c for c in text if c.isdigit())
                    at = line.index(digit, line.find("("))
                    lines[number] = line[:at] + str((int(digit) + 1) % 10) + line[at + 1 :]
                    path.write_bytes("\n".join(lines).encode("latin-1"))
                    return relative
        raise AssertionError(f"{relative} has no such text")

    return change


def flat_text(word: str, other: str) -> Callable[[Path, Prepared], str]:
    """A word of the notes in a flat DXF: the drawing itself stays."""

    def change(folder: Path, _prepared: Prepared) -> str:
        relative = "parts/clutch_hanger/clutch_hanger_flat.dxf"
        document = ezdxf.readfile(folder / relative)
        notes = [e for e in document.modelspace() if e.dxftype() in ("TEXT", "MTEXT")]
        for note in notes:
            text = note.text if note.dxftype() == "MTEXT" else note.dxf.text
            if word in text:
                if note.dxftype() == "MTEXT":
                    note.text = text.replace(word, other)
                else:
                    note.dxf.text = text.replace(word, other)
                document.saveas(folder / relative)
                return relative
        raise AssertionError(f"no note says {word}")

    return change


def body_moved(folder: Path, _prepared: Prepared) -> str:
    scene = trimesh.load_scene(folder / "assembly.glb")
    name = sorted(scene.graph.nodes_geometry)[0]
    matrix, geometry = scene.graph[name]
    moved = matrix.copy()
    moved[0, 3] += 50.0
    scene.graph.update(frame_to=name, matrix=moved, geometry=geometry)
    scene.export(folder / "assembly.glb")
    return "assembly.glb"


CHANGES: dict[str, Callable[[Path, Prepared], str]] = {
    "faces swapped on the install sheet": faces_swapped,
    "hoses in reverse order": hoses_reversed,
    "a hose 20 mm longer": hose_length,
    "a figure from hole to hole": in_stream(
        "panels/firewall/template_cab.pdf", lambda t: " mm" in t and "." in t
    ),
    "a dimension of a drawing": in_stream(
        "parts/clutch_hanger/clutch_hanger_drawing.pdf", lambda t: t.strip("(").replace(".", "").isdigit()
    ),
    "a number in the report": in_stream("report.pdf", lambda t: any(c.isdigit() for c in t)),
    "a number on the install sheet": in_stream("install_sheet.pdf", lambda t: any(c.isdigit() for c in t)),
    "material in the flat DXF": flat_text("S420MC", "1008"),
    "quantity in the flat DXF": flat_text("quantity 1", "quantity 2"),
    "a body of the assembly moved 50 m": body_moved,
}


@pytest.mark.parametrize("name", CHANGES)
@pytest.mark.parametrize("hash_fits", [False, True])
def test_a_change_is_named_and_no_other_file_is(
    made: Finished, prepared: Prepared, copy: Path, name: str, hash_fits: bool
) -> None:
    path = CHANGES[name](copy, prepared)
    if hash_fits:
        fit_hash(copy, path)
    bad = made.bad(copy)
    assert set(bad) == ({path, NAME} if hash_fits else {path})
    assert bad[path]


@pytest.mark.parametrize(
    ("key", "value"),
    list(
        {
            "job": "another",
            "title": "Another",
            "revision": "0000000",
            "units": "in",
            "letter": "B",
            "paper": "letter",
            "printer": "hall laser",
            "type_scale": 1.4,
            "kind": "measure",
            "made_with": {},
            "complete": False,
            "spec": "spec/shop.toml",
            "accepted": {"x": "y"},
            "waivers": {"hole-spacing": "because"},
            "findings": [],
        }.items()
    ),
)
def test_every_line_of_the_manifests_head_counts(made: Finished, copy: Path, key: str, value: object) -> None:
    manifest = json.loads((copy / NAME).read_text(encoding="utf-8"))
    assert key in manifest
    manifest[key] = value
    (copy / NAME).write_text(json.dumps(manifest, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    # a folder that says it is of other versions is given away by its list for reuse
    assert set(made.bad(copy)) == ({"reuse.json"} if key == "made_with" else {NAME})


def changed_once(random_: random.Random, folder: Path) -> str:
    """One digit, or one other byte, of one file in the folder."""
    files = sorted(p for p in folder.rglob("*") if p.is_file())
    path = random_.choice(files)
    data = bytearray(path.read_bytes())
    digits = [k for k, byte in enumerate(data) if 48 <= byte <= 57]
    if digits and random_.random() < 0.8:
        at = random_.choice(digits)
        data[at] = random_.choice([d for d in range(48, 58) if d != data[at]])
    else:
        at = random_.randrange(len(data))
        data[at] ^= random_.randrange(1, 256)
    path.write_bytes(bytes(data))
    return path.relative_to(folder).as_posix()


def object_changed(random_: random.Random, folder: Path) -> list[str]:
    """One object of one file changed; the files that differ now."""
    while not (paths := random_.choice(list(OBJECTS.values()))(random_, folder)):
        pass  # the folder has no such file
    return paths


def missed(whole: Finished, place: Path, times: int, seed: int, *, objects: bool = False) -> list[str]:
    """Changes nobody noticed, of so many."""
    random_ = random.Random(seed)
    out = []
    copy = whole.copy(place / "copy")
    kept = {k.entry.path for k in whole.again.job.kept}
    for number in range(times):
        paths = object_changed(random_, copy) if objects else [changed_once(random_, copy)]
        same = [(copy / p).is_file() and same_bytes(copy / p, whole.folder / p) for p in paths]
        assert not all(same), f"{seed} {number}: nothing was changed in {paths}"
        fitted = random_.random() < 0.5
        for path in paths:
            if path != NAME and fitted and (copy / path).is_file():
                fit_hash(copy, path)
        try:
            bad = whole.bad(copy)
        except ReadBackError as error:  # a manifest that is none any more
            bad = {error.path: str(error)}
        for path in paths:
            # the versions stand in the manifest and, with other words, in the list for reuse
            also = {NAME} if path in kept else {"reuse.json"} if path == NAME else set()
            if path not in bad and not also & set(bad):
                out.append(f"{seed} {number}: {path}")
        for spoiled in {*paths, NAME}:
            shutil.copyfile(whole.folder / spoiled, copy / spoiled)
    return out


def same_bytes(one: Path, other: Path) -> bool:
    return one.read_bytes() == other.read_bytes()


@pytest.mark.parametrize("kind", FOLDERS)
def test_no_single_change_is_missed(kind: str, folders: Callable[[str], Finished], tmp_path: Path) -> None:
    assert missed(folders(kind), tmp_path, TIMES // len(FOLDERS), seed=1) == []


@pytest.mark.parametrize("kind", ["whole"])
def test_no_changed_object_is_missed(kind: str, folders: Callable[[str], Finished], tmp_path: Path) -> None:
    assert missed(folders(kind), tmp_path, TIMES, seed=4, objects=True) == []


@pytest.mark.nightly
@pytest.mark.parametrize("kind", ALL)
def test_no_single_change_of_thousands_is_missed(
    kind: str, folders: Callable[[str], Finished], tmp_path: Path
) -> None:
    if kind == "solved":
        pytest.importorskip("ngsolve")
    assert missed(folders(kind), tmp_path, NIGHTLY // len(ALL) + 1, seed=2) == []


@pytest.mark.nightly
@pytest.mark.parametrize("kind", ALL)
def test_no_changed_object_of_thousands_is_missed(
    kind: str, folders: Callable[[str], Finished], tmp_path: Path
) -> None:
    if kind == "solved":
        pytest.importorskip("ngsolve")
    assert missed(folders(kind), tmp_path, NIGHTLY // len(ALL) + 1, seed=3, objects=True) == []
