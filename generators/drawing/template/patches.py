"""Patch sheets: one page for each group of holes, where a large template will not lie flat or not fit."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from generators.drawing.paper.furniture import Words, live_area
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.sizes import PaperChoice, paper_choice
from generators.drawing.template.cover import cover_size, cover_test, draw_cover
from generators.drawing.template.hole_groups import HoleGroup, hole_groups
from generators.drawing.template.patch_words import laying, laying_note
from generators.drawing.template.pdf import (
    TemplatePage,
    TemplateSheets,
    page_of,
    print_map_of,
    template_words,
    thumbs_of,
)
from generators.drawing.template.sheet import Leaf, draw_leaf, registration_marks
from generators.drawing.template.tiles import EXISTING, Grid
from generators.errors import ExportError
from generators.layout.distances import dimensioned
from generators.layout.panels import OR_PATCHES, USE_PATCHES
from generators.model.findings import Waived
from generators.model.plan import PanelLayout
from generators.model.spec.shop import PaperPrinter
from generators.model.words import Face
from generators.standards import paper as paper_row

ROLL_SHEET = "A4"
FIRST_PATCH = 2
LONGEST_NAME = 28
LAY = "Cut the sheet to a handy size. Lay it by the existing holes on it, or by the distances above."
LAY_BY_ONE = (
    "Cut the sheet to a handy size. Lay it by hole {} and turn it about that hole until the distances "
    "above are right: one hole alone lets it turn."
)
LAY_IN_WORDS = "Cut the sheet to a handy size. Lay it by the distances above."
PALE = " Pale dashed rings are drilled by another patch: leave them here."


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
    choice = patch_paper(paper_choice(paper) if isinstance(paper, str) else paper)
    words = template_words(layout, face, job, revision, choice.name, waived, printer)
    leaves = patch_leaves(layout, choice, face, words)
    if not leaves:
        raise ExportError(f"{layout.panel}: nothing to mark")
    pen = PdfPen(
        path,
        title=f"{layout.title}: {face} patches",
        subject=f"{job}, revision {revision}, 1:1",
        print_map=print_map_of(printer),
    )
    count = len(leaves) + 1
    cover_w, cover_h = cover_size(choice)
    pages = [TemplatePage(number=1, kind="cover", row=0, column=0, width_mm=cover_w, height_mm=cover_h)]
    pen.page(cover_w, cover_h, lying=False, on=choice.sheet_of(cover_w, cover_h))
    draw_cover(pen, words, cover_test(choice, layout.units), count, layout, thumbs_of(leaves, FIRST_PATCH))
    lost: set[str] = set()
    for number, leaf in enumerate(leaves, FIRST_PATCH):
        lost |= draw_leaf(pen, leaf, choice, number, count, None, type_scale)
        pages.append(page_of(leaf, number))
    pen.finish()
    return TemplateSheets(
        panel=layout.panel,
        face=face,
        paper=choice.name,
        rows=len(leaves),
        columns=1,
        pages=tuple(pages),
        unlabelled=tuple(sorted(lost)),
    )


def patch_leaves(
    layout: PanelLayout,
    choice: PaperChoice,
    face: Face,
    words: Words,
    planned: PanelLayout | None = None,
) -> tuple[Leaf, ...]:
    """The patch sheets of one face on that cut sheet; none where nothing is to be marked.

    They are planned for the holes of ``planned`` where that has fewer than ``layout``; all are drawn.
    """
    planned = planned or layout
    width, height = choice.drawn_mm[0], choice.drawn_mm[1] or choice.drawn_mm[0]
    live = live_area(width, height)
    leaves = []
    for group in hole_groups(planned, live.width, live.height):
        u0, v0 = group.box[:2]
        grid = Grid(u0=u0, v0=v0, width=live.width, height=live.height, columns=1, rows=1)
        leaf = Leaf(
            layout=layout,
            face=face,
            name=_where(group),
            where=f"patch: {_where(group)}",
            box=group.box,
            width=width,
            height=height,
            lying=width > height,
            marks=registration_marks(grid, layout.holes)[0, 0],
            links=dimensioned([*group.holes, *group.on_sheet]),
            words=_said(words, layout, group, face),
            laid=min(len(found) for _, found in laying(layout, group, face)),
        )
        leaves.append(worked_by(leaf, frozenset(h.number for h in group.holes)))
    return tuple(leaves)


def patch_paper(choice: PaperChoice) -> PaperChoice:
    """The sheet patches are printed on: off a roll A4, for patches are small."""
    if not choice.is_roll:
        return choice
    row = paper_row(ROLL_SHEET)
    return PaperChoice(name=row.name, width_mm=row.width_mm, height_mm=row.height_mm)


def _where(group: HoleGroup) -> str:
    """The name of a patch, short enough to stand under its picture; the page number tells like ones apart."""
    first, *others = group.name.replace("_", " ").split(", ")
    said = textwrap.wrap(first, LONGEST_NAME)[0].rstrip(" ,;:-") if first else first
    whole = ", ".join((said, *others))
    return whole if len(whole) <= LONGEST_NAME else said


def _said(words: Words, layout: PanelLayout, group: HoleGroup, face: Face) -> Words:
    """What this patch is, and what it is laid by; it offers no patches in its own place."""
    notes = tuple(x.replace(USE_PATCHES, "").replace(OR_PATCHES, "") for x in words.notes)
    return replace(words, lay=laying_note(layout, group, face), join=LAY, notes=notes)


def worked_by(leaf: Leaf, only: frozenset[str]) -> Leaf:
    """The same patch to work holes ``only`` by; it speaks of pale rings where some are drawn on it."""
    pale = any(
        h.number not in only
        and h.status not in EXISTING
        and leaf.view.shows(h.u_mm, h.v_mm, h.final_dia_mm / 2)
        for h in leaf.layout.holes
    )
    old = [h.number for h in leaf.layout.holes if h.status in EXISTING and leaf.shows(h)]
    by = LAY if old else LAY_IN_WORDS
    if len(old) == 1:
        by = LAY_BY_ONE.format(old[0])
    join = by + (PALE if pale else "")
    return replace(leaf, only=only, words=replace(leaf.words, join=join))
