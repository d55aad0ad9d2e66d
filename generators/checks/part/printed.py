"""Rules on one printed part: walls, pegs, the bed, and how well it leads a drill."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from generators.checks.measure import line_to_line, spine_distance
from generators.checks.part.rules_printed import (
    BUSH_FLOOR,
    BUSH_LENGTH,
    GUIDE_PLAY,
    PEG_NEAR_BORE,
    PEG_THIN,
    PLAY_FAIL,
    PRINT_BED,
    PRINT_WALL,
    WALL_FLOOR,
)
from generators.checks.rule import SAME_MM, finding, limit_text, mm, mm_up, more, short_of
from generators.geometry.contours import bounds, segments
from generators.model.findings import Finding, Severity
from generators.model.plan import Flange, Hole, PartPlan, Peg
from generators.model.spec.job import Limits
from generators.model.spec.shop import PartPrinter, Shop

PEGS_TO_HOLD = 2


def check_printed(plan: PartPlan, limits: Limits, shop: Shop) -> Iterator[Finding]:
    """Findings on one printed part, flange by flange, in no order of gravity."""
    printer = shop.printer
    yield from _bed(plan, printer)
    for flange in plan.flanges:
        where = f"part:{plan.name} flange {flange.name}"
        yield from _walls(flange, printer, where)
        yield from _pegs(flange, printer, where)
        yield from _bushes(flange.holes, plan.thickness_mm, limits, where)
        if plan.tool and len(flange.pegs) >= PEGS_TO_HOLD:
            yield from _play(flange, limits, where)


def _bed(plan: PartPlan, printer: PartPrinter) -> Iterator[Finding]:
    u0, v0, u1, v1 = bounds(plan.flanges[0].contour)
    tall = plan.thickness_mm + max((p.height_mm for p in plan.flanges[0].pegs), default=0.0)
    short, long = sorted((u1 - u0, v1 - v0))
    least, most = sorted((printer.bed_width_mm, printer.bed_depth_mm))
    if short <= least + SAME_MM and long <= most + SAME_MM and tall <= printer.height_mm + SAME_MM:
        return
    yield finding(
        PRINT_BED,
        Severity.FAIL,
        f"part:{plan.name}",
        value=f"{mm(long)} x {mm(short)} x {mm(tall)}",
        limit=f"{mm_up(most)} x {mm_up(least)} x {mm_up(printer.height_mm)}",
        advice="guide fewer holes with one block, or choose pegs nearer to them",
    )


def _walls(flange: Flange, printer: PartPrinter, where: str) -> Iterator[Finding]:
    limit = printer.smallest_wall_mm
    outline = list(segments(flange.contour))
    spines = [((h.u_mm, h.v_mm), (h.u_mm, h.v_mm), h.diameter_mm / 2, h.name) for h in flange.holes]
    for s in flange.slots:
        du, dv = math.cos(s.angle_rad) * s.travel_mm / 2, math.sin(s.angle_rad) * s.travel_mm / 2
        ends = (s.u_mm - du, s.v_mm - dv), (s.u_mm + du, s.v_mm + dv)
        spines.append((*ends, s.width_mm / 2, s.name))
    walls = [(spine_distance(a, b, outline) - r, f"{name} and the outside") for a, b, r, name in spines]
    walls += [
        (line_to_line(a, b, c, d) - r - q, f"{one} and {two}")
        for (a, b, r, one), (c, d, q, two) in itertools.combinations(spines, 2)
    ]
    for value, names in walls:
        severity = short_of(value, limit, WALL_FLOOR * limit)
        if severity:
            yield finding(
                PRINT_WALL,
                severity,
                f"{where}, {names}",
                value=mm(value),
                limit=limit_text(limit, WALL_FLOOR * limit),
                advice=f"leave at least {more(limit - value)} more between {names}",
            )


def _pegs(flange: Flange, printer: PartPrinter, where: str) -> Iterator[Finding]:
    for peg in flange.pegs:
        thin = short_of(peg.diameter_mm, printer.smallest_peg_mm, WALL_FLOOR * printer.smallest_peg_mm)
        if thin:
            yield finding(
                PEG_THIN,
                thin,
                f"{where}, {peg.name}",
                value=mm(peg.diameter_mm),
                limit=limit_text(printer.smallest_peg_mm, WALL_FLOOR * printer.smallest_peg_mm),
                advice=f"leave {peg.name} away and key the guide to a larger hole",
            )
        for hole in flange.holes:
            apart = math.hypot(hole.u_mm - peg.u_mm, hole.v_mm - peg.v_mm)
            value = apart - (hole.diameter_mm + peg.diameter_mm) / 2
            near = short_of(value, printer.smallest_wall_mm, WALL_FLOOR * printer.smallest_wall_mm)
            if near:
                yield finding(
                    PEG_NEAR_BORE,
                    near,
                    f"{where}, {peg.name} and {hole.name}",
                    value=mm(value),
                    limit=limit_text(printer.smallest_wall_mm, WALL_FLOOR * printer.smallest_wall_mm),
                    advice=f"leave {peg.name} away and key the guide to a hole further from {hole.name}",
                )


def _bushes(holes: Sequence[Hole], thickness: float, limits: Limits, where: str) -> Iterator[Finding]:
    for hole in holes:
        if hole.bush is None:
            continue
        length, drill = hole.bush.length_mm, hole.bush.drill_mm
        limit, floor = limits.bush_length_ratio * drill, BUSH_FLOOR * drill
        severity = short_of(length, limit, floor)
        if severity:
            yield finding(
                BUSH_LENGTH,
                severity,
                f"{where}, {hole.name}",
                value=mm(length),
                limit=limit_text(limit, floor),
                advice=f"make the block at least {mm_up(limit)} thick",
            )
        if length > thickness + SAME_MM:
            yield finding(
                BUSH_LENGTH,
                Severity.WARN,
                f"{where}, {hole.name} stands proud",
                value=mm(length),
                limit=mm_up(thickness),
                advice=f"make the block {mm_up(length)} thick",
            )


def wander(place: complex, pegs: Sequence[Peg]) -> float:
    """How far the plan's point ``place`` (u + v i, mm) may move in a guide held by these pegs, mm.

    A small rigid motion is complex linear: the move at ``z`` of the way from the first peg to the second
    is ``(1 - z) m1 + z m2``, and no peg moves more than half its play. The best pair of pegs counts.
    Raises ``ValueError`` without two pegs.
    """
    out = []
    for a, b in itertools.combinations(pegs, 2):
        z = (place - _at(a)) / (_at(b) - _at(a))
        out.append((abs(1 - z) * _clearance(a) + abs(z) * _clearance(b)) / 2)
    return min(out)


def _at(peg: Peg) -> complex:
    return complex(peg.u_mm, peg.v_mm)


def _clearance(peg: Peg) -> float:
    return peg.hole_mm - peg.diameter_mm


def _play(flange: Flange, limits: Limits, where: str) -> Iterator[Finding]:
    limit = limits.guide_play_mm
    for hole in flange.holes:
        if hole.bush is None:
            continue
        value = wander(complex(hole.u_mm, hole.v_mm), flange.pegs)
        if value > limit + SAME_MM:
            yield finding(
                GUIDE_PLAY,
                Severity.FAIL if value > PLAY_FAIL * limit + SAME_MM else Severity.WARN,
                f"{where}, {hole.name}",
                value=mm_up(value),
                limit=f"{mm(limit)} (fail above {mm(PLAY_FAIL * limit)})",
                advice=f"put the pegs further apart, or one nearer to {hole.name}",
            )
