"""Reads a sheet of what differs back: what it says, and that its arrows lead from holes as they were to holes
as they are, all of a panel at one scale."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from generators.verify.pdf.content import Content, Point, UnreadablePdfError, as_circle, read_pdf
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.readback import ReadBack

Move = tuple[Point, Point]
SHOWN_MM = 1.0
"""Moves shorter than this on paper have no arrow."""
SAME_MM = 0.05
MOST_SCALE = 3.0


def read_compared(
    path: Path,
    *,
    rel: str,
    title: str,
    revision: str,
    words: Sequence[str],
    moves: Sequence[Sequence[Move]],
) -> ReadBack:
    """The finished sheet. ``moves`` are from where to where holes went, in mm, panel by panel."""
    reading = read_sheet_pdf(path, title=title, revision=revision, rel=rel, words=words)
    if reading.problems:
        return reading
    try:
        pages = read_pdf(path).pages
    except UnreadablePdfError as error:
        return replace(reading, problems=(str(error),))
    problems = [p for panel in moves if panel for p in _panel_problems(pages, panel)]
    arrows = sum(len(panel) for panel in moves)
    return replace(reading, facts=(*reading.facts, f"{arrows} moved holes shown"), problems=tuple(problems))


def _panel_problems(pages: Sequence[Content], moves: Sequence[Move]) -> Iterator[str]:
    """One scale at which every move of a panel is on one page must exist."""
    if not any(_drawn(page, moves) for page in pages):
        (u, v), (u2, v2) = moves[0]
        yield f"has no picture that shows a hole from {u:.2f}, {v:.2f} to {u2:.2f}, {v2:.2f} with its panel"


def _drawn(page: Content, moves: Sequence[Move]) -> bool:
    circles = [(c, s.dashed) for s in page.shapes if (c := as_circle(s)) is not None]
    ghosts = [(c.x, c.y) for c, dashed in circles if dashed]
    holes = [(c.x, c.y) for c, dashed in circles if not dashed]
    (u, v), (u2, v2) = max(moves, key=lambda move: math.dist(*move))
    for gx, gy in ghosts:
        for hx, hy in holes:
            scale = math.dist((gx, gy), (hx, hy)) / math.dist((u, v), (u2, v2))
            if not 0 < scale <= MOST_SCALE:
                continue
            # where the panel's origin is, and then every other hole where it must be
            x0, y0 = gx - u * scale, gy - v * scale
            if all(
                _near(ghosts, (x0 + a * scale, y0 + b * scale))
                and _near(holes, (x0 + c * scale, y0 + d * scale))
                and (
                    math.dist((a, b), (c, d)) * scale < SHOWN_MM
                    or _line(page, (x0 + a * scale, y0 + b * scale), (x0 + c * scale, y0 + d * scale))
                )
                for (a, b), (c, d) in moves
            ):
                return True
    return False


def _near(places: Sequence[Point], at: Point) -> bool:
    return any(math.dist(place, at) <= SAME_MM for place in places)


def _line(page: Content, start: Point, end: Point) -> bool:
    """A straight line from one to the other."""
    return any(
        len(s.points) == 2
        and math.dist(s.points[0], start) <= SAME_MM
        and math.dist(s.points[1], end) <= SAME_MM
        for s in page.shapes
        if not s.curves
    )
