"""``kit``: the folder of one sold job."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from generators.drawing.paper.sizes import paper_choices
from generators.errors import ReadBackError
from generators.issue.artefact import Job
from generators.issue.issue import Issued, issue
from generators.issue.manifest import NAME, Manifest
from generators.issue.stamp import Stamp
from generators.issue.work import Progress
from generators.jobs.issued.mark import as_issued, issue_files, issue_head
from generators.jobs.kit.content import Asked, Content
from generators.jobs.kit.files import artefacts
from generators.jobs.make import stiffness_file
from generators.jobs.make.run import SPEC_FOLDER, kept_spec, spec_files, variant_head
from generators.jobs.nest import kept_sets
from generators.model.sold.code import SERIAL
from generators.solve.job import prepare
from generators.solve.release import released

KIND = "kit"
ORDER_LETTERS = 40


def folder_name(content: Content) -> str:
    """``ferrow_bus_kit_FB-0001``."""
    return f"{content.prepared.file.job.job.name}_kit_{content.asked.serial}"


def job_of(content: Content, paper: str) -> Job:
    """The folder of a kit as a job. Raises ``SpecError`` as ``artefacts``."""
    content = replace(content, prepared=released(content.prepared))
    prepared, asked = content.prepared, content.asked
    file = prepared.file
    solved = (stiffness_file.artefact(prepared),) if prepared.results else ()
    accepted = {f.code: f.waived for f in prepared.findings if f.waived}
    return Job(
        kind=KIND,
        stamp=Stamp(
            job=file.job.job.name,
            title=file.job.job.title,
            revision=file.revision,
            letter=content.letter,
            waived=tuple(accepted.items()),
            paper=paper,
        ),
        head={
            "spec": f"{SPEC_FOLDER}/{file.spec_path.name}",
            "accepted": accepted,
            **variant_head(file),
            "serial": asked.serial,
            "order": asked.order,
            "sets": asked.sets,
            **issue_head(prepared),
        },
        kept=(*spec_files(file, SPEC_FOLDER), *issue_files(prepared, SPEC_FOLDER)),
        artefacts=(*artefacts(content, paper), *solved),
        findings=prepared.findings,
    )


def write_kit(content: Content, out: Path, *, paper: str, progress: Progress) -> Issued:
    """Write, read back and swap in the folder of a kit. Raises as ``make`` and ``job_of`` do."""
    return issue(job_of(content, paper), out / folder_name(content), progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished kit.

    Raises ``ReadBackError``, and what ``prepare`` and ``paper_choices`` raise.
    """
    spec = kept_spec(folder, manifest)
    sets = kept_sets(manifest)
    serial = manifest.said("serial")
    if not SERIAL.fullmatch(serial):
        raise ReadBackError(NAME, f"says serial {serial!r}, expected letters, a dash and four digits")
    paper_choices(manifest.said("paper"))
    results = stiffness_file.kept_results(folder, manifest)
    prepared = prepare(spec, manifest.content["waivers"], results, variant=manifest.said("variant"))
    asked = Asked(serial=serial, order=manifest.said("order")[:ORDER_LETTERS], sets=sets)
    content = Content(prepared=as_issued(prepared, folder, manifest), asked=asked)
    return job_of(content, manifest.said("paper"))
