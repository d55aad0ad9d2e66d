"""The folder of a measuring form: paper, page for a phone, a file to type readings into."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from generators.drawing.paper.sizes import paper_choices
from generators.errors import SpecError
from generators.issue.artefact import Artefact, Job
from generators.issue.issue import Issued, issue
from generators.issue.manifest import Entry, Manifest
from generators.issue.stamp import PLACEHOLDER, Stamp
from generators.issue.work import Progress
from generators.jobs.form.form import MeasureForm, blank_readings, form_of, sheet_of
from generators.jobs.issued.mark import as_issued, issue_files, issue_head, letter_of
from generators.jobs.make.paper import sheet_paper
from generators.jobs.make.run import SPEC_FOLDER, kept_spec, spec_files, variant_head
from generators.jobs.spread.answer import spread_of
from generators.jobs.texts import text_file
from generators.sheets.form.page import write_form_page
from generators.sheets.form.pages import sheet_words, write_form
from generators.solve.job import prepare
from generators.verify.form import read_form_page
from generators.verify.pdf.sheet import read_sheet_pdf

KIND = "form"
PAPER, PAGE, BLANK = "form.pdf", "form.html", "readings.toml"


def job_of(form: MeasureForm, paper: str) -> Job:
    """The folder as a job."""
    file, sheet = form.prepared.file, sheet_of(form)
    head = file.job.job
    on = sheet_paper(paper)
    wanted = tuple((x.number, x.kind, x.panel, x.from_, x.to, x.words) for x in sheet.lines)
    words = sheet_words(sheet)
    prepared = form.prepared
    read = partial(read_sheet_pdf, title=head.title, revision=prepared.shown, rel=PAPER, words=words)
    return Job(
        kind=KIND,
        stamp=Stamp(
            job=head.name,
            title=head.title,
            revision=file.revision,
            letter=letter_of(prepared),
            paper=paper,
        ),
        head={
            "spec": f"{SPEC_FOLDER}/{file.spec_path.name}",
            **variant_head(file),
            **issue_head(prepared),
        },
        kept=(*spec_files(file, SPEC_FOLDER), *issue_files(prepared, SPEC_FOLDER)),
        artefacts=(
            Artefact(
                entry=Entry(path=PAPER, kind="form_sheet"),
                body=partial(write_form, sheet=sheet, revision=prepared.marked(PLACEHOLDER), paper=on),
                read=read,
            ),
            Artefact(
                entry=Entry(path=PAGE, kind="form_page"),
                body=partial(write_form_page, sheet=sheet, revision=PLACEHOLDER),
                read=partial(
                    read_form_page,
                    rel=PAGE,
                    job=head.name,
                    variant=file.form.name,
                    revision=file.revision,
                    wanted=wanted,
                ),
            ),
            text_file(BLANK, "form_blank", blank_readings(sheet)),
        ),
        answers=True,
    )


def write_form_folder(form: MeasureForm, out: Path, *, paper: str, progress: Progress) -> Issued:
    """Write, read back and swap in ``<job>_form``. Raises as ``make`` does, and for nothing to ask."""
    if not form.asked:
        found, wanted = "nothing to measure", "a job in which something has to meet what the vehicle has"
        file = form.prepared.file
        why = "every hole is drilled by the sheet, and each room is wider than the spread: no form is needed"
        raise SpecError([file.fault_at("spread", found, wanted, why)])
    name = form.prepared.file.job.job.name
    return issue(job_of(form, paper), out / f"{name}_form", progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder, from the spec in it. Raises what ``prepare`` does."""
    prepared = prepare(kept_spec(folder, manifest), variant=manifest.said("variant"))
    paper_choices(manifest.said("paper"))
    prepared = as_issued(prepared, folder, manifest)
    return job_of(form_of(prepared, spread_of(prepared.file)), manifest.said("paper"))
