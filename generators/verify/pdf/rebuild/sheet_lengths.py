"""How thick a sheet may be for outside lengths: what they grow by when the same blank is thicker."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.model.plan import Bend, PartPlan
from generators.standards import thickness_off_mm

SQUARE_RAD, ALIKE, FINEST = math.radians(0.01), 1e-6, 0.01
STEP_MM = 0.1
"""So much thicker a sheet is bent."""


def lengths_leave_mm(plan: PartPlan) -> tuple[float, float]:
    """How far the sheet may be off before a length over square bends leaves its limits, mm."""
    low, high = thickness_off_mm(plan.thickness_mm)
    grown = max((g for f in plan.flanges for g in _grown(plan, f.name)), default=0.0)
    if grown <= ALIKE:
        return low, high
    room = max(math.floor(plan.bent_mm / grown * STEP_MM * 100 + 1e-6) / 100, FINEST * plan.thickness_mm)
    return max(low, -room), min(high, room)


def _grown(plan: PartPlan, flange: str) -> Iterator[float]:
    """By how much each outside length of a flange grows in a sheet thicker by ``STEP_MM``."""
    ways: dict[tuple[float, float], list[tuple[tuple[float, float], Bend]]] = {}
    for bend in plan.bends:
        if flange not in (bend.parent, bend.child) or bend.angle_rad > math.pi - ALIKE:
            continue
        out = (0.0, -1.0)
        if flange == bend.parent:
            long = math.dist(bend.start, bend.end)
            out = (bend.end[1] - bend.start[1]) / long, (bend.start[0] - bend.end[0]) / long
        line = next((w for w in ways if abs(w[0] * out[1] - w[1] * out[0]) < ALIKE), out)
        ways.setdefault(line, []).append((out, bend))
    for line, ends in ways.items():
        if any(abs(bend.angle_rad - math.pi / 2) > SQUARE_RAD for _, bend in ends):
            continue
        total = 0.0
        for way in (1, -1):
            here = [b for out, b in ends if (out[0] * line[0] + out[1] * line[1]) * way > 0]
            total += max((_shift(plan, b) for b in here), default=0.0)
        yield total


def _shift(plan: PartPlan, bend: Bend) -> float:
    """By how much an outside corner moves out from the middle of its flat strip."""
    corner, strip = (
        [bend.inside_radius_mm + share * (plan.thickness_mm + by) for by in (0.0, STEP_MM)]
        for share in (1.0, bend.k_factor)
    )
    return corner[1] - corner[0] - math.pi / 4 * (strip[1] - strip[0])
