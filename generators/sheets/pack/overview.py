"""Every panel at reduced scale: where things are, and on which sheet. Not to drill by."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.platypus import PageBreak

from generators.drawing.pack.choice import SheetSet
from generators.drawing.pack.first_page import nowhere
from generators.drawing.pack.tables import tabled
from generators.drawing.paper.pen import Pen
from generators.drawing.paper.signs import draw_legend
from generators.drawing.paper.sizes import PaperChoice
from generators.drawing.template.view import legend
from generators.geometry.contours import bounds
from generators.model.plan import PanelHole, PanelLayout
from generators.sheets.document import (
    SMALL,
    TITLE,
    Picture,
    body_height,
    body_width,
    boxed,
    gap,
    paragraph,
    side_by_side,
)
from generators.sheets.panel_view import MARGIN_MM, TALLEST_MM, PanelView

HEADING = "Overview: where things are"
NOT_TO_DRILL = "NOT TO DRILL BY and not 1:1: these pictures are smaller than the panels."
WHERE = "Dashed grey frames: the sheets of this pack, each with its page. On the sheets:"
LEGEND_MM = 2.7
AROUND_MM, HEADED_MM = 86.0, 34.0
"""Of the last page, for the words above and below the pictures; of the others, which have none below."""

BESIDE_MM = 2 * MARGIN_MM + 10.0
"""Of a picture and its scale, around the panel in it."""

LEAST_REDUCED = 1.5
"""Smaller than the panel by so much at least, for all to see: nobody lays it on the metal. Ours."""

GAP_MM = 6.0
MOST_STACKED = 3
STEPS = 40
ENOUGH = 0.75
"""Of a panel's holes, named in the picture: with fewer it is drawn larger, on more pages if need be."""

SOME_PAGE = 10
"""In the frames while the pages are counted."""


@dataclass(frozen=True, slots=True)
class OverviewPage:
    """The panels of one page, side by side in so many columns."""

    shown: tuple[PanelLayout, ...]
    columns: int
    last: bool = True
    """With the signs below its pictures."""

    tallest_mm: float = TALLEST_MM


