"""The files of one part: solid, meshes, blank, drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from generators.bending.setting import sequence_of, setting_of
from generators.bending.tools import dies_of
from generators.drawing.bending.profile_sheet import write_profile_sheet
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.blanks import blank
from generators.jobs.make.paper import BY_PAPER, sheet_paper, sheet_projection
from generators.layout.mounting import PlacedPart
from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.sheetmetal.cut_file import flat_tail
from generators.sheets.setup.page import write_setup_page
from generators.solve.job import Prepared
from generators.solve.parts import smallest_hole
from generators.verify.html.setup import read_setup_page
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.pdf.rebuild.profile import read_profile_sheet
from generators.verify.pdf.setup import Tools, read_setup_sheet
from generators.verify.pdf.waivers import waiver_problems
from generators.verify.readback import ReadBack


# the kernel is imported only where a file that needs it is written or read, so that a dry run stays quick
def _write_step(path: Path, **made_of: Any) -> None:
    from generators.solids.files.step import write_step

    write_step(path=path, **made_of)


def _write_stl(path: Path, **made_of: Any) -> None:
    from generators.solids.files.stl import write_stl

    write_stl(path=path, **made_of)


def _write_three_mf(path: Path, **made_of: Any) -> None:
    from generators.solids.files.three_mf import write_three_mf

    write_three_mf(path=path, **made_of)


def _read_step(path: Path, *, plan: PartPlan, rel: str) -> ReadBack:
    from generators.verify.step.solid import read_step

    return read_step(path, plan, rel=rel)


def _read_stl(path: Path, *, plan: PartPlan, rel: str) -> ReadBack:
    from generators.verify.mesh.stl import read_stl

    return read_stl(path, plan, rel=rel)


def _read_three_mf(path: Path, *, plan: PartPlan, rel: str, revision: str) -> ReadBack:
    from generators.verify.mesh.three_mf import read_three_mf

    return read_three_mf(path, plan, revision=revision, rel=rel)


def _read_drawing(
    path: Path, *, plan: PartPlan, rel: str, waived: Sequence[Waived], **wanted: Any
) -> ReadBack:
    reading = read_part_drawing(path, plan, rel=rel, **wanted)
    return replace(
        reading, problems=(*reading.problems, *waiver_problems(path, waived, on_first=False, reasons=True))
    )


def _read_setup(path: Path, *, plan: PartPlan, rel: str, waived: Sequence[Waived], **wanted: Any) -> ReadBack:
    reading = read_setup_sheet(path, plan, rel=rel, **wanted)
    return replace(reading, problems=(*reading.problems, *waiver_problems(path, waived)))


def _read_inspection(
    path: Path, *, plan: PartPlan, rel: str, waived: Sequence[Waived], **wanted: Any
) -> ReadBack:
    reading = read_inspection_sheet(path, plan, rel=rel, **wanted)
    return replace(reading, problems=(*reading.problems, *waiver_problems(path, waived)))


def _inspection(prepared: Prepared, part: PlacedPart, paper: str) -> Artefact:
    """What is measured on the finished part, and between which limits."""
    file, plan, name = prepared.file, part.plan, part.spec.name
    path, title = f"parts/{name}/{name}_inspection.pdf", file.job.job.title
    return Artefact(
        entry=Entry(path=path, kind="inspection_sheet", owner=name, units="mm"),
        body=partial(
            write_inspection_sheet,
            plan=plan,
            job_title=title,
            revision=PLACEHOLDER,
            paper=sheet_paper(paper),
            waived=prepared.waived,
            units=file.units,
        ),
        read=partial(
            _read_inspection,
            plan=plan,
            waived=prepared.waived,
            job_title=title,
            revision=file.revision,
            rel=path,
            units=file.units,
        ),
    )


def _setup(prepared: Prepared, part: PlacedPart, paper: str) -> Iterator[Artefact]:
    """How the part is bent, on the shop's tools: a sheet, and a page that moves where there is an order."""
    file, plan, name = prepared.file, part.plan, part.spec.name
    path, page = f"parts/{name}/{name}_setup.pdf", f"parts/{name}/setup.html"
    setting, bends = setting_of(plan, file.shop), sequence_of(plan, file.shop)[0]
    tools = Tools(
        dies=dies_of(setting.brake, setting.opening_mm, plan.thickness_mm), tensile_mpa=setting.tensile_mpa
    )
    made_of: dict[str, Any] = {
        "plan": plan,
        "bends": bends,
        "brake": setting.brake,
        "opening_mm": setting.opening_mm,
        "job_title": file.job.job.title,
        "revision": PLACEHOLDER,
        "waived": prepared.waived,
        "units": file.units,
    }
    wanted: dict[str, Any] = {
        "plan": plan,
        "tools": tools,
        "waived": prepared.waived,
        "job_title": file.job.job.title,
        "revision": file.revision,
    }
    yield Artefact(
        entry=Entry(path=path, kind="setup_sheet", owner=name, units="mm"),
        body=partial(write_setup_sheet, paper=sheet_paper(paper), **made_of),
        read=partial(_read_setup, rel=path, **wanted),
    )
    if bends.found:
        job = file.job.job.name
        yield Artefact(
            entry=Entry(path=page, kind="setup_page", owner=name, units="mm"),
            body=partial(write_setup_page, job=job, **made_of),
            read=partial(read_setup_page, job=job, rel=page, **wanted),
        )


