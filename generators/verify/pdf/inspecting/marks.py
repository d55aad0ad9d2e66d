"""Marks of rows on the sketches of an inspection sheet: none is missing, and their lines are to scale."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from generators.model.plan import PartPlan
from generators.verify.pdf.content import Content, as_circle
from generators.verify.pdf.inspecting.rows import Row

PLACED = re.compile(r"[BELW]\d+")
"""Rows at a place that no number of a hole in their words tells: each has its mark on the blank."""

OF_WELD = re.compile(r"[VWZ](\d+)")
FROM_SIDE = re.compile(
    r"(?:Right side|Left side|From above|From below), once bent: "
    r"(?:H over the (?P<root>[a-z0-9 ]+?)(?:, M along folds)?|M along folds)"
)
ON_SIDE = re.compile(r"[HM]\d+")
OFF_MM, LEAST_MM, ONE_PLACE, END_MM = 0.06, 1.0, 0.006, 1.0
"""How far a line on paper may be off, what is too short to judge, what a printed size is rounded by, and how
large the dot at the end of a line is."""

TWO = 2
Line = tuple[tuple[float, float], tuple[float, float]]


def mark_problems(page: Content, rows: Sequence[Row], plan: PartPlan) -> Iterator[str]:
    """Rows without a mark, marks without a row, and sketches whose lines are not at one scale."""
    head = next((w for w in page.words if w.text.strip() == "nominal"), None)
    if head is None:
        return
    above = [w for w in page.words if w.box[1] > head.box[3]]
    texts = [" ".join(w.text.split()) for w in above]
    marks = [mark for text in texts for mark in text.split(", ")]
    keys = {row.key: row for row in rows}
    for key in keys:
        if PLACED.fullmatch(key) and key not in marks:
            yield f"no sketch has a mark for item {key}"
        if (weld := OF_WELD.fullmatch(key)) and f"WELD {weld[1]}" not in marks:
            yield f"no sketch shows WELD {weld[1]}"
    edges = [row for key, row in keys.items() if key[0] == "E"]
    lines = [
        (shape.points[0], shape.points[1])
        for shape in page.shapes
        if shape.dashed and not shape.closed and len(shape.points) == TWO and shape.box[1] > head.box[3]
    ]
    if (off := _off_scale(edges, [math.dist(*line) for line in lines])) is not None:
        yield f"the lines of what is read from edges are not at one scale: {off}"
    side = next((m for text in texts if (m := FROM_SIDE.fullmatch(text))), None)
    found = [mark for mark in marks if ON_SIDE.fullmatch(mark)]
    yield from (
        f"a sketch marks {mark}, and the table has no such item" for mark in found if mark not in keys
    )
    if (side is None) != (not found):
        yield f"the view from the side shows {', '.join(found) or 'nothing'}; its words: {side and side[0]}"
    if side is not None and side["root"] not in (None, plan.flanges[0].name.replace("_", " ")):
        yield f"the view from the side has heights over {side['root']}"
    groups = [[m for m in text.split(", ") if m in keys] for text in texts if ON_SIDE.match(text)]
    yield from _side_problems([[keys[m] for m in group] for group in groups if group], page, lines)


def _side_problems(groups: Sequence[Sequence[Row]], page: Content, lines: Sequence[Line]) -> Iterator[str]:
    """Marks of the view from the side that share a line of several lengths, and lines not as long as said.

    Such a line ends in a black dot at its hole; there is one for each mark, all at one scale.
    """
    sizes = []
    for group in groups:
        each = {abs(float(row.nominal)) for row in group}
        if max(each) - min(each) > 2 * ONE_PLACE:
            yield f"one mark stands for {', '.join(row.key for row in group)}, which differ"
        sizes.append(max(each))
    ends = [
        (c.x, c.y)
        for s in page.shapes
        if s.filled and (c := as_circle(s, OFF_MM)) is not None and abs(c.diameter - END_MM) < OFF_MM
    ]
    found = sorted(
        math.dist(*line) for line in lines if any(math.dist(p, c) < OFF_MM for p in line for c in ends)
    )
    if len(found) != len(sizes):
        yield f"the view from the side has {len(found)} lines for {len(sizes)} marks"
        return
    scale = max(found, default=0.0) / max(sizes, default=1.0)
    for line, size in zip(found, sorted(sizes), strict=True):
        if abs(line - size * scale) > OFF_MM + 2 * ONE_PLACE * scale:
            yield f"the view from the side is not at one scale: {size:g} is {line / scale:.2f} there"


def _off_scale(rows: Sequence[Row], lines: Sequence[float]) -> str | None:
    """The items whose lengths are no line of a drawing at one scale; None where one scale fits all."""
    sizes = {row.key: abs(float(row.nominal)) for row in rows}
    sizes = {key: size for key, size in sizes.items() if size >= LEAST_MM}
    if not sizes:
        return None
    first = max(sizes.values())
    best: list[str] = list(sizes)
    for line in lines:
        if line < LEAST_MM:
            continue
        scale = line / first
        allowed = OFF_MM + 2 * ONE_PLACE * scale
        missing = [k for k, size in sizes.items() if min(abs(x - size * scale) for x in lines) > allowed]
        best = min(best, missing, key=len)
    return ", ".join(best) or None
