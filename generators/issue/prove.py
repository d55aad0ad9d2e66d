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
from functools import partial
from pathlib import Path

from generators.errors import ExportError, LookupFault, ReadBackError, SpecError, UnitError, printable
from generators.issue import reuse
from generators.issue.apart import Apart, apart
from generators.issue.artefact import Artefact, Job
from generators.issue.digest import made_with
from generators.issue.folder import foreign
from generators.issue.issue import Written, remade
from generators.issue.manifest import NAME, Entry, Manifest, file_hash, read_manifest
from generators.issue.work import Progress
from generators.verify.content import first_difference
from generators.verify.readback import ReadBack

SAME = "made again: the same to the byte"
ALIKE = "made again: the same content"
CHANGED = "was changed after it was made (sha256)"
SHORT, MOST = 100, 12
"""Letters of a value, and versions, shown in a problem."""
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
    if not path.is_file() or path.is_symlink():
        raise ReadBackError(entry.path, f"is missing: it is the {what} the files were made from")
    if file_hash(path) != entry.sha256:
        raise ReadBackError(entry.path, f"was changed: it is the {what} the files were made from")
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
    other = "" if said == again.versions else _versions(manifest, again.versions)
    artefacts = {a.entry.path: a for a in again.job.artefacts}
    readings = {d.path: d.reading for d in again.written.done}
    listed = {e.path: e for e in manifest.entries}
    out = []
    with apart() as reader:
        for entry in again.written.entries:
            mine = listed.get(entry.path)
            if entry.path == reuse.NAME and other:
                out += _other_reuse(folder, manifest, entry)
                continue
            if mine is None:
                out.append(ReadBack(path=entry.path, problems=(_unlisted(other),)))
                continue
            read = partial(_reading, reader, artefacts.get(entry.path), folder / entry.path)
            reading = readings.get(entry.path, ReadBack(path=entry.path))
            out.append(_one(folder, mine, entry, again.folder, reading, read, alike=bool(other)))
    known = {e.path for e in again.written.entries} | {reuse.NAME}
    out += [
        ReadBack(path=e.path, problems=(_not_made(other),)) for e in manifest.entries if e.path not in known
    ]
    out += [
        ReadBack(path=path, problems=("is no file of this job",)) for path in foreign(folder, [NAME, *listed])
    ]
    out.append(_manifest(manifest, again, other))
    return out


def _unlisted(other: str) -> str:
    return "is not listed, though " + ("these versions make it of this job" if other else "the job has it")


def _not_made(other: str) -> str:
    return "is listed, but " + (
        "these versions make no such file of it" if other else "is no file of this job"
    )


def _reading(reader: Apart, artefact: Artefact | None, path: Path) -> ReadBack:
    """What its own reader says of a file that is not the one made again."""
    return reader.read(artefact, path) if artefact is not None else ReadBack(path=path.name)


def _one(
    folder: Path,
    listed: Entry,
    wanted: Entry,
    scratch: Path,
    reading: ReadBack,
    read: Callable[[], ReadBack],
    *,
    alike: bool,
) -> ReadBack:
    """One file: equal bytes, or what differs.

    ``reading`` is of the file made again, ``read`` reads this one.
    """
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
        reading = read()
        problems += reading.problems
        difference = first_difference(path, scratch / wanted.path)
        if difference is None and alike and not problems:
            return replace(reading, path=wanted.path, facts=(*reading.facts, ALIKE))
        problems.append(difference or "its bytes differ from the same file made again")
    return replace(reading, path=wanted.path, problems=tuple(dict.fromkeys(problems)))


def _other_reuse(folder: Path, manifest: Manifest, wanted: Entry) -> list[ReadBack]:
    """The list for reuse of a folder of other versions: not to be compared, but it names the versions too.

    Format 1 had none.
    """
    mine, path = manifest.entry(wanted.path), folder / wanted.path
    if mine is None and manifest.content.get("format") == 1:
        return []
    problems = []
    if mine is None:
        problems.append("is not listed")
    elif not path.is_file() or path.is_symlink():
        problems.append("is missing")
    elif (found := file_hash(path)) != mine.sha256:
        problems.append(CHANGED)
    elif found == wanted.sha256:
        problems.append("is of these versions, while the manifest names others")
    return [ReadBack(path=wanted.path, facts=("of other versions",), problems=tuple(problems))]


