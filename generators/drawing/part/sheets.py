"""Which view and which table stands on which sheet of a drawing: scale first, then as few sheets as do.

Views are shared among one or two sheets, and every table joins a sheet of a view where there is room.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from generators.drawing.paper.sheet_layout import Block, Cell, arrange

Names = tuple[str, ...]

MOST_SHARED = 6
"""More pieces of tables than this are not tried on every sheet: each goes on one of its own."""

MOST_SHEETS = 3


def share(
    views: Sequence[Names], tables: Names, blocks: dict[str, Block], room: tuple[float, float]
) -> tuple[dict[str, Cell], ...] | None:
    """A cell for every block on as few sheets as ``room`` (width and height, mm) allows, or ``None``.

    ``views`` are the groups of views that may share a sheet, the flat one first. ``tables`` are in the order
    in which they are read; each goes to the first sheet of its own on which all find room.
    """
    known: dict[Names, dict[str, Cell] | None] = {}

    def placed(names: Names) -> dict[str, Cell] | None:
        if names not in known:
            own = [blocks[n] for n in names]
            fits = sum(b.width * b.height for b in own) <= room[0] * room[1] and all(
                b.width <= room[0] and b.height <= room[1] for b in own
            )
            known[names] = arrange(own, *room) if fits else None
        return known[names]

    for sheets in _shares(views, tables):
        cells = []
        for names in sheets:
            found = placed(names)
            if found is None:
                break
            cells.append(found)
        else:
            return tuple(cells)
    return None


def _shares(views: Sequence[Names], tables: Names) -> Iterator[tuple[Names, ...]]:
    """Ways to share, fewest first; tables prefer the sheet of the flat view, bends that of the folded one."""
    together: Names = tuple(n for group in views for n in group)
    starts = [(together,)] if len(views) == 1 else [(together,), tuple(views)]
    if len(tables) <= MOST_SHARED:
        for count in range(1, MOST_SHEETS + 1):
            for start in starts:
                if len(start) > count:
                    continue
                orders = [_preferred(name, len(start), count) for name in tables]
                for places in itertools.product(*orders):
                    sheets = [list(names) for names in start] + [[] for _ in range(count - len(start))]
                    for name, place in zip(tables, places, strict=True):
                        sheets[place].append(name)
                    if all(sheets):
                        yield tuple(tuple(names) for names in sheets)
    for start in starts:
        yield *start, *((name,) for name in tables)


def _preferred(table: str, views: int, count: int) -> list[int]:
    """The sheets of one table, best first."""
    order = list(range(count))
    if table.startswith("bends") and views > 1:
        order[0], order[1] = 1, 0
    return order
