"""``make``: every file of a spec, in one folder."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from generators.drawing.paper.sizes import paper_choices
from generators.errors import ExportError, ReadBackError
from generators.issue.answers import Answers
from generators.issue.artefact import Artefact, Job, Kept
from generators.issue.digest import made_with
from generators.issue.issue import Issued, issue
from generators.issue.manifest import NAME, Entry, Manifest
from generators.issue.prove import require_kept
from generators.issue.reuse import last_answers
from generators.issue.stamp import Stamp
from generators.issue.work import Progress
from generators.jobs.issued.mark import as_issued, issue_files, issue_head, letter_of
from generators.jobs.make import stiffness_file, stiffness_shapes
from generators.jobs.make.job_files import job_files
from generators.jobs.make.line_sheets import job_bill, with_steps
from generators.jobs.make.pack_files import pack_files, packs_of
from generators.jobs.make.panel_files import fold_files, folds, panel_files
from generators.jobs.make.part_files import part_files
from generators.layout.wrap import wrapped_name
from generators.reading import JobFile
from generators.solve.job import LARGE_TYPE, Prepared, for_printer, large_type, prepare
from generators.solve.reach import with_reach
from generators.solve.release import released

KIND = "make"
SPEC_FOLDER = "spec"
USED = "used"
"""Kind of a file that a spec uses."""


def artefacts(prepared: Prepared, paper: str) -> list[Artefact]:
    """Every file of a job; ``prepared`` with its reach regions, as they are drawn."""
    prepared = with_steps(prepared)
    out: list[Artefact] = []
    for part in prepared.parts:
        out += part_files(prepared, part, paper)
    for layout in prepared.layouts:
        out += panel_files(prepared, layout, paper)
    for pair in folds(prepared):
        out += fold_files(prepared, pair, paper)
    packs = packs_of(prepared, job_bill(prepared), paper)
    laid = packs[0].laid if packs else ()
    return [*pack_files(prepared, packs), *out, *job_files(prepared, paper, laid)]


def paths(prepared: Prepared, paper: str, only: Sequence[str] = ()) -> list[str]:
    """Files ``make`` writes; with ``only``, those of the named parts and panels."""
    return [a.entry.path for a in artefacts(prepared, paper) if not only or _named(prepared, a, only)]


def _named(prepared: Prepared, artefact: Artefact, only: Sequence[str]) -> bool:
    """True for a file of a named part or panel, and of a fold of two named panels."""
    owner = artefact.entry.owner
    both = {wrapped_name(*pair): pair for pair in folds(prepared)}
    return owner in only or (owner in both and set(both[owner]) <= set(only))


def spec_files(file: JobFile, folder: str) -> tuple[Kept, ...]:
    """The spec, the shop file and the files it uses go along, so the folder can be proven anywhere."""
    out = [Kept(entry=Entry(path=f"{folder}/{file.spec_path.name}", kind="spec"), content=file.spec_bytes)]
    if file.shop_path is not None:
        entry = Entry(path=f"{folder}/{file.shop_path.name}", kind="shop")
        out.append(Kept(entry=entry, content=file.shop_bytes))
    return (*out, *used_files(file, folder))


def variant_head(file: JobFile) -> dict[str, str]:
    """What a manifest says of the form of the job; nothing of the one that is written."""
    return {"variant": file.form.name} if file.form.name else {}


def used_files(file: JobFile, folder: str = "") -> tuple[Kept, ...]:
    """The files a spec uses, where they must lie for it to be read again."""
    return tuple(
        Kept(entry=Entry(path=f"{folder}/{used.name}" if folder else used.name, kind=USED), content=used.data)
        for used in file.used
    )


def job_of(prepared: Prepared, paper: str, known: Mapping[str, Any] | None = None) -> Job:
    """The folder of a prepared spec as a job; ``known`` are answers of the last run.

    Regions of reach are asked for here, as they take half a second each.
    """
    answers = Answers(known)
    prepared = with_reach(released(prepared), answers.ask)
    head = prepared.file.job.job
    return Job(
        kind=KIND,
        stamp=Stamp(
            job=head.name,
            title=head.title,
            revision=prepared.file.revision,
            waived=tuple((f.code, f.waived) for f in prepared.findings if f.waived),
            paper=paper,
            printer=prepared.printer.name if prepared.printer is not None else "",
            letter=letter_of(prepared),
        ),
        head={
            "type_scale": prepared.type_scale,
            "spec": f"{SPEC_FOLDER}/{prepared.file.spec_path.name}",
            "accepted": {f.code: f.waived for f in prepared.findings if f.waived},
            **variant_head(prepared.file),
            **issue_head(prepared),
        },
        kept=(*spec_files(prepared.file, SPEC_FOLDER), *issue_files(prepared, SPEC_FOLDER)),
        artefacts=tuple(artefacts(prepared, paper)),
        findings=prepared.findings,
        given=answers.given,
    )


def _must_go_with(target: Path, job: Job) -> Callable[[Manifest | None], None]:
    """``--only`` keeps the other files, so they must go with the new ones."""

    def allowed(last: Manifest | None) -> None:
        now: dict[str, Any] = {**job.manifest_head(), "made_with": made_with()}
        for key in ("revision", "letter", "made_with", "paper", "printer", "type_scale", "accepted"):
            if last is not None and last.content.get(key) != now[key]:
                was, here = (
                    ("other versions", "these") if key == "made_with" else (last.content.get(key), now[key])
                )
                raise ExportError(
                    f"{target} was made with {key} {was!r}, this run has {here!r}; --only would mix the two. "
                    "Run make without --only, or give another --out"
                )

    return allowed


def make(
    prepared: Prepared, out: Path, *, paper: str, only: Sequence[str] = (), progress: Progress
) -> Issued:
    """Write, read back and swap in the folder of a job; with ``only``, the files of those parts and panels.

    Raises ``ExportError`` and ``ReadBackError`` as ``issue`` does, and when ``only`` would mix two states.
    """
    target = out / prepared.file.job.job.name
    job = job_of(prepared, paper, last_answers(target))
    if not only:
        return issue(job, target, progress=progress)
    chosen = {a.entry.path for a in job.artefacts if _named(prepared, a, only)}
    return issue(job, target, progress=progress, only=chosen, allowed=_must_go_with(target, job))


def kept_spec(folder: Path, manifest: Manifest) -> Path:
    """The spec in a finished folder, with all it is read with as it was. Raises ``ReadBackError``."""
    spec = require_kept(folder, manifest.of_kind("spec"), "spec")
    if manifest.said("spec") != spec.relative_to(folder).as_posix():
        raise ReadBackError(NAME, "does not name the spec the files were made from")
    if manifest.of_kind("shop") is not None:
        require_kept(folder, manifest.of_kind("shop"), "shop file")
    for used in (entry for entry in manifest.entries if entry.kind == USED):
        require_kept(folder, used, "file its spec uses")
    return spec


def prepared_of(folder: Path, manifest: Manifest) -> Prepared:
    """The job of a finished folder as it was solved, from the spec in it.

    Nothing is solved by finite elements again: ``stiffness.json`` is what was solved. Raises
    ``ReadBackError``, and what ``prepare`` raises.
    """
    spec = kept_spec(folder, manifest)
    results = stiffness_file.kept_results(folder, manifest)
    shapes = manifest.of_kind(stiffness_shapes.KIND)
    if shapes is not None:
        results = stiffness_shapes.with_shapes(results, folder / shapes.path)
    made = prepare(spec, manifest.content["waivers"], results, variant=manifest.said("variant"))
    return as_issued(made, folder, manifest)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder. Raises what ``prepared_of`` and ``paper_choices`` raise."""
    prepared = for_printer(prepared_of(folder, manifest), manifest.said("printer"))
    paper_choices(manifest.said("paper"))
    scale = manifest.content.get("type_scale", 1.0)
    if scale not in (1.0, LARGE_TYPE):
        raise ReadBackError(NAME, f"says type_scale {scale!r}, expected 1.0 or {LARGE_TYPE}")
    if scale != 1.0:
        prepared = large_type(prepared)
    return job_of(prepared, manifest.said("paper"))
