"""``nest``: the blanks of a job on the shop's sheets, in a folder of its own."""

from __future__ import annotations

from collections import Counter
from functools import partial
from pathlib import Path
from typing import Any

from generators.drawing.nest.overview import write_nest_overview
from generators.drawing.paper.sizes import paper_choices
from generators.errors import ReadBackError, SpecError
from generators.issue.artefact import Artefact, Job
from generators.issue.issue import Issued, issue
from generators.issue.manifest import NAME, Entry, Manifest
from generators.issue.stamp import PLACEHOLDER, Stamp
from generators.issue.work import Progress
from generators.jobs.issued.mark import as_issued, issue_files, issue_head, letter_of
from generators.jobs.make import stiffness_file
from generators.jobs.make.job_files import least_holes
from generators.jobs.make.paper import sheet_paper
from generators.jobs.make.run import SPEC_FOLDER, kept_spec, spec_files, variant_head
from generators.model.spec.selling.kit import MOST_SETS
from generators.model.spec.shop import Shop
from generators.nesting.cost import nest_work
from generators.nesting.job import nest_of
from generators.nesting.nest import LaidSheet, Nest
from generators.nesting.place import NoSheetError
from generators.sheetmetal.cut_file import flat_tail
from generators.solve.job import Prepared, prepare
from generators.solve.release import released
from generators.verify.pdf.nest import NestWanted, read_nest_overview
from generators.verify.pdf.waivers import read_with_waivers
from generators.verify.readback import ReadBack

KIND = "nest"
ENDING = "_nest"


def _write_dxf(path: Path, **made_of: Any) -> None:
    from generators.drawing.dxf.nest import write_nest_dxf

    write_nest_dxf(path=path, **made_of)


def _read_dxf(
    path: Path, *, pieces: dict[str, int], nest: Nest, number: int, job: str, revision: str, **wanted: Any
) -> ReadBack:
    from generators.verify.dxf.nest import NestHead, read_nest_dxf
    from generators.verify.dxf.nest_blanks import Wanted

    parts = [
        Wanted(plan=b.plan, least_mm=b.least_mm, count=pieces[b.plan.name])
        for b in nest.blanks
        if b.plan.name in pieces
    ]
    head = NestHead(job=job, revision=revision, number=number, sheets=len(nest.sheets))
    return read_nest_dxf(path, parts, head=head, **wanted)


def nested(prepared: Prepared, sets: int) -> Nest:
    """The nest of a job. Raises ``SpecError`` at the shop file where a blank finds no sheet."""
    file = prepared.file
    try:
        return nest_of([p.plan for p in prepared.parts], least_holes(prepared), file.shop, sets)
    except NoSheetError as fault:
        sheets = {(s.material, f"{s.thickness_mm:g} mm") for s in file.shop.sheet}
        known = "; ".join(sorted(f"{name} {thick}" for name, thick in sheets)) or "the shop has none"
        raise SpecError(
            [
                file.shop_fault_at(
                    "sheet",
                    f"for the blank of {fault.part}: {fault}",
                    f"a [[sheet]] that takes it ({known})",
                    "give the sheets on the rack with material, thickness, length and width",
                )
            ]
        ) from fault


def sheet_path(sheet: LaidSheet, tail: str) -> str:
    """``sheet_2_s235_steel_4_mm.dxf``: number, material, thickness."""
    words = f"{sheet.rack.material} {sheet.rack.thickness_mm:g} mm".lower()
    safe = "".join(c if c.isalnum() else "_" for c in words)
    return f"sheet_{sheet.number}_{safe}{tail}"