def _profile(prepared: Prepared, part: PlacedPart, paper: str) -> Artefact:
    """The bent part's profile at full size."""
    file, plan, name = prepared.file, part.plan, part.spec.name
    path, title = f"parts/{name}/{name}_profile.pdf", file.job.job.title
    return Artefact(
        entry=Entry(path=path, kind="profile_sheet", owner=name, units="mm"),
        body=partial(
            write_profile_sheet,
            plan=plan,
            job_title=title,
            revision=PLACEHOLDER,
            paper=sheet_paper(paper),
            waived=prepared.waived,
            units=file.units,
        ),
        read=partial(
            read_profile_sheet,
            plan=plan,
            job_title=title,
            revision=file.revision,
            rel=path,
            waived=bool(prepared.waived),
        ),
    )


def part_files(prepared: Prepared, part: PlacedPart, paper: str) -> list[Artefact]:
    """Every file of a part. A printed part has none for the cutter: it would only be cut by mistake."""
    file, plan, name = prepared.file, part.plan, part.spec.name
    job, waived = file.job.job, prepared.waived
    base = f"parts/{name}/{name}"
    least = smallest_hole(file, plan)

    def solid(path: str, kind: str, body: partial[None], read: Callable[[Path], ReadBack]) -> Artefact:
        return Artefact(
            entry=Entry(path=path, kind=kind, owner=name, units="mm"), body=body, read=read, kernel=True
        )

    step, stl, three_mf, drawing = (f"{base}{tail}" for tail in (".step", ".stl", ".3mf", "_drawing.pdf"))
    out = [
        solid(
            step,
            "step",
            partial(_write_step, plan=plan, revision=PLACEHOLDER, job=job.name),
            partial(_read_step, plan=plan, rel=step),
        ),
        solid(
            stl,
            "stl",
            partial(_write_stl, plan=plan, revision=PLACEHOLDER),
            partial(_read_stl, plan=plan, rel=stl),
        ),
        solid(
            three_mf,
            "three_mf",
            partial(_write_three_mf, plan=plan, revision=PLACEHOLDER),
            partial(_read_three_mf, plan=plan, rel=three_mf, revision=file.revision),
        ),
    ]
    if not plan.printed:
        out.append(blank(prepared, part, f"{base}{flat_tail(file.shop.cutting)}"))
    asked = file.shop.drawing.projection
    out.append(
        Artefact(
            entry=Entry(path=drawing, kind="part_drawing", owner=name, units="mm"),
            body=partial(
                write_part_drawing,
                plan=plan,
                job_title=job.title,
                revision=PLACEHOLDER,
                paper=sheet_paper(paper),
                smallest_hole_mm=least,
                waived=waived,
                projection=sheet_projection(file, paper),
                units=file.units,
            ),
            read=partial(
                _read_drawing,
                plan=plan,
                rel=drawing,
                waived=waived,
                job_title=job.title,
                revision=file.revision,
                smallest_hole_mm=least,
                projection="" if asked == BY_PAPER else asked,
            ),
        )
    )
    if not plan.printed:
        out.append(_inspection(prepared, part, paper))
    if plan.bends and not plan.printed:
        out += _setup(prepared, part, paper)
        out.append(_profile(prepared, part, paper))
    return out
