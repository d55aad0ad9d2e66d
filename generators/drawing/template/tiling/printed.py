"""Which tiles of one grid are printed: told by how its columns and its rows hold the holes, nothing else.

Two grids that hold the holes alike are printed alike, wherever they begin.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Cell = tuple[int, int]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Whole = NDArray[np.int_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """Tiles of a grid along one axis: the home of each circle, and which tiles it is whole in or touches.

    Sets of tiles are bits of a number, the first tile its lowest. ``roomy`` leaves 3 mm of air, ``whole``
    half a millimetre. ``count`` is how many tiles there are.
    """

    count: int
    home: tuple[int, ...]
    roomy: tuple[int, ...]
    whole: tuple[int, ...]
    touched: tuple[int, ...]


def axis_of(centres: Floats, radii: Floats, low: Whole, live: int, home: Floats) -> Axis:
    """Tiles along one axis from ``low`` (n, 1) on, each ``live`` mm long, and the ``home`` of each circle."""
    high = low + live

    def within(air: float) -> Flags:
        r = radii + air
        found: Flags = (low <= centres - r) & (centres + r <= high)
        return found

    return Axis(
        count=len(low),
        home=tuple(int(k) for k in home),
        roomy=_numbers(within(3.0)),
        whole=_numbers(within(0.5)),
        touched=_numbers((low < centres + radii) & (centres - radii < high)),
    )


def _numbers(flags: Flags) -> tuple[int, ...]:
    """For each column the rows that are set, as bits."""
    return tuple(sum(1 << k for k, there in enumerate(column) if there) for column in flags.T.tolist())


def _cells(across: int, up: int, rows: int) -> int:
    """The cells in those columns and rows, as bits: that of column i and row j is bit i · rows + j."""
    out = shift = 0
    while across:
        if across & 1:
            out |= up << shift
        across >>= 1
        shift += rows
    return out


def fitless(across: Axis, up: Axis) -> int:
    """How many holes are whole on no tile of the grid, printed or not."""
    return sum(not (i and j) for i, j in zip(across.whole, up.whole, strict=True))


Printed = tuple[tuple[Cell, ...], tuple[str, ...], int]
"""The tiles of a grid that are printed, the holes whole on none, and how many circles their edges cut."""


def printed_of(names: Sequence[str], old: Sequence[bool], across: Axis, up: Axis) -> Printed:
    """Which tiles of a grid to print, and what that costs; ``old`` says which holes are there already."""
    rows = up.count
    homes: dict[Cell, list[int]] = {}
    for k, cell in enumerate(zip(across.home, up.home, strict=True)):
        homes.setdefault(cell, []).append(k)
    kept = sum(1 << i * rows + j for i, j in homes)
    roomy = [_cells(i, j, rows) for i, j in zip(across.roomy, up.roomy, strict=True)]
    # a tile can go when its neighbours show all its holes whole, with a little air
    for i, j in sorted(homes, key=lambda c: (len(homes[c]), c)):
        own = 1 << i * rows + j
        if all(roomy[k] & kept & ~own for k in homes[i, j]):
            kept &= ~own
    whole = [_cells(i, j, rows) for i, j in zip(across.whole, up.whole, strict=True)]
    there = {divmod(k, rows) for k in range(kept.bit_length()) if kept >> k & 1}
    printed = _bridged(there, [cells for cells, is_old in zip(whole, old, strict=True) if is_old], rows)
    kept = sum(1 << i * rows + j for i, j in printed)
    cut_anywhere = 0
    whole_nowhere: list[str] = []
    for name, mine, i, j in zip(names, whole, across.touched, up.touched, strict=True):
        found = (mine & kept).bit_count()
        cut_anywhere += (_cells(i, j, rows) & kept).bit_count() - found
        if not found:
            whole_nowhere.append(name)
    return printed, tuple(whole_nowhere), cut_anywhere


def _groups(cells: Collection[Cell]) -> list[set[Cell]]:
    """Cells that share edges, as groups."""
    left = set(cells)
    groups: list[set[Cell]] = []
    while left:
        group: set[Cell] = set()
        front = [min(left)]
        while front:
            cell = front.pop()
            if cell not in left:
                continue
            left.discard(cell)
            group.add(cell)
            i, j = cell
            front += [(i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)]
        groups.append(group)
    return groups


def _bridged(kept: Collection[Cell], old: Sequence[int], rows: int) -> tuple[Cell, ...]:
    """Add the tiles without which loose pages could not be taped to the others.

    A group of pages may stand alone when two existing holes on it say where it goes; ``old`` are the cells
    each of those is whole in, as bits.
    """
    cells = set(kept)
    while len(groups := _groups(cells)) > 1:
        loose = [g for g in groups if _on(g, old, rows) < 2]
        if not loose:
            break
        group = min(loose, key=min)
        a, b = min(
            ((a, b) for a in group for b in cells - group),
            key=lambda p: (abs(p[0][0] - p[1][0]) + abs(p[0][1] - p[1][1]), p),
        )
        along = _steps(a[0], b[0])
        cells |= {(i, a[1]) for i in along} | {(b[0], j) for j in _steps(a[1], b[1])}
    return tuple(sorted(cells))


def _on(group: Collection[Cell], old: Sequence[int], rows: int) -> int:
    """How many of these holes are whole on a tile of the group."""
    mine = sum(1 << i * rows + j for i, j in group)
    return sum(bool(cells & mine) for cells in old)


def _steps(a: int, b: int) -> range:
    return range(min(a, b), max(a, b) + 1)
