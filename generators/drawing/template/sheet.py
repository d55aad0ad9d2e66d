"""Which paper one template takes: page size, live area and tiles, alike for both faces.

A sheet to mark holes from is a ``Leaf``: everything it shows and says but for its page number, so that a
file of one panel and a file of the whole job draw it alike.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import pairwise

from generators.drawing.paper.furniture import Live, PageMap, Words, draw_furniture, live_area, page_for
from generators.drawing.paper.pdf_pen import LARGEST_PAGE_MM, PdfPen
from generators.drawing.paper.sizes import PaperChoice
from generators.drawing.pieces import put
from generators.drawing.template.page import draw_tile, tile_of
from generators.drawing.template.tiles import (
    APART_MM,
    EXISTING,
    LEAST_MARKS,
    MARK_ARM_MM,
    OVERLAP_MM,
    Grid,
    TilePlan,
    content_box,
    needed_holes,
    plan_tiles,
)
from generators.drawing.template.tiling.printed import Cell
from generators.drawing.template.view import View
from generators.layout.distances import Pair
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import Face

CHECK_END_MM = 8.0
ROLL_MARGIN_MM = 32.0  # room for labels around the holes: on a roll, length is cheap


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One way to lay the paper: page size, live area and tiles."""

    width: float
    height: float
    lying: bool
    live: Live
    tiles: TilePlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """A sheet to mark holes from, but for its page number.

    ``width`` and ``height`` are of what is drawn on, ``box`` the tile it shows in panel mm. ``cell`` is its
    column and row among the ``grid`` (columns, rows) of sheets it is joined to, as seen on the paper from
    the left and from the top, from 0; None on a sheet that is laid by itself. ``only`` are the holes to work
    by, None for all. ``name`` says in few words where it lies. ``laid`` is how many distances in words place
    each of its outer holes, at least.
    """

    layout: PanelLayout
    face: Face
    name: str
    where: str
    box: tuple[int, int, int, int]
    width: float
    height: float
    lying: bool
    marks: tuple[tuple[int, int], ...]
    links: tuple[Pair, ...]
    words: Words
    cell: tuple[int, int] | None = None
    grid: tuple[int, int] = (1, 1)
    only: frozenset[str] | None = None
    laid: int = 0

    @property
    def view(self) -> View:
        """Where panel points lie on the page."""
        return View(live=live_area(self.width, self.height), box=self.box, mirror=self.face == "engine")

    def shows(self, hole: PanelHole, air: float = 0.5) -> bool:
        """True when the whole circle lies on this sheet, ``air`` mm off its edge."""
        r = hole.final_dia_mm / 2 + air
        u0, v0, u1, v1 = self.box
        return u0 <= hole.u_mm - r and hole.u_mm + r <= u1 and v0 <= hole.v_mm - r and hole.v_mm + r <= v1


def page_map(leaves: Sequence[Leaf], first: int, here: tuple[int, int] | None) -> PageMap | None:
    """Where each of the joined sheets sits, the first of them on page ``first``; None for loose sheets."""
    pages = {leaf.cell: number for number, leaf in enumerate(leaves, first) if leaf.cell is not None}
    if not pages:
        return None
    columns, rows = leaves[0].grid
    return PageMap(columns=columns, rows=rows, pages=pages, here=here)


def draw_leaf(
    pen: PdfPen,
    leaf: Leaf,
    choice: PaperChoice,
    number: int,
    count: int,
    joined: PageMap | None,
    type_scale: float,
) -> set[str]:
    """Draw a sheet on a page of its own; returns the numbers of holes whose label found no place."""
    pen.page(leaf.width, leaf.height, lying=leaf.lying, on=choice.sheet_of(leaf.width, leaf.height))
    tile = tile_of(
        leaf.layout,
        leaf.view,
        leaf.face,
        leaf.marks,
        leaf.links,
        type_scale,
        leaf.only,
        waived=bool(leaf.words.waived),
    )
    lost = put(pen, partial(draw_tile, tile=tile))
    draw_furniture(pen, leaf.words, leaf.where, number, count, joined)
    return set(lost) if leaf.only is None else set(lost) & leaf.only


