"""The rule on channels: the cheek that was bent first swings toward the punch that bends the second.

On a press brake both sides of a bend rise by half its angle, so a point of the sheet turns about the bend
by that much. The punch stands in the plane that halves the bend, from its tip up to the ram. Seen along the
bends, with the inside faces of web and cheeks as three lines and the mould line of the second bend as origin,
the edge of the first cheek lies at ``(W + h cos A1, h sin A1)``: ``W`` from mould line to mould line inside,
``h`` the cheek's depth from its own, ``A1`` its bend. Turned by ``A2/2`` it has reached the plane when
``W cos(A2/2) + h cos(A1 + A2/2) < 0``; at 90° both, when ``h > W``.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry import box

from generators.checks.measure import Point, line_to_line, shape_of
from generators.checks.part.flange_bends import FlangeBend, flange_bends
from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up, more
from generators.geometry.contours import transformed
from generators.model.findings import Finding, Severity
from generators.model.plan import Flange, PartPlan
from generators.model.spec.shop import Brake, Shop

FACING = -math.cos(math.radians(15))
"""Two bends of one web make a channel when their inward normals are within 15° of opposite."""

BESIDE_MM = 0.01

CHEEK_PUNCH = Rule(
    code="cheek-punch",
    title="Channel too deep for a straight punch",
    meaning=(
        "When the second cheek of a channel is bent, the first one swings toward the punch, which stands in "
        "the plane that halves the bend, from its tip up to the ram. Deeper inside than the limit, the "
        "cheek's edge passes that plane: no straight punch has room for it, however tall. A gooseneck punch "
        "has, when its neck stands back far enough, from low enough, up to where the edge comes in. The rule "
        "takes the better order of the two bends, and a punch as thin as its plane: a thick one wants more."
    ),
    formula=(
        "inside depth <= - W cos(A2/2) / cos(A1 + A2/2), which is W at 90 deg; the edge comes in at "
        "sqrt(W^2 + depth^2) above the tip, just deep enough at W x sqrt(2)"
    ),
    source="geometry of bending in a V die",
    trust="C",
    mend=(
        "Make the cheeks less deep or the web wider, bend with a gooseneck punch and name it in shop.toml "
        "([brake]), or have the part bent on a folding machine."
    ),
)

RULES = (CHEEK_PUNCH,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """A cheek at the end of the second bend, seen along it; mm, heights above the tip of the punch.

    ``limit`` is the inside depth at which the cheek's edge reaches the punch's plane. ``past`` is how far it
    ends beyond it, ``low`` the height at which the cheek then crosses the plane, ``high`` the height at which
    its edge comes in: what the ram must be above.
    """

    inside_depth: float
    inside_width: float
    limit: float
    past: float
    low: float
    high: float

    @property
    def meets(self) -> bool:
        """True when the cheek passes the punch's plane."""
        return self.inside_depth > self.limit + SAME_MM

    def cleared_by(self, brake: Brake) -> bool:
        """True when the shop's gooseneck punch has the room; what is not stated clears nothing."""
        return (
            brake.punch_height_mm is not None
            and brake.neck_from_mm is not None
            and brake.neck_depth_mm >= self.past
            and brake.neck_from_mm <= self.low
            and brake.punch_height_mm >= self.high
        )


def swing(
    *, flat: float, depth: float, thickness: float, first: tuple[float, float], second: tuple[float, float]
) -> Swing:
    """The first cheek of a channel when its second is bent.

    ``flat`` is the web between the tangent lines, ``depth`` the cheek from its tangent line, mm; ``first``
    and ``second`` are angle (rad) and inside radius (mm) of the two bends.
    """
    (a1, r1), (a2, r2) = first, second
    half = a2 / 2
    width = flat + r1 * math.tan(a1 / 2) + r2 * math.tan(half)
    inside = depth + r1 * math.tan(a1 / 2)
    lean = a1 + half
    # past 180° of lean the outer corner of the cheek's edge leads instead of the inner one
    outer = min(0.0, thickness * math.sin(lean))
    toward = -math.cos(lean)
    limit = (width * math.cos(half) + outer) / toward if toward > 1e-9 else math.inf
    edges = [complex(width, 0.0) + inside * _turn(a1)]
    edges.append(edges[0] + thickness * _turn(a1 - math.pi / 2))
    # a point that has turned past the horizontal behind the punch was deepest when it passed it
    ends = [(point * _turn(half)) for point in edges]
    past = max(abs(point) if end.imag < 0 else -end.real for point, end in zip(edges, ends, strict=True))

    def sunk(turned: float) -> float:
        """How far the mould line lies below the rounded tip."""
        return r2 * (1 / math.cos(turned) - 1)

    low = -width * math.sin(a1) / math.cos(lean) - sunk(half) if toward > 1e-9 else math.inf
    return Swing(
        inside_depth=inside,
        inside_width=width,
        limit=limit,
        past=past,
        low=low,
        high=max(abs(p) - sunk(min(max(math.pi / 2 - cmath.phase(p), 0.0), half)) for p in edges),
    )


