"""Which part of a panel is printed, and how it is cut into overlapping pages.

Tiles are counted in panel coordinates (``i`` along u, ``j`` along v, both from 0), so the cab and
the engine template of a panel are cut alike. Every tile edge lies on whole millimetres.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np

from generators.drawing.template.tiling.printed import (
    Axis,
    Cell,
    Flags,
    Floats,
    Printed,
    Whole,
    axis_of,
    fitless,
    printed_of,
)
from generators.errors import ExportError
from generators.geometry.contours import bounds
from generators.model.plan import PanelHole, PanelLayout

OVERLAP_MM = 16  # even, so the middle of the overlap is a whole millimetre; at least 15 is asked
CONTENT_MARGIN_MM = 8.0
STARTS_PER_AXIS = 40
TRIED_IN_FULL = 24
ROUND_MM = (10, 5, 2)
"""Where a grid rather begins if that costs nothing: a hole that moves a little leaves the sheets in place."""
EXISTING = ("datum", "reuse", "blank")


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A grid of equal tiles: lower left corner, live size and counts; whole mm."""

    u0: int
    v0: int
    width: int
    height: int
    columns: int
    rows: int

    def box(self, cell: Cell) -> tuple[int, int, int, int]:
        """``(u0, v0, u1, v1)`` of a tile."""
        u = self.u0 + cell[0] * (self.width - OVERLAP_MM)
        v = self.v0 + cell[1] * (self.height - OVERLAP_MM)
        return u, v, u + self.width, v + self.height


@dataclass(frozen=True, slots=True, kw_only=True)
class TilePlan:
    """The tiles that are printed. ``cut`` names holes that are whole on no tile.

    ``cost`` is (holes whole nowhere, pages, circles cut by a tile edge).
    """

    grid: Grid
    printed: tuple[Cell, ...]
    cut: tuple[str, ...]
    cost: tuple[int, int, int]

    @property
    def skipped(self) -> tuple[Cell, ...]:
        """Tiles of the grid with nothing to mark."""
        every = [(i, j) for i in range(self.grid.columns) for j in range(self.grid.rows)]
        return tuple(cell for cell in every if cell not in self.printed)


def needed_holes(layout: PanelLayout) -> tuple[PanelHole, ...]:
    """The holes a template must show.

    All to drill, reuse or blank, the witness hole, the existing holes positions are measured from, and
    then the existing holes nearest to those until two are there to lay the sheet on.
    """
    named = {n for h in layout.holes for n in re.findall(r"\bhole (\w+)", h.position_note)}
    must = [
        h for h in layout.holes if h.status != "datum" or h.name == layout.witness_hole or h.number in named
    ]
    shown = {id(h) for h in must}
    spare = [h for h in layout.holes if id(h) not in shown]
    while spare and sum(h.status in EXISTING for h in must) < 2:
        best = min(spare, key=lambda h: (_grown(must, h), h.name))
        spare.remove(best)
        must.append(best)
        shown.add(id(best))
    return tuple(h for h in layout.holes if id(h) in shown)


def _grown(must: Sequence[PanelHole], hole: PanelHole) -> float:
    """Half the girth of the box around the centres once ``hole`` is in it."""
    us = [h.u_mm for h in (*must, hole)]
    vs = [h.v_mm for h in (*must, hole)]
    return max(us) - min(us) + max(vs) - min(vs)


def witness_hole(layout: PanelLayout) -> PanelHole | None:
    """The existing hole that shows a flipped sheet: the one named, else the one farthest off centre.

    ``None`` when every existing hole is within 1 mm of the panel's middle.
    """
    u0, _, u1, _ = bounds(layout.contour)
    off = {h.number: abs(h.u_mm - (u0 + u1) / 2) for h in layout.holes}
    old = [h for h in needed_holes(layout) if h.status in EXISTING and off[h.number] >= 1.0]
    named = [h for h in old if h.name == layout.witness_hole]
    return max(named or old, key=lambda h: off[h.number], default=None)


