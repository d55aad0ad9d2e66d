"""Issue the folder of a job: lock, take again what has not changed, write the rest, read back, swap in."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generators.errors import ExportError, ReadBackError
from generators.issue import reuse
from generators.issue.artefact import Artefact, Done, Job
from generators.issue.digest import Digests, made_from, made_with
from generators.issue.folder import keep_edited, last_run, locked, mend, swapped_in
from generators.issue.manifest import NAME, Entry, Manifest, file_hash, manifest_text
from generators.issue.work import Order, Progress, team
from generators.verify.readback import ReadBack

Allowed = Callable[[Manifest | None], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued:
    """A folder swapped in. ``remarks`` are what a person should know of it, in words.

    ``reused`` counts the files that were not made again.
    """

    folder: Path
    entries: tuple[Entry, ...]
    readings: tuple[ReadBack, ...]
    remarks: tuple[str, ...]
    reused: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A folder's content before it is proven: what was done, its entries, and its manifest's text."""

    done: tuple[Done, ...]
    entries: tuple[Entry, ...]
    text: str


def issue(
    job: Job,
    target: Path,
    *,
    progress: Progress,
    only: Collection[str] | None = None,
    allowed: Allowed | None = None,
) -> Issued:
    """Write, read back and swap in the folder of a job.

    With ``only``, just the artefacts of those paths are made; the others stay as the last run made them.
    ``allowed`` may raise on what the last run left. Raises ``ExportError`` when a file cannot be written,
    the folder is in use, or something of somebody else's would be lost, and ``ReadBackError`` when a file
    does not say what the plan says; in each case the folder of the last good run stays untouched.
    """
    with team(job.artefacts) as workers, locked(target):
        mend(target)
        last = last_run(target)
        old = target if last is not None else None
        if allowed is not None:
            allowed(last)
        with swapped_in(target) as fresh:

            def make(artefacts: tuple[Artefact, ...], keys: dict[str, str]) -> list[Done]:
                again = reuse.taken_again(
                    target, last, artefacts, keys, fresh=fresh, revision=job.stamp.revision
                )
                have = {d.path for d in again}
                orders = [
                    Order(index=k, folder=fresh, revision=job.stamp.revision, found=fresh, last=old)
                    for k, one in enumerate(artefacts)
                    if one.entry.path not in have and (only is None or one.entry.path in only)
                ]
                return again + workers.do(orders, progress)

            written = _write(job, fresh, make)
            _require_kept(target, last, {e.path for e in written.entries}, job)
            _require_good(written)
            _require_whole(fresh, written)
            remarks = keep_edited(target, last) if last is not None else []
            progress(f"swap in {NAME}", 1, 1)
    return Issued(
        folder=target,
        entries=written.entries,
        readings=tuple(d.reading for d in written.done),
        remarks=tuple(dict.fromkeys([r for d in written.done for r in d.remarks] + remarks)),
        reused=sum(d.reused for d in written.done),
    )


def _require_kept(target: Path, last: Manifest | None, have: Collection[str], job: Job) -> None:
    """Nothing the last run made may be missing now because it was changed. Raises ``ExportError``."""
    known = {a.entry.path for a in job.artefacts}
    for entry in last.entries if last is not None else ():
        if entry.path in known and entry.path not in have:
            raise ExportError(
                f"{target / entry.path} was changed, is gone, or was made with other options; "
                "run make without --only, which keeps a copy of a changed file"
            )


def remade(
    job: Job, folder: Path, found: Path | None, *, listed: Collection[str], progress: Progress
) -> Written:
    """Every file of a job into an empty folder, nothing used again; files in ``found`` are read instead.

    Only artefacts whose paths are ``listed`` are made. Raises ``ExportError``.
    """
    with team(job.artefacts) as workers:

        def make(artefacts: tuple[Artefact, ...], _keys: dict[str, str]) -> list[Done]:
            orders = [
                Order(index=k, folder=folder, revision=job.stamp.revision, found=found)
                for k, one in enumerate(artefacts)
                if one.entry.path in listed
            ]
            return workers.do(orders, progress)

        return _write(job, folder, make)


def _write(
    job: Job, folder: Path, make: Callable[[tuple[Artefact, ...], dict[str, str]], list[Done]]
) -> Written:
    """Kept files, artefacts, ``reuse.json`` and the manifest."""
    versions = made_with()
    names = Digests()
    keys = {one.entry.path: made_from(one.body, versions, names) for one in job.artefacts}
    try:
        for kept in job.kept:
            path = folder / kept.entry.path
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(kept.content)
        place = {one.entry.path: k for k, one in enumerate(job.artefacts)}
        done = sorted(make(job.artefacts, keys), key=lambda d: place[d.path])
        (folder / reuse.NAME).write_bytes(reuse.reuse_text(keys, done, job.given).encode())
        hashes = {d.path: d.sha256 for d in done}
        entries = [k.entry.hashed(file_hash(folder / k.entry.path)) for k in job.kept]
        entries += [a.entry.hashed(hashes[a.entry.path]) for a in job.artefacts if a.entry.path in hashes]
        own = Entry(path=reuse.NAME, kind=reuse.KIND)
        entries.append(own.hashed(file_hash(folder / reuse.NAME)))
        head: dict[str, Any] = {
            **job.manifest_head(),
            "made_with": versions,
            "complete": len(done) == len(job.artefacts),
        }
        text = manifest_text(head, entries, job.findings)
        (folder / NAME).write_bytes(text.encode())
    except OSError as error:
        raise ExportError(f"cannot write the folder: {error.strerror or error}") from error
    return Written(done=tuple(done), entries=tuple(entries), text=text)


def _require_good(written: Written) -> None:
    """Every file says what the plan says. Raises ``ReadBackError`` for the first, with all that is wrong."""
    bad = [(d.path, p) for d in written.done for p in d.reading.problems]
    if bad:
        first = bad[0][0]
        said = [problem if path == first else f"{path}: {problem}" for path, problem in bad]
        raise ReadBackError(first, "; ".join(said))


def _require_whole(fresh: Path, written: Written) -> None:
    """What lies on the disk is what was written. Raises ``ReadBackError``."""
    for entry in written.entries:
        path = fresh / entry.path
        if not path.is_file() or file_hash(path) != entry.sha256:
            raise ReadBackError(entry.path, "does not read back as it was written")
