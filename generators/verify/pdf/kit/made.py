"""Reads what a packing list tells a made part by: its size is folded anew, holes counted on the blank."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

import numpy as np

from generators.geometry.contours import arc_of, segments
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.verify.pdf.content import plain
from generators.verify.pdf.kit.lengths import INCH_MM, meant_mm

_SIZE = re.compile(r"(?:(\d+)of)?([\d/]+)x([\d/]+)x([\d/]+)(mm|in)outside,(no|\d+)holes?,")
OFF = {"mm": 0.51, "in": INCH_MM / 32 + 0.01}
"""Half of what a side is rounded to: a millimetre, a sixteenth of an inch; mm."""

TICK = "\u274f"  # a box to tick
ARC_POINTS = 256


def part_problems(section: str, plans: Sequence[PartPlan]) -> Iterator[str]:
    """What is wrong with the words of the made parts of one bag; ``section`` has no blanks.

    Parts that are called the same stand in one line, with how many there are of each size.
    """
    titles = sorted({plan.title for plan in plans}, key=len, reverse=True)
    rows: dict[str, str] = {}
    for row in section.split(TICK):
        # a title may begin as another's whole, so the longest is asked first
        title = next((t for t in titles if re.match(rf"\d+×{re.escape(plain(t))}", row)), None)
        if title is not None:
            rows[title] = rows.get(title, "") + row.partition(plain(title))[2]
    for title in reversed(titles):
        own = [plan for plan in plans if plan.title == title]
        found = list(_SIZE.finditer(rows.get(title, "")))
        if not found:
            yield f"does not say how large {title} is and how many holes it has"
            continue
        for plan in own:
            yield from min((list(_said_problems(said, plan)) for said in found), key=len)
        many = sum(plan.quantity for plan in own)
        if len(found) > 1 and sum(int(said[1] or 0) for said in found) != many:
            yield f"does not say of which size how many of the {many} {title} are"


def _said_problems(said: re.Match[str], plan: PartPlan) -> Iterator[str]:
    sides = [meant_mm(text, said[5]) for text in said.group(2, 3, 4)]
    for one, real in zip(sides, _sides(plan), strict=True):
        if not any(abs(mm - real) <= OFF[said[5]] for mm in one):
            yield f"says {said[0]} of {plan.title}, folded one side is {real:.2f} mm"
    flat = flat_pattern(plan)
    count = 0 if said[6] == "no" else int(said[6])
    if count != len(flat.holes) + len(flat.slots):
        yield f"says {said[6]} holes of {plan.title}, its blank has {len(flat.holes) + len(flat.slots)}"


def _sides(plan: PartPlan) -> list[float]:
    """Sides of the box about the folded part, the longest first, mm."""
    frames = folded_frames(plan)
    low, high = np.full(3, math.inf), np.full(3, -math.inf)
    for flange in plan.flanges:
        rim = [(vertex.u, vertex.v) for vertex in flange.contour.vertices]
        for a, b in segments(flange.contour):
            if a.bulge:
                arc = arc_of(a, b)
                turns = [arc.start + arc.sweep * k / ARC_POINTS for k in range(ARC_POINTS)]
                rim += [(arc.cu + arc.radius * math.cos(t), arc.cv + arc.radius * math.sin(t)) for t in turns]
        frame = frames[flange.name]
        for u, v in rim:
            for w in (0.0, plan.thickness_mm):
                at = frame[:3, 0] * u + frame[:3, 1] * v + frame[:3, 2] * w + frame[:3, 3]
                low, high = np.minimum(low, at), np.maximum(high, at)
    return sorted((high - low).tolist(), reverse=True)
