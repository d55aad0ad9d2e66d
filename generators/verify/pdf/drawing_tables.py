"""The hole and bend tables of a finished drawing, read row by row against the plan.

Openings are numbered as the plan lists them on the blank, holes first, then slots. Where X and Y
are counted from is the drawing's choice, so all rows must be off the plan by one and the same amount.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

import numpy as np

from generators.figures import fixed
from generators.model.plan import Hole, PartPlan, Peg, Slot
from generators.sheetmetal.allowance import deduction
from generators.sheetmetal.folding import FlatBend, FlatPattern, folded_frames
from generators.verify.pdf.content import PdfFile

INCH_MM = 25.4
LAST_DIGIT = 1.01
CELLS_OF_PLACE = 5
CELLS_OF_BEND = 9
CELLS_OF_PEG = 9
MOST_BEFORE_TOLERANCE = 2  # height over the root, and how a slot is turned
FINE_MM = 0.05
LEAST_CUT = 12  # letters of a purpose that did not fit its column
CLASS = re.compile(r"[A-Z]+\d+")


def _rows(pdf: PdfFile, first: str) -> Iterator[list[str]]:
    """The texts on a level with each text ``first`` and right of it, from left to right.

    Other things on the sheet may stand on nearly the same line, but none inside a table's row.
    """
    for page in pdf.pages:
        for head in (w for w in page.words if w.text.strip() == first):
            level = [
                w
                for w in page.words
                if w.box[0] >= head.box[0] and w.box[1] < head.box[3] and head.box[1] < w.box[3]
            ]
            yield [w.text.strip() for w in sorted(level, key=lambda w: w.box[0]) if w.text.strip()]


def _sizes(item: Hole | Slot) -> list[str]:
    lengths = (
        [item.diameter_mm] if isinstance(item, Hole) else [item.width_mm, item.width_mm + item.travel_mm]
    )
    return [" × ".join(fixed(x, 2) for x in lengths), " × ".join(fixed(x / INCH_MM, 3) for x in lengths)]


def _number(text: str) -> float | None:
    try:
        return float(text.rstrip("°"))
    except ValueError:
        return None


def _same(text: str, value: float, digits: int) -> bool:
    """True when a cell is ``value`` rounded to so many digits."""
    found = _number(text)
    return found is not None and abs(found - value) <= 0.5 * LAST_DIGIT * 10**-digits


def _own_rows(pdf: PdfFile, number: int, item: Hole | Slot) -> Iterator[list[str]]:
    """Every row that gives this number and this size."""
    for label in (str(number), f"{number}*"):
        yield from (
            r
            for r in _rows(pdf, label)
            if len(r) >= CELLS_OF_PLACE and r[1:3] in (_sizes(item), _sizes(item)[::-1])
        )


def _says_deviations(row: Sequence[str], item: Hole | Slot) -> bool:
    """True when a cell after the place gives the tolerance of the diameter, rounded inward.

    A field of ISO 286 has its name before it. What is narrower than 0.05 mm is rounded to 0.001 mm, the rest
    to 0.01 mm.
    """
    if item.tolerance is None:
        return True
    narrow = item.tolerance.upper_mm - item.tolerance.lower_mm < FINE_MM
    last = 0.001 if narrow else 0.01
    wanted = item.tolerance.name if CLASS.fullmatch(item.tolerance.name) else ""
    for cell in row[CELLS_OF_PLACE : CELLS_OF_PLACE + MOST_BEFORE_TOLERANCE + 1]:
        lower, _, upper = cell.partition("/")
        name, _, lower = lower.rpartition(" ")
        low, high = _number(lower), _number(upper)
        if name != wanted or low is None or high is None:
            continue
        off = (low - item.tolerance.lower_mm, item.tolerance.upper_mm - high)
        if all(-LAST_DIGIT * 1e-4 <= x <= LAST_DIGIT * last for x in off):
            return True
    return False


def _places(pdf: PdfFile, number: int, item: Hole | Slot) -> Iterator[tuple[float, float]]:
    """X and Y of every row that gives this number and this size.

    The table has one. A label of that number in a view may stand on the level of another opening's row.
    """
    sizes = _sizes(item)
    for label in (str(number), f"{number}*"):
        for row in _rows(pdf, label):
            if len(row) < CELLS_OF_PLACE or row[1:3] not in (sizes, sizes[::-1]):
                continue
            x, y = _number(row[3]), _number(row[4])
            if x is not None and y is not None:
                yield x, y


def _near(here: tuple[float, float], origin: tuple[float, float]) -> bool:
    """True for the same origin: each cell is rounded, and so was the one the origin was taken from."""
    return max(abs(here[0] - origin[0]), abs(here[1] - origin[1])) <= LAST_DIGIT * 0.01


def _origin(found: Sequence[Sequence[tuple[float, float]]]) -> tuple[float, float] | None:
    """Where X and Y are counted from: what most openings agree on, the first of equals."""
    every = [here for offsets in found for here in offsets]
    return max(every, key=lambda o: sum(any(_near(h, o) for h in hs) for hs in found), default=None)


def _offsets(pdf: PdfFile, flat: FlatPattern) -> list[list[tuple[float, float]]]:
    """For each opening how far the rows of its number and size are off the plan."""
    items: tuple[Hole | Slot, ...] = (*flat.holes, *flat.slots)
    return [
        [(x - item.u_mm, y - item.v_mm) for x, y in _places(pdf, number, item)]
        for number, item in enumerate(items, 1)
    ]


def hole_table_problems(pdf: PdfFile, flat: FlatPattern) -> Iterator[str]:
    """Openings without a row of their number and size, and rows that place them elsewhere."""
    items: tuple[Hole | Slot, ...] = (*flat.holes, *flat.slots)
    found = _offsets(pdf, flat)
    origin = _origin(found)
    for number, (item, offsets) in enumerate(zip(items, found, strict=True), 1):
        if not offsets or origin is None:
            yield f"the hole table has no row {number} with {_sizes(item)[0]} mm"
        elif not any(_says_deviations(row, item) for row in _own_rows(pdf, number, item)):
            yield f"the hole table does not say how far the diameter of opening {number} may be off"
        elif not any(_near(here, origin) for here in offsets):
            x, y = offsets[0][0] + item.u_mm, offsets[0][1] + item.v_mm
            yield f"the hole table puts opening {number} at X {x:.2f}, Y {y:.2f}"


def hole_use_problems(pdf: PdfFile, plan: PartPlan, flat: FlatPattern) -> Iterator[str]:
    """Openings whose row gives another height over the root once bent, or another use, than the plan.

    Heights are those of the folded frames, of the centre on the flange's outer side.
    """
    items: tuple[Hole | Slot, ...] = (*flat.holes, *flat.slots)
    origin = _origin(_offsets(pdf, flat))
    use = CELLS_OF_PLACE + bool(plan.bends) + bool(flat.slots) + 1
    for number, (item, high) in enumerate(zip(items, _heights(plan), strict=True), 1):
        # without a row in its place that is told elsewhere
        rows = [r for r in _own_rows(pdf, number, item) if _in_place(r, item, origin)]
        if not rows:
            continue
        if plan.bends and not any(_is_height(r[CELLS_OF_PLACE:], high) for r in rows):
            said = "none" if high is None else f"{high:.2f}"
            found = ", ".join(r[CELLS_OF_PLACE] for r in rows if len(r) > CELLS_OF_PLACE) or "none"
            yield f"the hole table puts opening {number} {found} mm above the root once bent, the plan {said}"
        if not any(_is_text(r[use:], item.purpose) for r in rows):
            yield f"the hole table does not say that opening {number} is for {item.purpose}"


def _in_place(row: Sequence[str], item: Hole | Slot, origin: tuple[float, float] | None) -> bool:
    x, y = _number(row[3]), _number(row[4])
    if x is None or y is None or origin is None:
        return False
    return _near((x - item.u_mm, y - item.v_mm), origin)


def _is_height(cells: Sequence[str], high: float | None) -> bool:
    if not cells or high is None:
        return bool(cells) and cells[0] == "–"
    return _same(cells[0], high, 2)


def _is_text(cells: Sequence[str], text: str) -> bool:
    """True when the first cell is that text, or as much of it as there was room for."""
    said, wanted = " ".join(cells[0].split()) if cells else "", " ".join(text.split())
    return said == wanted or (len(said) > LEAST_CUT and said[-1] == "…" and wanted.startswith(said[:-1]))


def _heights(plan: PartPlan) -> list[float | None]:
    """How high every opening lies over the root's lower side once bent; None for those of the root."""
    frames = folded_frames(plan)
    outer = {b.child: 0.0 if b.direction == "up" else plan.thickness_mm for b in plan.bends}
    owned: list[tuple[str, Hole | Slot]] = [(f.name, x) for f in plan.flanges for x in f.holes]
    owned += [(f.name, x) for f in plan.flanges for x in f.slots]
    out: list[float | None] = []
    for name, x in owned:
        place = np.array([x.u_mm, x.v_mm, outer.get(name, 0.0), 1.0])
        out.append(float(frames[name][2] @ place) if name in outer else None)
    return out


