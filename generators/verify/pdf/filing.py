"""A finished filing sheet, measured from the file alone and compared with what is to be filed.

The hole as it is, drawn at full size, is found by its size; from there every other hole and the line to file
to must lie where the metal has them, unturned and unmirrored.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

from generators.model.filing import Cut, Opening
from generators.standards import paper_rows
from generators.verify.pdf.content import (
    Circle,
    Content,
    Point,
    Shape,
    UnreadablePdfError,
    as_circle,
    plain,
    read_pdf,
)
from generators.verify.pdf.template.words import bar_problems
from generators.verify.readback import ReadBack

HERE_MM = 0.02
SIZE_MM = 0.01
NEAR_MM = 35.0
"""Other holes this near to the cut are on the sheet whole, whatever the paper."""

MUST_SAY = ("FILING SHEET", "FULL SIZE, 1:1", "Goggles", "local codes", "Measure all four bars")


def read_filing_pdf(path: Path, *, cuts: Sequence[Cut], job: str, revision: str, rel: str) -> ReadBack:
    """Measure filing sheets: paper, scale bars, words, and each hole with its line to file to (0.02 mm)."""
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    problems = [] if pdf.print_scaling is False else ["lets a viewer scale it"]
    if len(pdf.pages) != len(cuts):
        problems.append(f"has {len(pdf.pages)} pages for {len(cuts)} holes")
    for number, (page, cut) in enumerate(zip(pdf.pages, cuts, strict=False), 1):
        said = [*_paper(page), *bar_problems(page), *_words(page, cut, job, revision), *_shapes(page, cut)]
        problems += [f"page {number}: {text}" for text in said]
    facts = tuple(f"hole {cut.before.name}: its line to file to measured" for cut in cuts)
    return ReadBack(path=rel, facts=facts, problems=tuple(problems))


def _paper(page: Content) -> Iterator[str]:
    known = [(row.width_mm, row.height_mm) for row in paper_rows()]
    if not any(abs(page.width - w) < SIZE_MM and abs(page.height - h) < SIZE_MM for w, h in known):
        yield f"is {page.width:.2f} x {page.height:.2f} mm, no known paper"


def _words(page: Content, cut: Cut, job: str, revision: str) -> Iterator[str]:
    told = plain(page.text)
    for word in (*MUST_SAY, job, f"revision {revision}", cut.order, cut.edge, f"seen {cut.seen}"):
        if plain(word) not in told:
            yield f"does not say {word!r}"


def _shapes(page: Content, cut: Cut) -> Iterator[str]:
    """The hole at full size, the dashed line, and the holes round it."""
    circles = [c for s in page.shapes if s.stroked and (c := as_circle(s)) is not None]
    dashed = [s for s in page.shapes if s.stroked and s.dashed and s.closed and s.curves]
    was = cut.before
    starts: list[Point] = [
        (c.x, c.y) for c in circles if not c.shape.dashed and abs(c.diameter - was.width_mm) <= SIZE_MM
    ]
    if was.travel_mm:
        plain = [s for s in page.shapes if s.stroked and not s.dashed and s.closed and s.curves]
        starts = [_middle(s) for s in plain if _is_slot(s, was, _middle(s), was.at)]
    found = [at for at in starts if any(_is(s, cut.after, at, was.at) for s in dashed)]
    if not found:
        yield f"has no hole {was.name} of {was.width_mm:.2f} mm with its line to file to at full size"
        return
    near = [o for o in cut.others if math.dist(o.at, was.at) <= NEAR_MM and not o.travel_mm]
    lacking = min(([o.name for o in near if not _there(circles, o, at, was.at)] for at in found), key=len)
    yield from (f"hole {name} does not lie from {was.name} as on the metal" for name in lacking)


def _there(circles: Sequence[Circle], other: Opening, at: Point, origin: Point) -> bool:
    x, y = at[0] + other.at[0] - origin[0], at[1] + other.at[1] - origin[1]
    return any(
        math.dist((c.x, c.y), (x, y)) <= HERE_MM and abs(c.diameter - other.width_mm) <= SIZE_MM
        for c in circles
    )


def _is(shape: Shape, wanted: Opening, at: Point, origin: Point) -> bool:
    if not wanted.travel_mm:
        circle = as_circle(shape)
        if circle is None:
            return False
        x, y = at[0] + wanted.at[0] - origin[0], at[1] + wanted.at[1] - origin[1]
        return math.dist((circle.x, circle.y), (x, y)) <= HERE_MM and (
            abs(circle.diameter - wanted.width_mm) <= SIZE_MM
        )
    return _is_slot(shape, wanted, at, origin)


def _is_slot(shape: Shape, wanted: Opening, at: Point, origin: Point) -> bool:
    """True when every on-curve point lies half a width from the slot's middle line, both ends reached."""
    c, s = math.cos(wanted.angle_rad), math.sin(wanted.angle_rad)
    x, y = at[0] + wanted.at[0] - origin[0], at[1] + wanted.at[1] - origin[1]
    half, ends = wanted.travel_mm / 2, []
    for px, py in shape.points:
        along, across = c * (px - x) + s * (py - y), -s * (px - x) + c * (py - y)
        over = max(abs(along) - half, 0.0)
        if abs(math.hypot(over, across) - wanted.width_mm / 2) > HERE_MM:
            return False
        ends.append(along)
    reach = half + wanted.width_mm / 2
    return bool(ends) and max(ends) > reach - HERE_MM and min(ends) < HERE_MM - reach


def _middle(shape: Shape) -> Point:
    x0, y0, x1, y1 = shape.box
    return (x0 + x1) / 2, (y0 + y1) / 2
