"""What a rescue leaves behind: the spec with the holes as drilled, and the part's blank for it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from pathlib import Path

from generators.errors import ExportError
from generators.issue.artefact import Job
from generators.issue.issue import Issued, issue
from generators.issue.manifest import Manifest
from generators.issue.work import Progress
from generators.jobs.asdrilled.case import unmoved
from generators.jobs.asdrilled.figures import figures_text
from generators.jobs.asdrilled.filing import filing_cuts, filing_sheet
from generators.jobs.asdrilled.spec_text import spec_with
from generators.jobs.asdrilled.weigh import AsDrilled, as_drilled
from generators.jobs.blanks import blank
from generators.jobs.issued.base import base_of, kept_base
from generators.jobs.revised import revised_from, revised_job
from generators.jobs.texts import read_as, text_file
from generators.layout.mounting import placement
from generators.measure.fitting.fit import Fit, fit
from generators.measure.fitting.rescue import Rescue
from generators.model.sold.letters import IssueMark
from generators.sheetmetal.cut_file import flat_tail
from generators.sheetmetal.lying import on_panel
from generators.solve.job import prepare
from generators.verify.readback import ReadBack

KIND = "asdrilled"
FIGURES = "asdrilled.json"


def chosen(answer: AsDrilled) -> tuple[Rescue, Fit]:
    """The rescue to take and how the part then lies. Raises ``ExportError`` when there is none to write."""
    if answer.rescue is None or answer.after is None:
        raise ExportError("no single change makes the part go on; there is nothing to write")
    if answer.rescue.kind == "names":
        raise ExportError(f"nothing is written: {answer.rescue.words}")
    return answer.rescue, answer.after


def revised_spec(answer: AsDrilled) -> str:
    """The text of the spec with the holes as drilled and the rescue in it, comments kept.

    Raises ``ExportError`` when nothing helps, or the spec's tables are written where lines cannot be added.
    """
    rescue, after = chosen(answer)
    return spec_with(answer.case, rescue, after, answer.outcome.idle if answer.outcome else ())


def job_of(answer: AsDrilled, paper: str, base: IssueMark | None) -> Job:
    """The folder of a rescue as a job: the revised spec, the part's blank, the figures.

    ``base`` is the issue it is made from, if any.

    Raises ``ExportError`` when nothing helps or two of the files have one name, ``ReadBackError`` when the
    revised spec does not read.
    """
    file, measured = answer.prepared.file, answer.measured.file
    name = f"{file.spec_path.stem}_asdrilled.toml"
    text = revised_spec(answer)
    revised = read_as(file, name, text)
    part = next(p for p in revised.parts if p.spec.name == answer.part.spec.name)
    artefacts = [
        text_file(
            name, "revised_spec", text, units="", read=partial(_read_spec, rel=name, answer=answer, text=text)
        )
    ]
    if not part.plan.printed:
        artefacts.append(blank(revised, part, f"{part.spec.name}{flat_tail(revised.file.shop.cutting)}"))
    cuts = filing_cuts(answer)
    if cuts:
        job = f"{file.job.job.title}"
        owner = part.spec.name
        artefacts.append(
            filing_sheet(cuts, paper=paper, job=job, revision=revised.file.revision, owner=owner, base=base)
        )
    artefacts.append(text_file(FIGURES, "figures", figures_text(answer), owner=part.spec.name))
    given = answer.case.given.file
    return revised_job(KIND, given, measured, revised, artefacts, answer.findings, paper, base)


def write_asdrilled(answer: AsDrilled, out: Path, *, paper: str = "A4", progress: Progress) -> Issued:
    """Write, read back and swap in the folder ``<readings>_asdrilled`` with the revised spec and blank.

    Raises ``ExportError`` and ``ReadBackError`` as ``make`` does.
    """
    name = f"{answer.measured.file.readings.measure.name}_asdrilled"
    job = job_of(answer, paper, base_of(answer.case.given.file))
    return issue(job, out / name, progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder of ``asdrilled``: spec and readings in it are weighed again.

    Raises ``ReadBackError``, and what ``as_drilled`` raises.
    """
    spec, own, paper = revised_from(folder, manifest)
    answer = as_drilled(spec, own, manifest.said("variant"))
    return job_of(answer, paper, kept_base(folder, manifest, answer.case.given.file))


def _read_spec(path: Path, *, rel: str, answer: AsDrilled, text: str) -> ReadBack:
    """In the revised spec the part must lie on its holes where it is, with the clearance promised."""
    rescue, after = chosen(answer)
    if path.read_bytes() != text.encode():
        return ReadBack(path=rel, problems=("is not what spec and readings give",))
    revised = prepare(path, variant=answer.prepared.file.form.name)
    part = next(p for p in revised.parts if p.spec.name == answer.part.spec.name)
    panel = next(p for p in revised.file.job.panel if p.name == answer.panel.name)
    if part.mount is None:
        return ReadBack(path=rel, problems=("has lost the part's mount",))
    place = placement(panel, part.mount)
    root = on_panel(part.plan)
    holes = {h.name: (h.u_mm, h.v_mm, h.diameter_mm) for h in root.holes}
    holes |= {s.name: (s.u_mm, s.v_mm, s.width_mm) for s in root.slots}
    joints = []
    for j in rescue.joints:
        u, v, size = holes[j.name]
        at = j.panel if answer.tied else unmoved(after, *j.panel)
        turned = j.slot_rad + (after.turn_rad if answer.tied else 0.0)
        joints.append(replace(j, part=place.apply(u, v), part_dia_mm=size, panel=at, slot_rad=turned))
    again = fit(joints)
    moved = max(math.dist(again.place(*j.part), j.part) for j in joints)
    problems = []
    if again.worst_mm < after.worst_mm - 0.02:
        problems.append(f"leaves {again.worst_mm:.2f} mm of clearance, not {after.worst_mm:.2f} mm")
    if moved > 0.1:
        problems.append(f"lays the part {moved:.2f} mm from where it goes on")
    fact = f"the part goes on with {again.worst_mm:.2f} mm of clearance left"
    return ReadBack(path=rel, facts=(fact,), problems=tuple(problems))
