"""Every file of a job: what the manifest says of it, and how it is written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.drawing.dxf.flat import write_flat_dxf
from generators.drawing.dxf.template import write_template_dxf
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.template.patches import write_patches
from generators.drawing.template.pdf import write_template
from generators.errors import ExportError
from generators.issue.manifest import Entry
from generators.jobs.make import stiffness_file
from generators.jobs.make.bodies import body_names, write_glb_file, write_step_file
from generators.jobs.make.line_sheets import lines_sheet
from generators.layout.mounting import PlacedPart
from generators.layout.wrap import wrapped_name
from generators.model.plan import PanelLayout
from generators.reading import JobFile
from generators.sheetmetal.cut_file import flat_tail
from generators.sheets.bill import Item, bill, write_bill
from generators.sheets.install.sheet import write_install_sheet
from generators.sheets.report import write_report
from generators.sheets.tables import write_holes_csv, write_hoses_csv
from generators.solve.job import Prepared, smallest_hole
from generators.solve.wrapping import sheet_layout, wrapped_names
from generators.standards import projection_of

FACES = ("cab", "engine")
FaceWriter = Callable[..., object]
BY_PAPER = "by_paper"
SHEET_PAPER = {"A3": "A4", "tabloid": "letter"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One file to write: what the manifest says of it, and how."""

    entry: Entry
    write: Callable[[Path], object]


def sheet_paper(paper: str) -> str:
    """Paper of sheets one reads: the reading size that goes with the template's paper."""
    if paper.startswith("roll:"):
        return "A4"
    return SHEET_PAPER.get(paper, paper)


def sheet_projection(file: JobFile, paper: str) -> str:
    """``first`` or ``third``: as the shop asks, else as is usual on that paper."""
    asked = file.shop.drawing.projection
    return projection_of(sheet_paper(paper)) if asked == BY_PAPER else asked


def least_holes(prepared: Prepared) -> dict[str, float]:
    """The smallest hole the shop cuts in each part's sheet, mm, by part name."""
    return {p.spec.name: smallest_hole(prepared.file, p.plan) for p in prepared.parts}


def watermark(prepared: Prepared) -> str:
    """What every sheet is marked with when a failed rule was waived."""
    return f"WAIVED: {', '.join(prepared.waivers)}" if prepared.waivers else ""


def _part_tasks(prepared: Prepared, part: PlacedPart, paper: str) -> list[Task]:
    file, plan, name = prepared.file, part.plan, part.spec.name
    job, revision, mark = file.job.job, file.revision, watermark(prepared)
    least = smallest_hole(file, plan)
    cutting = file.shop.cutting
    base = f"parts/{name}/{name}"

    # the kernel is imported only by the tasks that need it, so that a dry run stays quick
    def step(path: Path) -> None:
        from generators.solids.files.step import write_step

        write_step(plan, path, revision=revision, job=job.name)

    def stl(path: Path) -> None:
        from generators.solids.files.stl import write_stl

        write_stl(plan, path, revision=revision)

    def three_mf(path: Path) -> None:
        from generators.solids.files.three_mf import write_three_mf

        write_three_mf(plan, path, revision=revision)

    def flat(path: Path) -> None:
        write_flat_dxf(plan, path, revision=revision, cutting=cutting, smallest_hole_mm=least)

    def drawing(path: Path) -> None:
        write_part_drawing(
            plan,
            path,
            job_title=job.title,
            revision=revision,
            paper=sheet_paper(paper),
            smallest_hole_mm=least,
            watermark=mark,
            projection=sheet_projection(file, paper),
        )

    kinds = [
        (f"{base}.step", "step", step),
        (f"{base}.stl", "stl", stl),
        (f"{base}.3mf", "three_mf", three_mf),
        (f"{base}_drawing.pdf", "part_drawing", drawing),
    ]
    if not plan.printed:
        # nobody cuts a printed part: a file for the cutter would only be cut by mistake
        kinds.insert(-1, (f"{base}{flat_tail(cutting)}", "flat_dxf", flat))
    return [
        Task(entry=Entry(path=path, kind=kind, owner=name, units="mm"), write=write)
        for path, kind, write in kinds
    ]


def _face_tasks(prepared: Prepared, owner: str, paper: str, kind: str, write: FaceWriter) -> list[Task]:
    """A file for each face of a panel, or of two round a fold."""
    job, revision, mark = prepared.file.job.job, prepared.file.revision, watermark(prepared)

    def task(face: str) -> Callable[[Path], object]:
        def run(path: Path) -> object:
            layout = sheet_layout(prepared, owner, face)
            if layout is None:
                raise ExportError(f"{owner} is no panel of this job")
            return write(
                layout,
                path,
                face=face,
                paper=paper,
                job=job.title,
                revision=revision,
                watermark=mark,
                printer=prepared.printer,
                type_scale=prepared.type_scale,
            )

        return run

    name = kind.removesuffix("_pdf")
    return [
        Task(
            entry=Entry(
                path=f"panels/{owner}/{name}_{face}.pdf", kind=kind, owner=owner, units="mm", face=face
            ),
            write=task(face),
        )
        for face in FACES
    ]