def peg_table_problems(pdf: PdfFile, plan: PartPlan, flat: FlatPattern) -> Iterator[str]:
    """Pegs without a row, and rows that give another size, height, hole or place than the plan."""
    pegs = plan.flanges[0].pegs
    origin = _origin(_offsets(pdf, flat))
    for number, peg in enumerate(pegs, 1):
        # the peg's label in the view has other words on its level: the table's row is the one that fits best
        rows = [r for r in _rows(pdf, f"P{number}") if len(r) >= CELLS_OF_PEG]
        if not rows:
            yield f"the peg table has no row P{number}"
            continue
        said = [list(_peg_row(row, peg, number)) for row in rows]
        row, problems = min(zip(rows, said, strict=True), key=lambda pair: len(pair[1]))
        yield from problems
        x, y = _number(row[3]), _number(row[4])
        if x is None or y is None:
            continue
        here = (x - peg.u_mm, y - peg.v_mm)
        origin = origin or here
        if not _near(here, origin):
            yield f"the peg table puts P{number} at X {x:.2f}, Y {y:.2f}"


def _peg_row(row: Sequence[str], peg: Peg, number: int) -> Iterator[str]:
    """What a row says otherwise than the plan of a peg, its place apart."""
    for what, cell, value, digits in (
        ("a diameter of", row[1], peg.diameter_mm, 2),
        ("inches of", row[2], peg.diameter_mm / INCH_MM, 3),
        ("a height of", row[5], peg.height_mm, 2),
        ("a chamfer of", row[6].partition(" ")[0], peg.chamfer_mm, 2),
        ("a hole of", row[7], peg.hole_mm, 2),
    ):
        if not _same(cell, value, digits):
            yield f"the peg table gives P{number} {what} {cell}, the plan {value:.{digits}f}"
    if _number(row[3]) is None or _number(row[4]) is None:
        yield f"the peg table gives P{number} no place"