def sheet_for(
    layout: PanelLayout,
    choice: PaperChoice,
    other: PanelLayout | None = None,
) -> tuple[tuple[PanelHole, ...], Sheet]:
    """The holes the template must show, and the paper for them.

    A kept hole nobody needs is shown where it happens to lie on a sheet. Round a fold it may lie on the
    sheets of one face and beside those of the ``other``: then both must show it, and are laid out again.
    """
    needed = {h.number for h in needed_holes(layout)}
    if other is not None:
        needed |= {h.number for h in needed_holes(other)}
    while True:
        holes = tuple(h for h in layout.holes if h.number in needed)
        sheet = _sheet((*holes, *_check_ends(layout)), choice)
        if other is None:
            return holes, sheet
        there = tuple(h for h in other.holes if h.number in needed)
        one = _shown(layout, sheet)
        two = _shown(other, _sheet((*there, *_check_ends(other)), choice))
        apart = (one ^ two) - needed
        if not apart:
            return holes, sheet
        needed |= apart


def _shown(layout: PanelLayout, sheet: Sheet) -> set[str]:
    """Numbers of the holes whose centres lie on the sheets."""
    boxes = [sheet.tiles.grid.box(cell) for cell in sheet.tiles.printed]
    return {
        h.number for h in layout.holes if any(b[0] < h.u_mm < b[2] and b[1] < h.v_mm < b[3] for b in boxes)
    }


def sheet_of(layout: PanelLayout, choice: PaperChoice, numbers: Collection[str]) -> Sheet:
    """The paper for the holes of those numbers and no others, but for the check lengths of folds."""
    holes = tuple(h for h in layout.holes if h.number in numbers)
    return _sheet((*holes, *_check_ends(layout)), choice)


# round a fold each face asks for the sheets of both; the pack asks for those of each template
@lru_cache(maxsize=64)
def _sheet(holes: tuple[PanelHole, ...], choice: PaperChoice) -> Sheet:
    return _roll(holes, choice) if choice.is_roll else _cut_sheet(holes, choice)


def _check_ends(layout: PanelLayout) -> tuple[PanelHole, ...]:
    """Stand-ins that keep each check length whole on one sheet; nothing is drawn of them."""
    return tuple(
        PanelHole(
            number="",
            name="",
            u_mm=(a[0] + b[0]) / 2,
            v_mm=(a[1] + b[1]) / 2,
            final_dia_mm=math.dist(a, b) + CHECK_END_MM,
            pilot_dia_mm=0.0,
            purpose="",
            tool="",
            drill_face="cab",
            status="datum",
            owners=(),
            kind="existing",
        )
        for a, b in (wrap.check for wrap in layout.wraps)
    )


def _cut_sheet(holes: tuple[PanelHole, ...], choice: PaperChoice) -> Sheet:
    """The orientation with the fewest pages, then the fewest cut holes; upright when equal."""
    found: list[Sheet] = []
    across, up = choice.drawn_mm[0], choice.drawn_mm[1] or 0.0
    for width, tall in ((across, up), (up, across)):
        live = live_area(width, tall)
        found.append(
            Sheet(
                width=width,
                height=tall,
                lying=width > tall,
                live=live,
                tiles=plan_tiles(holes, live.width, live.height),
            )
        )
    return min(found, key=lambda s: s.tiles.cost)


def _roll(holes: tuple[PanelHole, ...], choice: PaperChoice) -> Sheet:
    """Along or across the roll, whichever needs fewer sheets and then less paper."""
    u0, v0, u1, v1 = content_box(holes, ROLL_MARGIN_MM)
    found: list[tuple[tuple[int, int, float], Sheet]] = []
    roll = choice.width_mm
    upright = (roll, min(page_for(0, v1 - v0)[1], LARGEST_PAGE_MM))
    along = (min(page_for(u1 - u0, 0)[0], LARGEST_PAGE_MM), roll)
    for (width, height), length in ((upright, upright[1]), (along, along[0])):
        live = live_area(width, height)
        tiles = plan_tiles(holes, live.width, live.height)
        lying = width != roll
        sheet = Sheet(width=width, height=height, lying=lying, live=live, tiles=tiles)
        found.append(((*tiles.cost[:2], tiles.cost[1] * length), sheet))
    return min(found, key=lambda pair: pair[0])[1]