def _panel_tasks(prepared: Prepared, layout: PanelLayout, paper: str) -> list[Task]:
    job, revision, mark = prepared.file.job.job, prepared.file.revision, watermark(prepared)
    if not layout.holes:
        # nothing to mark: an empty sheet would only be taped up in vain
        return []
    base = f"panels/{layout.panel}/template"
    tasks = _face_tasks(prepared, layout.panel, paper, "template_pdf", write_template)
    if any(h.status != "datum" for h in layout.holes):
        tasks += _face_tasks(prepared, layout.panel, paper, "patches_pdf", write_patches)
    tasks.append(
        Task(
            entry=Entry(path=f"{base}.dxf", kind="template_dxf", owner=layout.panel, units="mm", face="cab"),
            write=lambda path: write_template_dxf(
                layout, path, job=job.title, revision=revision, watermark=mark
            ),
        )
    )
    return tasks


def job_bill(prepared: Prepared) -> tuple[Item, ...]:
    """The bill of materials of a job."""
    return bill(
        [part.plan for part in prepared.parts],
        [part.spec.name for part in prepared.parts if part.mount is not None],
        prepared.layouts,
        prepared.file.job.panel,
        lines_sheet(prepared.lines, prepared.file.job),
    )


def job_tasks(prepared: Prepared, paper: str) -> list[Task]:
    """Files that belong to the whole job."""
    file = prepared.file
    job, revision, mark = file.job.job, file.revision, watermark(prepared)
    plans = [p.plan for p in prepared.parts]
    lines = lines_sheet(prepared.lines, file.job)
    items = job_bill(prepared)

    def report(path: Path) -> None:
        write_report(
            path,
            title=job.title,
            note=job.note,
            revision=revision,
            findings=prepared.findings,
            plans=plans,
            least_mm=least_holes(prepared),
            layouts=prepared.layouts,
            lines=lines,
            items=items,
            pedals=[p.sheet(p.ranking()) for p in prepared.pedals],
            stiffness=prepared.results,
            paper=sheet_paper(paper),
            watermark=mark,
        )

    def install(path: Path) -> None:
        write_install_sheet(
            path,
            title=job.title,
            revision=revision,
            layouts=prepared.layouts,
            mounted=[(p.plan, p.mount.panel, p.mount.face) for p in prepared.parts if p.mount is not None],
            guides=[
                (p.plan, p.spec.mount.panel, p.spec.mount.face)
                for p in prepared.parts
                if p.plan.tool and p.spec.mount is not None
            ],
            lines=lines,
            pedals=[p.sheet() for p in prepared.pedals],
            findings=prepared.findings,
            paper=sheet_paper(paper),
            watermark=mark,
        )

    tasks = [Task(entry=Entry(path="report.pdf", kind="report"), write=report)]
    if prepared.results:
        tasks.append(
            Task(
                entry=Entry(path=stiffness_file.NAME, kind=stiffness_file.KIND, units="mm"),
                write=lambda path: path.write_text(
                    stiffness_file.results_text(prepared.results), encoding="utf-8"
                ),
            )
        )
    if prepared.layouts or prepared.pedals:
        tasks.append(Task(entry=Entry(path="install_sheet.pdf", kind="install_sheet"), write=install))
    if prepared.layouts:
        tasks.append(
            Task(
                entry=Entry(path="holes.csv", kind="holes_csv", units="mm"),
                write=lambda path: write_holes_csv(prepared.layouts, path),
            )
        )
    if lines.hoses:
        tasks.append(
            Task(
                entry=Entry(path="hoses.csv", kind="hoses_csv", units="mm"),
                write=lambda path: write_hoses_csv(lines, path),
            )
        )
    if items:
        tasks.append(
            Task(entry=Entry(path="bom.csv", kind="bom_csv"), write=lambda path: write_bill(items, path))
        )
    if body_names(prepared):
        tasks += [
            Task(
                entry=Entry(path="assembly.glb", kind="glb", units="m"),
                write=lambda path: write_glb_file(prepared, path),
            ),
            Task(
                entry=Entry(path="assembly.step", kind="step_assembly", units="mm"),
                write=lambda path: write_step_file(prepared, path),
            ),
        ]
    return tasks


def all_tasks(prepared: Prepared, paper: str, only: Sequence[str] = ()) -> list[Task]:
    """Every file ``make`` writes; with ``only``, those of the named parts and panels."""
    tasks: list[Task] = []
    for part in prepared.parts:
        if not only or part.spec.name in only:
            tasks += _part_tasks(prepared, part, paper)
    for layout in prepared.layouts:
        if not only or layout.panel in only:
            tasks += _panel_tasks(prepared, layout, paper)
    for pair in wrapped_names(prepared):
        if not only or set(pair) <= set(only):
            tasks += _face_tasks(prepared, wrapped_name(*pair), paper, "template_pdf", write_template)
    return tasks if only else tasks + job_tasks(prepared, paper)
