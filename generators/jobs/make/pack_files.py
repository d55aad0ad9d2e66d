"""``print_me.pdf``: one file to print for the whole job, on one paper or on both."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

from generators.drawing.pack.choice import Folded, Head
from generators.drawing.pack.first_page import FirstPage
from generators.drawing.paper.sizes import paper_choices
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.make.line_sheets import job_guide, lines_sheet
from generators.model.words import FACES, BillKind
from generators.sheets.bill import Item
from generators.sheets.pack.write import READING, write_pack
from generators.sheets.pedal.words import sheet_words
from generators.solve.job import Prepared
from generators.solve.wrapping import wrapped_names, wrapped_sheet
from generators.verify.pdf.made_holes import made_words
from generators.verify.pdf.pack.read import read_pack_pdf

NAME = "print_me"
KIND_NAMES: dict[BillKind, str] = {
    "part": "Made parts",
    "cylinder": "Cylinders",
    "fitting": "Fittings",
    "clamp": "Clamps",
    "hose": "Hoses and lines",
    "end": "Ends of hoses and lines",
}
"""Of what lies in the box; bolts are too many for page one and stand in the install sheet."""

NAMED: tuple[BillKind, ...] = ("part", "cylinder", "end")
"""Kinds whose items have names of their own; the others are told by what they are for."""


def box_words(items: Sequence[Item]) -> tuple[tuple[str, str], ...]:
    """What lies in the box, kind by kind, with how many of each where there are more."""
    out = []
    for kind, name in KIND_NAMES.items():
        mine = [x for x in items if x.kind == kind]
        if not mine:
            continue
        counts: dict[str, int] = {}
        for item in mine:
            what = item.item if kind in NAMED else "; ".join(item.uses)
            counts[what] = counts.get(what, 0) + item.quantity
        out.append((name, ", ".join(f"{what} ×{n}" if n > 1 else what for what, n in counts.items())))
    return tuple(out)


def pack_files(prepared: Prepared, items: Sequence[Item], paper: str) -> list[Artefact]:
    """The pack on each paper; none for a job with no panel."""
    if not any(layout.holes for layout in prepared.layouts):
        return []
    job = prepared.file.job.job
    choices = paper_choices(paper)
    folds = tuple(
        Folded(panels=pair, layouts={face: wrapped_sheet(prepared, *pair, face) for face in FACES})
        for pair in wrapped_names(prepared)
    )
    out = []
    for choice in choices:
        rel = f"{NAME}_{choice.name.lower()}.pdf" if len(choices) > 1 else f"{NAME}.pdf"
        body: partial[Any] = partial(
            write_pack,
            layouts=prepared.layouts,
            folds=folds,
            paper=choice,
            head=Head(
                job=job.title,
                revision=PLACEHOLDER,
                waived=tuple(prepared.waived),
                printer=prepared.printer,
                units=prepared.file.units,
            ),
            page=FirstPage(
                box=box_words(items),
                reading=READING if choice.is_roll else "",
                type_scale=prepared.type_scale,
            ),
            guide=job_guide(prepared, PLACEHOLDER),
            lines=lines_sheet(prepared.lines, prepared.file.job, prepared.file.units),
        )
        read = partial(
            read_pack_pdf,
            layouts=prepared.layouts,
            rounds={face: tuple(fold.layouts[face] for fold in folds) for face in FACES},
            job=job.title,
            revision=prepared.file.revision,
            rel=rel,
            used=choice.used_mm,
            printer=prepared.printer,
            waived=tuple(prepared.waived),
            words=(
                *(words for pedal in prepared.pedals for words in sheet_words(pedal.sheet())),
                *made_words(prepared.layouts),
            ),
        )
        out.append(Artefact(entry=Entry(path=rel, kind="print_me_pdf", units="mm"), body=body, read=read))
    return out
