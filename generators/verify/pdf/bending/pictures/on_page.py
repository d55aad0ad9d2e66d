"""The pictures of a sheet, found by where its words stand: each step's, and the blank's."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence

from generators.model.plan import PartPlan
from generators.sheetmetal.folding import FlatPattern
from generators.verify.pdf.bending.folder import FOLD, legs_problems
from generators.verify.pdf.bending.pictures.letters import TITLE as BLANK
from generators.verify.pdf.bending.pictures.letters import seen_letters, unseen_openings
from generators.verify.pdf.bending.pictures.seen_from import side_problems
from generators.verify.pdf.content import Content, says

LEG_RAD = math.radians(0.2)
LONG_MM = 4.0
HEAD_MM = 4.0


def letters_on(page: Content, flat: FlatPattern) -> tuple[dict[str, tuple[float, float]], list[str]]:
    """Letters in the box of the blank's picture, which begins at its title and ends at the first step."""
    top = max((w.box[3] for w in page.words if says(w.text, BLANK)), default=0.0)
    heads = [w.box[3] for w in page.words if re.match(r"1\s+Bend ", w.text)]
    low = max(heads, default=0.0) + HEAD_MM
    rings = [
        s.points for s in page.shapes if s.filled and all(low <= y <= top + HEAD_MM for _, y in s.points)
    ]
    words = [
        (w.text.strip(), ((w.box[0] + w.box[2]) / 2, (w.box[1] + w.box[3]) / 2))
        for w in page.words
        if low <= w.box[1] <= top + HEAD_MM
    ]
    letters, wrong = seen_letters(rings, words, flat)
    return letters, wrong or unseen_openings(rings, flat)


def step_pictures(
    page: Content, steps: Sequence[re.Match[str]], number: int, plan: PartPlan
) -> Iterator[str]:
    """Every step's picture, in its own box, has two legs at half its bend: filled outlines so inclined.

    A tool's flanks are as steep at most; punch and die are known by an edge that stands upright.
    """
    for match, (low, high) in zip(steps, boxes(page, steps), strict=True):
        yield from side_problems(match, plan, [w for w in page.words if low <= w.box[1] <= high])
        if match.re is FOLD:
            rings = [s.points for s in page.shapes if s.filled]
            here = [r for r in rings if low <= sum(p[1] for p in r) / len(r) <= high]
            yield from legs_problems(here, match, f"sheet {number}")
            continue
        seen = [
            angle
            for shape in page.shapes
            if shape.filled and len(shape.points) >= 4
            for ring in [[*shape.points, shape.points[0]]]
            if low <= sum(p[1] for p in shape.points) / len(shape.points) <= high and not _is_tool(ring)
            for a, b in itertools.pairwise(ring)
            if math.dist(a, b) > LONG_MM
            for angle in [math.atan2(b[1] - a[1], b[0] - a[0]) % math.pi]
        ]
        half = math.radians(float(match["pressed"] or match.groupdict().get("loaded") or match["angle"])) / 2
        for angle in (half, math.pi - half):
            if not any(abs(s - angle) < LEG_RAD for s in seen):
                leg = f"a leg at {math.degrees(angle):.1f}° for step {match['number']}"
                yield f"sheet {number}: no picture shows {leg}"


def _is_tool(ring: Sequence[tuple[float, float]]) -> bool:
    """Tools have a side that stands upright; a leg half bent, and what hangs on it, has none so long."""
    return any(abs(a[0] - b[0]) < 1e-3 and abs(a[1] - b[1]) > LONG_MM for a, b in itertools.pairwise(ring))


def boxes(page: Content, steps: Sequence[re.Match[str]]) -> list[tuple[float, float]]:
    """From where to where on the page each step's box goes: between its head line and the next one's."""
    tops = []
    for match in steps:
        head = f"{match['number']} Bend {match['bend']}{match.groupdict().get('instead') or ''}:"
        heads = [w.box[3] for w in page.words if " ".join(w.text.split()).startswith(head)]
        tops.append(max(heads, default=0.0) + HEAD_MM)
    # a page may have no step that can be read
    return list(zip([*tops, 0.0][1:], tops, strict=True))