# --- registration marks ---------------------------------------------------------------------
def registration_marks(grid: Grid, holes: Sequence[PanelHole]) -> dict[Cell, tuple[tuple[int, int], ...]]:
    """Whole-mm panel points of the marks of each tile, shared with its neighbours.

    They lie on the middle lines of the overlaps: at each crossing, and half-way along each edge.
    A mark moves a little, or is left out, where a hole is in its way. A sheet that would
    have too few to be measured by, in a hole wider than itself, has them in that hole.
    """
    marks = _marks_off(grid, lambda point, moves: _clear(point, moves, holes))
    if all(map(_measure, marks.values())):
        return marks
    whole = _marks_off(grid, lambda point, moves: _clear(point, moves, holes, cut_away=False))
    return {cell: own if _measure(own) else whole[cell] for cell, own in marks.items()}


def _measure(marks: Sequence[tuple[int, int]]) -> bool:
    """True for marks a sheet can be measured by: enough, and not on one line."""
    return len(marks) >= LEAST_MARKS and all(max(x) - min(x) >= APART_MM for x in zip(*marks, strict=True))


def _marks_off(
    grid: Grid, clear: Callable[[tuple[int, int], Sequence[tuple[int, int]]], tuple[int, int] | None]
) -> dict[Cell, tuple[tuple[int, int], ...]]:
    """The marks of each tile, each where ``clear`` has it moved to."""
    half = OVERLAP_MM // 2
    step_u, step_v = grid.width - OVERLAP_MM, grid.height - OVERLAP_MM
    us = [grid.u0 + half + i * step_u for i in range(grid.columns + 1)]
    vs = [grid.v0 + half + j * step_v for j in range(grid.rows + 1)]
    near = _nearest_first((du, dv) for du in range(-4, 5) for dv in range(-4, 5))
    corner = {(i, j): clear((u, v), near) for i, u in enumerate(us) for j, v in enumerate(vs)}
    span_u = _nearest_first((d, 0) for d in range(-step_u // 4, step_u // 4 + 1))
    span_v = _nearest_first((0, d) for d in range(-step_v // 4, step_v // 4 + 1))
    below = {
        (i, j): clear(((a + b) // 2, v), span_u)
        for i, (a, b) in enumerate(pairwise(us))
        for j, v in enumerate(vs)
    }
    left = {
        (i, j): clear((u, (a + b) // 2), span_v)
        for i, u in enumerate(us)
        for j, (a, b) in enumerate(pairwise(vs))
    }
    marks: dict[Cell, tuple[tuple[int, int], ...]] = {}
    for i in range(grid.columns):
        for j in range(grid.rows):
            mine = [corner[c] for c in ((i, j), (i + 1, j), (i, j + 1), (i + 1, j + 1))]
            mine += [below[i, j], below[i, j + 1], left[i, j], left[i + 1, j]]
            marks[i, j] = tuple(sorted(m for m in mine if m is not None))
    return marks


def _nearest_first(moves: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    return sorted(moves, key=lambda m: (m[0] ** 2 + m[1] ** 2, m))


def _clear(
    point: tuple[int, int],
    moves: Sequence[tuple[int, int]],
    holes: Sequence[PanelHole],
    *,
    cut_away: bool = True,
) -> tuple[int, int] | None:
    """The first moved point that stays off circles and centres; ``cut_away`` out of holes there are, too."""
    for du, dv in moves:
        u, v = point[0] + du, point[1] + dv
        if all(_off(math.hypot(h.u_mm - u, h.v_mm - v), h, cut_away=cut_away) for h in holes):
            return u, v
    return None


def _off(distance: float, hole: PanelHole, *, cut_away: bool) -> bool:
    radius = hole.final_dia_mm / 2
    # inside a hole that is there the paper is cut away
    if radius < 12 or (cut_away and hole.status in EXISTING):
        return distance > radius + MARK_ARM_MM + 1.5
    return distance > MARK_ARM_MM + 8 and abs(distance - radius) > MARK_ARM_MM + 1.5