def overview_pages(
    layouts: Sequence[PanelLayout], sets: Sequence[SheetSet], paper: PaperChoice
) -> list[OverviewPage]:
    """The fewest pages on which the numbers of each panel find room; none without a hole."""
    shown = tabled(layouts, sets)
    if not any(layout.holes for layout in layouts):
        return []
    tried: list[tuple[float, list[OverviewPage]]] = []
    for count in range(1, len(shown) + 1):
        each = -(-len(shown) // count)
        groups = [tuple(shown[k : k + each]) for k in range(0, len(shown), each)]
        # a picture as high as in other papers, or where its numbers find no room as high as the page
        for columns, tallest in itertools.product((1, 2), (TALLEST_MM, math.inf)):
            pages = [
                OverviewPage(group, columns, last=group is groups[-1], tallest_mm=tallest)
                for group in groups
                if columns <= len(group)
            ]
            if len(pages) < len(groups) or (columns == 1 and each > MOST_STACKED):
                continue
            share = min(_named(view) for page in pages for view in _views(page, sets, SOME_PAGE, paper))
            if share >= ENOUGH:
                return pages
            tried.append((share, pages))
    return max(tried, key=lambda found: found[0])[1]


def _named(view: PanelView) -> float:
    """The share of its holes whose number finds room."""
    holes = len(view.layout.holes)
    return view.lettered(nowhere()) / holes if holes else 1.0


def overview_story(
    pages: Sequence[OverviewPage], sets: Sequence[SheetSet], first: int, paper: PaperChoice
) -> list[Any]:
    """The pages; ``first`` is the page of the first sheet."""
    width = body_width(paper)
    story: list[Any] = []
    for page in pages:
        story += [PageBreak()] if story else []
        story += [paragraph(HEADING, TITLE), boxed([NOT_TO_DRILL], width), gap(1.5)]
        views = _views(page, sets, first, paper)
        drawn = [[view, paragraph(_below(view), SMALL)] for view in views]
        if page.columns == 1:
            story += [item for one in drawn for item in (*one, gap(1))]
            continue
        half = (width - GAP_MM) / 2
        for k in range(0, len(drawn), 2):
            beside = drawn[k + 1] if k + 1 < len(drawn) else gap(1)
            story += [side_by_side(drawn[k], beside, (half + GAP_MM, half)), gap(1)]
    if not sets:
        # nothing to drill: no sheet of which to tell
        return story
    signs = SignLegend([hole for page in pages for layout in page.shown for hole in layout.holes], width)
    means = legend((found.layout, found.face, leaf.box) for found in sets for leaf in found.way.leaves)
    return [*story, paragraph(WHERE, SMALL), paragraph(means, SMALL), gap(1), signs]


def _below(view: PanelView) -> str:
    """The scale, and how many of its holes found no room for their numbers in the picture."""
    holes = len(view.layout.holes)
    lost = holes - view.lettered(nowhere())
    without = f"; no room for the numbers of {lost} of its {holes} holes: see its sheets" if lost else ""
    return f"scale 1 : {1 / view.scale:.1f}{without}"


class SignLegend(Picture):
    """What the ring of each hole on the sheets says, as the covers of the templates have it."""

    def __init__(self, holes: Sequence[PanelHole], width_mm: float) -> None:
        self._holes = tuple(holes)
        super().__init__(width_mm, -draw_legend(nowhere(), self._holes, 0.0, 0.0, width_mm, LEGEND_MM))

    def paint(self, pen: Pen) -> None:
        """The signs in columns."""
        draw_legend(pen, self._holes, 0.0, self.size[1], self.size[0], LEGEND_MM)


def _views(page: OverviewPage, sets: Sequence[SheetSet], first: int, paper: PaperChoice) -> list[PanelView]:
    """A picture of each panel of the page, all at one scale as far as they have the width for it."""
    shown, columns = page.shown, page.columns
    width = (body_width(paper) - (columns - 1) * GAP_MM) / columns
    around = AROUND_MM if page.last else HEADED_MM
    room = body_height(paper) - around - BESIDE_MM * -(-len(shown) // columns)
    tallest = _tallest(page, width, room)
    return [
        PanelView(layout, width_mm=width, tallest_mm=high, sheets=_frames(layout, sets, first))
        for layout, high in zip(shown, tallest, strict=True)
    ]


def _frames(
    layout: PanelLayout, sets: Sequence[SheetSet], first: int
) -> list[tuple[str, tuple[int, int, int, int]]]:
    """The sheets with holes of that picture, each with its page, where they lie on it."""
    out: list[tuple[str, tuple[int, int, int, int]]] = []
    page = first
    for found in sets:
        shift = _shift(found.layout, layout)
        for leaf in found.way.leaves:
            if shift is not None:
                (du, dv), (u0, v0, u1, v1) = shift, leaf.box
                out.append((f"page {page}", (u0 + du, v0 + dv, u1 + du, v1 + dv)))
            page += 1
    return out


def _shift(sheet: PanelLayout, picture: PanelLayout) -> tuple[int, int] | None:
    """How far a sheet's panel is moved on a picture: flat round a fold it lies elsewhere; else None."""
    there = {h.number: h for h in picture.holes}
    shared = next(((h, there[h.number]) for h in sheet.holes if h.number in there), None)
    if shared is None:
        return None
    here, on = shared
    return round(on.u_mm - here.u_mm), round(on.v_mm - here.v_mm)


def _tallest(page: OverviewPage, width: float, room: float) -> list[float]:
    """How high each picture may be so that all fit on the page, mm: one scale for all, found by halving."""
    columns = page.columns
    boxes = [bounds(layout.contour) for layout in page.shown]
    sizes = [(u1 - u0, v1 - v0) for u0, v0, u1, v1 in boxes]

    def heights(scale: float) -> list[float]:
        return [min(scale, (width - 2 * MARGIN_MM) / w) * h for w, h in sizes]

    low, high = 0.0, 1 / LEAST_REDUCED
    for _ in range(STEPS):
        scale = (low + high) / 2
        each = heights(scale)
        rows = [max(each[k : k + columns]) for k in range(0, len(each), columns)]
        fits = sum(rows) <= room and max(each, default=0.0) <= page.tallest_mm
        low, high = (scale, high) if fits else (low, scale)
    return heights(low)
