"""The files of one part: solid, meshes, blank, drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Any

from generators.bending.setting import machines_of, on_brake_instead, sequence_of, setting_of
from generators.bending.tools import dies_of, punches_of
from generators.drawing.bending.profile_sheet import write_profile_sheet
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.blanks import blank, pulled_in
from generators.jobs.make.paper import BY_PAPER, sheet_paper, sheet_projection
from generators.layout.mounting import PlacedPart
from generators.model.plan import PartPlan
from generators.model.spec.shop import Cutting, Shop
from generators.sheetmetal.cut_file import flat_tail
from generators.sheets.setup.page import write_setup_page
from generators.solve.job import Prepared
from generators.solve.parts import smallest_hole
from generators.verify.html.setup import read_setup_page
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.pdf.profile.sheet import read_profile_sheet
from generators.verify.pdf.waivers import read_with_waivers
from generators.verify.readback import ReadBack

NOTHING: Mapping[str, Any] = MappingProxyType({})


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


def _pdf(
    prepared: Prepared,
    part: PlacedPart,
    paper: str,
    *,
    kind: str,
    ending: str,
    write: Callable[..., None],
    read: Callable[..., ReadBack],
    made_of: Mapping[str, Any] = NOTHING,
    wanted: Mapping[str, Any] = NOTHING,
) -> Artefact:
    """A sheet of a part: ``made_of`` and ``wanted`` are what its writer and its reader take besides."""
    name = part.spec.name
    path = f"parts/{name}/{name}_{ending}.pdf"
    return Artefact(
        entry=Entry(path=path, kind=kind, owner=name, units="mm"),
        body=partial(write, paper=sheet_paper(paper), **_written(prepared, part), **made_of),
        read=partial(read, rel=path, **{**_read(prepared, part), **wanted}),
    )


def _written(prepared: Prepared, part: PlacedPart) -> dict[str, Any]:
    """What every writer of a part's sheet takes."""
    return {
        "plan": part.plan,
        "job_title": prepared.file.job.job.title,
        "revision": prepared.marked(PLACEHOLDER),
        "waived": prepared.waived,
        "units": prepared.file.units,
        **_head(prepared),
    }


def _head(prepared: Prepared) -> dict[str, Any]:
    """What stands on every sheet of a part of who is asked and of what day it is."""
    head = prepared.file.job.job
    return {"contact": head.contact, "date": head.date}


def _read(prepared: Prepared, part: PlacedPart) -> dict[str, Any]:
    """What every reader of a part's sheet takes."""
    return {
        "plan": part.plan,
        "job_title": prepared.file.job.job.title,
        "revision": prepared.shown,
        "waived": prepared.waived,
        **_head(prepared),
    }


def _drawing(prepared: Prepared, part: PlacedPart, paper: str) -> Artefact:
    """The part as it is cut and as it is bent, with every size."""
    cutting = prepared.file.shop.cutting
    cut = {"cut_file": _cut_name(part, cutting), "kerf_mm": cutting.kerf_mm}
    least, asked = smallest_hole(prepared.file, part.plan), prepared.file.shop.drawing.projection
    return _pdf(
        prepared,
        part,
        paper,
        kind="part_drawing",
        ending="drawing",
        write=write_part_drawing,
        read=partial(read_with_waivers, reader=read_part_drawing),
        made_of={"smallest_hole_mm": least, "projection": sheet_projection(prepared.file, paper), **cut},
        wanted={"smallest_hole_mm": least, "projection": "" if asked == BY_PAPER else asked, **cut},
    )


def _cut_name(part: PlacedPart, cutting: Cutting) -> str:
    """Name of the file a part's blank is cut from; empty for one that is printed."""
    return "" if part.plan.printed else f"{part.spec.name}{flat_tail(cutting)}"


def _inspection(prepared: Prepared, part: PlacedPart, paper: str) -> Artefact:
    """What is measured on the finished part, and between which limits."""
    again = pulled_in(prepared, part)
    return _pdf(
        prepared,
        part,
        paper,
        kind="inspection_sheet",
        ending="inspection",
        write=write_inspection_sheet,
        read=partial(read_with_waivers, reader=read_inspection_sheet),
        made_of={"pulled": again},
        wanted={"units": prepared.file.units, "pulled": again},
    )


def tools_of(plan: PartPlan, shop: Shop) -> Tools:
    """What a reader of a part's setup sheet is told of the shop: the plain tools where it names none."""
    setting = setting_of(plan, shop)
    return Tools(
        brake=replace(setting.brake, punch=punches_of(setting.brake)),
        dies=dies_of(setting.brake, setting.opening_mm, plan.thickness_mm),
        tensile_mpa=setting.tensile_mpa,
        folder=machines_of(plan, shop).folder,
        over_rad=setting.over_rad,
        opening_mm=setting.opening_mm,
        springback_rad=setting.springback_rad,
    )


def _setup(prepared: Prepared, part: PlacedPart, paper: str) -> Iterator[Artefact]:
    """How the part is bent, on the shop's tools: a sheet, and a page that moves where there is an order."""
    file, plan, name = prepared.file, part.plan, part.spec.name
    bends = sequence_of(plan, file.shop)[0]
    machines = machines_of(plan, file.shop)
    instead = on_brake_instead(plan, file.shop, bends)
    made_of: dict[str, Any] = {"bends": bends, "instead": instead, "machines": machines}
    wanted: dict[str, Any] = {"tools": tools_of(plan, file.shop)}
    yield _pdf(
        prepared,
        part,
        paper,
        kind="setup_sheet",
        ending="setup",
        write=write_setup_sheet,
        read=partial(read_with_waivers, reader=read_setup_sheet),
        made_of=made_of,
        wanted=wanted,
    )
    if bends.found:
        job, page = file.job.job.name, f"parts/{name}/{name}_setup.html"
        yield Artefact(
            entry=Entry(path=page, kind="setup_page", owner=name, units="mm"),
            body=partial(write_setup_page, job=job, **_written(prepared, part), **made_of),
            read=partial(read_setup_page, job=job, rel=page, **_read(prepared, part), **wanted),
        )


def _profile(prepared: Prepared, part: PlacedPart, paper: str) -> Artefact:
    """The bent part's profile at full size."""
    return _pdf(
        prepared,
        part,
        paper,
        kind="profile_sheet",
        ending="profile",
        write=write_profile_sheet,
        read=read_profile_sheet,
        wanted={"waived": bool(prepared.waived)},
    )


def part_files(prepared: Prepared, part: PlacedPart, paper: str) -> list[Artefact]:
    """Every file of a part. A printed part has none for the cutter: it would only be cut by mistake."""
    file, plan, name = prepared.file, part.plan, part.spec.name
    job, base = file.job.job, f"parts/{name}/{name}"

    def solid(path: str, kind: str, body: partial[None], read: Callable[[Path], ReadBack]) -> Artefact:
        return Artefact(
            entry=Entry(path=path, kind=kind, owner=name, units="mm"), body=body, read=read, kernel=True
        )

    step, stl, three_mf = (f"{base}{tail}" for tail in (".step", ".stl", ".3mf"))
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
        out.append(blank(prepared, part, f"parts/{name}/{_cut_name(part, file.shop.cutting)}"))
    out.append(_drawing(prepared, part, paper))
    if not plan.printed:
        out.append(_inspection(prepared, part, paper))
    if plan.bends and not plan.printed:
        out += _setup(prepared, part, paper)
        out.append(_profile(prepared, part, paper))
    return out