def content_box(holes: Sequence[PanelHole], margin: float = CONTENT_MARGIN_MM) -> tuple[int, int, int, int]:
    """Whole-mm box around the circles. Raises ``ExportError`` when there is no hole."""
    if not holes:
        raise ExportError("a panel without holes has nothing to mark")
    reach = [(h, h.final_dia_mm / 2 + margin) for h in holes]
    return (
        math.floor(min(h.u_mm - r for h, r in reach)),
        math.floor(min(h.v_mm - r for h, r in reach)),
        math.ceil(max(h.u_mm + r for h, r in reach)),
        math.ceil(max(h.v_mm + r for h, r in reach)),
    )


def plan_tiles(holes: Sequence[PanelHole], live_width: int, live_height: int) -> TilePlan:
    """The grid of ``live_width`` × ``live_height`` mm tiles that serves these holes best.

    First every hole whole on some page, since paper costs less than a spoilt panel; then the fewest
    pages, the fewest circles cut by a tile edge, and the most even margins. Then, at no cost, it begins at
    round places.
    Raises ``ExportError`` when there is no hole.
    """
    box = content_box(holes)
    best: tuple[tuple[float, ...], TilePlan] | None = None
    radii = np.array([h.final_dia_mm / 2 for h in holes])
    across = cache(partial(_axis, np.array([h.u_mm for h in holes]), radii))
    up = cache(partial(_axis, np.array([h.v_mm for h in holes]), radii))

    names, old = [h.number for h in holes], [h.status in EXISTING for h in holes]
    told: dict[tuple[Axis, Axis], Printed] = {}

    def axes_of(g: Grid) -> tuple[Axis, Axis]:
        return across(g.u0, g.width, g.columns), up(g.v0, g.height, g.rows)

    def planned(g: Grid) -> TilePlan:
        axes = axes_of(g)
        # grids that hold the holes alike are printed alike, wherever they begin
        if axes not in told:
            told[axes] = printed_of(names, old, *axes)
        printed, cut, touched = told[axes]
        return TilePlan(grid=g, printed=printed, cut=cut, cost=(len(cut), len(printed), touched))

    for extra_u in (0, 1):
        for extra_v in (0, 1):
            columns = _count(box[2] - box[0], live_width) + extra_u
            rows = _count(box[3] - box[1], live_height) + extra_v
            for u0, v0 in _promising(holes, box, (live_width, live_height), (columns, rows)):
                grid = Grid(u0=u0, v0=v0, width=live_width, height=live_height, columns=columns, rows=rows)
                # a hole that fits on no tile of the grid is whole on none that is printed
                if best is not None and fitless(*axes_of(grid)) > best[1].cost[0]:
                    continue
                plan = planned(grid)
                key = (*plan.cost, float(columns * rows), _unevenness(grid, box), u0, v0)
                if best is None or key < best[0]:
                    best = key, plan
    if best is None:
        raise ExportError("no tile grid fits this paper")
    return _trimmed(_rounded(best[1], box, planned))


def _rounded(plan: TilePlan, box: tuple[int, int, int, int], planned: Callable[[Grid], TilePlan]) -> TilePlan:
    """A plan as good that begins beside this one at rounder places, first along u, then along v."""
    for k, name in enumerate(("u0", "v0")):
        grid, start = plan.grid, getattr(plan.grid, name)
        end = grid.box((grid.columns - 1, grid.rows - 1))[k + 2]
        for other in _rounder(start, end - start, box[k], box[k + 2]):
            tried = plan if other == start else planned(replace(grid, **{name: other}))
            if tried.cost == plan.cost:
                plan = tried
                break
    return plan


def _count(span: int, live: int) -> int:
    step = live - OVERLAP_MM
    return max(1, math.ceil((span - OVERLAP_MM) / step))


def _unevenness(grid: Grid, box: tuple[int, int, int, int]) -> float:
    u1, v1 = grid.box((grid.columns - 1, grid.rows - 1))[2:]
    return abs((u1 - box[2]) - (box[0] - grid.u0)) + abs((v1 - box[3]) - (box[1] - grid.v0))


