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

_SIZE = re.compile(r"([\d/]+)x([\d/]+)x([\d/]+)(mm|in)outside,(no|\d+)holes?,")
OFF = {"mm": 0.51, "in": INCH_MM / 32 + 0.01}
"""Half of what a side is rounded to: a millimetre, a sixteenth of an inch; mm."""

ARC_POINTS = 256


def part_problems(section: str, plans: Sequence[PartPlan]) -> Iterator[str]:
    """What is wrong with the words of the made parts of one bag; ``section`` has no blanks."""
    for plan in plans:
        rest = section.partition(plain(plan.title))[2].partition(plain(plan.title))
        # a bag may be called as the part in it: the words of the part come after the last of both
        found = _SIZE.search(rest[2] or rest[0])
        if found is None:
            yield f"does not say how large {plan.title} is and how many holes it has"
            continue
        sides = [meant_mm(text, found[4]) for text in found.group(1, 2, 3)]
        for said, real in zip(sides, _sides(plan), strict=True):
            if not any(abs(one - real) <= OFF[found[4]] for one in said):
                yield f"says {found[0]} of {plan.title}, folded one side is {real:.2f} mm"
        flat = flat_pattern(plan)
        count = 0 if found[5] == "no" else int(found[5])
        if count != len(flat.holes) + len(flat.slots):
            yield f"says {found[5]} holes of {plan.title}, its blank has {len(flat.holes) + len(flat.slots)}"


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
