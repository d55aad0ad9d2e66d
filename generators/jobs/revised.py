"""A folder with a revised spec as a job: what it was made from lies beside it, and makes it again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from generators.drawing.paper.sizes import paper_choices
from generators.errors import ExportError, ReadBackError
from generators.issue.artefact import Artefact, Job, Kept
from generators.issue.manifest import NAME, Entry, Manifest
from generators.issue.prove import require_kept
from generators.issue.stamp import Stamp
from generators.jobs.issued.base import BASE, base_files
from generators.jobs.make.run import USED, spec_files, used_files, variant_head
from generators.model.findings import Finding
from generators.model.sold.letters import IssueMark
from generators.reading import JobFile
from generators.reading.readings import ReadingsFile
from generators.solve.job import Prepared

WAS = "was"
"""Where the spec and the readings it was revised from are kept."""


def revised_job(
    kind: str,
    file: JobFile,
    readings: ReadingsFile,
    revised: Prepared,
    artefacts: Sequence[Artefact],
    findings: tuple[Finding, ...],
    paper: str,
    base: IssueMark | None,
) -> Job:
    """The folder as a job; ``base`` is the issue ``file`` stands for, if any.

    Raises ``ExportError`` when two of its files have one name.
    """
    own = Kept(entry=Entry(path=f"{WAS}/{readings.path.name}", kind="readings"), content=readings.data)
    kept = [*spec_files(file, WAS), own, *base_files(base, WAS)]
    if file.shop_path is not None:
        kept.append(Kept(entry=Entry(path=file.shop_path.name, kind="revised_shop"), content=file.shop_bytes))
    for used in used_files(file):
        kept.append(replace(used, entry=replace(used.entry, kind="revised_used")))
    names = [*(k.entry.path for k in kept), *(a.entry.path for a in artefacts)]
    if len(set(names)) < len(names):
        raise ExportError("the spec, the shop file and the readings need different names")
    job = file.job.job
    return Job(
        kind=kind,
        stamp=Stamp(job=job.name, title=job.title, revision=revised.file.revision, paper=paper),
        head={
            "spec": f"{WAS}/{file.spec_path.name}",
            "readings": f"{WAS}/{readings.path.name}",
            **variant_head(file),
            **({BASE: base.letter} if base is not None else {}),
        },
        kept=tuple(kept),
        artefacts=tuple(artefacts),
        findings=findings,
        answers=True,
    )


def revised_from(folder: Path, manifest: Manifest) -> tuple[Path, Path, str]:
    """The spec and the readings a finished folder was made from, and its paper. Raises ``ReadBackError``."""
    spec = require_kept(folder, manifest.of_kind("spec"), "spec")
    own = require_kept(folder, manifest.of_kind("readings"), "readings")
    for key, path in (("spec", spec), ("readings", own)):
        if manifest.said(key) != path.relative_to(folder).as_posix():
            raise ReadBackError(NAME, f"does not name the {key} the files were made from")
    for used in (entry for entry in manifest.entries if entry.kind == USED):
        require_kept(folder, used, "file its spec uses")
    paper_choices(manifest.said("paper"))
    return spec, own, manifest.said("paper")


def shown(how: str, base: IssueMark | None, revision: str) -> str:
    """The revision as a sheet for one vehicle says it; ``how`` is what was done otherwise there."""
    return revision if base is None else base.changed(how, revision)
