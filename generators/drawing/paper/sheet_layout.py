"""Where the blocks of a drawing go on its sheet: the best of all ways to slice the sheet.

Blocks are stacked in rows and columns, nested at will. For every set of blocks only the outer
sizes nothing else undercuts are kept (the shape lists of slicing floor plans, L. Stockmeyer 1983,
from memory), so every arrangement is weighed without drawing any.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

GAP_MM = 3.5


@dataclass(frozen=True, slots=True)
class Block:
    """Something to place: its name and its size in mm."""

    name: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Slice:
    """A block, or two slices beside (``row``) or above each other; ``first`` is left or above."""

    width: float
    height: float
    block: Block | None = None
    first: Slice | None = None
    second: Slice | None = None
    row: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """Room given to a block: lower left corner and size, mm."""

    x: float
    y: float
    width: float
    height: float


def arrange(blocks: Sequence[Block], width: float, height: float) -> dict[str, Cell] | None:
    """A cell for every block within ``width`` × ``height`` mm (origin lower left), or ``None``.

    Of all that fit, the one with the most even room to spare. Earlier blocks come left and above.
    """
    if not blocks:
        return {}
    found = [s for s in _shapes(tuple(blocks), {}) if s.width <= width and s.height <= height]
    if not found:
        return None
    best = max(found, key=lambda s: min(width / s.width, height / s.height))
    cells: dict[str, Cell] = {}
    _spread(best, Cell(0.0, 0.0, width, height), cells)
    return cells


def _shapes(blocks: tuple[Block, ...], known: dict[tuple[Block, ...], list[Slice]]) -> list[Slice]:
    if blocks in known:
        return known[blocks]
    if len(blocks) == 1:
        known[blocks] = [Slice(blocks[0].width, blocks[0].height, block=blocks[0])]
        return known[blocks]
    candidates: list[Slice] = []
    for one, other in _splits(blocks):
        for a in _shapes(one, known):
            for b in _shapes(other, known):
                candidates.append(
                    Slice(a.width + GAP_MM + b.width, max(a.height, b.height), None, a, b, True)
                )
                candidates.append(
                    Slice(max(a.width, b.width), a.height + GAP_MM + b.height, None, a, b, False)
                )
    candidates.sort(key=lambda s: (s.width, s.height))
    kept: list[Slice] = []
    for shape in candidates:
        if not kept or shape.height < kept[-1].height - 1e-9:
            kept.append(shape)
    known[blocks] = kept
    return kept


def _splits(blocks: tuple[Block, ...]) -> Iterator[tuple[tuple[Block, ...], tuple[Block, ...]]]:
    """Both parts keep their order, and the first block is always in the first part."""
    rest = blocks[1:]
    for mask in range(2 ** len(rest) - 1):
        one = (blocks[0], *(b for i, b in enumerate(rest) if mask >> i & 1))
        other = tuple(b for i, b in enumerate(rest) if not mask >> i & 1)
        yield one, other


def _spread(shape: Slice, cell: Cell, cells: dict[str, Cell]) -> None:
    """Share spare room between two slices in proportion to their size."""
    if shape.block is not None:
        cells[shape.block.name] = cell
        return
    a, b = shape.first, shape.second
    if a is None or b is None:
        return
    if shape.row:
        spare = cell.width - GAP_MM - a.width - b.width
        left = a.width + spare * a.width / (a.width + b.width)
        _spread(a, Cell(cell.x, cell.y, left, cell.height), cells)
        _spread(b, Cell(cell.x + left + GAP_MM, cell.y, cell.width - left - GAP_MM, cell.height), cells)
    else:
        spare = cell.height - GAP_MM - a.height - b.height
        upper = a.height + spare * a.height / (a.height + b.height)
        _spread(a, Cell(cell.x, cell.y + cell.height - upper, cell.width, upper), cells)
        _spread(b, Cell(cell.x, cell.y, cell.width, cell.height - upper - GAP_MM), cells)