def job_of(prepared: Prepared, sets: int, paper: str) -> Job:
    """The folder of a nest as a job. Raises ``SpecError`` as ``nested``."""
    prepared = released(prepared)
    file, nest = prepared.file, nested(prepared, sets)
    head, rules = file.job.job, file.shop.nest
    # an R12 file has no place for units, so its name gives them, as a flat file's does
    tail = "_mm.dxf" if flat_tail(file.shop.cutting).endswith("_mm.dxf") else ".dxf"
    out = [_overview(prepared, nest, paper)]
    for sheet in nest.sheets:
        path = sheet_path(sheet, tail)
        out.append(
            Artefact(
                entry=Entry(path=path, kind="nest_dxf", units="mm"),
                body=partial(
                    _write_dxf,
                    nest=nest,
                    sheet=sheet,
                    job=head.name,
                    revision=prepared.marked(PLACEHOLDER),
                    cutting=file.shop.cutting,
                    rules=rules,
                ),
                read=partial(
                    _read_dxf,
                    pieces=dict(Counter(laid.part for laid in sheet.laid)),
                    nest=nest,
                    number=sheet.number,
                    job=head.name,
                    revision=prepared.shown,
                    rack=sheet.rack,
                    cutting=file.shop.cutting,
                    rules=rules,
                    rel=path,
                ),
            )
        )
    if prepared.results:
        out.append(stiffness_file.artefact(prepared))
    return Job(
        kind=KIND,
        stamp=Stamp(
            job=head.name,
            title=head.title,
            revision=file.revision,
            waived=tuple((f.code, f.waived) for f in prepared.findings if f.waived),
            paper=paper,
            letter=letter_of(prepared),
        ),
        head={
            "spec": f"{SPEC_FOLDER}/{file.spec_path.name}",
            **variant_head(file),
            "sets": sets,
            "accepted": {f.code: f.waived for f in prepared.findings if f.waived},
            **issue_head(prepared),
        },
        kept=(*spec_files(file, SPEC_FOLDER), *issue_files(prepared, SPEC_FOLDER)),
        artefacts=tuple(out),
        findings=prepared.findings,
    )


def nest_wanted(nest: Nest, shop: Shop) -> NestWanted:
    """What a nest is of, for readers of its overview and of prices."""
    return NestWanted(
        plans={b.plan.name: b.plan for b in nest.blanks},
        least_mm={b.plan.name: b.least_mm for b in nest.blanks},
        pieces={b.plan.name: b.plan.quantity * nest.sets for b in nest.blanks},
        sheets=tuple((s.rack, dict(Counter(laid.part for laid in s.laid))) for s in nest.sheets),
        remnants=tuple(s.remnant for s in nest.sheets),
        sets=nest.sets,
        kerf_mm=shop.cutting.kerf_mm,
        rates=shop.rates,
    )


def _overview(prepared: Prepared, nest: Nest, paper: str) -> Artefact:
    file, rel = prepared.file, "nest.pdf"
    title = file.job.job.title
    return Artefact(
        entry=Entry(path=rel, kind="nest_overview", units="mm"),
        body=partial(
            write_nest_overview,
            nest=nest,
            work=nest_work(nest, file.shop.rates),
            rates=file.shop.rates,
            job=file.job.job.name,
            job_title=title,
            revision=prepared.marked(PLACEHOLDER),
            paper=sheet_paper(paper),
            waived=prepared.waived,
            units=file.units,
        ),
        read=partial(
            read_with_waivers,
            reader=read_nest_overview,
            wanted=nest_wanted(nest, file.shop),
            job_title=title,
            revision=prepared.shown,
            waived=prepared.waived,
            rel=rel,
        ),
    )


def write_nest(prepared: Prepared, out: Path, *, sets: int, paper: str, progress: Progress) -> Issued:
    """Write, read back and swap in ``<job>_nest``.

    Raises ``SpecError`` where a blank finds no sheet, ``ExportError`` and ``ReadBackError`` as ``make`` does.
    """
    job = job_of(prepared, sets, paper)
    return issue(job, out / f"{prepared.file.job.job.name}{ENDING}", progress=progress)


def kept_sets(manifest: Manifest) -> int:
    """For how many of the job a finished folder is. Raises ``ReadBackError``."""
    sets = manifest.content.get("sets")
    if not isinstance(sets, int) or not 1 <= sets <= MOST_SETS:
        raise ReadBackError(NAME, f"says sets {sets!r}, expected 1 to {MOST_SETS}")
    return sets


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished nest, from the spec in it.

    Raises ``ReadBackError``, and what ``prepare`` and ``paper_choices`` raise.
    """
    spec = kept_spec(folder, manifest)
    sets = kept_sets(manifest)
    paper_choices(manifest.said("paper"))
    results = stiffness_file.kept_results(folder, manifest)
    again = prepare(spec, manifest.content["waivers"], results, variant=manifest.said("variant"))
    return job_of(as_issued(again, folder, manifest), sets, manifest.said("paper"))
