"""A blank rebuilt from the printed sizes of its drawing, held against the plan within what was rounded off.

Nothing here looks at a line of the drawing: only at its words. What does not follow from them is a problem.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from shapely import hausdorff_distance, segmentize
from shapely.geometry import LinearRing

from generators.geometry.contours import bounds, polyline
from generators.model.plan import Hole, Slot
from generators.sheetmetal.folding import FlatPattern
from generators.verify.pdf.content import PdfFile
from generators.verify.pdf.rebuild.lines import bend_line
from generators.verify.pdf.rebuild.outline import CHORD_MM, NotDeterminedError, Point, Row, outline
from generators.verify.pdf.rebuild.printed import (
    Opening,
    bends,
    corners,
    datum_words,
    middle_of,
    openings,
)

HALF_MM = 0.00505
"""Half of the last printed digit."""

OUTLINE_MM = 0.02
"""Two corners and a radius, each rounded, move an outline by so much at a turn of 120° (closed form: their
sides by 0.0071, so the arc's middle by 0.0071 / cos 60°, and the arc by 0.005 more)."""

LINE_MM = 0.035
"""A side as long as it is far off is turned by the rounding of its ends: 0.0071 + 2 · 0.0071 + 0.005, and
both ends of the line lie 0.005 off along it."""

STEP_MM = 2.0

TURN_RAD = math.radians(0.00505)
CIRCLE_MM = 0.03
"""Two radii of centres that are each 0.0071 off, and the mean's own share."""

CIRCLE = re.compile(r"\(Holes ([\d, ]+): on Ø([\d.]+) PCD about .+?, every ([\d.]+)°\.\)")
LEAST_ON_CIRCLE = 3
HOLE_WORDS = "the centre of hole "


def rebuild_problems(pdf: PdfFile, flat: FlatPattern) -> list[str]:
    """What of the flat blank does not follow from the drawing's words, or follows otherwise than planned."""
    try:
        holes = openings(pdf)
        rows = corners(pdf, holes)
        points = outline(rows)
        words = datum_words(pdf)
    except NotDeterminedError as fault:
        return [f"the blank does not follow from the printed sizes: {fault}"]
    shift = _origin(flat, words)
    if shift is None:
        return [f"the blank does not follow from the printed sizes: X0 {words[0]!r}, Y0 {words[1]!r}"]
    return [
        *_datum_problems(points, holes, words),
        *_outline_problems(points, flat, shift),
        *_opening_problems(holes, flat, shift),
        *_bend_problems(pdf, rows, flat, shift),
        *_circle_problems(pdf, holes),
    ]


def drawn_from(pdf: PdfFile, flat: FlatPattern) -> Point | None:
    """Where the drawing counts X and Y from, on the plan's blank; ``None`` where its words do not say."""
    try:
        return _origin(flat, datum_words(pdf))
    except NotDeterminedError:
        return None


def _origin(flat: FlatPattern, words: tuple[str, str]) -> Point | None:
    """The place on the plan's blank that the words mean."""
    u0, v0, u1, v1 = bounds(flat.contour)
    found: list[float] = []
    for axis, (text, edge, low, high) in enumerate(
        ((words[0], "the left edge", u0, u1), (words[1], "the lower edge", v0, v1))
    ):
        if text == edge:
            found.append(low)
        elif text == "the middle of the blank":
            found.append((low + high) / 2)
        else:
            number = text.removeprefix(HOLE_WORDS)
            if not number.isdigit() or not 0 < int(number) <= len(flat.holes):
                return None
            hole = flat.holes[int(number) - 1]
            found.append((hole.u_mm, hole.v_mm)[axis])
    return found[0], found[1]


def _datum_problems(points: list[Point], holes: dict[str, Opening], words: tuple[str, str]) -> Iterator[str]:
    """The datum named must be at 0 in the sizes themselves."""
    low, high = middle_of(points)
    for axis, (name, text) in enumerate(zip("XY", words, strict=True)):
        if text in ("the left edge", "the lower edge"):
            at = low[axis]
        elif text == "the middle of the blank":
            at = (low[axis] + high[axis]) / 2
        else:
            hole = holes.get(text.removeprefix(HOLE_WORDS))
            at = math.inf if hole is None else (hole.x, hole.y)[axis]
        if abs(at) > OUTLINE_MM:
            yield f"{name} is counted from {text}, which the printed sizes put at {name} {at:.2f}"


def _outline_problems(points: list[Point], flat: FlatPattern, shift: Point) -> Iterator[str]:
    wanted = [(u - shift[0], v - shift[1]) for u, v in polyline(flat.contour, CHORD_MM)]
    # the distance is taken at points: straight sides get some of their own
    built, plan = (segmentize(LinearRing(ring), STEP_MM) for ring in (points, wanted))
    off = hausdorff_distance(built, plan)
    if off > OUTLINE_MM + 2 * CHORD_MM:
        yield f"the outline built from the printed corners is {off:.3f} mm off the plan's"


def _opening_problems(holes: dict[str, Opening], flat: FlatPattern, shift: Point) -> Iterator[str]:
    planned: tuple[Hole | Slot, ...] = (*flat.holes, *flat.slots)
    for extra in sorted(set(holes) - {str(i) for i in range(1, len(planned) + 1)}, key=int):
        yield f"the hole table has a row {extra}, the plan no such opening"
    for number, item in enumerate(planned, 1):
        said = holes.get(str(number))
        if said is None:
            yield f"opening {number} does not follow from the printed sizes: no row"
            continue
        travel, angle = (0.0, 0.0) if isinstance(item, Hole) else (item.travel_mm, item.angle_rad)
        width = item.diameter_mm if isinstance(item, Hole) else item.width_mm
        off = [
            abs(said.x - (item.u_mm - shift[0])) - HALF_MM,
            abs(said.y - (item.v_mm - shift[1])) - HALF_MM,
            abs(said.width - width) - HALF_MM,
            # the length is printed, and the width is taken off it
            abs(said.travel - travel) - 2 * HALF_MM,
        ]
        turned = abs(math.remainder(said.angle - angle, math.pi)) > TURN_RAD and travel > 0
        if max(off) > 0 or turned:
            yield f"opening {number} built from the printed sizes is not the plan's"


def _circle_problems(pdf: PdfFile, holes: dict[str, Opening]) -> Iterator[str]:
    """Holes said to lie on a bolt circle must lie on it by their own X and Y."""
    for page in pdf.pages:
        for match in CIRCLE.finditer(page.text):
            own = [holes[n] for n in match[1].split(", ") if n in holes]
            if len(own) < LEAST_ON_CIRCLE:
                yield f"no three of holes {match[1]} have a row, which are said to lie on a circle"
                continue
            x, y = sum(h.x for h in own) / len(own), sum(h.y for h in own) / len(own)
            off = max(abs(2 * math.hypot(h.x - x, h.y - y) - float(match[2])) for h in own)
            if off > CIRCLE_MM or abs(360 / len(own) - float(match[3])) > HALF_MM:
                yield f"holes {match[1]} do not lie on Ø{match[2]}, every {match[3]}°, by their X and Y"


def _bend_problems(pdf: PdfFile, rows: Sequence[Row], flat: FlatPattern, shift: Point) -> Iterator[str]:
    printed = bends(pdf)
    for strip in flat.bends:
        name = strip.bend.name.replace("_", " ")
        said = printed.get(name)
        if said is None:
            yield f"the line of bend {name} does not follow from the printed sizes: no row"
            continue
        try:
            line = bend_line(said, rows)
        except NotDeterminedError as fault:
            yield f"the line of bend {name} does not follow from the printed sizes: {fault}"
            continue
        wanted = [(u - shift[0], v - shift[1]) for u, v in strip.middle]
        off = min(
            max(math.dist(a, b) for a, b in zip(line, way, strict=True)) for way in (wanted, wanted[::-1])
        )
        if off > LINE_MM:
            yield f"the line of bend {name} built from the printed sizes is {off:.3f} mm off the plan's"
