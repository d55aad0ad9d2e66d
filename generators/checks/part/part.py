"""Rules on the flanges of one part: edges, spacing, ligaments, bends, and what the shop can make."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from generators.checks.measure import Segment, depth_inside, line_to_line, near_pairs, spine_distance
from generators.checks.part.bends import FlangeBend, check_bends, flange_bends
from generators.checks.part.printed import check_printed
from generators.checks.part.rules_bend import HOLE_BEND_DISTANCE, HOLE_PROCESS_LIMIT, NUT_ON_BEND
from generators.checks.part.rules_metal import (
    EDGE_FLOOR,
    HOLE_EDGE_DISTANCE,
    HOLE_LIGAMENT,
    HOLE_SPACING,
    LOADED,
    SPACING_FLOOR,
)
from generators.checks.rule import SAME_MM, finding, limit_text, mm, mm_up, more, ordered, short_of
from generators.geometry.contours import segments
from generators.model.contour import Contour
from generators.model.findings import Finding, Severity
from generators.model.plan import Flange, PartPlan
from generators.model.spec.job import Limits
from generators.model.spec.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A hole or slot as a spine from ``a`` to ``b`` (one point for a hole) and a width, mm."""

    name: str
    kind: str
    a: tuple[float, float]
    b: tuple[float, float]
    width_mm: float
    nut_circle_mm: float

    @property
    def loaded(self) -> bool:
        """True when a fastener in it loads the sheet."""
        return self.kind in LOADED

    @property
    def radius_mm(self) -> float:
        """Half the width."""
        return self.width_mm / 2


def openings(flange: Flange) -> list[Opening]:
    """All openings of a flange: holes first, then slots."""
    out = [
        Opening(
            name=h.name,
            kind=h.fitting.kind,
            a=(h.u_mm, h.v_mm),
            b=(h.u_mm, h.v_mm),
            width_mm=h.diameter_mm,
            nut_circle_mm=h.fitting.nut_circle_mm if h.fitting.nut_face != "none" else 0.0,
        )
        for h in flange.holes
    ]
    for s in flange.slots:
        du, dv = math.cos(s.angle_rad) * s.travel_mm / 2, math.sin(s.angle_rad) * s.travel_mm / 2
        out.append(
            Opening(
                name=s.name,
                kind=s.fitting.kind,
                a=(s.u_mm - du, s.v_mm - dv),
                b=(s.u_mm + du, s.v_mm + dv),
                width_mm=s.width_mm,
                nut_circle_mm=s.fitting.nut_circle_mm if s.fitting.nut_face != "none" else 0.0,
            )
        )
    return out


def free_edges(flange: Flange, bends: list[FlangeBend]) -> list[Segment]:
    """The pieces of a flange's outline that are not bent on."""
    return [(a, b) for a, b in segments(flange.contour) if not any(x.stands_on(a, b) for x in bends)]


def check_part(plan: PartPlan, spec_limits: Limits, shop: Shop) -> list[Finding]:
    """Findings of all part rules on one plan, gravest first.

    Raises ``GeometryFault`` when the plan cannot be laid flat.
    """
    if plan.printed:
        return ordered(check_printed(plan, spec_limits, shop))
    found: list[Finding] = []
    for flange in plan.flanges:
        here = openings(flange)
        bends = flange_bends(plan, flange)
        where = f"part:{plan.name} flange {flange.name}"
        free = free_edges(flange, bends)
        found.extend(_edges(here, flange.contour, free, plan.thickness_mm, spec_limits, where))
        found.extend(_pairs(here, plan.thickness_mm, spec_limits, where))
        found.extend(_bend_clearance(here, bends, plan.thickness_mm, spec_limits, where))
        found.extend(_process(here, plan.thickness_mm, shop, where))
    found.extend(check_bends(plan, spec_limits, shop))
    return ordered(found)


def ligament_limit(thickness_mm: float, limits: Limits) -> float:
    """Least metal beside an opening, mm."""
    return limits.least_ligament_mm(thickness_mm)


def _edges(
    here: list[Opening],
    contour: Contour,
    free: list[Segment],
    thickness: float,
    limits: Limits,
    where: str,
) -> Iterator[Finding]:
    for o in here:
        # off the metal, or in a relief or notch, the nearest edge is on the wrong side: count below zero
        ends = np.array([o.a, o.b])
        deepest = float(depth_inside(ends[:, 0], ends[:, 1], contour).min())
        distance = deepest if deepest < 0 else spine_distance(o.a, o.b, free)
        if o.loaded:
            rule, value = HOLE_EDGE_DISTANCE, distance
            limit, floor = limits.hole_edge_ratio * o.width_mm, EDGE_FLOOR * o.width_mm
        else:
            rule, value = HOLE_LIGAMENT, distance - o.radius_mm
            limit, floor = ligament_limit(thickness, limits), thickness
        severity = short_of(value, limit, floor)
        if severity:
            yield finding(
                rule,
                severity,
                f"{where}, hole {o.name} and the edge",
                value=mm(value),
                limit=limit_text(limit, floor),
                advice=f"move hole {o.name} at least {more(limit - value)} away from the edge",
            )


