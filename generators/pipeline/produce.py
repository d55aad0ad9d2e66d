"""Write every file of a job, read each back, and only then swap the folder in."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import generators
from generators.drawing.flat_dxf import write_flat_dxf
from generators.drawing.part_drawing import write_part_drawing
from generators.drawing.template_dxf import write_template_dxf
from generators.drawing.template_pdf import write_template
from generators.errors import ExportError, ReadBackError
from generators.geometry.frames import panel_frame
from generators.layout.mounting import PlacedPart, part_matrix
from generators.model.plan import PanelLayout
from generators.pipeline.manifest import NAME, Entry, entries_of, file_hash, read_manifest, write_manifest
from generators.pipeline.prepare import Prepared, smallest_hole
from generators.pipeline.proof import prove_files
from generators.pipeline.swap import swapped_in
from generators.reading import JobFile
from generators.sheets.install_sheet import write_install_sheet
from generators.sheets.report import write_report
from generators.sheets.tables import write_holes_csv
from generators.verify.readback import ReadBack

FACES = ("cab", "engine")
SPEC_FOLDER = "spec"
SHEET_PAPER = {"A3": "A4", "tabloid": "letter"}
Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One file to write: what the manifest says of it, and how."""

    entry: Entry
    write: Callable[[Path], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What ``make`` did."""

    folder: Path
    entries: tuple[Entry, ...]
    readings: tuple[ReadBack, ...]


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
            paper=sheet_paper(paper),
            watermark=mark,
        )

    tasks = [Task(entry=Entry(path="report.pdf", kind="report"), write=report)]
    if prepared.layouts:
        tasks += [
            Task(entry=Entry(path="install_sheet.pdf", kind="install_sheet"), write=install),
            Task(
                entry=Entry(path="holes.csv", kind="holes_csv", units="mm"),
                write=lambda path: write_holes_csv(prepared.layouts, path),
            ),
        ]
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


def _keep_spec(file: JobFile, folder: Path) -> list[Entry]:
    """The spec and the shop file go along, so the folder can be proven anywhere."""
    kept = [(file.spec_path, file.spec_bytes, "spec")]
    if file.shop_path is not None:
        kept.append((file.shop_path, file.shop_bytes, "shop"))
    entries = []
    (folder / SPEC_FOLDER).mkdir()
    for path, content, kind in kept:
        relative = f"{SPEC_FOLDER}/{path.name}"
        (folder / relative).write_bytes(content)
        entries.append(Entry(path=relative, kind=kind))
    return entries


def _carried_over(target: Path, fresh: Path, head: dict[str, object], have: set[str]) -> list[Entry]:
    """Files of the last run that still hold: same revision, same paper, hash as listed."""
    try:
        content = read_manifest(target)
        old = entries_of(content)
    except ReadBackError:
        return []
    if any(content.get(key) != value for key, value in head.items()):
        return []
    kept = []
    for entry in old:
        source = target / entry.path
        if entry.path in have or not source.is_file() or file_hash(source) != entry.sha256:
            continue
        (fresh / entry.path).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, fresh / entry.path)
        kept.append(entry)
    return kept


def manifest_head(prepared: Prepared, paper: str) -> dict[str, object]:
    """What the manifest says of the whole folder."""
    file = prepared.file
    return {
        "job": file.job.job.name,
        "title": file.job.job.title,
        "revision": file.revision,
        "version": generators.__version__,
        "units": "mm",
        "paper": paper,
        "spec": f"{SPEC_FOLDER}/{file.spec_path.name}",
        "accepted": {f.code: f.waived for f in prepared.findings if f.waived},
    }


def make(prepared: Prepared, out: Path, *, paper: str, only: Sequence[str] = (), progress: Progress) -> Made:
    """Write, read back and swap in the folder of a job.

    Raises ``ExportError`` when a file cannot be written and ``ReadBackError`` when one does not say
    what the plan says; in both cases the folder of the last good run stays untouched.
    """
    target = out / prepared.file.job.job.name
    tasks = all_tasks(prepared, paper, only)
    head = manifest_head(prepared, paper)
    total = 2 * len(tasks)
    with swapped_in(target) as fresh:
        entries = _keep_spec(prepared.file, fresh)
        for index, task in enumerate(tasks):
            progress(f"write {task.entry.path}", index, total)
            path = fresh / task.entry.path
            path.parent.mkdir(parents=True, exist_ok=True)
            try:
                task.write(path)
            except OSError as error:
                raise ExportError(f"cannot write {task.entry.path}: {error.strerror or error}") from error
            entries.append(task.entry)
        if only:
            entries += _carried_over(target, fresh, head, {e.path for e in entries})
        entries = [e.hashed(fresh) for e in entries]
        write_manifest(fresh, entries, head=head, findings=prepared.findings)
        readings = prove_files(
            fresh, entries, prepared, lambda what, i: progress(what, min(len(tasks) + i, total), total)
        )
        bad = [f"{r.path}: {p}" for r in readings for p in r.problems]
        if bad:
            raise ReadBackError(bad[0].split(": ", 1)[0], "; ".join(bad))
        progress(f"swap in {NAME}", total, total)
    return Made(folder=target, entries=tuple(entries), readings=tuple(readings))
