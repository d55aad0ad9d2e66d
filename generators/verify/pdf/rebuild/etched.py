"""The letters of a drawing against the numbers it gives for their place: row, strokes and datums agree."""

from __future__ import annotations

import re
from collections.abc import Iterator

from generators.geometry.contours import bounds
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import FlatPattern
from generators.sheetmetal.marking.letters import strokes
from generators.verify.pdf.content import Box, Content, PdfFile, Shape, plain

PLACE = re.compile(
    r"(?P<high>[\d.]+)mmhigh,uppersideof(?P<flange>.+?),"
    r"X(?P<x0>-?[\d.]+)to(?P<x1>-?[\d.]+),Y(?P<y0>-?[\d.]+)to(?P<y1>-?[\d.]+);amarkonly"
)
ISSUE = plain("The issue is the part's, the revision these papers': work from the newest.")
PRINTED_MM, PAPER_MM = 0.06, 0.02
"""Half of a tenth on either end, and what a file's own rounding moves a point by on paper."""


def etched_place_problems(
    pdf: PdfFile, plan: PartPlan, flat: FlatPattern, ratio: float, origin: tuple[float, float] | None
) -> Iterator[str]:
    """What is wrong with the row on the letters, and with the strokes of the flat view it speaks of.

    ``ratio`` is paper mm per mm, ``origin`` where the drawing counts X and Y from, on the blank. A drawing
    without such a row is no fault of its own: there may be no room for letters.
    """
    if not plan.etch or origin is None:
        return
    where = [PLACE.search(plain(page.text)) for page in pdf.pages]
    if not any(where):
        if any("etched" in page.text for page in pdf.pages):
            yield "the row on the letters does not give their place from the datums"
        return
    if not all(where) or len({m[0] for m in where if m}) > 1:
        yield "the sheets do not all give the same place of the letters"
        return
    yield from (
        f"sheet {number} does not say how an issue and a revision belong together"
        for number, page in enumerate(pdf.pages, 1)
        if ISSUE not in plain(page.text)
    )
    said = next(m for m in where if m)
    low, high = ((float(said[f"x{i}"]) + origin[0], float(said[f"y{i}"]) + origin[1]) for i in (0, 1))
    sides, wanted = (
        sorted((high[0] - low[0], high[1] - low[1])),
        sorted(_size(plan.etch, float(said["high"]))),
    )
    if any(abs(a - b) > 2 * PRINTED_MM for a, b in zip(sides, wanted, strict=True)):
        yield (
            f"letters {said['high']} mm high are given {sides[0]:.1f} by {sides[1]:.1f} mm of room, wanted "
            f"{wanted[0]:.1f} by {wanted[1]:.1f}"
        )
    for page in pdf.pages:
        outline = _outline(page, flat, ratio)
        if outline is None:
            continue
        u0, v0, _, _ = bounds(flat.contour)
        shift = outline[0] - u0 * ratio, outline[1] - v0 * ratio
        room = tuple(c * ratio + shift[i % 2] for i, c in enumerate((*low, *high)))
        slack = PRINTED_MM * ratio + PAPER_MM
        boxes = [s.box for s in page.shapes if not s.closed and not s.filled and _within(s, room, slack)]
        seen = (
            [min(b[i] for b in boxes) for i in (0, 1)] + [max(b[i] for b in boxes) for i in (2, 3)]
            if boxes
            else []
        )
        if not seen or any(abs(a - b) > slack for a, b in zip(seen, room, strict=True)):
            yield "the letters of the flat view are not where the row on them says"
        return


def _size(text: str, high_mm: float) -> tuple[float, float]:
    """How wide and how high the strokes of a line of letters are: a 1 alone is narrower than it is high."""
    x, y = zip(*(point for stroke in strokes(text, high_mm) for point in stroke), strict=True)
    return max(x) - min(x), max(y) - min(y)


def _outline(page: Content, flat: FlatPattern, ratio: float) -> Box | None:
    u0, v0, u1, v1 = bounds(flat.contour)
    wide, high = (u1 - u0) * ratio, (v1 - v0) * ratio
    for shape in page.shapes:
        x0, y0, x1, y1 = shape.box
        if shape.closed and abs(x1 - x0 - wide) < PAPER_MM and abs(y1 - y0 - high) < PAPER_MM:
            return shape.box
    return None


def _within(shape: Shape, room: tuple[float, ...], slack: float) -> bool:
    x0, y0, x1, y1 = shape.box
    return x0 > room[0] - slack and y0 > room[1] - slack and x1 < room[2] + slack and y1 < room[3] + slack
