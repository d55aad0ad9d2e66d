"""Files of the whole job: report, install sheet, tables, assembly."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Any

from generators.drawing.pack.laid import scale_lengths
from generators.drawing.paper.sizes import paper_choices
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.make import stiffness_file, stiffness_shapes
from generators.jobs.make.asked import asked_of
from generators.jobs.make.bodies import Bodies, bodies_of, expected_bodies, write_glb_file, write_step_file
from generators.jobs.make.bolt_counts import bolt_counts, end_counts
from generators.jobs.make.line_sheets import job_bill, job_guide, lines_sheet
from generators.jobs.make.paper import sheet_paper
from generators.jobs.make.phone_file import phone_page
from generators.jobs.make.space_sheet import space_sheet
from generators.model.findings import Waived
from generators.model.install import Laid
from generators.model.plan import PanelLayout
from generators.sheets.bill import Item, write_bill
from generators.sheets.bolting.loads_page import joint_words
from generators.sheets.bolting.words import key_words
from generators.sheets.install.sheet import write_install_sheet
from generators.sheets.pedal.words import sheet_words
from generators.sheets.report import write_report
from generators.sheets.space.pages import space_words
from generators.sheets.space.stand import picture_words
from generators.sheets.stiffness_pages import stiffness_words
from generators.sheets.stock_words import expected_stock_words
from generators.sheets.tables import write_holes_csv, write_hoses_csv
from generators.solve.fasteners.bags import job_bags
from generators.solve.job import Prepared
from generators.solve.mends.tries import with_mends
from generators.solve.parts import smallest_hole
from generators.verify.bom import read_bom
from generators.verify.pdf.made_holes import made_words, told_problems
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.pdf.waivers import waiver_problems
from generators.verify.readback import ReadBack
from generators.verify.steps.asked import NOTHING, Asked


def least_holes(prepared: Prepared) -> dict[str, float]:
    """The smallest hole the shop cuts in each part's sheet, mm, by part name."""
    return {p.spec.name: smallest_hole(prepared.file, p.plan) for p in prepared.parts}


def _read_sheet(
    path: Path,
    *,
    rel: str,
    title: str,
    revision: str,
    words: Sequence[str],
    waived: Sequence[Waived],
    layouts: Sequence[PanelLayout],
    asked: Asked,
) -> ReadBack:
    reading = read_sheet_pdf(path, title=title, revision=revision, rel=rel, words=words, asked=asked)
    return ReadBack(
        path=rel,
        facts=reading.facts,
        problems=(
            *reading.problems,
            *waiver_problems(path, waived, on_first=False, reasons=True),
            *told_problems(path, layouts),
        ),
    )


def _sheet(
    prepared: Prepared,
    rel: str,
    kind: str,
    body: partial[Any],
    words: Sequence[str],
    asked: Asked = NOTHING,
) -> Artefact:
    return Artefact(
        entry=Entry(path=rel, kind=kind),
        body=body,
        read=partial(
            _read_sheet,
            rel=rel,
            title=prepared.file.job.job.title,
            revision=prepared.shown,
            words=tuple(words),
            waived=prepared.waived,
            # the report has a row for each hole
            layouts=prepared.layouts if kind == "report" else (),
            asked=asked,
        ),
    )


def _bom(prepared: Prepared, items: Sequence[Item]) -> Artefact:
    """The bill, read back against the holes and the bags of the job."""
    rel, bags = "bom.csv", sorted(set(job_bags(prepared.file.job, prepared.parts).values()))
    return Artefact(
        entry=Entry(path=rel, kind="bom_csv"),
        body=partial(write_bill, items=items),
        read=partial(
            read_bom, rel=rel, bolts=bolt_counts(prepared), bags=tuple(bags), ends=end_counts(prepared)
        ),
        revised=False,
    )


def _table(rel: str, kind: str, body: partial[Any], units: str = "") -> Artefact:
    """A file of text: its bytes are all there is to read back, and it carries no revision."""
    return Artefact(entry=Entry(path=rel, kind=kind, units=units), body=body, revised=False)


