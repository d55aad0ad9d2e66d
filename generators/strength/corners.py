"""Where a linear stress has no end: inner corners without a radius."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from generators.geometry.contours import segments
from generators.geometry.frames import apply
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.strength.bores import Vector

SHARP_RAD = math.radians(5)


def sharp_corners(plan: PartPlan) -> tuple[tuple[Vector, Vector], ...]:
    """The edges through the sheet at inner corners where two straight sides meet, in the root's frame."""
    frames = folded_frames(plan)
    out: list[tuple[Vector, Vector]] = []
    for flange in plan.flanges:
        sides = list(segments(flange.contour))
        for (a, b), (_, c) in zip(sides, [*sides[1:], sides[0]], strict=True):
            if a.bulge or b.bulge:
                continue
            turn = math.atan2(c.v - b.v, c.u - b.u) - math.atan2(b.v - a.v, b.u - a.u)
            if math.remainder(turn, 2 * math.pi) < -SHARP_RAD:
                ends = np.array([[b.u, b.v, 0.0], [b.u, b.v, plan.thickness_mm]])
                start, end = _vectors(apply(frames[flange.name], ends))
                out.append((start, end))
    return tuple(out)


def _vectors(rows: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Iterator[Vector]:
    for x, y, z in rows:
        yield float(x), float(y), float(z)
