"""Write every file of a job, read each back, and only then swap the folder in."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import generators
from generators.drawing.template.pdf import TemplateSheets
from generators.errors import ExportError, ReadBackError
from generators.issue.folder import swapped_in
from generators.issue.manifest import NAME, Entry, entries_of, file_hash, read_manifest, write_manifest
from generators.jobs.make.files import all_tasks
from generators.jobs.make.proof import prove_files
from generators.reading import JobFile
from generators.solve.job import Prepared
from generators.solve.reach import with_reach
from generators.verify.readback import ReadBack

SPEC_FOLDER = "spec"
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What ``make`` did. ``remarks`` are what a person should know of the sheets, in words."""

    folder: Path
    entries: tuple[Entry, ...]
    readings: tuple[ReadBack, ...]
    remarks: tuple[str, ...] = ()


def _keep_spec(file: JobFile, folder: Path) -> list[Entry]:
    """The spec and the shop file go along, so the folder can be proven anywhere."""
    kept = [(file.spec_path, file.spec_bytes, "spec")]
    if file.shop_path is not None:
        kept.append((file.shop_path, file.shop_bytes, "shop"))
    entries = []
    (folder / SPEC_FOLDER).mkdir()
    for path, content, kind in kept:
        relative = f"{SPEC_FOLDER}/{path.name}"
        (folder / relative).write_bytes(content)
        entries.append(Entry(path=relative, kind=kind))
    return entries


def last_run(target: Path) -> tuple[dict[str, object], list[Entry]]:
    """Manifest and entries of the folder that the new one will take the place of.

    Raises ``ExportError`` when something would be lost: a folder that is not of this program, a link, or
    files in it that it did not make.
    """
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise ExportError(f"{target} is there and is not a folder of its own")
    if not target.exists() or not any(target.iterdir()):
        return {}, []
    try:
        content = read_manifest(target)
        old = entries_of(content)
    except ReadBackError as error:
        raise ExportError(f"{target} was not made by this program ({error}); choose another --out") from error
    listed = {NAME, *(e.path for e in old)}
    strange = sorted(
        path.relative_to(target).as_posix()
        for path in target.rglob("*")
        if not path.is_dir() and path.relative_to(target).as_posix() not in listed
    )
    if strange:
        raise ExportError(
            f"{target} holds what this program did not make ({', '.join(strange[:3])}); move it"
        )
    return content, old


def _require_same(target: Path, content: dict[str, object], head: dict[str, object]) -> None:
    """``--only`` keeps the other files, so they must go with the new ones. Raises ``ExportError``."""
    for key in ("revision", "version", "paper", "printer", "type_scale", "accepted"):
        if content and content.get(key) != head[key]:
            raise ExportError(
                f"{target} was made with {key} {content.get(key)!r}, this run has {head[key]!r}; --only "
                "would mix the two. Run make without --only, or give another --out"
            )


def _carried_over(target: Path, fresh: Path, old: Sequence[Entry], have: set[str]) -> list[Entry]:
    """Copies of the last run's other files; those changed since then are not taken along.

    Raises ``ExportError`` for a file that was changed or is gone.
    """
    kept = [e for e in old if e.path not in have]
    for entry in kept:
        source = target / entry.path
        if not source.is_file() or file_hash(source) != entry.sha256:
            raise ExportError(f"{source} was changed or is gone since it was made; run make without --only")
        (fresh / entry.path).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, fresh / entry.path)
    return kept


def manifest_head(prepared: Prepared, paper: str) -> dict[str, object]:
    """What the manifest says of the whole folder."""
    file = prepared.file
    return {
        "job": file.job.job.name,
        "title": file.job.job.title,
        "revision": file.revision,
        "version": generators.__version__,
        "units": "mm",
        "paper": paper,
        "printer": prepared.printer.name if prepared.printer is not None else "",
        "type_scale": prepared.type_scale,
        "spec": f"{SPEC_FOLDER}/{file.spec_path.name}",
        "accepted": {f.code: f.waived for f in prepared.findings if f.waived},
    }


def _remarks(entry: Entry, sheets: object) -> list[str]:
    """What the sheets of a template could not show in full."""
    if not isinstance(sheets, TemplateSheets):
        return []
    out = []
    if sheets.cut:
        out.append(
            f"{entry.path}: no sheet shows the whole of hole {', '.join(sheets.cut)}; use larger paper"
        )
    if sheets.unlabelled:
        out.append(
            f"{entry.path}: no room for the label of hole {', '.join(sheets.unlabelled)}; see its table"
        )
    return out


def make(prepared: Prepared, out: Path, *, paper: str, only: Sequence[str] = (), progress: Progress) -> Made:
    """Write, read back and swap in the folder of a job.

    Raises ``ExportError`` when a file cannot be written or a file of somebody else would be lost, and
    ``ReadBackError`` when one does not say what the plan says; in each case the folder of the last good
    run stays untouched.
    """
    target = out / prepared.file.job.job.name
    prepared = with_reach(prepared)
    tasks = all_tasks(prepared, paper, only)
    head = manifest_head(prepared, paper)
    total = 2 * len(tasks)
    content, old = last_run(target)
    if only:
        _require_same(target, content, head)
    remarks: list[str] = []
    with swapped_in(target) as fresh:
        entries = _keep_spec(prepared.file, fresh)
        for index, task in enumerate(tasks):
            progress(f"write {task.entry.path}", index, total)
            path = fresh / task.entry.path
            path.parent.mkdir(parents=True, exist_ok=True)
            try:
                remarks += _remarks(task.entry, task.write(path))
            except OSError as error:
                raise ExportError(f"cannot write {task.entry.path}: {error.strerror or error}") from error
            entries.append(task.entry)
        if only:
            entries += _carried_over(target, fresh, old, {e.path for e in entries})
        entries = [e.hashed(fresh) for e in entries]
        have = {e.path for e in entries}
        head["complete"] = all(t.entry.path in have for t in all_tasks(prepared, paper))
        write_manifest(fresh, entries, head=head, findings=prepared.findings)
        readings = prove_files(
            fresh, entries, prepared, lambda what, i: progress(what, min(len(tasks) + i, total), total)
        )
        bad = [f"{r.path}: {p}" for r in readings for p in r.problems]
        if bad:
            raise ReadBackError(bad[0].split(": ", 1)[0], "; ".join(bad))
        progress(f"swap in {NAME}", total, total)
    return Made(
        folder=target, entries=tuple(entries), readings=tuple(readings), remarks=tuple(dict.fromkeys(remarks))
    )
