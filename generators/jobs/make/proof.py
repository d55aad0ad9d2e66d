"""Every file of a folder against the plan of the spec that lies in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from generators.errors import LookupFault, ReadBackError, SpecError
from generators.issue.manifest import NAME, Entry, entries_of, file_hash, finding_json, read_manifest
from generators.jobs.make import stiffness_file
from generators.jobs.make.bodies import body_names, expected_bodies
from generators.jobs.make.files import BY_PAPER, all_tasks, job_bill, least_holes, watermark
from generators.jobs.make.line_sheets import lines_sheet
from generators.layout.wrap import wrapped_name
from generators.model.plan import PanelLayout, PartPlan
from generators.sheets.bill import bill_text
from generators.sheets.hose_words import LinesSheet
from generators.sheets.pedal.words import expected_words
from generators.sheets.stiffness_pages import stiffness_words
from generators.sheets.stock_words import expected_stock_words
from generators.sheets.tables import HOLE_COLUMNS, HOSE_COLUMNS, csv_text, hole_rows, hose_rows
from generators.solve.job import Prepared, for_printer, prepare, smallest_hole
from generators.solve.reach import with_reach
from generators.solve.wrapping import sheet_layout, wrapped_names
from generators.strength.result import BracketResult
from generators.verify.dxf.flat import read_flat_dxf
from generators.verify.dxf.template import read_template_dxf
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.sheet import read_sheet_pdf, watermark_problems
from generators.verify.pdf.template.pages import read_template_pdf
from generators.verify.pdf.template.pair import pair_reading
from generators.verify.readback import ReadBack

Step = Callable[[str, int], None]


def _read_csv(path: Path, text: str, relative: str, what: str) -> ReadBack:
    """A table line by line against the text it must have."""
    wanted = text.splitlines()
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
    return ReadBack(path=relative, facts=(f"{len(found) - 1} {what} as planned",), problems=tuple(problems))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """One file to read, with everything it is compared with."""

    path: Path
    entry: Entry
    prepared: Prepared

    @property
    def plan(self) -> PartPlan:
        return next(p.plan for p in self.prepared.parts if p.spec.name == self.entry.owner)

    @property
    def layout(self) -> PanelLayout:
        found = sheet_layout(self.prepared, self.entry.owner, self.entry.face)
        if found is None:
            raise ReadBackError(self.entry.path, f"belongs to no panel of the spec: {self.entry.owner!r}")
        return found

    @property
    def lines(self) -> LinesSheet:
        return lines_sheet(self.prepared.lines, self.prepared.file.job)

    @property
    def least(self) -> float:
        return smallest_hole(self.prepared.file, self.plan)

    @property
    def title(self) -> str:
        return self.prepared.file.job.job.title

    @property
    def revision(self) -> str:
        return self.prepared.file.revision


def _step(c: _Case) -> ReadBack:
    from generators.verify.step.solid import read_step

    return read_step(c.path, c.plan, rel=c.entry.path)


def _stl(c: _Case) -> ReadBack:
    from generators.verify.mesh.stl import read_stl

    return read_stl(c.path, c.plan, rel=c.entry.path)


def _three_mf(c: _Case) -> ReadBack:
    from generators.verify.mesh.three_mf import read_three_mf

    return read_three_mf(c.path, c.plan, revision=c.revision, rel=c.entry.path)


def _flat(c: _Case) -> ReadBack:
    return read_flat_dxf(
        c.path,
        c.plan,
        rel=c.entry.path,
        cutting=c.prepared.file.shop.cutting,
        smallest_hole_mm=c.least,
    )


def _drawing(c: _Case) -> ReadBack:
    asked = c.prepared.file.shop.drawing.projection
    return read_part_drawing(
        c.path,
        c.plan,
        job_title=c.title,
        revision=c.revision,
        rel=c.entry.path,
        smallest_hole_mm=c.least,
        projection="" if asked == BY_PAPER else asked,
    )


def _template_pdf(c: _Case) -> ReadBack:
    reading = read_template_pdf(
        c.path,
        c.layout,
        face=c.entry.face,
        job=c.title,
        revision=c.revision,
        rel=c.entry.path,
        printer=c.prepared.printer,
        tables=c.entry.kind != "patches_pdf",
    )
    cab = c.path.with_name(c.path.name.replace("_engine", "_cab"))
    if c.entry.face != "engine" or not cab.is_file():
        return reading
    first = sheet_layout(c.prepared, c.entry.owner, "cab")
    pair = pair_reading(
        cab, c.path, first or c.layout, rel=c.entry.path, printer=c.prepared.printer, engine_layout=c.layout
    )
    return replace(reading, facts=(*reading.facts, *pair.facts), problems=(*reading.problems, *pair.problems))


def _template_dxf(c: _Case) -> ReadBack:
    return read_template_dxf(c.path, c.layout, rel=c.entry.path, revision=c.revision)


def _sheet(c: _Case) -> ReadBack:
    words = [words for pedal in c.prepared.pedals for words in expected_words(pedal.sheet())]
    return read_sheet_pdf(c.path, title=c.title, revision=c.revision, rel=c.entry.path, words=words)


def _report(c: _Case) -> ReadBack:
    words = [words for pedal in c.prepared.pedals for words in expected_words(pedal.sheet())]
    words += [stiffness_words(result) for result in c.prepared.results]
    words += expected_stock_words([p.plan for p in c.prepared.parts], least_holes(c.prepared))
    return read_sheet_pdf(c.path, title=c.title, revision=c.revision, rel=c.entry.path, words=words)


def _holes(c: _Case) -> ReadBack:
    text = csv_text(HOLE_COLUMNS, hole_rows(c.prepared.layouts))
    return _read_csv(c.path, text, c.entry.path, "holes")


def _hoses(c: _Case) -> ReadBack:
    text = csv_text(HOSE_COLUMNS, hose_rows(c.lines))
    return _read_csv(c.path, text, c.entry.path, "hoses")


def _bom(c: _Case) -> ReadBack:
    return _read_csv(c.path, bill_text(job_bill(c.prepared)), c.entry.path, "items")


def _glb(c: _Case) -> ReadBack:
    from generators.verify.mesh.glb import read_glb

    names = body_names(c.prepared)
    return read_glb(c.path, names, rel=c.entry.path)


def _step_assembly(c: _Case) -> ReadBack:
    from generators.verify.step.assembly import read_step_assembly

    return read_step_assembly(c.path, expected_bodies(c.prepared), rel=c.entry.path, revision=c.revision)


def _stiffness(c: _Case) -> ReadBack:
    return stiffness_file.read_stiffness(c.path, c.prepared, c.entry.path)


def _input(c: _Case) -> ReadBack:
    return ReadBack(path=c.entry.path, facts=("reads without a fault",))


READERS: Mapping[str, Callable[[_Case], ReadBack]] = {
    "step": _step,
    "stl": _stl,
    "three_mf": _three_mf,
    "flat_dxf": _flat,
    "part_drawing": _drawing,
    "template_pdf": _template_pdf,
    "patches_pdf": _template_pdf,
    "template_dxf": _template_dxf,
    "report": _report,
    "install_sheet": _sheet,
    "holes_csv": _holes,
    "hoses_csv": _hoses,
    "bom_csv": _bom,
    "glb": _glb,
    "step_assembly": _step_assembly,
    "stiffness": _stiffness,
    "spec": _input,
    "shop": _input,
}

OWNED_BY: Mapping[str, str] = {
    "step": "part",
    "stl": "part",
    "three_mf": "part",
    "flat_dxf": "part",
    "part_drawing": "part",
    "template_pdf": "panel",
    "patches_pdf": "panel",
    "template_dxf": "panel",
}


def read_one(folder: Path, entry: Entry, prepared: Prepared) -> ReadBack:
    """Read one file of the folder back against the plan."""
    reader = READERS.get(entry.kind)
    if reader is None:
        return ReadBack(path=entry.path, problems=(f"is of an unknown kind {entry.kind!r}",))
    parts = {p.spec.name for p in prepared.parts}
    panels = {x.panel for x in prepared.layouts} | {wrapped_name(*p) for p in wrapped_names(prepared)}
    known = {"part": parts, "panel": panels}.get(OWNED_BY.get(entry.kind, ""), {entry.owner})
    if entry.owner not in known:
        whose = OWNED_BY[entry.kind]
        return ReadBack(path=entry.path, problems=(f"belongs to no {whose} of the spec: {entry.owner!r}",))
    reading = reader(_Case(path=folder / entry.path, entry=entry, prepared=prepared))
    more = _marks(folder / entry.path, entry, prepared)
    return replace(reading, problems=(*reading.problems, *more)) if more else reading


def _marks(path: Path, entry: Entry, prepared: Prepared) -> tuple[str, ...]:
    """What every file carries beside its content: the revision, and the mark of a waived rule."""
    if entry.kind in ("step", "stl", "flat_dxf"):
        revision = prepared.file.revision.encode()
        return () if revision in path.read_bytes() else (f"does not carry revision {revision.decode()}",)
    if entry.path.endswith(".pdf"):
        return tuple(watermark_problems(path, watermark(prepared)))
    return ()


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
            reading = replace(reading, problems=("was changed after it was made (sha256)", *reading.problems))
        readings.append(reading)
    return readings


def prove_folder(folder: Path, step: Step = lambda what, index: None) -> list[ReadBack]:
    """Read a finished folder back: its own spec is planned again, and every file compared with it.

    Raises ``ReadBackError`` when the manifest or the spec in the folder cannot be used at all.
    """
    content = read_manifest(folder)
    if content.get("kind") == "measure":
        from generators.jobs.measure.files import prove_measured

        return prove_measured(folder, content, step)
    if content.get("kind") == "asdrilled":
        from generators.jobs.asdrilled.files import prove_asdrilled

        return prove_asdrilled(folder, content, step)
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
        prepared = prepare(folder / spec.path, content["waivers"], _kept_results(folder, entries))
        prepared = with_reach(for_printer(prepared, str(content.get("printer", ""))))
    except (SpecError, LookupFault) as error:
        raise ReadBackError(spec.path, f"no longer reads: {error}") from error
    readings = prove_files(folder, entries, prepared, step)
    facts, problems = _manifest_problems(content, entries, prepared)
    listed = {e.path for e in entries} | {NAME}
    for path in sorted(folder.rglob("*")):
        relative = path.relative_to(folder).as_posix()
        if not path.is_dir() and relative not in listed:
            readings.append(ReadBack(path=relative, problems=("is no file of this job",)))
    readings.append(ReadBack(path=NAME, facts=facts, problems=tuple(problems)))
    return readings


def _kept_results(folder: Path, entries: Sequence[Entry]) -> tuple[BracketResult, ...]:
    """What finite elements gave when the folder was made; nothing where it was made without them."""
    kept = next((e for e in entries if e.kind == stiffness_file.KIND), None)
    return stiffness_file.read_results(folder / kept.path) if kept is not None else ()


def _manifest_problems(
    content: dict[str, Any], entries: Sequence[Entry], prepared: Prepared
) -> tuple[tuple[str, ...], list[str]]:
    """Facts and problems of the manifest: what is listed must be what the spec asks for, no less."""
    problems = []
    if content.get("revision") != prepared.file.revision:
        problems.append(
            f"says revision {content.get('revision')!r}, its spec gives {prepared.file.revision!r}"
        )
    if content["findings"] != [finding_json(f) for f in prepared.findings]:
        problems.append("does not list the findings that the rules give for its spec")
    problems += [
        f"releases files although {f.code} failed at {f.where}" for f in prepared.findings if f.blocks
    ]
    wanted = {t.entry.path: t.entry for t in all_tasks(prepared, str(content.get("paper")))}
    for entry in entries:
        plan = wanted.get(entry.path)
        if plan is None:
            if entry.kind not in ("spec", "shop") or not entry.path.startswith("spec/"):
                problems.append(f"lists {entry.path}, which the spec does not ask for")
        elif replace(entry, sha256="") != plan:
            problems.append(f"calls {entry.path} {entry.kind} of {entry.owner or 'the job'}, which it is not")
    missing = sorted(set(wanted) - {e.path for e in entries})
    facts = [f"lists {len(entries)} files"]
    if missing and content.get("complete") is False:
        facts.append(f"made with --only: {len(missing)} files of the job were not made")
    else:
        problems += [f"does not list {path}" for path in missing]
    return tuple(facts), problems
