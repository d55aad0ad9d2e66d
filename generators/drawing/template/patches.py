"""Patch sheets: one page for each group of holes, where a large template will not lie flat or not fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from generators.drawing.paper.distances import dimensioned
from generators.drawing.paper.furniture import Words, draw_furniture, live_area
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.sizes import PaperChoice, paper_choice
from generators.drawing.template.cover import Thumb, cover_size, cover_test, draw_cover
from generators.drawing.template.hole_groups import HoleGroup, hole_groups
from generators.drawing.template.page import draw_tile
from generators.drawing.template.patch_words import laying_note
from generators.drawing.template.pdf import TemplatePage, TemplateSheets, print_map_of, template_words
from generators.drawing.template.tiles import Grid, registration_marks
from generators.drawing.template.view import View
from generators.errors import ExportError
from generators.model.findings import Waived
from generators.model.plan import PanelLayout
from generators.model.spec.shop import PaperPrinter
from generators.model.words import Face
from generators.standards import paper as paper_row

ROLL_SHEET = "A4"
FIRST_PATCH = 2
LONGEST_NAME = 28
LAY = (
    "Cut the sheet to a handy size. Lay it by the existing holes on it, or by the distances above. "
    "Pale dashed rings are drilled by another patch: leave them here."
)


def write_patches(
    layout: PanelLayout,
    path: Path,
    *,
    face: Face,
    paper: str | PaperChoice,
    job: str,
    revision: str,
    waived: Sequence[Waived] = (),
    printer: PaperPrinter | None = None,
    type_scale: float = 1.0,
) -> TemplateSheets:
    """Write the patch sheets of one face, 1:1; ``engine`` is mirrored in u. Page one is a scale test.

    Off a roll they are A4 pages: patches are small. Raises ``ExportError`` when there is nothing to mark
    or the file cannot be written, and what ``paper_choice`` raises.
    """
    choice = _sheet(paper_choice(paper) if isinstance(paper, str) else paper)
    width, height = choice.width_mm, choice.height_mm or choice.width_mm
    live = live_area(width, height)
    groups = hole_groups(layout, live.width, live.height)
    if not groups:
        raise ExportError(f"{layout.panel}: nothing to mark")
    words = template_words(layout, face, job, revision, choice.name, waived, printer)
    pen = PdfPen(
        path,
        title=f"{layout.title}: {face} patches",
        subject=f"{job}, revision {revision}, 1:1",
        print_map=print_map_of(printer),
    )
    count = len(groups) + 1
    cover_w, cover_h = cover_size(choice)
    pages = [TemplatePage(number=1, kind="cover", row=0, column=0, width_mm=cover_w, height_mm=cover_h)]
    pen.page(cover_w, cover_h, lying=False)
    thumbs = [
        Thumb(number=n, where=_where(g), box=g.box, holes=layout.holes)
        for n, g in enumerate(groups, FIRST_PATCH)
    ]
    draw_cover(pen, words, cover_test(choice), count, layout, thumbs)
    lost: set[str] = set()
    for number, group in enumerate(groups, FIRST_PATCH):
        pen.page(width, height)
        u0, v0 = group.box[:2]
        grid = Grid(u0=u0, v0=v0, width=live.width, height=live.height, columns=1, rows=1)
        marks = registration_marks(grid, layout.holes)[0, 0]
        view = View(live=live, box=group.box, mirror=face == "engine")
        links = dimensioned([*group.holes, *group.on_sheet])
        mine = {h.number for h in group.holes}
        lost |= (
            set(draw_tile(pen, layout, view, face, marks, links, type_scale, mine, waived=bool(waived)))
            & mine
        )
        where = f"patch: {_where(group)}"
        draw_furniture(pen, _said(words, layout, group, face), where, number, count, None)
        pages.append(
            TemplatePage(
                number=number, kind="tile", row=0, column=0, width_mm=width, height_mm=height, box=group.box
            )
        )
    try:
        pen.close()
    except OSError as fault:
        raise ExportError(f"{path.name}: {fault}") from fault
    return TemplateSheets(
        panel=layout.panel,
        face=face,
        paper=choice.name,
        rows=len(groups),
        columns=1,
        pages=tuple(pages),
        unlabelled=tuple(sorted(lost)),
    )


def _sheet(choice: PaperChoice) -> PaperChoice:
    if not choice.is_roll:
        return choice
    row = paper_row(ROLL_SHEET)
    return PaperChoice(name=row.name, width_mm=row.width_mm, height_mm=row.height_mm)


def _where(group: HoleGroup) -> str:
    """The name of a patch, short enough to stand under its picture; the page number tells like ones apart."""
    name = group.name.replace("_", " ")
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1].rstrip()}…"


def _said(words: Words, layout: PanelLayout, group: HoleGroup, face: Face) -> Words:
    """What this patch is, and what it is laid by."""
    return replace(words, lay=laying_note(layout, group, face), join=LAY)
