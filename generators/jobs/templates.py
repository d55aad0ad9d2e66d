"""Templates on paper as artefacts: one file for each face, the two read against each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from generators.drawing.paper.sizes import PaperChoice, paper_choices
from generators.drawing.template.patches import write_patches
from generators.drawing.template.pdf import TemplateSheets, write_template
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import waiting
from generators.model.findings import Waived
from generators.model.plan import PanelLayout
from generators.model.spec.shop import PaperPrinter
from generators.model.words import FACES, OTHER, Face
from generators.verify.pdf.template.pages import read_template_pdf
from generators.verify.pdf.template.pair import pair_reading
from generators.verify.pdf.waivers import waiver_problems
from generators.verify.readback import ReadBack


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets:
    """What the templates of one panel share.

    ``folder`` is where they go, with a slash at its end. ``layouts`` are by face: round a fold they differ.
    """

    owner: str
    folder: str
    layouts: dict[Face, PanelLayout]
    job: str
    revision: str
    paper: str
    waived: Sequence[Waived]
    printer: PaperPrinter | None
    type_scale: float


def _remarks(rel: str, sheets: TemplateSheets) -> tuple[str, ...]:
    """What the sheets of a template could not show in full."""
    out = []
    if sheets.cut:
        out.append(f"{rel}: no sheet shows the whole of hole {', '.join(sheets.cut)}; use larger paper")
    if sheets.unlabelled:
        out.append(f"{rel}: no room for the label of hole {', '.join(sheets.unlabelled)}; see its table")
    return tuple(out)


def _write_template(path: Path, *, rel: str, **made_of: Any) -> tuple[str, ...]:
    return _remarks(rel, write_template(path=path, **made_of))


def _write_patches(path: Path, *, rel: str, **made_of: Any) -> tuple[str, ...]:
    sheets = write_patches(path=path, **made_of)
    return _remarks(rel, sheets)


def _read_face(
    path: Path,
    *,
    rel: str,
    layout: PanelLayout,
    face: Face,
    job: str,
    revision: str,
    printer: PaperPrinter | None,
    tables: bool,
    waived: Sequence[Waived],
    cab: tuple[str, PanelLayout] | None,
    used: tuple[float, float] | None,
) -> ReadBack:
    """One face, and for the engine's the cab's beside it: ``cab`` is that file's name and its layout."""
    reading = read_template_pdf(
        path,
        layout,
        face=face,
        job=job,
        revision=revision,
        rel=rel,
        printer=printer,
        tables=tables,
        used=used,
    )
    problems = [*reading.problems, *waiver_problems(path, waived, on_first=True, reasons=False)]
    facts = [*reading.facts]
    if cab is not None and path.with_name(cab[0]).is_file():
        pair = pair_reading(
            path.with_name(cab[0]), path, cab[1], rel=rel, printer=printer, engine_layout=layout
        )
        problems += pair.problems
        facts += pair.facts
    return replace(reading, facts=tuple(facts), problems=tuple(problems))


def _other(sheets: Sheets, face: Face) -> dict[str, PanelLayout]:
    """The other face's layout where it is not the same drawing mirrored, so that both show the same holes."""
    other = sheets.layouts[OTHER[face]]
    return {} if other is sheets.layouts[face] else {"other": other}


def faces(sheets: Sheets, name: str, *, patches: bool = False) -> list[Artefact]:
    """A file for each face, ``<name>_<face>.pdf``; the engine's is read against the cab's.

    Tiles of the whole panel, or with ``patches`` a small sheet for each group of holes. For both papers a
    file on each, its paper at the end of its name.
    """
    choices = paper_choices(sheets.paper)
    return [
        _face(sheets, name, face, choice, f"_{choice.name.lower()}" if len(choices) > 1 else "", patches)
        for choice in choices
        for face in FACES
    ]


def _face(sheets: Sheets, name: str, face: Face, choice: PaperChoice, suffix: str, patches: bool) -> Artefact:
    rel = f"{sheets.folder}{name}_{face}{suffix}.pdf"
    more: dict[str, Any] = {} if patches else _other(sheets, face)
    cab = (f"{name}_cab{suffix}.pdf", sheets.layouts["cab"]) if face == "engine" else None
    return Artefact(
        entry=Entry(path=rel, kind=f"{name}_pdf", owner=sheets.owner, units="mm", face=face),
        body=partial(
            _write_patches if patches else _write_template,
            rel=rel,
            layout=sheets.layouts[face],
            face=face,
            paper=choice,
            job=sheets.job,
            revision=waiting(sheets.revision),
            waived=sheets.waived,
            printer=sheets.printer,
            type_scale=sheets.type_scale,
            **more,
        ),
        read=partial(
            _read_face,
            rel=rel,
            layout=sheets.layouts[face],
            face=face,
            job=sheets.job,
            revision=sheets.revision,
            printer=sheets.printer,
            tables=not patches,
            waived=sheets.waived,
            cab=cab,
            used=choice.used_mm,
        ),
        group=f"{sheets.folder}{name}{suffix}",
    )
