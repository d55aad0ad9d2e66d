"""How thick a sheet may be for outside lengths: what they grow by when the same blank is thicker."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.model.plan import Bend, PartPlan
from generators.standards import thickness_off_mm

ALIKE, FINEST = 1e-6, 0.01
STEP_MM = 0.1
"""So much thicker a sheet is bent."""

GAUGE_MM, HALF, TURN_RAD = 0.1, 0.5, 1e-4
"""How near a stop is set; what all but the sheet takes at most of a length; so far more a bend is bent to
see."""

ROLLED = ((2.0, 0.19), (2.5, 0.21), (3.0, 0.22), (4.0, 0.24), (5.0, 0.26), (6.0, 0.28), (8.0, 0.3))
THICKER_ROLLED = ((10.0, 0.33), (12.5, 0.36), (15.0, 0.38), (25.0, 0.42))
"""EN 10051 category A to 1500 mm wide, written down anew (from memory), and the steel it is for."""

STRIP = "S235 steel"


def lengths_leave_mm(plan: PartPlan) -> tuple[float, float]:
    """How far the sheet may be off before an outside length leaves its limits, mm."""
    low, high = thickness_off_mm(plan.thickness_mm)
    rooms = [(plan.bent_mm - made) / grown * STEP_MM for grown, made in _all(plan) if grown > ALIKE]
    if not rooms:
        return low, high
    room = max(math.floor(min(rooms) * 100 + 1e-6) / 100, FINEST * plan.thickness_mm)
    return max(low, -room), min(high, room)


def bends_have_mm(plan: PartPlan, sheet: tuple[float, float]) -> float:
    """What the sheet's limits leave to blank, stop and bends, of the length they leave least of, mm."""
    most = max(map(abs, sheet))
    return min((plan.bent_mm - grown / STEP_MM * most for grown, _ in _all(plan)), default=plan.bent_mm)


def sold_words(plan: PartPlan, sheet: tuple[float, float]) -> str:
    """The norm a sheet is sold by and its limits, where one may lie outside those of the part."""
    t = plan.thickness_mm
    off = next((by for to, by in ROLLED + THICKER_ROLLED if t <= to + ALIKE), None)
    if off is None or plan.material != STRIP or (-sheet[0] >= off and sheet[1] >= off):
        return ""
    return f"EN 10051 ({t - off:.2f} to {t + off:.2f} mm)"


def _all(plan: PartPlan) -> list[tuple[float, float]]:
    return [each for flange in plan.flanges for each in _grown(plan, flange.name)]


def _grown(plan: PartPlan, flange: str) -> Iterator[tuple[float, float]]:
    """By how much each outside length grows in a sheet thicker by ``STEP_MM``, and what the bending takes."""
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
        total, squares = 0.0, (plan.position_mm * HALF) ** 2
        for way in (1, -1):
            here = [b for out, b in ends if (out[0] * line[0] + out[1] * line[1]) * way > 0]
            total += max((_shift(plan, b) for b in here), default=0.0)
            if here:
                squares += GAUGE_MM**2 + max(_turned(plan, b) for b in here) ** 2
        yield total, min(math.sqrt(squares), HALF * plan.bent_mm)


def _turned(plan: PartPlan, bend: Bend) -> float:
    """By how much an outside corner moves along its flange when the bend is off by its angle's tolerance."""
    r, t = bend.inside_radius_mm, plan.thickness_mm

    def corner(angle: float) -> float:
        return (r + t) * math.tan(angle / 2) - angle / 2 * (r + bend.k_factor * t)

    a = bend.angle_rad
    return (corner(a + TURN_RAD) - corner(a - TURN_RAD)) / (2 * TURN_RAD) * plan.bent_rad


def _shift(plan: PartPlan, bend: Bend) -> float:
    """By how much an outside corner moves out from the middle of its flat strip."""
    half = bend.angle_rad / 2
    corner, strip = (
        [bend.inside_radius_mm + share * (plan.thickness_mm + by) for by in (0.0, STEP_MM)]
        for share in (1.0, bend.k_factor)
    )
    return math.tan(half) * (corner[1] - corner[0]) - half * (strip[1] - strip[0])