def bend_table_problems(pdf: PdfFile, plan: PartPlan, flat: FlatPattern) -> Iterator[str]:
    """Bends whose row says another direction, angle, radius, K, allowance or deduction."""
    for strip in flat.bends:
        name = strip.bend.name.replace("_", " ")
        found = [r for r in _rows(pdf, name) if len(r) >= CELLS_OF_BEND and r[1] in ("UP", "DOWN")]
        if not found:
            yield f"the bend table has no row {name!r}"
        for row in found:
            yield from _bend_row(row, strip, plan.thickness_mm, name)


def _bend_row(row: Sequence[str], strip: FlatBend, thickness_mm: float, name: str) -> Iterator[str]:
    b = strip.bend
    if row[1] != b.direction.upper():
        yield f"the bend table says {row[1]} for {name}"
    degrees = math.degrees(b.angle_rad)
    takes = deduction(b.angle_rad, b.inside_radius_mm, thickness_mm, b.k_factor) if degrees < 180 else None
    for what, cell, value, digits in (
        ("angle", row[2], degrees, 2),
        ("angle between", row[3], 180 - degrees, 2),
        ("inside radius", row[4], b.inside_radius_mm, 2),
        ("K", row[5], b.k_factor, 3),
        ("allowance", row[7], strip.allowance_mm, 2),
        ("deduction", row[8], takes, 2),
    ):
        if value is not None and not _same(cell, value, digits):
            yield f"the bend table says {what} {cell} for {name}, the plan {value:.{digits}f}"
