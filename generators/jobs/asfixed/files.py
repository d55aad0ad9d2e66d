"""What is left behind when things sit in the wrong place: the spec as it then is, and sheets to work from."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

from generators.errors import ExportError
from generators.figures import format_length
from generators.issue.artefact import Artefact, Job
from generators.issue.issue import Issued, issue
from generators.issue.manifest import Entry, Manifest
from generators.issue.stamp import PLACEHOLDER
from generators.issue.work import Progress
from generators.jobs.asfixed.choices import title_of
from generators.jobs.asfixed.readback import read_spec
from generators.jobs.asfixed.weigh import LEFT_BY, AsFixed, Cleared, as_fixed
from generators.jobs.asfixed.words import CAUTION, figures_text, hose_changes, sits_words
from generators.jobs.issued.base import base_of, kept_base
from generators.jobs.make.paper import sheet_paper
from generators.jobs.revised import revised_from, revised_job, shown
from generators.jobs.templates import Sheets, faces
from generators.jobs.texts import read_as, text_file
from generators.model.plan import PanelHole, PanelLayout
from generators.model.sold.letters import IssueMark
from generators.model.spec.titles import capital
from generators.model.words import FACES
from generators.sheets.redo import Redone, redo_words, write_redo
from generators.solve.job import Prepared
from generators.verify.pdf.made_holes import told_problems
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.readback import ReadBack

KIND = "asfixed"
HOW = "as fixed"
FIGURES, SHEET = "asfixed.json", "redo_sheet.pdf"
SAME_MM = 0.01


def writes(answer: AsFixed) -> bool:
    """True when there is something to write: a way that clears, or things that may stay where they sit."""
    return bool(answer.options) or (answer.stays and answer.case.typed is not None)


def revised_text(answer: AsFixed) -> str:
    """The spec with everything where it then is. Raises ``ExportError`` where nothing clears or differs."""
    if answer.options:
        return answer.options[0].text
    if answer.stays and answer.case.typed is not None:
        return answer.case.typed.text
    raise ExportError(
        "nothing is written: " + ("nothing differs" if answer.stays else "no way tried clears it")
    )


def job_of(answer: AsFixed, paper: str, base: IssueMark | None) -> Job:
    """The folder as a job: the revised spec, the sheet of what is done again, patches for new holes.

    ``base`` is the issue it is made from, if any.

    Raises ``ExportError`` when there is nothing to write, ``ReadBackError`` when the spec does not read.
    """
    case = answer.case
    file, text = case.design.file, revised_text(answer)
    name = f"{file.spec_path.stem}_asfixed.toml"
    revised = read_as(file, name, text)
    option = answer.options[0] if answer.options else None
    sheets = _sheets(answer, option, revised, paper)
    made = [(layout, _made(layout)) for layout in sheets]
    redo = redone(answer, option, tuple(made))
    title = file.job.job.title
    head = shown(HOW, base, PLACEHOLDER)
    body = partial(write_redo, redo=redo, subject=title, revision=head, paper=sheet_paper(paper))
    said = shown(HOW, base, revised.file.revision)
    read = partial(_read_sheet, title=title, revision=said, redo=redo, layouts=tuple(sheets))
    artefacts = [
        text_file(
            name, "revised_spec", text, units="", read=partial(read_spec, rel=name, answer=answer, text=text)
        ),
        Artefact(entry=Entry(path=SHEET, kind="redo_sheet", units="mm"), body=body, read=read),
        *(a for layout in sheets for a in _patches(revised, layout, paper, said)),
        text_file(FIGURES, "figures", figures_text(answer)),
    ]
    return revised_job(KIND, file, case.file, revised, artefacts, revised.findings, paper, base)


def write_asfixed(answer: AsFixed, out: Path, *, paper: str = "A4", progress: Progress) -> Issued:
    """Write, read back and swap in the folder ``<readings>_asfixed``.

    Raises ``ExportError`` and ``ReadBackError`` as ``make`` does.
    """
    name = f"{answer.case.file.readings.measure.name}_asfixed"
    job = job_of(answer, paper, base_of(answer.case.design.file))
    return issue(job, out / name, progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder: spec and readings in it are weighed again.

    Raises ``ReadBackError``, and what ``as_fixed`` raises.
    """
    spec, own, paper = revised_from(folder, manifest)
    answer = as_fixed(spec, own, manifest.said("variant"))
    return job_of(answer, paper, kept_base(folder, manifest, answer.case.design.file))


