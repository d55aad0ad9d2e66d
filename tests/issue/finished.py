"""Finished folders of every kind of job, made once, with the same made again to compare copies with."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from issue.ways import WAYS

from generators.issue.manifest import NAME, read_manifest
from generators.issue.prove import Remade, compare, job_of, make_again
from generators.jobs.asdrilled.files import write_asdrilled
from generators.jobs.asdrilled.weigh import as_drilled
from generators.jobs.make.run import make
from generators.jobs.measure.files import write_measured
from generators.jobs.measure.survey import measure
from generators.jobs.verify import JOBS
from generators.solve.job import prepare

SPECS = Path(__file__).parents[2] / "specs"
VAN = SPECS / "wrenfield_van.toml"


def silent(what: str, done: int, total: int) -> None:
    assert what
    assert done <= total


def van(out: Path) -> Path:
    """The main demo."""
    return make(prepare(VAN), out, paper="A4", progress=silent).folder


def decided_spec(folder: Path) -> Path:
    """The van whose reservoir goes where a made-up hose puts it, with the shop file beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copy(SPECS / "shop.toml", folder)
    return Path(shutil.copy(Path(__file__).parents[1] / "vans" / "hose_van.toml", folder))


def decided(out: Path) -> Path:
    """The job of ``decided_spec``."""
    return make(prepare(decided_spec(out.parent / "spec")), out, paper="A4", progress=silent).folder


def measured(out: Path) -> Path:
    """A folder of ``measure``."""
    found = measure(SPECS / "wrenfield_readings.toml")
    return write_measured(found, out, paper="A4", progress=silent).folder


def rescued(out: Path) -> Path:
    """A folder of ``asdrilled``."""
    answer = as_drilled(VAN, SPECS / "wrenfield_hanger_readings.toml")
    return write_asdrilled(answer, out, progress=silent).folder


FOLDERS: dict[str, Callable[[Path], Path]] = {"make": van, "measure": measured, "asdrilled": rescued}


ALL = {**FOLDERS, **WAYS, "decided": decided}


@dataclass(frozen=True)
class Finished:
    """A folder, and the same made again."""

    folder: Path
    again: Remade

    def copy(self, place: Path) -> Path:
        """A copy that a test may spoil."""
        shutil.copytree(self.folder, place)
        return place

    def bad(self, copy: Path) -> dict[str, str]:
        """What ``verify`` says is bad of a copy: path and problems."""
        readings = compare(copy, read_manifest(copy), self.again)
        return {r.path: "; ".join(r.problems) for r in readings if not r.good}


def finished(kind: str, place: Path) -> Finished:
    """One kind of job, or one way to ask for the small one, made and made again."""
    return remade_of(ALL[kind](place / "out"), place)


def remade_of(folder: Path, place: Path, *, read: bool = False) -> Finished:
    """A folder with the same made again below ``place``; with ``read`` its files are read back, as ``verify`` does."""
    manifest = read_manifest(folder)
    scratch = place / "again"
    scratch.mkdir()
    found = folder if read else None
    return Finished(folder, make_again(job_of(folder, manifest, JOBS), manifest, scratch, found, silent))


def finished_van(place: Path) -> Finished:
    """The main demo, read back, for ``made_once``."""
    return remade_of(van(place / "out"), place, read=True)


def fit_hash(folder: Path, path: str) -> None:
    """Make the manifest's hash fit a changed file, as somebody would who wants it to pass."""
    manifest = json.loads((folder / NAME).read_text(encoding="utf-8"))
    for entry in manifest["files"]:
        if entry["path"] == path:
            entry["sha256"] = hashlib.sha256((folder / path).read_bytes()).hexdigest()
    text = json.dumps(manifest, indent=2, ensure_ascii=False) + "\n"
    (folder / NAME).write_text(text, encoding="utf-8", newline="\n")
