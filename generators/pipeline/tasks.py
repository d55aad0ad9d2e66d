"""Every file of a job: what the manifest says of it, and how it is written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.drawing.flat_dxf import write_flat_dxf
from generators.drawing.part_drawing import write_part_drawing
from generators.drawing.template_dxf import write_template_dxf
from generators.drawing.template_pdf import write_template
from generators.geometry.frames import panel_frame
from generators.layout.mounting import PlacedPart, part_matrix
from generators.model.plan import PanelLayout
from generators.pipeline.manifest import Entry
from generators.pipeline.prepare import Prepared, smallest_hole
from generators.sheets.install_sheet import write_install_sheet
from generators.sheets.report import write_report
from generators.sheets.tables import write_holes_csv

FACES = ("cab", "engine")
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


def watermark(prepared: Prepared) -> str:
    """What every sheet is marked with when a failed rule was waived."""
    return f"WAIVED: {', '.join(prepared.waivers)}" if prepared.waivers else ""


def _part_tasks(prepared: Prepared, part: PlacedPart, paper: str) -> list[Task]:
    file, plan, name = prepared.file, part.plan, part.spec.name
    job, revision, mark = file.job.job, file.revision, watermark(prepared)
    least = smallest_hole(file, plan.thickness_mm)
    base = f"parts/{name}/{name}"

    # the kernel is imported only by the tasks that need it, so that a dry run stays quick
    def step(path: Path) -> None:
        from generators.solids.step import write_step

        write_step(plan, path, revision=revision, job=job.name)

    def stl(path: Path) -> None:
        from generators.solids.stl import write_stl

        write_stl(plan, path, revision=revision)

    def flat(path: Path) -> None:
        write_flat_dxf(plan, path, revision=revision, smallest_hole_mm=least)

    def drawing(path: Path) -> None:
        write_part_drawing(
            plan,
            path,
            job_title=job.title,
            revision=revision,
            paper=sheet_paper(paper),
            smallest_hole_mm=least,
            watermark=mark,
        )

    kinds = (
        (f"{base}.step", "step", step),
        (f"{base}.stl", "stl", stl),
        (f"{base}_flat.dxf", "flat_dxf", flat),
        (f"{base}_drawing.pdf", "part_drawing", drawing),
    )
    return [
        Task(entry=Entry(path=path, kind=kind, owner=name, units="mm"), write=write)
        for path, kind, write in kinds
    ]


def _panel_tasks(prepared: Prepared, layout: PanelLayout, paper: str) -> list[Task]:
    job, revision, mark = prepared.file.job.job, prepared.file.revision, watermark(prepared)
    if not layout.holes:
        # nothing to mark: an empty sheet would only be taped up in vain
        return []

    def template(face: str) -> Callable[[Path], object]:
        return lambda path: write_template(
            layout, path, face=face, paper=paper, job=job.title, revision=revision, watermark=mark
        )

    base = f"panels/{layout.panel}/template"
    tasks = [
        Task(
            entry=Entry(
                path=f"{base}_{face}.pdf", kind="template_pdf", owner=layout.panel, units="mm", face=face
            ),
            write=template(face),
        )
        for face in FACES
    ]
    tasks.append(
        Task(
            entry=Entry(path=f"{base}.dxf", kind="template_dxf", owner=layout.panel, units="mm", face="cab"),
            write=lambda path: write_template_dxf(
                layout, path, job=job.title, revision=revision, watermark=mark
            ),
        )
    )
    return tasks


def _assembly(prepared: Prepared) -> Callable[[Path], object]:
    panels = {p.name: p for p in prepared.file.job.panel}

    def write(path: Path) -> None:
        from generators.solids.assembly import write_glb

        write_glb(
            path,
            [
                (layout, panel_frame(panels[layout.panel].origin, panels[layout.panel].tilt_rad))
                for layout in prepared.layouts
            ],
            [
                (part.plan, part_matrix(panels[part.mount.panel], part.mount))
                for part in prepared.parts
                if part.mount is not None
            ],
        )

    return write


def job_tasks(prepared: Prepared, paper: str) -> list[Task]:
    """Files that belong to the whole job."""
    file = prepared.file
    job, revision, mark = file.job.job, file.revision, watermark(prepared)
    plans = [p.plan for p in prepared.parts]

    def report(path: Path) -> None:
        write_report(
            path,
            title=job.title,
            note=job.note,
            revision=revision,
            findings=prepared.findings,
            plans=plans,
            layouts=prepared.layouts,
            pedals=[p.sheet(p.ranking()) for p in prepared.pedals],
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
            pedals=[p.sheet() for p in prepared.pedals],
            findings=prepared.findings,
            paper=sheet_paper(paper),
            watermark=mark,
        )

    tasks = [Task(entry=Entry(path="report.pdf", kind="report"), write=report)]
    if prepared.layouts or prepared.pedals:
        tasks.append(Task(entry=Entry(path="install_sheet.pdf", kind="install_sheet"), write=install))
    if prepared.layouts:
        tasks.append(
            Task(
                entry=Entry(path="holes.csv", kind="holes_csv", units="mm"),
                write=lambda path: write_holes_csv(prepared.layouts, path),
            )
        )
    if prepared.layouts or any(p.mount is not None for p in prepared.parts):
        tasks.append(Task(entry=Entry(path="assembly.glb", kind="glb", units="m"), write=_assembly(prepared)))
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
    return tasks if only else tasks + job_tasks(prepared, paper)