# ---------------------------------------------------------------------------------------- what is drilled
def _sheets(answer: AsFixed, option: Cleared | None, revised: Prepared, paper: str) -> list[PanelLayout]:
    """Each panel with the holes this way asks for, those it leaves to be closed, and what is there."""
    if option is None:
        return []
    before = {(x.panel, h.name): h for x in answer.case.base.layouts for h in x.holes}
    out = []
    for layout in revised.layouts:
        holes = [
            _there(h)
            for h in layout.holes
            if h.status != "drill" or _is_new(h, before.get((layout.panel, h.name)))
        ]
        if any(h.status == "drill" or _left(h) for h in holes):
            out.append(replace(layout, holes=tuple(holes)))
    return out


def _left(hole: PanelHole) -> bool:
    """True for a hole this way leaves to be closed."""
    return hole.name.startswith(LEFT_BY)


def _there(hole: PanelHole) -> PanelHole:
    """An existing hole as one to lay the sheet by, unless it is to be closed this time."""
    if hole.status in ("drill", "datum") or _left(hole):
        return hole
    return replace(hole, status="datum", decided=None, tool="")


def _is_new(hole: PanelHole, was: PanelHole | None) -> bool:
    """True for a hole that is nowhere near where the job as it is now has it."""
    return was is None or math.dist((hole.u_mm, hole.v_mm), (was.u_mm, was.v_mm)) > SAME_MM


def _made(layout: PanelLayout) -> tuple[PanelHole, ...]:
    return tuple(h for h in layout.holes if h.status == "drill" or _left(h))


def _patches(revised: Prepared, layout: PanelLayout, paper: str, said: str) -> list[Artefact]:
    if not any(h.status == "drill" for h in layout.holes):
        return []
    sheets = Sheets(
        owner=layout.panel,
        folder=f"{layout.panel}/",
        layouts=dict.fromkeys(FACES, layout),
        job=revised.file.job.job.title,
        revision=said,
        paper=paper,
        waived=revised.waived,
        printer=revised.printer,
        type_scale=revised.type_scale,
    )
    return faces(sheets, "patches", patches=True)


# ---------------------------------------------------------------------------------------- what is told
def redone(
    answer: AsFixed, option: Cleared | None, holes: tuple[tuple[PanelLayout, tuple[PanelHole, ...]], ...]
) -> Redone:
    """The sheet's words: what sits wrong, what is done about it, the hoses after it."""
    case = answer.case
    solved = option.solved if option is not None else case.base
    return Redone(
        title=f"{case.file.readings.measure.title}: what is done again",
        cautions=(CAUTION,),
        wrong=tuple(sits_words(case, thing) for thing in case.wrong) or ("Everything sits where it should.",),
        steps=tuple(_steps(answer, option, any(h.status == "drill" for _, some in holes for h in some))),
        hoses=tuple(_hoses(solved)),
        holes=holes,
        others=tuple(_told(o) for o in answer.options[1:]),
    )


def _steps(answer: AsFixed, option: Cleared | None, drilled: bool) -> Iterator[str]:
    if option is None:
        yield "Leave everything where it sits: hoses in hand reach, and nothing comes too near."
        return
    yield _told(option)
    if option.tables:
        yield "Close the holes left behind as the table says, before anything is bolted over them."
    if drilled:
        yield (
            "Print the sheets named patches at 100 %, measure their bars, lay them by the existing holes on "
            "the panel, look behind it, and drill as the table says."
        )
    for line in hose_changes(answer, option):
        yield f"Lead {line}."
    names = [t.name for t in answer.case.fixed if t.name not in option.choice.back]
    if names:
        titles = ", ".join(title_of(answer.case, name) for name in names)
        yield f"Leave where they sit: {titles}."
    yield "Fill and bleed again, and see that nothing touches a hose through the full pedal travel."


def _told(option: Cleared) -> str:
    """A way in a sentence for the bench, where nobody has the spec."""
    return f"{capital(option.choice.words)}.".replace("where the spec has", "where the drawings have")


def _hoses(solved: Prepared) -> Iterator[tuple[str, ...]]:
    units = solved.file.units
    for hose in solved.lines.hoses:
        if hose.path is None or hose.length is None:
            continue
        slack = hose.length.made_up_mm / hose.path.length_mm - 1
        yield (
            hose.spec.title or hose.spec.name.replace("_", " "),
            format_length(hose.path.length_mm, units),
            format_length(hose.length.made_up_mm, units),
            f"{slack:.1%}",
        )


def _read_sheet(
    path: Path, *, title: str, revision: str, redo: Redone, layouts: tuple[PanelLayout, ...]
) -> ReadBack:
    reading = read_sheet_pdf(path, title=title, revision=revision, rel=SHEET, words=redo_words(redo))
    told = [replace(x, holes=_made(x)) for x in layouts]
    return replace(reading, problems=(*reading.problems, *told_problems(path, told)))