def _pairs(here: list[Opening], thickness: float, limits: Limits, where: str) -> Iterator[Finding]:
    ligament = ligament_limit(thickness, limits)
    u = np.array([(o.a[0] + o.b[0]) / 2 for o in here])
    v = np.array([(o.a[1] + o.b[1]) / 2 for o in here])
    reach = np.array(
        [
            math.dist(o.a, o.b) / 2 + max(o.radius_mm + ligament, limits.hole_spacing_ratio * o.width_mm)
            for o in here
        ]
    )
    for i, j, _ in zip(*near_pairs(u, v, reach), strict=True):
        one, two = here[i], here[j]
        apart = line_to_line(one.a, one.b, two.a, two.b)
        names = f"{where}, holes {one.name} and {two.name}"
        metal = apart - one.radius_mm - two.radius_mm
        severity = short_of(metal, ligament, thickness)
        if severity:
            yield finding(
                HOLE_LIGAMENT,
                severity,
                names,
                value=mm(metal),
                limit=limit_text(ligament, thickness),
                advice=f"move hole {two.name} at least {more(ligament - metal)} away from hole {one.name}",
            )
        if not (one.loaded and two.loaded):
            continue
        width = max(one.width_mm, two.width_mm)
        limit = limits.hole_spacing_ratio * width
        severity = short_of(apart, limit, SPACING_FLOOR * width)
        if severity:
            yield finding(
                HOLE_SPACING,
                severity,
                names,
                value=mm(apart),
                limit=limit_text(limit, SPACING_FLOOR * width),
                advice=f"move hole {two.name} at least {more(limit - apart)} away from hole {one.name}",
            )


def _bend_clearance(
    here: list[Opening], bends: list[FlangeBend], thickness: float, limits: Limits, where: str
) -> Iterator[Finding]:
    limit = limits.bend_clearance_ratio * thickness
    for o in here:
        for bend in bends:
            centre = _to_tangent(o, bend)
            value = centre - o.radius_mm
            name = bend.bend.name
            place = f"{where}, hole {o.name} and bend {name}"
            severity = short_of(value, limit, 0.0)
            if severity:
                yield finding(
                    HOLE_BEND_DISTANCE,
                    severity,
                    place,
                    value=mm(value),
                    limit=limit_text(limit, 0.0),
                    advice=f"move hole {o.name} at least {more(limit - value)} away from bend {name}",
                )
            nut = o.nut_circle_mm / 2
            if centre < nut - SAME_MM:
                yield finding(
                    NUT_ON_BEND,
                    Severity.WARN,
                    place,
                    value=mm(centre),
                    limit=mm_up(nut),
                    advice=f"move hole {o.name} at least {more(nut - centre)} away from bend {name}",
                )


def _to_tangent(o: Opening, bend: FlangeBend) -> float:
    """Distance of an opening's spine to a tangent line, mm; negative where it lies beyond, in the bend."""
    (eu, ev), (iu, iv) = bend.along, bend.inward
    length = math.dist(bend.start, bend.end)
    beyond = 0.0
    for u, v in (o.a, o.b):
        du, dv = u - bend.start[0], v - bend.start[1]
        if -o.radius_mm < du * eu + dv * ev < length + o.radius_mm:
            beyond = min(beyond, du * iu + dv * iv)
    return beyond if beyond < -SAME_MM else line_to_line(o.a, o.b, bend.start, bend.end)


def _process(here: list[Opening], thickness: float, shop: Shop, where: str) -> Iterator[Finding]:
    cutting = shop.cutting
    limit = max(cutting.smallest_hole_ratio * thickness, cutting.smallest_hole_mm)
    for o in here:
        if o.width_mm < limit - SAME_MM:
            yield finding(
                HOLE_PROCESS_LIMIT,
                Severity.NOTE,
                f"{where}, hole {o.name}",
                value=mm(o.width_mm),
                limit=mm_up(limit),
                advice=f"the {cutting.process} marks the centre of hole {o.name} only: drill it to "
                f"{mm(o.width_mm)} by hand",
            )