def _reports(prepared: Prepared, paper: str, laid: Sequence[Laid]) -> list[Artefact]:
    file = prepared.file
    job, waived = file.job.job, prepared.waived
    plans = tuple(p.plan for p in prepared.parts)
    lines = lines_sheet(prepared.lines, file.job, file.units)
    space = space_sheet(prepared)
    pedal_words = [words for pedal in prepared.pedals for words in sheet_words(pedal.sheet())]
    report = partial(
        write_report,
        title=job.title,
        note=job.note,
        revision=prepared.marked(PLACEHOLDER),
        # a job that fails has no report unless it is waived: then it says what would have cleared the fail
        findings=with_mends(prepared, lambda finding: bool(finding.waived)).findings,
        plans=plans,
        least_mm=least_holes(prepared),
        layouts=prepared.layouts,
        lines=lines,
        items=job_bill(prepared),
        pedals=tuple(p.sheet(p.ranking()) for p in prepared.pedals),
        stiffness=prepared.results,
        joints=prepared.joints,
        space=space,
        paper=sheet_paper(paper),
        waived=waived,
        units=file.units,
    )
    said = [*pedal_words, *map(stiffness_words, prepared.results)]
    said += [joint_words(sheet) for sheet in prepared.joints if sheet.uses]
    said += [*expected_stock_words(plans, least_holes(prepared)), *space_words(space)]
    out = [_sheet(prepared, "report.pdf", "report", report, said)]
    if prepared.layouts or prepared.pedals:
        tests = scale_lengths(paper_choices(paper), prepared.file.units) if prepared.layouts else ()
        guide = job_guide(prepared, prepared.marked(PLACEHOLDER), laid, tests)
        pictured = picture_words(guide)
        install = partial(
            write_install_sheet,
            guide=guide,
            layouts=prepared.layouts,
            lines=lines,
            space=space,
            paper=sheet_paper(paper),
        )
        steps = {task.key for task in prepared.lines.order.tasks if task.kind != "drill"}
        bolts = dict.fromkeys(
            text for made in prepared.fasteners if made.task in steps for text in key_words(made, file.units)
        )
        out.append(
            _sheet(
                prepared,
                "install_sheet.pdf",
                "install_sheet",
                install,
                [*pedal_words, *bolts, *made_words(prepared.layouts), *pictured],
                asked_of(prepared),
            )
        )
        out.append(phone_page(prepared, laid, tests))
    return out


def _read_glb(path: Path, *, bodies: Bodies, rel: str) -> ReadBack:
    from generators.verify.mesh.glb import read_glb

    return read_glb(path, expected_bodies(bodies), rel=rel)


def _read_step(path: Path, *, bodies: Bodies, rel: str, revision: str) -> ReadBack:
    from generators.verify.step.assembly import read_step_assembly

    return read_step_assembly(path, expected_bodies(bodies), rel=rel, revision=revision)


def _assembly(prepared: Prepared) -> list[Artefact]:
    bodies = bodies_of(prepared)
    if not bodies.names:
        return []
    glb, step = "assembly.glb", "assembly.step"
    return [
        Artefact(
            entry=Entry(path=glb, kind="glb", units="m"),
            body=partial(write_glb_file, bodies=bodies),
            read=partial(_read_glb, bodies=bodies, rel=glb),
            kernel=True,
            revised=False,
        ),
        Artefact(
            entry=Entry(path=step, kind="step_assembly", units="mm"),
            body=partial(
                write_step_file, bodies=bodies, revision=PLACEHOLDER, job=prepared.file.job.job.name
            ),
            read=partial(_read_step, bodies=bodies, rel=step, revision=prepared.file.revision),
            kernel=True,
        ),
    ]


def job_files(prepared: Prepared, paper: str, laid: Sequence[Laid] = ()) -> list[Artefact]:
    """Files that belong to the whole job; ``laid`` are the sheets of its pack to mark from."""
    lines, items = lines_sheet(prepared.lines, prepared.file.job, prepared.file.units), job_bill(prepared)
    out = _reports(prepared, paper, laid)
    if prepared.results:
        out.append(stiffness_file.artefact(prepared))
        if any(result.surface is not None for result in prepared.results):
            out.append(stiffness_shapes.artefact(prepared.results))
    if prepared.layouts:
        out.append(_table("holes.csv", "holes_csv", partial(write_holes_csv, layouts=prepared.layouts), "mm"))
    if lines.hoses:
        out.append(_table("hoses.csv", "hoses_csv", partial(write_hoses_csv, lines=lines), "mm"))
    if items:
        out.append(_bom(prepared, items))
    return out + _assembly(prepared)
