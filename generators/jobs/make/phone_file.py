"""The page for a phone: the same guide as on paper, with the assembly to turn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.jobs.make.bodies import Bodies, bodies_of, expected_bodies, glb_of
from generators.jobs.make.line_sheets import lines_sheet
from generators.jobs.make.space_sheet import space_sheet
from generators.model.install import Guide
from generators.model.plan import PanelLayout
from generators.sheets.hose_words import LinesSheet
from generators.sheets.phone.page import Space, write_phone_page
from generators.sheets.space.sheet import SpaceSheet
from generators.solve.job import Prepared

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
    names += [title or body.name.replace("_", " ") for body, title in sheet.bodies]
    return dict(zip(bodies.names, names, strict=True))