def _starts(lo: int, hi: int, live: int, count: int) -> list[int]:
    """Whole-mm starts from which ``count`` tiles cover ``lo`` to ``hi``, the most even first."""
    reach = live + (count - 1) * (live - OVERLAP_MM)
    first, last = hi - reach, lo
    step = max(1, (last - first) // STARTS_PER_AXIS)
    middle = (first + last) // 2
    # counted from 0, so that the same places are tried when the ends have moved a little
    return sorted(range(-(-first // step) * step, last + 1, step), key=lambda s: (abs(s - middle), s))


def _rounder(start: int, span: int, low: int, high: int) -> list[int]:
    """Places beside ``start`` from which ``span`` still covers ``low`` to ``high``, the roundest first."""
    near = {start // mm * mm + up for mm in ROUND_MM for up in (0, mm)}
    return sorted((s for s in near if high - span <= s <= low), key=lambda s: (_odd(s), abs(s - start), s))


def _odd(start: int) -> int:
    """How far from round: 0 for the roundest places."""
    return next((k for k, mm in enumerate(ROUND_MM) if start % mm == 0), len(ROUND_MM))


def _home(centres: Floats, start: int | Whole, live: int, count: int) -> Floats:
    """Tile index whose middle part holds each centre; outer tiles reach to the outer edge."""
    step = live - OVERLAP_MM
    index = np.floor((centres - start - OVERLAP_MM / 2) / step)
    home: Floats = np.clip(index, 0, count - 1)
    return home


def _whole_at_home(centres: Floats, radii: Floats, start: int | Whole, live: int, home: Floats) -> Flags:
    """Which circles lie whole in the span of their own tile."""
    low = start + home * (live - OVERLAP_MM)
    whole: Flags = (centres - radii >= low) & (centres + radii <= low + live)
    return whole


def _promising(
    holes: Sequence[PanelHole],
    box: tuple[int, int, int, int],
    live: tuple[int, int],
    count: tuple[int, int],
) -> list[tuple[int, int]]:
    """Offsets worth a full look: those with the fewest pages, and those with the fewest cut holes."""
    radii = np.array([h.final_dia_mm / 2 for h in holes])
    starts, homes, whole = [], [], []
    for k, centres in enumerate((np.array([h.u_mm for h in holes]), np.array([h.v_mm for h in holes]))):
        starts.append(_starts(box[k], box[k + 2], live[k], count[k]))
        begin = np.array(starts[k])[:, None]
        home = _home(centres, begin, live[k], count[k])
        homes.append(home)
        whole.append(_whole_at_home(centres, radii, begin, live[k], home))
    cells = np.sort(homes[0][:, None] * count[1] + homes[1], axis=2)
    page = (1 + (np.diff(cells, axis=2) != 0).sum(axis=2)).ravel()
    cut = (~(whole[0][:, None] & whole[1])).sum(axis=2).ravel()
    many = len(starts[1])
    across, up = np.repeat(starts[0], many), np.tile(starts[1], len(starts[0]))
    middle = np.add.outer(np.arange(len(starts[0])), np.arange(many)).ravel()
    # the last key counts most
    by_pages = np.lexsort((up, across, middle, cut, page))[:TRIED_IN_FULL]
    by_cuts = np.lexsort((up, across, middle, page, cut))[:TRIED_IN_FULL]
    return sorted({(int(across[k]), int(up[k])) for k in (*by_pages, *by_cuts)})


def _axis(centres: Floats, radii: Floats, start: int, live: int, count: int) -> Axis:
    low = (start + np.arange(count) * (live - OVERLAP_MM))[:, None]
    return axis_of(centres, radii, low, live, _home(centres, start, live, count))


def _trimmed(plan: TilePlan) -> TilePlan:
    """The same tiles without empty columns and rows at the rim."""
    i0, i1 = min(i for i, _ in plan.printed), max(i for i, _ in plan.printed)
    j0, j1 = min(j for _, j in plan.printed), max(j for _, j in plan.printed)
    u0, v0 = plan.grid.box((i0, j0))[:2]
    grid = replace(plan.grid, u0=u0, v0=v0, columns=i1 - i0 + 1, rows=j1 - j0 + 1)
    return replace(plan, grid=grid, printed=tuple((i - i0, j - j0) for i, j in plan.printed))


# --- registration marks ---------------------------------------------------------------------
MARK_DIA_MM = 5.0
MARK_ARM_MM = 4.0
LEAST_MARKS, APART_MM = 3, 40
"""By which a sheet can be measured, and how far apart both ways, mm: fewer do not tell scales and turn."""
