"""The install sheet on paper, drawn from the plain guide alone; layouts and lines only for its pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from generators.drawing.paper.pdf_pen import label_document
from generators.drawing.paper.sizes import PaperChoice, paper_choice
from generators.model.install import (
    Guide,
    HosePicture,
    Listing,
    PanelPicture,
    Phase,
    Picture,
    PlacePicture,
    Step,
    StepTable,
)
from generators.model.plan import PanelLayout
from generators.sheets.document import (
    SMALL,
    TITLE,
    HeldCanvas,
    body_width,
    boxed,
    flow,
    gap,
    heading,
    pages_of,
    paragraph,
    side_by_side,
    step,
    table,
    tall_mm,
    together,
    waived_story,
)
from generators.sheets.hose_views import HoseView
from generators.sheets.hose_words import LinesSheet
from generators.sheets.panel_view import PanelView
from generators.sheets.space.sheet import SpaceSheet
from generators.sheets.space.stand import StandView

PICTURED_MM, PLAIN_MM, OVER_MM = 80.0, 30.0, 15.0
"""Room a heading asks for: over a step with a picture, over one without, beside its own picture."""

GAP = 0.02
"""Between a picture and what lies beside it, of the width."""


FIRST_MM = 11.0
"""The first column of a table is no narrower: "hole" has room in it."""

PLACED = ((0.36,), (0.4, 0.27))
"""Widths of the pictures of a step with one of its thing in its place, alone and beside its panel."""

SQUEEZED = 1.3
"""A table that stands out below its pictures goes under them, though that be this much higher (ours): beside
two pictures its columns hold a word or two."""

LONG_STEP = 900
"""Letters, about nine lines: a step of less is not broken over two pages (ours)."""


@dataclass(frozen=True, slots=True)
class Shares:
    """How wide pictures are, of the width: one beside its table, one over its steps."""

    beside: float
    over: float


SHARES = (Shares(0.5, 1.0), Shares(0.42, 0.8), Shares(0.36, 0.8))
"""Full size, and what is tried where that would leave the last page nearly empty."""

NEARLY_EMPTY = 0.25
"""A last page of which less is used is one to save (ours)."""


class Drawn:
    """Turns the words, tables and picture references of a guide into what flows down the pages."""

    def __init__(
        self,
        layouts: Sequence[PanelLayout],
        lines: LinesSheet,
        width: float,
        shares: Shares,
        space: SpaceSheet,
    ) -> None:
        self.layouts = {layout.panel: layout for layout in layouts}
        self.lines = lines
        self.width = width
        self.shares = shares
        self.space = space

    def picture(self, picture: Picture, width: float) -> PanelView | HoseView | StandView:
        """What a reference stands for, ``width`` mm wide."""
        match picture:
            case PanelPicture():
                return PanelView(
                    self.layouts[picture.panel],
                    width_mm=width,
                    face=picture.face,
                    lit=picture.lit,
                    name_all=picture.name_all,
                )
            case HosePicture():
                return HoseView(self.lines, width_mm=width, view=picture.view, lit=picture.hose)
            case PlacePicture():
                return StandView(self.space, self.lines, picture, width_mm=width)

    def table(self, rows: StepTable, width: float) -> list[Any]:
        """One table under its lead, ``width`` mm wide."""
        lead = [paragraph(rows.lead, SMALL)] if rows.lead else []
        widths = [width * share for share in rows.shares]
        # the first column holds a word of its head whole
        short = max(FIRST_MM - widths[0], 0.0)
        widths[-1] -= short
        widths[0] += short
        return [*lead, table(rows.head, rows.rows, widths)]

    def listing(self, listing: Listing) -> list[Any]:
        """A list under its heading, over the whole width."""
        words = [paragraph(listing.words)] if listing.words else []
        return [*heading(listing.title), *words, *self.table(listing.table, self.width)]

    def phase(self, phase: Phase) -> Iterator[Any]:
        """A phase: its heading, pictures and cautions, then its steps."""
        views = [self.picture(picture, self.width * self.shares.over) for picture in phase.pictures]
        room = PICTURED_MM if phase.steps and phase.steps[0].pictures else PLAIN_MM
        if views:
            room = views[0].size[1] + OVER_MM
        head = [*heading(phase.title, room), *views]
        if phase.cautions:
            head += [boxed(phase.cautions, self.width), gap(1)]
        steps = list(phase.steps)
        if steps and not views:
            # no heading stands alone at the foot of a page, with cautions or without
            yield together([*head[1:], *self.step(steps.pop(0))])
        else:
            yield from head
        for one in steps:
            parts = self.step(one)
            yield from parts if len(parts) == 1 and len(one.how) >= LONG_STEP else [together(parts)]

    def step(self, one: Step) -> list[Any]:
        """What stays on one page, but for a long text alone."""
        words = step(one.number, one.how, one.do)
        if not one.pictures and not one.tables:
            return [words]
        half, between = self.width * self.shares.beside, self.width * GAP
        if any(isinstance(picture, PlacePicture) for picture in one.pictures):
            return [words, *self.placed(one)]
        if len(one.pictures) == 1:
            left = self.picture(one.pictures[0], half)
            narrow = self.width - half - between
            right = self.tables(one, narrow) or gap(1)
            return [words, side_by_side(left, right, (half + between, narrow))]
        story: list[Any] = [words]
        for rows in one.tables:
            story += [*self.table(rows, self.width), gap(2)]
        wide = half - between / 2
        views = [self.picture(picture, wide) for picture in one.pictures]
        for k in range(0, len(views), 2):
            beside = views[k + 1] if k + 1 < len(views) else gap(1)
            story += [side_by_side(views[k], beside, (half + between / 2, wide)), gap(3)]
        return story

    def placed(self, one: Step) -> list[Any]:
        """Pictures of a step in one row, what goes where beside them, or under them where that is lower."""
        shares = PLACED[min(len(one.pictures), len(PLACED)) - 1]
        views = [self.picture(p, self.width * s) for p, s in zip(one.pictures, shares, strict=False)]
        wide = [self.width * (s + GAP) for s in shares[: len(views)]]
        narrow, high = self.width - sum(wide), max(view.size[1] for view in views)
        beside, under = self.tables(one, narrow), self.tables(one, self.width)
        squeezed = tall_mm(beside, narrow)
        if squeezed > high and high + tall_mm(under, self.width) < squeezed * SQUEEZED:
            return [self._row(views, wide, gap(1)), gap(1), *under, gap(2)]
        return [self._row(views, wide, beside or gap(1)), gap(2)]

    def tables(self, one: Step, width: float) -> list[Any]:
        """The tables of a step, one below the other."""
        return [part for rows in one.tables for part in self.table(rows, width)]

    def _row(self, views: Sequence[Any], wide: Sequence[float], last: Any) -> Any:
        """Views with what stands to the right of them, tops level."""
        row = last
        for k, (view, room) in reversed(list(enumerate(zip(views, wide, strict=True)))):
            row = side_by_side(view, row, (room, self.width - sum(wide[: k + 1])))
        return row


def flow_guide(
    canvas: HeldCanvas,
    guide: Guide,
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    paper: PaperChoice,
    space: SpaceSheet,
    *,
    of: str = "",
) -> None:
    """Lay all of the guide out on further pages of a canvas, counted in ``of`` if not in the file.

    Where the last page would hold next to nothing, pictures are drawn smaller if that saves it.
    """
    story = partial(_story, guide, layouts, lines, body_width(paper), space)
    laid = partial(
        flow,
        canvas,
        paper=paper,
        subject=guide.title,
        revision=guide.revision,
        waived=guide.waived,
        of=of,
    )
    before = canvas.count
    used = laid(story(SHARES[0]))
    whole = canvas.count - before - 1
    if not whole or used >= NEARLY_EMPTY:
        return
    saving = next((shares for shares in SHARES[1:] if pages_of(story(shares), paper) <= whole), None)
    if saving is not None:
        canvas.take_back(before)
        laid(story(saving))


def _story(
    guide: Guide,
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    width: float,
    space: SpaceSheet,
    shares: Shares,
) -> list[Any]:
    drawn = Drawn(layouts, lines, width, shares, space)
    story: list[Any] = [paragraph(guide.title, TITLE)]
    story += [
        paragraph("Install sheet: tick each step as you finish it."),
        gap(2),
        boxed(guide.before, width),
    ]
    story += waived_story(guide.waived, width)
    if guide.loop:
        story += [gap(2), boxed([guide.loop], width)]
    for listing in guide.lists:
        story += drawn.listing(listing)
    for phase in guide.phases:
        story += drawn.phase(phase)
    return story


def write_install_sheet(
    path: Path,
    *,
    guide: Guide,
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    space: SpaceSheet,
    paper: str,
) -> None:
    """Write ``install_sheet.pdf`` on A4, A3, letter or tabloid."""
    canvas = HeldCanvas(path)
    label_document(canvas, title=f"{guide.title}: install sheet", subject=guide.title)
    flow_guide(canvas, guide, layouts, lines, paper_choice(paper), space)
    canvas.write()
