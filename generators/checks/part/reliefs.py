"""The rule on reliefs: no metal past the end of a bend."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import distance as shape_distance
from shapely.geometry import Point as ShapePoint
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import Point, area_of
from generators.checks.part.flange_bends import FlangeBend, flange_bends
from generators.checks.rule import SAME_MM, Rule, finding, mm_up
from generators.geometry.contours import segments
from generators.model.contour import Contour
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.model.spec.shop import Stock
from generators.sheetmetal.folding import FlatPattern, bend_length
from generators.sheetmetal.relief import relief_diameter

FREE_LEAN = math.radians(45)
DISC_STEPS = 32


BEND_RELIEF = Rule(
    code="bend-relief",
    title="Bend ends without a relief",
    meaning=(
        "Where metal goes on past the end of a bend it tears, unless a relief is cut there. A relief hole of "
        "the published diameter stands on the end of the tangent line, so no metal may lie within half that "
        "diameter of the end, past it. A side that leans out by less than 45 degrees is free and needs none."
    ),
    formula=(
        "metal past the bend's end >= half the relief of shop.toml, else half of 1/8 in (t <= .064 in), "
        "3/16 in (t <= .128 in), 1.5 t"
    ),
    source="FAA-H-8083-31 ch. 4, folding a box; above .128 in common practice",
    trust="R1",
    mend="Cut a notch or drill a relief hole at the end of the bend.",
)

RULES = (BEND_RELIEF,)


def relief_width(plan: PartPlan, stock: Stock | None) -> float:
    """Width of a relief: the shop's, else the handbook's, mm."""
    if stock is not None and stock.relief_mm is not None:
        return stock.relief_mm
    return relief_diameter(plan.thickness_mm)


def reliefs(plan: PartPlan, flat: FlatPattern, diameter: float) -> Iterator[Finding]:
    """Ends of bends with metal past them and no relief."""
    blank = area_of(flat.contour)
    radius = diameter / 2
    for strip in flat.bends:
        bend = strip.bend
        parent = FlangeBend(bend=bend, start=bend.start, end=bend.end)
        child = FlangeBend(bend=bend, start=(0.0, 0.0), end=(bend_length(bend), 0.0))
        near, far = strip.near, strip.far
        # the child walks the same line backwards: its start is the image of the parent's end
        ends = (
            ("start", ((near[0], near[1], parent, False), (far[0], far[1], child, True))),
            ("end", ((near[1], near[0], parent, True), (far[1], far[0], child, False))),
        )
        for name, sides in ends:
            clear = math.inf
            for tip, other, side, at_end in sides:
                flange = plan.flange(bend.parent if side is parent else bend.child)
                if not _leans_free(flange.contour, flange_bends(plan, flange), side, at_end, radius):
                    clear = min(clear, _metal_past(blank, tip, other, radius))
            if clear < radius - SAME_MM:
                yield finding(
                    BEND_RELIEF,
                    Severity.WARN,
                    f"part:{plan.name} bend {bend.name}, its {name}",
                    value=clear,
                    limit=radius,
                    advice=f"cut a relief of {mm_up(2 * radius)} at the {name} of bend {bend.name}",
                )


def _metal_past(blank: BaseGeometry, tip: Point, other: Point, radius: float) -> float:
    """Distance from the end of a tangent line to metal past it; infinite beyond ``radius``."""
    out = math.atan2(tip[1] - other[1], tip[0] - other[0])
    # a hair inside and past the end, so that a relief of just this size and a square side are clear
    hair = 0.01
    cu, cv = tip[0] + hair * math.cos(out), tip[1] + hair * math.sin(out)
    rim = [out - math.pi / 2 + math.pi * k / DISC_STEPS for k in range(DISC_STEPS + 1)]
    half_disc = Polygon(
        [(cu + (radius - 2 * hair) * math.cos(a), cv + (radius - 2 * hair) * math.sin(a)) for a in rim]
    )
    metal = blank.intersection(half_disc)
    return math.inf if metal.area < hair * radius else float(shape_distance(metal, ShapePoint(tip)))


def _leans_free(
    contour: Contour, bends: list[FlangeBend], side: FlangeBend, at_end: bool, radius: float
) -> bool:
    """True when the flange's own side leaves this end of the bend straight and leans out by little."""
    tip = side.end if at_end else side.start
    eu, ev = side.along
    iu, iv = side.inward
    for a, b in segments(contour):
        near, off = ((a.u, a.v), (b.u, b.v)) if at_end else ((b.u, b.v), (a.u, a.v))
        if math.dist(near, tip) > SAME_MM or a.bulge:
            continue
        if any(x.stands_on(a, b) for x in bends):
            continue
        du, dv = off[0] - tip[0], off[1] - tip[1]
        past = (du * eu + dv * ev) * (1 if at_end else -1)
        into = du * iu + dv * iv
        return math.hypot(du, dv) >= radius and 0 < math.atan2(past, into) < FREE_LEAN
    return False
