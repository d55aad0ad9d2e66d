"""Rules on the bends of one part: flange length, neighbours, reliefs, radius, and the shop's knowledge."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely import distance as shape_distance
from shapely.geometry import Point as ShapePoint
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import Point, area_of, line_to_line
from generators.checks.part.clash import check_room
from generators.checks.part.rules_bend import (
    BEND_NEAR_BEND,
    BEND_RADIUS,
    BEND_RADIUS_UNKNOWN,
    BEND_RELIEF,
    FLANGE_LENGTH,
    JOGGLE_TOOL,
    K_UNMEASURED,
    STOCK_MISSING,
)
from generators.checks.rule import SAME_MM, finding, limit_text, listed, mm, mm_up, more, short_of
from generators.errors import LookupFault
from generators.geometry.contours import Placement, bounds, segments, transformed
from generators.model.contour import Contour, Vertex
from generators.model.findings import Finding, Severity
from generators.model.plan import Bend, Flange, PartPlan
from generators.model.spec.job import Limits
from generators.model.spec.shop import Shop, Stock
from generators.sheetmetal.allowance import SAME_THICKNESS_MM, setback
from generators.sheetmetal.folding import FlatPattern, bend_length, flat_pattern
from generators.sheetmetal.relief import relief_diameter
from generators.standards import minimum_bend_radius

DIE_RATIO = 1 / math.sqrt(2)
"""Leg over die opening at a 90 degree bend: V/2 along a side at 45 degrees, about 0.7."""

FACING = -0.5
FREE_LEAN = math.radians(45)
DISC_STEPS = 32
ON_EDGE_MM = 1e-6
SHOP_K = "shop test bend"


@dataclass(frozen=True, slots=True, kw_only=True)
class FlangeBend:
    """A bend seen from one of its two flanges: the tangent line in that flange's frame, walked
    counter-clockwise, so that the flange lies to its left."""

    bend: Bend
    start: Point
    end: Point

    @property
    def along(self) -> Point:
        """Unit direction of the tangent line."""
        length = math.dist(self.start, self.end)
        return (self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length

    def stands_on(self, a: Vertex, b: Vertex) -> bool:
        """True when the tangent line is this straight side of the outline."""
        return (
            a.bulge == 0
            and math.dist(self.start, (a.u, a.v)) < ON_EDGE_MM
            and math.dist(self.end, (b.u, b.v)) < ON_EDGE_MM
        )

    @property
    def inward(self) -> Point:
        """Unit normal into the flange."""
        eu, ev = self.along
        return -ev, eu


def flange_bends(plan: PartPlan, flange: Flange) -> list[FlangeBend]:
    """The bends a flange hangs on and those it carries."""
    out = []
    for bend in plan.bends:
        if bend.parent == flange.name:
            out.append(FlangeBend(bend=bend, start=bend.start, end=bend.end))
        if bend.child == flange.name:
            out.append(FlangeBend(bend=bend, start=(0.0, 0.0), end=(bend_length(bend), 0.0)))
    return out


def check_bends(plan: PartPlan, limits: Limits, shop: Shop) -> Iterator[Finding]:
    """Findings of the bend rules on one plan. Raises ``GeometryFault`` when it cannot be laid flat."""
    if not plan.bends:
        return
    stock = next(
        (
            s
            for s in shop.stock
            if s.material == plan.material and abs(s.thickness_mm - plan.thickness_mm) <= SAME_THICKNESS_MM
        ),
        None,
    )
    yield from _knowledge(plan, stock)
    for flange in plan.flanges:
        yield from _lengths(plan, flange, limits, stock)
    for bend in plan.bends:
        yield from _radius(plan, bend)
    flat = flat_pattern(plan)
    yield from check_room(plan, flat)
    yield from _reliefs(plan, flat, _relief(plan, stock))


def _relief(plan: PartPlan, stock: Stock | None) -> float:
    """Width of a relief: the shop's, else the handbook's, mm."""
    if stock is not None and stock.relief_mm is not None:
        return stock.relief_mm
    return relief_diameter(plan.thickness_mm)


def _knowledge(plan: PartPlan, stock: Stock | None) -> Iterator[Finding]:
    where = f"part:{plan.name}"
    if stock is None:
        yield finding(
            STOCK_MISSING,
            Severity.NOTE,
            where,
            value=f"{plan.material}, {mm(plan.thickness_mm)}",
            limit="a stock entry in shop.toml",
            advice="add this sheet to shop.toml with your own bend radius and K-factor",
        )
        return
    guessed = [b for b in plan.bends if b.k_source != SHOP_K]
    if guessed:
        sources = sorted({f"K {b.k_factor:.3f} from {b.k_source}" for b in guessed})
        yield finding(
            K_UNMEASURED,
            Severity.NOTE,
            f"{where} {'bends' if len(guessed) > 1 else 'bend'} {listed(b.name for b in guessed)}",
            value="; ".join(sources),
            limit="K of a test bend in shop.toml",
            advice="bend a test strip of this sheet at this radius and put its K-factor in shop.toml",
        )


def _outside(bend: Bend, thickness: float) -> float:
    """Mould line to tangent line; a hem (180 degrees) is as wide as its outside radius."""
    if bend.angle_rad >= math.pi - 1e-9:
        return bend.inside_radius_mm + thickness
    return setback(bend.angle_rad, bend.inside_radius_mm, thickness)


def _flange_limit(bend: Bend, thickness: float, limits: Limits, stock: Stock | None) -> tuple[float, float]:
    """Least outside length and the fail limit, mm: only a known die can say that it will not go."""
    if stock is not None and stock.die_opening_mm is not None:
        needed = DIE_RATIO * stock.die_opening_mm
        return needed, needed
    return limits.flange_ratio * thickness + bend.inside_radius_mm, 0.0


def _depth(contour: Contour, bend: FlangeBend) -> float:
    """Deepest point of the flange from the tangent line, mm."""
    iu, iv = bend.inward
    turn = Placement(angle=-math.atan2(iv, iu))
    return bounds(transformed(contour, turn))[2] - turn.apply(*bend.start)[0]


def _lengths(plan: PartPlan, flange: Flange, limits: Limits, stock: Stock | None) -> Iterator[Finding]:
    here = flange_bends(plan, flange)
    t = plan.thickness_mm
    facing: set[str] = set()
    for i, one in enumerate(here):
        for two in here[i + 1 :]:
            if one.inward[0] * two.inward[0] + one.inward[1] * two.inward[1] > FACING:
                continue
            facing |= {one.bend.name, two.bend.name}
            flat = line_to_line(one.start, one.end, two.start, two.end)
            value = flat + min(_outside(one.bend, t), _outside(two.bend, t))
            limit, floor = max(_flange_limit(b.bend, t, limits, stock) for b in (one, two))
            severity = short_of(value, limit, floor)
            if severity and is_joggle(one.bend, two.bend):
                yield finding(
                    JOGGLE_TOOL,
                    Severity.WARN,
                    f"part:{plan.name} flange {flange.name}, bends {one.bend.name} and {two.bend.name}",
                    value=mm(value),
                    limit=limit_text(limit),
                    advice=f"ask the shop for an offset die, or move the bends {more(limit - value)} apart",
                )
            elif severity:
                yield finding(
                    BEND_NEAR_BEND,
                    severity,
                    f"part:{plan.name} flange {flange.name}, bends {one.bend.name} and {two.bend.name}",
                    value=mm(value),
                    limit=limit_text(limit),
                    advice=f"move bends {one.bend.name} and {two.bend.name} {more(limit - value)} apart",
                )
    for one in here:
        if one.bend.name in facing:
            continue
        value = _depth(flange.contour, one) + _outside(one.bend, t)
        limit, floor = _flange_limit(one.bend, t, limits, stock)
        severity = short_of(value, limit, floor)
        if severity:
            yield finding(
                FLANGE_LENGTH,
                severity,
                f"part:{plan.name} flange {flange.name}, bend {one.bend.name}",
                value=mm(value),
                limit=limit_text(limit),
                advice=f"make flange {flange.name} at least {more(limit - value)} longer",
            )


def is_joggle(one: Bend, two: Bend) -> bool:
    """True for two bends of the same angle, one up and one down, the one after the other."""
    in_a_row = one.child == two.parent or two.child == one.parent
    same = math.isclose(one.angle_rad, two.angle_rad, abs_tol=1e-9)
    return in_a_row and same and one.direction != two.direction


def _radius(plan: PartPlan, bend: Bend) -> Iterator[Finding]:
    where = f"part:{plan.name} bend {bend.name}"
    radius = bend.inside_radius_mm
    try:
        row = minimum_bend_radius(plan.material, plan.thickness_mm)
    except LookupFault as fault:
        yield finding(
            BEND_RADIUS_UNKNOWN,
            Severity.WARN,
            where,
            value=mm(radius),
            limit="no row for this sheet",
            advice=f"bend a test strip first: {fault}",
        )
        return
    severity = short_of(radius, row.high_mm, row.low_mm)
    if severity:
        yield finding(
            BEND_RADIUS,
            severity,
            where,
            value=mm(radius),
            limit=limit_text(row.high_mm, row.low_mm),
            advice=f"bend {plan.material} to an inside radius at least {more(row.high_mm - radius)} larger",
            source=f"{row.source}, {row.edition} ({row.trust})",
        )


def _reliefs(plan: PartPlan, flat: FlatPattern, diameter: float) -> Iterator[Finding]:
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
                    value=mm(clear),
                    limit=mm_up(radius),
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
