"""The files of a panel, and of two panels round a fold: templates, patches, the plotter's DXF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.templates import Sheets, faces
from generators.layout.wrap import wrapped_name
from generators.model.findings import Waived
from generators.model.plan import PanelLayout
from generators.model.spec.shop import TemplateLayers
from generators.model.words import FACES, Face
from generators.solve.job import Prepared
from generators.solve.wrapping import wrapped_names, wrapped_sheet
from generators.verify.pdf.waivers import dxf_waiver_problems
from generators.verify.readback import ReadBack


def _sheets(prepared: Prepared, owner: str, layouts: dict[Face, PanelLayout], paper: str) -> Sheets:
    return Sheets(
        owner=owner,
        folder=f"panels/{owner}/",
        layouts=layouts,
        job=prepared.file.job.job.title,
        revision=prepared.shown,
        paper=paper,
        waived=prepared.waived,
        printer=prepared.printer,
        type_scale=prepared.type_scale,
    )


# the DXF library is slow to load, and a run that changes no panel does without
def _write_dxf(path: Path, **made_of: Any) -> None:
    from generators.drawing.dxf.template import write_template_dxf

    write_template_dxf(path=path, **made_of)


def _read_dxf(
    path: Path,
    *,
    layout: PanelLayout,
    rel: str,
    revision: str,
    waived: Sequence[Waived],
    names: TemplateLayers,
) -> ReadBack:
    from generators.verify.dxf.template import read_template_dxf

    reading = read_template_dxf(path, layout, rel=rel, revision=revision, names=names)
    return replace(reading, problems=(*reading.problems, *dxf_waiver_problems(path, waived)))


def panel_files(prepared: Prepared, layout: PanelLayout, paper: str) -> list[Artefact]:
    """Every file of a panel. One with nothing to mark has none: an empty sheet would be taped up in vain."""
    if not layout.holes:
        return []
    sheets = _sheets(prepared, layout.panel, dict.fromkeys(FACES, layout), paper)
    out = faces(sheets, "template")
    if any(h.status != "datum" for h in layout.holes):
        out += faces(sheets, "patches", patches=True)
    rel, names = f"{sheets.folder}template.dxf", prepared.file.shop.template_layers
    out.append(
        Artefact(
            entry=Entry(path=rel, kind="template_dxf", owner=layout.panel, units="mm", face="cab"),
            body=partial(
                _write_dxf,
                layout=layout,
                job=prepared.file.job.job.title,
                revision=prepared.marked(PLACEHOLDER),
                waived=prepared.waived,
                names=names,
            ),
            read=partial(
                _read_dxf,
                layout=layout,
                rel=rel,
                revision=prepared.shown,
                waived=prepared.waived,
                names=names,
            ),
        )
    )
    return out


def fold_files(prepared: Prepared, pair: tuple[str, str], paper: str) -> list[Artefact]:
    """The template round the fold of two panels; its faces are developed over different radii."""
    layouts = {face: wrapped_sheet(prepared, *pair, face) for face in FACES}
    return faces(_sheets(prepared, wrapped_name(*pair), layouts, paper), "template")


def folds(prepared: Prepared) -> list[tuple[str, str]]:
    """Pairs of panels that have a template round their fold."""
    return list(wrapped_names(prepared))
