"""Every file of a folder against the plan of the spec that lies in it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from generators.errors import ReadBackError, SpecError
from generators.pipeline.manifest import NAME, Entry, entries_of, file_hash, finding_json, read_manifest
from generators.pipeline.prepare import Prepared, prepare
from generators.sheets.tables import HOLE_COLUMNS, csv_text, hole_rows
from generators.verify.flat_dxf import read_flat_dxf
from generators.verify.part_drawing import read_part_drawing
from generators.verify.readback import ReadBack
from generators.verify.sheet_pdf import read_sheet_pdf
from generators.verify.template_dxf import read_template_dxf
from generators.verify.template_pdf import read_template_pdf

Step = Callable[[str, int], None]


def _read_holes(path: Path, prepared: Prepared, relative: str) -> ReadBack:
    wanted = csv_text(HOLE_COLUMNS, hole_rows(prepared.layouts)).splitlines()
    try:
        found = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        return ReadBack(path=relative, problems=(f"cannot be read: {error}",))
    problems = [
        f"line {i + 1} says {f!r}, the plan {w!r}"
        for i, (f, w) in enumerate(zip(found, wanted, strict=False))
        if f != w
    ]
    if len(found) != len(wanted):
        problems.append(f"has {len(found)} lines, the plan {len(wanted)}")
    return ReadBack(path=relative, facts=(f"{len(found) - 1} holes as planned",), problems=tuple(problems))


def read_one(folder: Path, entry: Entry, prepared: Prepared) -> ReadBack:
    """Read one file of the folder back against the plan."""
    path, relative = folder / entry.path, entry.path
    file = prepared.file
    job, revision = file.job.job, file.revision
    plans = {p.spec.name: p.plan for p in prepared.parts}
    layouts = {layout.panel: layout for layout in prepared.layouts}
    if entry.kind in ("step", "stl", "flat_dxf", "part_drawing"):
        if entry.owner not in plans:
            return ReadBack(path=relative, problems=(f"belongs to no part of the spec: {entry.owner!r}",))
        plan = plans[entry.owner]
        cutting = file.shop.cutting
        least = max(cutting.smallest_hole_mm, cutting.smallest_hole_ratio * plan.thickness_mm)
        match entry.kind:
            case "step":
                from generators.verify.step import read_step

                return read_step(path, plan, rel=relative)
            case "stl":
                from generators.verify.stl import read_stl

                return read_stl(path, plan, rel=relative)
            case "flat_dxf":
                return read_flat_dxf(path, plan, rel=relative, smallest_hole_mm=least)
            case _:
                return read_part_drawing(
                    path, plan, job_title=job.title, revision=revision, rel=relative, smallest_hole_mm=least
                )
    if entry.kind in ("template_pdf", "template_dxf"):
        if entry.owner not in layouts:
            return ReadBack(path=relative, problems=(f"belongs to no panel of the spec: {entry.owner!r}",))
        layout = layouts[entry.owner]
        if entry.kind == "template_dxf":
            return read_template_dxf(path, layout, rel=relative)
        return read_template_pdf(
            path, layout, face=entry.face, job=job.title, revision=revision, rel=relative
        )
    match entry.kind:
        case "report" | "install_sheet":
            return read_sheet_pdf(path, title=job.title, revision=revision, rel=relative)
        case "holes_csv":
            return _read_holes(path, prepared, relative)
        case "glb":
            from generators.verify.glb import read_glb

            names = list(layouts) + [p.spec.name for p in prepared.parts if p.mount is not None]
            return read_glb(path, names, rel=relative)
        case "spec" | "shop":
            return ReadBack(path=relative, facts=("reads without a fault",))
    return ReadBack(path=relative, problems=(f"is of an unknown kind {entry.kind!r}",))


def prove_files(
    folder: Path, entries: Sequence[Entry], prepared: Prepared, step: Step = lambda what, index: None
) -> list[ReadBack]:
    """Hash and content of every listed file."""
    readings = []
    for index, entry in enumerate(entries):
        step(f"read back {entry.path}", index)
        path = folder / entry.path
        if not path.is_file() or path.is_symlink():
            readings.append(ReadBack(path=entry.path, problems=("is missing",)))
            continue
        reading = read_one(folder, entry, prepared)
        if file_hash(path) != entry.sha256:
            reading = ReadBack(
                path=entry.path,
                facts=reading.facts,
                problems=("was changed after it was made (sha256)", *reading.problems),
            )
        readings.append(reading)
    return readings


def prove_folder(folder: Path, step: Step = lambda what, index: None) -> list[ReadBack]:
    """Read a finished folder back: its own spec is planned again, and every file compared with it.

    Raises ``ReadBackError`` when the manifest or the spec in the folder cannot be used at all.
    """
    content = read_manifest(folder)
    entries = entries_of(content)
    specs = [e for e in entries if e.kind in ("spec", "shop")]
    for entry in specs:
        path = folder / entry.path
        if not path.is_file() or file_hash(path) != entry.sha256:
            raise ReadBackError(entry.path, "is missing or was changed after the files were made")
    spec = next((e for e in specs if e.kind == "spec"), None)
    if spec is None or content.get("spec") != spec.path:
        raise ReadBackError(NAME, "does not name the spec the files were made from")
    try:
        prepared = prepare(folder / spec.path)
    except SpecError as error:
        raise ReadBackError(spec.path, f"no longer reads: {error}") from error
    readings = prove_files(folder, entries, prepared, step)
    problems = []
    if content.get("revision") != prepared.file.revision:
        problems.append(
            f"says revision {content.get('revision')!r}, the spec in the folder gives {prepared.file.revision!r}"
        )
    accepted = content.get("waivers")
    told = {(f["code"], f["where"], f["value"]) for f in content.get("findings", []) if isinstance(f, dict)}
    for finding in prepared.findings:
        row = finding_json(finding)
        if (row["code"], row["where"], row["value"]) not in told:
            problems.append(f"leaves out the finding {finding.code} at {finding.where}")
        elif finding.blocks and not (isinstance(accepted, dict) and finding.code in accepted):
            problems.append(f"releases files although {finding.code} failed at {finding.where}")
    listed = {e.path for e in entries} | {NAME}
    for path in sorted(folder.rglob("*")):
        relative = path.relative_to(folder).as_posix()
        if path.is_file() and relative not in listed:
            problems.append(f"does not list {relative}")
    readings.append(ReadBack(path=NAME, facts=(f"lists {len(entries)} files",), problems=tuple(problems)))
    return readings
