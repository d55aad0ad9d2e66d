"""Labels of a finished template: each leader is followed from its hole to its label, and the label read."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from generators.model.plan import PanelHole
from generators.verify.pdf.content import Box, Content, Point, Shape
from generators.verify.pdf.template.words import says, within_limits
from generators.verify.pdf.template.works import SECOND_RING_MM, label_problems

ON_RIM_MM = 0.05
ON_EDGE_MM = 0.05
ROUNDING_MM = 0.005 + 1e-6
DIAMETERS = re.compile(r"(pilot )?Ø((?:\d+ )?\d+/\d+ in|[\d.]+(?: in)?)")
HALF_THOU_MM = 0.0127
MAY_BE = re.compile(r"may be (\d[\d.]* to \d[\d.]*) (mm|in)")
STAR, STARRED = "*", "what the hole may be stands in the hole table"
FROM_SIDE = re.compile(r"drill from the (cab|engine) side")
Placed = Mapping[str, tuple[PanelHole, Point]]


def _boxes(page: Content) -> list[Shape]:
    return [s for s in page.shapes if s.filled and s.stroked and not s.curves and _upright(s)]


def _upright(shape: Shape) -> bool:
    """True for four corners where a box has them: a datum's mark has three, and may lie in a wide hole."""
    box = shape.box
    return len(shape.points) in (4, 5) and all(
        any(math.dist(corner, point) <= ON_EDGE_MM for point in shape.points)
        for corner in ((box[i], box[j]) for i in (0, 2) for j in (1, 3))
    )


def _within(box: Box, rim: Box) -> bool:
    return rim[0] < box[0] and rim[1] < box[1] and box[2] < rim[2] and box[3] < rim[3]


def _edge_distance(point: Point, box: Box) -> float:
    """Distance of a point from the outline of a box."""
    x, y = point
    outside = math.hypot(max(box[0] - x, x - box[2], 0.0), max(box[1] - y, y - box[3], 0.0))
    return outside or min(x - box[0], box[2] - x, y - box[1], box[3] - y)


def _words(page: Content, box: Box) -> list[str]:
    """What stands in a box, from its first line down."""
    inside = [
        w
        for w in page.words
        # a word set large across the page is wider and higher than any label
        if w.box[3] - w.box[1] <= box[3] - box[1]
        and box[0] < (w.box[0] + w.box[2]) / 2 < box[2]
        and box[1] < (w.box[1] + w.box[3]) / 2 < box[3]
    ]
    return [w.text.strip() for w in sorted(inside, key=lambda w: (-w.box[3], w.box[0]))]


def _led(page: Content, placed: Placed, rim: Box) -> Iterator[tuple[PanelHole, Box]]:
    """Each hole with the label its leader ends at, or that lies within its circle."""
    boxes = [s.box for s in _boxes(page) if _within(s.box, rim)]
    lines = [s.points for s in page.shapes if s.stroked and not s.filled and len(s.points) == 2]
    for hole, (x, y) in placed.values():
        radius = (hole.final_dia_mm + (SECOND_RING_MM if hole.work.how in ("part", "guide") else 0.0)) / 2
        for a, b in (pair for line in lines for pair in (line, line[::-1])):
            if abs(math.dist(a, (x, y)) - radius) > ON_RIM_MM or math.dist(b, (x, y)) < radius:
                continue
            yield from ((hole, box) for box in boxes if _edge_distance(b, box) <= ON_EDGE_MM)
        for box in boxes:
            corners = ((box[i], box[j]) for i in (0, 2) for j in (1, 3))
            if all(math.dist(c, (x, y)) < radius for c in corners):
                yield hole, box


def _length(text: str) -> tuple[float, float]:
    """A printed diameter in mm, and by how much its last digit may be off: a 64th is read as it stands."""
    if not text.endswith(" in"):
        return float(text.rstrip(".")), ROUNDING_MM
    return 25.4 * sum(float(Fraction(piece)) for piece in text.split()[:-1]), HALF_THOU_MM + 1e-6


def _contradictions(hole: PanelHole, lines: Sequence[str]) -> list[str]:
    """Where a label says another thing than the plan."""
    said = lines[0].split()[0] if lines and lines[0] else ""
    if said != hole.number:
        return [f"the label led from hole {hole.number} says {said!r}"]
    text = " ".join(lines)
    problems = []
    for pilot, number in DIAMETERS.findall(text):
        wanted = hole.pilot_dia_mm if pilot else hole.final_dia_mm
        found, half = _length(number)
        opened = hole.work.when == "open" and abs(found - hole.there_mm) <= half
        if abs(found - wanted) > half and not opened:
            problems.append(f"the label of hole {hole.number} says {pilot}Ø{number}, the plan {wanted:.2f}")
    if hole.most_mm and DIAMETERS.search(text):
        may = MAY_BE.search(text)
        if (may is None) != (STAR in text):
            problems.append(f"the label of hole {hole.number} says not what it may be, nor * for its table")
        elif may is not None and not within_limits(may[1], hole, "inch" if may[2] == "in" else "metric"):
            problems.append(f"the label of hole {hole.number} says it may be {may[1]}")
    side = FROM_SIDE.search(text)
    if side is not None and side[1] != hole.drill_face:
        problems.append(f"the label of hole {hole.number} says {side[0]!r}")
    return problems + label_problems(hole, lines)


def callout_problems(page: Content, placed: Placed, labelled: set[str], rim: Box) -> list[str]:
    """Problems of one page's labels; ``placed`` gives hole and page point by number.

    A label lies within ``rim``, the frame of the page: beside it stand boxes that are none.

    Adds to ``labelled`` the numbers of the holes whose label was found.
    """
    problems: list[str] = []
    starred = False
    for hole, box in _led(page, placed, rim):
        labelled.add(hole.number)
        lines = _words(page, box)
        starred |= STAR in " ".join(lines)
        problems += _contradictions(hole, lines)
    if starred and not says(page, STARRED):
        problems.append(f"has a label with {STAR} and does not say that {STARRED}")
    return problems
