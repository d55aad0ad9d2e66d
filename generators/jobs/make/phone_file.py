"""The page for a phone: the same guide as on paper, with the assembly to turn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.make.asked import asked_of
from generators.jobs.make.bodies import Bodies, bodies_of, expected_bodies, glb_of
from generators.jobs.make.line_sheets import job_guide, lines_sheet
from generators.jobs.make.space_sheet import space_sheet
from generators.model.install import Guide, Laid, ScaleLengths
from generators.model.plan import PanelLayout
from generators.model.spec.titles import capital
from generators.sheets.hose_words import LinesSheet
from generators.sheets.phone.page import Space, write_phone_page
from generators.sheets.phone.three import three_js
from generators.sheets.space.sheet import SpaceSheet
from generators.solve.job import Prepared
from generators.verify.html.page import Wanted, read_page
from generators.verify.readback import ReadBack
from generators.verify.steps.asked import Asked

NAME, KIND = "install.html", "install_page"


def write_page(
    path: Path,
    *,
    job: str,
    guide: Guide,
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    sheet: SpaceSheet,
    bodies: Bodies,
    titles: Mapping[str, str],
    inch_first: bool,
) -> tuple[str, ...]:
    """Write ``install.html``; remarks for a person."""
    space = None
    if bodies.names:
        groups = {body.name: body.group for body in bodies.shown if body.group}
        space = Space(glb=glb_of(bodies), titles=titles, groups=groups)
    return write_phone_page(
        path,
        job=job,
        guide=guide,
        layouts=layouts,
        lines=lines,
        sheet=sheet,
        space=space,
        inch_first=inch_first,
    )


def body_titles(bodies: Bodies, sheet: SpaceSheet) -> dict[str, str]:
    """What a person calls each body of the assembly, by its name there."""
    names = [layout.title for layout, _ in sheet.panels]
    names += [plan.title for plan, _ in sheet.parts]
    names += [title for _path, title in sheet.hoses]
    names += [capital(body.said) or title or capital(body.name) for body, title in sheet.bodies]
    return dict(zip(bodies.names, names, strict=True))


def phone_page(prepared: Prepared, laid: Sequence[Laid] = (), tests: Sequence[ScaleLengths] = ()) -> Artefact:
    """``install.html`` of a job that has an install sheet; ``laid`` and ``tests`` as on that sheet."""
    job, bodies, sheet = prepared.file.job.job, bodies_of(prepared), space_sheet(prepared)
    guide = job_guide(prepared, prepared.marked(PLACEHOLDER), laid, tests)
    titles = body_titles(bodies, sheet)
    write = partial(
        write_page,
        job=job.name,
        guide=guide,
        layouts=prepared.layouts,
        lines=lines_sheet(prepared.lines, prepared.file.job, prepared.file.units),
        sheet=sheet,
        bodies=bodies,
        titles=titles,
        inch_first=prepared.file.units == "inch",
    )
    read = partial(
        _read,
        job=job.name,
        guide=guide,
        revision=prepared.shown,
        layouts=prepared.layouts,
        bodies=bodies,
        titles=titles,
        inch_first=prepared.file.units == "inch",
        asked=asked_of(prepared),
    )
    return Artefact(entry=Entry(path=NAME, kind=KIND), body=write, read=read, kernel=bool(bodies.names))


def _read(
    path: Path,
    *,
    job: str,
    guide: Guide,
    revision: str,
    layouts: Sequence[PanelLayout],
    bodies: Bodies,
    titles: Mapping[str, str],
    inch_first: bool,
    asked: Asked,
) -> ReadBack:
    turns = bool(bodies.names) and bool(three_js())
    wanted = Wanted(
        job=job,
        revision=revision,
        first="in" if inch_first else "mm",
        layouts=tuple(layouts),
        bodies=expected_bodies(bodies) if turns else (),
        titles=titles if turns else {},
        asked=asked,
    )
    return read_page(path, guide=guide, wanted=wanted, rel=NAME)
