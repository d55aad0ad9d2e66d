"""The folder of a comparison: the sheet, all of it as data, and both specs it was made from."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import partial
from pathlib import Path

from generators.drawing.paper.sizes import paper_choices
from generators.errors import ReadBackError
from generators.issue.artefact import Artefact, Job, Kept
from generators.issue.issue import Issued, issue
from generators.issue.manifest import NAME, Entry, Manifest
from generators.issue.prove import require_kept
from generators.issue.stamp import PLACEHOLDER, Stamp
from generators.issue.work import Progress
from generators.jobs.compare.compare import Compared, compare, data
from generators.jobs.compare.words import (
    MIRRORED,
    SAME,
    finding_words,
    hole_does,
    hole_where,
    state_words,
    thing_words,
)
from generators.jobs.make.paper import sheet_paper
from generators.jobs.make.run import spec_files
from generators.jobs.texts import text_file
from generators.reading import JobFile
from generators.sheets.compared.sheet import ComparedSheet, sheet_words, write_compared
from generators.solve.job import prepare
from generators.verify.compared import read_compared

KIND = "compare"
BEFORE, AFTER = "before", "after"
SHEET, FIGURES = "compared.pdf", "compared.json"


def sheet_of(said: Compared) -> ComparedSheet:
    """What the sheet says."""
    units = said.after.file.units
    panels = []
    for was, now in said.panels:
        layout = now if now is not None else was
        if layout is None:
            continue
        changes = tuple(c for c in said.holes if c.panel == layout.panel)
        rows = tuple((c.number, c.purpose, *hole_where(c, units), hole_does(c, units)) for c in changes)
        panels.append((layout, changes, rows))
    return ComparedSheet(
        title="What differs",
        states=(f"Before: {state_words(said.before)}", f"After: {state_words(said.after)}"),
        remarks=tuple(text for text, true in ((MIRRORED, said.other_hand), (SAME, said.same)) if true),
        panels=tuple(panels),
        things=tuple((t.kind, t.title, thing_words(t)) for t in (*said.parts, *said.hoses)),
        numbers=tuple((n.pedal, n.what, n.was or "–", n.now or "–") for n in said.numbers),
        won=tuple(finding_words(f) for f in said.won),
        lost=tuple(finding_words(f) for f in said.lost),
        usable=said.usable(),
    )


def _kept(file: JobFile, where: str) -> tuple[Kept, ...]:
    return tuple(
        replace(kept, entry=replace(kept.entry, kind=f"{where}_{kept.entry.kind}"))
        for kept in spec_files(file, where)
    )


def job_of(said: Compared, paper: str) -> Job:
    """The folder as a job."""
    sheet, after = sheet_of(said), said.after.file
    title = after.job.job.title
    body = partial(write_compared, sheet=sheet, subject=title, revision=PLACEHOLDER, paper=sheet_paper(paper))
    moves = tuple(
        tuple((c.was, c.now) for c in changes if c.was is not None and c.now is not None and c.moved)
        for _, changes, _ in sheet.panels
    )
    read = partial(
        read_compared,
        rel=SHEET,
        title=title,
        revision=after.revision,
        words=sheet_words(sheet),
        moves=moves,
    )
    text = json.dumps(data(said), indent=2, ensure_ascii=False) + "\n"
    head = {}
    for where, file in ((BEFORE, said.before.file), (AFTER, after)):
        head[where] = f"{where}/{file.spec_path.name}"
        head[f"{where}_variant"] = file.form.name
    return Job(
        kind=KIND,
        stamp=Stamp(job=after.job.job.name, title=title, revision=after.revision, paper=paper),
        head=head,
        kept=(*_kept(said.before.file, BEFORE), *_kept(after, AFTER)),
        artefacts=(
            Artefact(entry=Entry(path=SHEET, kind="compared_sheet"), body=body, read=read),
            text_file(FIGURES, "figures", text),
        ),
        findings=said.after.findings,
        answers=True,
    )


def write_comparison(said: Compared, out: Path, *, paper: str, progress: Progress) -> Issued:
    """Write, read back and swap in ``<job>_compared``. Raises as ``make`` does."""
    name = f"{said.after.file.job.job.name}_compared"
    return issue(job_of(said, paper), out / name, progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder: both specs in it are solved and compared again.

    Raises ``ReadBackError``, and what ``prepare`` and ``paper_choices`` raise.
    """
    states = []
    for where in (BEFORE, AFTER):
        spec = require_kept(folder, manifest.of_kind(f"{where}_spec"), f"spec {where}")
        if manifest.said(where) != spec.relative_to(folder).as_posix():
            raise ReadBackError(NAME, f"does not name the spec {where}")
        for entry in manifest.entries:
            if entry.kind in (f"{where}_shop", f"{where}_used"):
                require_kept(folder, entry, "file the spec is read with")
        states.append(prepare(spec, variant=manifest.said(f"{where}_variant")))
    paper_choices(manifest.said("paper"))
    return job_of(compare(*states), manifest.said("paper"))