def _turn(angle_rad: float) -> complex:
    return complex(math.cos(angle_rad), math.sin(angle_rad))


def check_punch(plan: PartPlan, shop: Shop) -> Iterator[Finding]:
    """Findings of channels whose cheeks meet the punch, whichever is bent last."""
    for web in plan.flanges:
        for one, two in itertools.combinations(flange_bends(plan, web), 2):
            dot = one.inward[0] * two.inward[0] + one.inward[1] * two.inward[1]
            if dot > FACING or one.bend.direction != two.bend.direction:
                continue
            orders = [(a, b, _swing(plan, web, a, b)) for a, b in ((one, two), (two, one))]
            if any(s is None or not s.meets or s.cleared_by(shop.brake) for _, _, s in orders):
                continue
            first, second, worst = min(
                ((a, b, s) for a, b, s in orders if s is not None), key=lambda order: round(order[2].past, 6)
            )
            yield _finding(plan, web, first, second, worst)


def _finding(plan: PartPlan, web: Flange, first: FlangeBend, second: FlangeBend, s: Swing) -> Finding:
    cheek = _cheek(web, first)
    return finding(
        CHEEK_PUNCH,
        Severity.WARN,
        f"part:{plan.name} flange {web.name}, bends {first.bend.name} and {second.bend.name}",
        value=s.inside_depth,
        limit=s.limit,
        found=(
            f"flange {cheek} {mm(s.inside_depth)} deep inside, {mm(s.inside_width)} wide inside; when bend "
            f"{second.bend.name} is bent last it comes in {mm_up(s.high)} above the punch's tip and ends "
            f"{mm_up(s.past)} past its plane"
        ),
        wanted=f"at most {mm(s.limit)} deep for a straight punch",
        advice=(
            f"make flange {cheek} {more(s.inside_depth - s.limit)} less deep, or take a gooseneck punch "
            f"{mm_up(s.high)} high from tip to ram, its neck {mm_up(s.past)} back from {mm(s.low)} above the "
            "tip, and state it under [brake] in shop.toml"
        ),
    )


def _cheek(web: Flange, first: FlangeBend) -> str:
    return first.bend.parent if first.bend.child == web.name else first.bend.child


def _swing(plan: PartPlan, web: Flange, first: FlangeBend, second: FlangeBend) -> Swing | None:
    """The cheek of ``first`` when ``second`` is bent; None when no part of it is over that bend."""
    depth = _depth_over(plan, web, first, second)
    if depth is None:
        return None
    return swing(
        flat=line_to_line(first.start, first.end, second.start, second.end),
        depth=depth,
        thickness=plan.thickness_mm,
        first=(first.bend.angle_rad, first.bend.inside_radius_mm),
        second=(second.bend.angle_rad, second.bend.inside_radius_mm),
    )


def _depth_over(plan: PartPlan, web: Flange, first: FlangeBend, second: FlangeBend) -> float | None:
    """How deep the cheek of ``first`` is where the punch stands, which is as long as ``second``, mm."""
    flange = plan.flange(_cheek(web, first))
    seen = next(other for other in flange_bends(plan, flange) if other.bend is first.bend)
    length = math.dist(first.start, first.end)
    eu, ev = first.along

    def at(point: Point) -> float:
        """Where a point of the second bend lies along the first."""
        return (point[0] - first.start[0]) * eu + (point[1] - first.start[1]) * ev

    ends = sorted((at(second.start), at(second.end)))
    # the cheek's own line runs the other way
    low, high = length - ends[1], length - ends[0]
    outline = shape_of(transformed(flange.contour, seen.onto))
    low_u, _, high_u, high_v = outline.bounds
    # a side right at the end of the bend is beside it
    low, high = max(low, low_u) + BESIDE_MM, min(high, high_u) - BESIDE_MM
    if high <= low:
        return None
    return float(outline.intersection(box(low, 0.0, high, high_v)).bounds[3])