def _versions(manifest: Manifest, now: Mapping[str, str]) -> str:
    """What it was made with, where that differs from what is here."""
    made_with = manifest.content.get("made_with")
    if not isinstance(made_with, dict):
        version = printable(manifest.said("version"), SHORT)
        older = f"version {version} of this program" if version else "an older version of this program"
        return f"made by {older}, which did not say with what (here {now['pedalplate']})"
    pairs = [
        printable(f"{k} {made_with.get(k, 'none')!s} (here {now.get(k, 'none')!s})", 2 * SHORT)
        for k in {**now, **made_with}
        if made_with.get(k) != now.get(k)
    ]
    more = f" and {len(pairs) - MOST} more" if len(pairs) > MOST else ""
    return f"made with {', '.join(pairs[:MOST])}{more}"


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
        keys = wanted.keys() | manifest.content.keys()
    else:
        # format 1 said less, and a finding in other words
        keys = (wanted.keys() & manifest.content.keys()) - {"format", "findings"}
    for key in sorted(keys - {"made_with", "files"}):
        mine, right = manifest.content.get(key), wanted.get(key)
        if mine != right:
            problems.append(f"says {key} {_cut(mine)}, its spec gives {_cut(right)}")
    plain = {e.path: replace(e, sha256="") for e in again.written.entries}
    for entry in manifest.entries:
        if plain.get(entry.path, replace(entry, sha256="")) != replace(entry, sha256=""):
            problems.append(f"calls {entry.path} {entry.kind} of {entry.owner or 'the job'}, which it is not")
    return ReadBack(path=NAME, facts=tuple(facts), problems=tuple(problems))


def _cut(value: object) -> str:
    return printable(repr(value), SHORT)


def _first_line(found: str, wanted: str) -> str:
    a, b = found.splitlines(), wanted.splitlines()
    for number, (mine, right) in enumerate(zip(a, b, strict=False), start=1):
        if mine != right:
            return f"line {number} says {_cut(mine.strip())}, its spec gives {_cut(right.strip())}"
    if len(a) != len(b):
        return f"has {len(a)} lines, its spec gives {len(b)}"
    return "its bytes differ from the same manifest made again"


def _quick(folder: Path, manifest: Manifest, job: Job, progress: Progress) -> list[ReadBack]:
    """Hashes of all files, and the geometry of those that have a reader."""
    artefacts = {a.entry.path: a for a in job.artefacts}
    known = {*artefacts, *(k.entry.path for k in job.kept), reuse.NAME}
    out = []
    with apart() as reader:
        for number, entry in enumerate(manifest.entries):
            progress(f"read {entry.path}", number, len(manifest.entries))
            if entry.path in known:
                out.append(_quick_one(folder, entry, artefacts.get(entry.path), reader))
            else:
                out.append(ReadBack(path=entry.path, problems=("is listed, but is no file of this job",)))
    listed = {e.path for e in manifest.entries}
    missing = sorted(known - listed) if manifest.content.get("complete") else []
    problems = [f"does not list {path}" for path in missing]
    out += [
        ReadBack(path=path, problems=("is no file of this job",)) for path in foreign(folder, [NAME, *listed])
    ]
    out.append(
        ReadBack(
            path=NAME, facts=(f"lists {len(listed)} files; nothing was made again",), problems=tuple(problems)
        )
    )
    return out


def _quick_one(folder: Path, entry: Entry, artefact: Artefact | None, reader: Apart) -> ReadBack:
    path = folder / entry.path
    if not path.is_file() or path.is_symlink():
        return ReadBack(path=entry.path, problems=("is missing",))
    reading = _reading(reader, artefact, path)
    changed = (CHANGED,) if file_hash(path) != entry.sha256 else ()
    facts = reading.facts or ("its bytes are those that were made",)
    return replace(reading, path=entry.path, facts=facts, problems=(*changed, *reading.problems))
