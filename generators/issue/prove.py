"""Prove a finished folder: make it again from what lies in it, and compare every byte.

What differs is explained by the file's own reader (which hole, which word), then by the first line of
content that differs. A folder made by other versions cannot be equal to the byte: it is compared by
content, and says so.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from generators.errors import ExportError, LookupFault, ReadBackError, SpecError, UnitError
from generators.issue import reuse
from generators.issue.artefact import Artefact, Job
from generators.issue.digest import made_with
from generators.issue.folder import foreign
from generators.issue.issue import Written, remade
from generators.issue.manifest import NAME, Entry, Manifest, file_hash, read_manifest
from generators.issue.work import SHOWN, Progress, read_found
from generators.verify.content import first_difference
from generators.verify.readback import ReadBack

SAME = "made again: the same to the byte"
ALIKE = "made again: the same content"
CHANGED = "was changed after it was made (sha256)"
Again = Callable[[Path, Manifest], Job]
"""A job from a finished folder and its manifest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Remade:
    """A folder made again, to compare others with."""

    job: Job
    folder: Path
    written: Written
    versions: Mapping[str, str]


def prove(
    folder: Path, jobs: Mapping[str, Again], *, progress: Progress, quick: bool = False
) -> list[ReadBack]:
    """Read a finished folder back. ``quick`` reads hashes and geometry and makes nothing again.

    Raises ``ReadBackError`` when its manifest, or what it was made from, cannot be used at all.
    """
    manifest = read_manifest(folder)
    job = job_of(folder, manifest, jobs)
    if quick:
        return _quick(folder, manifest, job, progress)
    with tempfile.TemporaryDirectory(prefix="pedalplate_") as scratch:
        again = make_again(job, manifest, Path(scratch), folder, progress)
        return compare(folder, manifest, again)


def job_of(folder: Path, manifest: Manifest, jobs: Mapping[str, Again]) -> Job:
    """The job of a folder, from what was kept in it.

    Raises ``ReadBackError`` for a kind nobody knows, kept files that were changed, or that no longer read.
    """
    again = jobs.get(manifest.kind)
    if again is None:
        raise ReadBackError(NAME, f"is of an unknown kind of job {manifest.kind!r}")
    try:
        job = again(folder, manifest)
    except (SpecError, LookupFault, UnitError) as error:
        raise ReadBackError(NAME, f"what the files were made from no longer reads: {error}") from error
    for kept in job.kept:
        require_kept(folder, manifest.entry(kept.entry.path), kept.entry.kind)
    return job


def require_kept(folder: Path, entry: Entry | None, what: str) -> Path:
    """The path of a file the job was made from. Raises ``ReadBackError`` when it is not as it was."""
    if entry is None:
        raise ReadBackError(NAME, f"does not name the {what} the files were made from")
    path = folder / entry.path
    if not path.is_file() or path.is_symlink() or file_hash(path) != entry.sha256:
        raise ReadBackError(entry.path, "is missing or was changed after the files were made")
    return path


def make_again(job: Job, manifest: Manifest, scratch: Path, found: Path | None, progress: Progress) -> Remade:
    """The whole folder again, with what each file in ``found`` reads like. Raises ``ReadBackError``."""
    listed = {e.path for e in manifest.entries}
    if manifest.content.get("complete") is not False:
        listed |= {a.entry.path for a in job.artefacts}
    try:
        written = remade(job, scratch, found, listed=listed, progress=progress)
    except ExportError as error:
        raise ReadBackError(NAME, f"what it lists cannot be made again: {error}") from error
    return Remade(job=job, folder=scratch, written=written, versions=made_with())


def compare(folder: Path, manifest: Manifest, again: Remade) -> list[ReadBack]:
    """Every file of a folder against the folder made again, then its manifest, then what is too much."""
    said = manifest.content.get("made_with")
    other = "" if said == again.versions else _versions(said, again.versions)
    artefacts = {a.entry.path: a for a in again.job.artefacts}
    readings = {d.path: d.reading for d in again.written.done}
    listed = {e.path: e for e in manifest.entries}
    out = []
    for entry in again.written.entries:
        mine = listed.get(entry.path)
        if entry.path == reuse.NAME and other and mine is not None:
            out.append(_other_reuse(folder, mine, entry))
            continue
        if mine is None:
            out.append(ReadBack(path=entry.path, problems=("is not listed, though the job has it",)))
            continue
        reading = readings.get(entry.path, ReadBack(path=entry.path))
        out.append(
            _one(folder, mine, entry, again.folder, artefacts.get(entry.path), reading, alike=bool(other))
        )
    known = {e.path for e in again.written.entries} | {reuse.NAME}
    out += [
        ReadBack(path=e.path, problems=("is listed, but is no file of this job",))
        for e in manifest.entries
        if e.path not in known
    ]
    out += [
        ReadBack(path=path, problems=("is no file of this job",)) for path in foreign(folder, [NAME, *listed])
    ]
    out.append(_manifest(manifest, again, other))
    return out


