"""The rules on what lies on the lower die: how far a leg must reach, all along the bend, and openings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapePoint
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import Point, shape_of
from generators.checks.part.flange_bends import FlangeBend
from generators.checks.rule import SAME_MM, Rule, finding, listed, more, short_of
from generators.figures import fixed
from generators.geometry.contours import Placement, transformed
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.plan import Bend, Flange, Hole, PartPlan, Slot
from generators.model.spec.shop import Stock
from generators.sheetmetal.allowance import setback
from generators.sheetmetal.die import shoulder, trade_leg
from generators.sheetmetal.folding import bend_allowance

Span = tuple[float, float]

FLANGE_LENGTH = Rule(
    code="flange-length",
    title="Flange too short to bend",
    meaning=(
        "A flange must reach across its half of the lower die, along the whole bend, or it slips in there. "
        "It is measured outside, square to the bend, from the mould line to where the metal ends. When the "
        "shop gives its die opening V, the leg must reach V/2 / cos(A/2) for a bend of A: 0.71 V at 90 deg, "
        "V at 120, 1.93 V at 150; less is a fail. Without a die the trade's figure for a square bend is "
        "taken, and past 90 deg it grows alike. A slanted or rounded end may fall short for as much as one "
        "thickness."
    ),
    formula=(
        "outside length >= V/2 / cos(A/2) if the die is known, else flange_ratio x t + R (4 t + R), past "
        "90 deg x cos 45 / cos(A/2)"
    ),
    source="the die's geometry; without a die, and for the end of one thickness, common practice, no source",
    trust="CP",
    mend="Make the flange longer, square at its ends, bend over a narrower die, or bend it long and trim.",
    limit_key="flange_ratio",
)

HOLE_ON_DIE = Rule(
    code="hole-on-die",
    title="Opening where the sheet lies on the die",
    meaning=(
        "While a bend is made, the sheet slides over the shoulders of the lower die, from V/2 beside the "
        "middle of the flat bend to V/2 / cos(A/2) from its mould line. An opening there, longer along the "
        "bend than the way from bend to shoulder, leaves nothing to lean on: the metal between it and the "
        "bend sinks in and the bend opens. Shorter ones are carried by the metal beside them (ours)."
    ),
    formula="length of the opening along the bend, over the shoulder <= V/2 / cos(A/2) - tan(A/2) (R + t)",
    source="the die's geometry; what is too long is ours",
    trust="CP",
    mend="Move the opening away from the bend, cut it after bending, or bend over a narrower die.",
    limit_key="flange_ratio",
)

RULES = (
    FLANGE_LENGTH,
    HOLE_ON_DIE,
)


def outside(bend: Bend, thickness: float) -> float:
    """Mould line to tangent line, mm; a hem (180 degrees) is as wide as its outside radius."""
    if bend.angle_rad >= math.pi - 1e-9:
        return bend.inside_radius_mm + thickness
    return setback(bend.angle_rad, bend.inside_radius_mm, thickness)


def leg_limit(bend: Bend, thickness: float, limits: Limits, stock: Stock | None) -> tuple[float, float]:
    """Least outside length and the fail limit, mm: only a known die can say that it will not go."""
    if stock is not None and stock.die_opening_mm is not None:
        needed = shoulder(stock.die_opening_mm, bend.angle_rad)
        return needed, needed
    return trade_leg(bend.angle_rad, bend.inside_radius_mm, thickness, limits.flange_ratio), 0.0


def check_leg(
    plan: PartPlan,
    flange: Flange,
    one: FlangeBend,
    others: Sequence[FlangeBend],
    limits: Limits,
    stock: Stock | None,
) -> Iterator[Finding]:
    """Findings on one flange over the die of one of its bends; ``others`` are the flange's other bends.

    Where the flange ends at another bend its length is that rule's matter.
    """
    t, bend = plan.thickness_mm, one.bend
    length = math.dist(one.start, one.end)
    limit, floor = leg_limit(bend, t, limits, stock)
    back = outside(bend, t)
    need = limit - back
    onto = one.onto
    metal = shape_of(transformed(flange.contour, onto))
    where = f"part:{plan.name} flange {flange.name}, bend {bend.name}"
    short = _beside(_short(metal, need, length), [_spans(onto, other) for other in others])
    if len(short) == 1 and short[0][1] - short[0][0] > length - SAME_MM:
        # nowhere deep enough: its deepest point says how much is missing
        value = float(metal.bounds[3]) + back
        advice = f"make flange {flange.name} at least {more(limit - value)} longer"
        severity = short_of(value, limit, floor)
    else:
        short = [span for span in short if span[1] - span[0] > t + SAME_MM]
        value = min((_reach(metal, span) for span in short), default=math.inf) + back
        stretches = listed(f"from {fixed(a, 1)} to {fixed(b, 1)} mm" for a, b in short)
        where += f", {stretches} of its {fixed(length, 1)} mm"
        advice = (
            f"make flange {flange.name} reach {more(need)} from the bend's edge along the whole bend: square "
            "ends, no notch there"
        )
        severity = short_of(value, limit, floor) if short else None
    if severity:
        yield finding(FLANGE_LENGTH, severity, where, value=value, limit=limit, advice=advice)
    yield from _openings(plan, flange, one, onto, need)


def _openings(
    plan: PartPlan, flange: Flange, one: FlangeBend, onto: Placement, need: float
) -> Iterator[Finding]:
    """Openings over the shoulder, from where it is when the sheet is flat to where it is at the end."""
    bend, length = one.bend, math.dist(one.start, one.end)
    half = (need + outside(bend, plan.thickness_mm)) * math.cos(bend.angle_rad / 2)
    first = min(half - bend_allowance(bend, plan.thickness_mm) / 2, need)
    if need <= 0:
        return
    for opening in flange.openings:
        value = _over(_shape(opening, onto), max(first, 0.0), need, length)
        if value > need + SAME_MM:
            yield finding(
                HOLE_ON_DIE,
                Severity.WARN,
                f"part:{plan.name} flange {flange.name}, hole {opening.name} and bend {bend.name}",
                value=value,
                limit=need,
                advice=f"move hole {opening.name} away from bend {bend.name}, or cut it after bending",
            )


def _over(shape: BaseGeometry, first: float, last: float, length: float) -> float:
    """Length of an opening along the bend where it lies over the shoulder, mm."""
    band = Polygon([(0.0, first), (length, first), (length, last), (0.0, last)]) if last > first else None
    over = shape.intersection(band or LineString([(0.0, last), (length, last)]))
    return float(over.bounds[2] - over.bounds[0]) if not over.is_empty else 0.0


def _shape(opening: Hole | Slot, onto: Placement) -> BaseGeometry:
    u, v = onto.apply(opening.u_mm, opening.v_mm)
    if isinstance(opening, Hole):
        return ShapePoint(u, v).buffer(opening.diameter_mm / 2, quad_segs=32)
    turn = opening.angle_rad + onto.angle
    du, dv = math.cos(turn) * opening.travel_mm / 2, math.sin(turn) * opening.travel_mm / 2
    return LineString([(u - du, v - dv), (u + du, v + dv)]).buffer(opening.width_mm / 2, quad_segs=32)


def _short(metal: Polygon, need: float, length: float) -> list[Span]:
    """Stretches of the bend, from its start, where the metal does not reach ``need`` from it."""
    if need <= 0:
        return []
    on = metal.intersection(LineString([(0.0, need), (length, need)]))
    pieces = sorted((p.bounds[0], p.bounds[2]) for p in getattr(on, "geoms", [on]) if not p.is_empty)
    return _without((0.0, length), pieces)


def _beside(spans: list[Span], bends: Sequence[Span]) -> list[Span]:
    """The stretches less those another bend lies across from."""
    out: list[Span] = []
    for span in spans:
        out += _without(span, sorted(bends))
    return out


def _without(span: Span, taken: Sequence[Span]) -> list[Span]:
    at, out = span[0], []
    for low, high in taken:
        if low > at + SAME_MM:
            out.append((at, min(low, span[1])))
        at = max(at, high)
        if at >= span[1]:
            break
    if span[1] > at + SAME_MM:
        out.append((at, span[1]))
    return [(a, b) for a, b in out if b > a]


def _reach(metal: Polygon, span: Span) -> float:
    """How far the metal reaches from the bend where it reaches least in a stretch, mm."""
    inset = min(SAME_MM, (span[1] - span[0]) / 4)
    low, high = span[0] + inset, span[1] - inset
    places = [low, high, *(u for u, _ in metal.exterior.coords if low < u < high)]
    top = float(metal.bounds[3]) + 1.0
    reaches = []
    for u in places:
        for side in (-inset / 2, inset / 2):
            on = metal.intersection(LineString([(u + side, 0.0), (u + side, top)]))
            reaches.append(float(on.bounds[3]) if not on.is_empty else 0.0)
    return max(min(reaches), 0.0)


def _spans(onto: Placement, other: FlangeBend) -> Span:
    """Where another bend of the flange lies along this one."""
    ends: list[Point] = [onto.apply(*other.start), onto.apply(*other.end)]
    return min(p[0] for p in ends), max(p[0] for p in ends)