def _one(
    folder: Path,
    listed: Entry,
    wanted: Entry,
    scratch: Path,
    artefact: Artefact | None,
    reading: ReadBack,
    *,
    alike: bool,
) -> ReadBack:
    """One file: equal bytes, or what differs."""
    path = folder / wanted.path
    if not path.is_file() or path.is_symlink():
        return ReadBack(path=wanted.path, problems=("is missing",))
    found = file_hash(path)
    if found == wanted.sha256 == listed.sha256:
        return replace(reading, path=wanted.path, facts=(*reading.facts, SAME))
    problems = []
    if found != listed.sha256:
        problems.append(CHANGED)
    if found != wanted.sha256:
        if artefact is not None:
            problems += read_found(artefact, path, reading).problems
        difference = first_difference(path, scratch / wanted.path)
        if difference is None and alike and not problems:
            return replace(reading, path=wanted.path, facts=(*reading.facts, ALIKE))
        problems.append(difference or "its bytes differ from the same file made again")
    return replace(reading, path=wanted.path, problems=tuple(dict.fromkeys(problems)))


def _other_reuse(folder: Path, mine: Entry, wanted: Entry) -> ReadBack:
    """The list for reuse of a folder of other versions: not to be compared, but it names the versions too."""
    path = folder / mine.path
    problems = []
    if not path.is_file() or path.is_symlink():
        problems.append("is missing")
    elif (found := file_hash(path)) != mine.sha256:
        problems.append(CHANGED)
    elif found == wanted.sha256:
        problems.append("is of these versions, while the manifest names others")
    return ReadBack(path=mine.path, facts=("of other versions",), problems=tuple(problems))


def _versions(said: object, now: Mapping[str, str]) -> str:
    """What it was made with, where that differs from what is here."""
    if not isinstance(said, dict):
        return "made by an older version, which did not say with what"
    pairs = [
        f"{k} {said.get(k)!s} (here {now.get(k)!s})" for k in {**now, **said} if said.get(k) != now.get(k)
    ]
    return f"made with {', '.join(pairs)}"


def _manifest(manifest: Manifest, again: Remade, other: str) -> ReadBack:
    """The manifest, whole: to the letter, or by content for a folder of other versions."""
    facts = [f"lists {len(manifest.entries)} files"]
    if manifest.content.get("complete") is False:
        facts.append("made with --only: not all files of the job were made")
    problems = [
        f"releases files although {f.code} failed at {f.where}"
        for f in again.job.findings
        if f.blocks and not again.job.answers
    ]
    if not other:
        if manifest.text != again.written.text:
            problems.append(_first_line(manifest.text, again.written.text))
        return ReadBack(path=NAME, facts=tuple(facts), problems=tuple(problems))
    facts.append(f"{other}: compared by content")
    wanted = json.loads(again.written.text)
    if manifest.content.get("format") == wanted["format"]:
        for key in sorted((wanted.keys() | manifest.content.keys()) - {"made_with", "files"}):
            if manifest.content.get(key) != wanted.get(key):
                problems.append(
                    f"says {key} {manifest.content.get(key)!r}, its spec gives {wanted.get(key)!r}"
                )
    plain = {e.path: replace(e, sha256="") for e in again.written.entries}
    for entry in manifest.entries:
        if plain.get(entry.path, replace(entry, sha256="")) != replace(entry, sha256=""):
            problems.append(f"calls {entry.path} {entry.kind} of {entry.owner or 'the job'}, which it is not")
    return ReadBack(path=NAME, facts=tuple(facts), problems=tuple(problems))


def _first_line(found: str, wanted: str) -> str:
    a, b = found.splitlines(), wanted.splitlines()
    for number, (mine, right) in enumerate(zip(a, b, strict=False), start=1):
        if mine != right:
            said, gives = (repr(text.strip()[:SHOWN]) for text in (mine, right))
            return f"line {number} says {said}, its spec gives {gives}"
    if len(a) != len(b):
        return f"has {len(a)} lines, its spec gives {len(b)}"
    return "its bytes differ from the same manifest made again"


def _quick(folder: Path, manifest: Manifest, job: Job, progress: Progress) -> list[ReadBack]:
    """Hashes of all files, and the geometry of those that have a reader."""
    artefacts = {a.entry.path: a for a in job.artefacts}
    known = {*artefacts, *(k.entry.path for k in job.kept), reuse.NAME}
    out = []
    for number, entry in enumerate(manifest.entries):
        progress(f"read {entry.path}", number, len(manifest.entries))
        reading = ReadBack(path=entry.path, facts=("its bytes are those that were made",))
        artefact = artefacts.get(entry.path)
        if entry.path not in known:
            reading = ReadBack(path=entry.path, problems=("is listed, but is no file of this job",))
        elif artefact is not None:
            reading = read_found(artefact, folder / entry.path, reading)
        path = folder / entry.path
        if not path.is_file() or path.is_symlink():
            reading = ReadBack(path=entry.path, problems=("is missing",))
        elif file_hash(path) != entry.sha256:
            reading = replace(reading, problems=(CHANGED, *reading.problems))
        out.append(reading)
    listed = {e.path for e in manifest.entries}
    problems = (
        [f"does not list {path}" for path in known - listed] if manifest.content.get("complete") else []
    )
    out += [
        ReadBack(path=path, problems=("is no file of this job",)) for path in foreign(folder, [NAME, *listed])
    ]
    out.append(
        ReadBack(
            path=NAME, facts=(f"lists {len(listed)} files; nothing was made again",), problems=tuple(problems)
        )
    )
    return out
