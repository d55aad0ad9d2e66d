"""Rules on the flanges of one part: edges, spacing, ligaments, bends, and what the shop can make."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from generators.checks.measure import Segment, depth_inside, line_to_line, near_pairs, spine_distance
from generators.checks.part.bends import check_bends
from generators.checks.part.finishing.etching import check_etching
from generators.checks.part.finishing.fitted import check_fitted
from generators.checks.part.finishing.threads import check_threads
from generators.checks.part.finishing.weld_gaps import check_weld_gaps
from generators.checks.part.flange_bends import FlangeBend, flange_bends
from generators.checks.part.hands import check_hands
from generators.checks.part.pivots import check_pivots
from generators.checks.part.printed import check_printed
from generators.checks.rule import SAME_MM, Rule, finding, mm, more, ordered, short_of
from generators.geometry.contours import segments
from generators.model.contour import Contour
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.plan import Flange, PartPlan
from generators.model.spec.shop import Shop

EDGE_FLOOR = 1.2
"""Fail limit of centre to edge over hole diameter: e1, EN 1993-1-8 table 3.3, from memory."""

SPACING_FLOOR = 2.2
"""Fail limit of centre to centre over hole diameter: p1, EN 1993-1-8 table 3.3, from memory."""

LOADED = frozenset({"bolt", "rivet", "insert", "tapped"})
"""Kinds that carry load in the sheet and are judged by edge distance and spacing."""

HOLE_EDGE_DISTANCE = Rule(
    code="hole-edge-distance",
    title="Bolt hole too near an edge",
    meaning=(
        "A bolt, rivet or insert near an edge tears out. The distance runs from the hole's centre to the "
        "nearest free edge; an edge that is bent on is not free. The published figure is for rivets in a "
        "single row; it is used for bolts too, which is the safe side. Bores, bulkhead fittings, grommets, "
        "lightening and plain holes carry no shear and are often large, so a multiple of their diameter "
        "would ask for "
        "metal that does nothing: they are judged by the metal left (hole-ligament)."
    ),
    formula="centre to edge >= hole_edge_ratio x D (2 D); fail below 1.2 D",
    source=(
        "AC 43.13-1B 4-57c, rivets in a single row, applied to bolts; fail limit e1 of "
        "EN 1993-1-8 table 3.3, from memory"
    ),
    trust="R2",
    mend="Move the hole inward, take a smaller fastener, or leave more metal at that edge.",
    limit_key="hole_edge_ratio",
)

HOLE_SPACING = Rule(
    code="hole-spacing",
    title="Fasteners too close together",
    meaning=(
        "Two bolts, rivets or inserts share the metal between them. The distance runs from centre to centre "
        "and D is the larger of the two holes. Rivet figures are used for bolts."
    ),
    formula="centre to centre >= hole_spacing_ratio x D (3 D); fail below 2.2 D",
    source=(
        "AC 43.13-1B 4-57c and NAVEDTRA 14018 by figure 13-43, rivets, applied to bolts; fail limit p1 of "
        "EN 1993-1-8 table 3.3, from memory"
    ),
    trust="R2",
    mend="Move one of the two, or take smaller fasteners.",
    limit_key="hole_spacing_ratio",
)

HOLE_LIGAMENT = Rule(
    code="hole-ligament",
    title="Too little metal beside an opening",
    meaning=(
        "The metal left between two openings, or between an opening that carries no bolt and an edge. A "
        "blanked hole is still a hole: a plate over it carries nothing. Two openings that run into each "
        "other always fail."
    ),
    formula="metal >= max(ligament_ratio x t, ligament_mm) (2 t, 3 mm); fail below 1 t",
    source="slot to edge at least 2 t, hole at least t: common practice, no source",
    trust="CP",
    mend="Move an opening or make it smaller, or put a doubler behind.",
    limit_key="ligament_ratio",
)

HOLE_BEND_DISTANCE = Rule(
    code="hole-bend-distance",
    title="Opening too near a bend",
    meaning=(
        "An opening beside a bend is pulled out of round. The distance runs from the opening's edge to the "
        "bend's tangent line. The trade states it as 2 to 2.5 t + R from the outside face; at 90 degrees the "
        "tangent lies R + t in from that face, so 2 t from the tangent is 3 t + R from the outside: the safe "
        "side of that, and it stays meaningful at other angles. An opening that reaches into the bend fails."
    ),
    formula="opening edge to tangent >= bend_clearance_ratio x t (2 t); fail below 0",
    source="common practice, no source",
    trust="CP",
    mend="Move the opening away from the bend, or drill it after bending and say so.",
    limit_key="bend_clearance_ratio",
)

NUT_ON_BEND = Rule(
    code="nut-on-bend",
    title="Nut or bolt head on a bend",
    meaning="A nut or head that reaches over the tangent line sits on the curve, not flat.",
    formula="hole centre to tangent >= half the nut's corner circle",
    source="geometry",
    trust="C",
    mend="Move the hole away from the bend, or use a smaller fastener.",
)

HOLE_PROCESS_LIMIT = Rule(
    code="hole-process-limit",
    title="Hole smaller than the machine cuts",
    meaning="The shop's machine cannot cut so small a hole cleanly: the file carries a centre mark instead.",
    formula="D >= max(smallest_hole_ratio x t, smallest_hole) of shop.toml",
    source="shop.toml, cutting; default 1 t is common practice, no source",
    trust="CP",
    mend="Drill it by hand at the centre mark, or make it larger.",
)

RULES = (
    HOLE_EDGE_DISTANCE,
    HOLE_SPACING,
    HOLE_LIGAMENT,
    HOLE_BEND_DISTANCE,
    NUT_ON_BEND,
    HOLE_PROCESS_LIMIT,
)


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


def check_part(plan: PartPlan, spec_limits: Limits, shop: Shop, *, brief: bool = False) -> list[Finding]:
    """Findings of all part rules on one plan, gravest first; ``brief`` spares what only words need.

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
    found.extend(check_bends(plan, spec_limits, shop, brief=brief))
    found.extend(check_pivots(plan))
    found.extend(check_etching(plan))
    found.extend(check_hands(plan))
    found.extend(check_threads(plan))
    found.extend(check_weld_gaps(plan))
    found.extend(check_fitted(plan, shop))
    return ordered(found)


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
            limit, floor = limits.least_ligament_mm(thickness), thickness
        severity = short_of(value, limit, floor)
        if severity:
            yield finding(
                rule,
                severity,
                f"{where}, hole {o.name} and the edge",
                value=value,
                limit=limit,
                floor=floor,
                advice=f"move hole {o.name} at least {more(limit - value)} away from the edge",
            )


def _pairs(here: list[Opening], thickness: float, limits: Limits, where: str) -> Iterator[Finding]:
    ligament = limits.least_ligament_mm(thickness)
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
                value=metal,
                limit=ligament,
                floor=thickness,
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
                value=apart,
                limit=limit,
                floor=SPACING_FLOOR * width,
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
                    value=value,
                    limit=limit,
                    floor=0.0,
                    advice=f"move hole {o.name} at least {more(limit - value)} away from bend {name}",
                )
            nut = o.nut_circle_mm / 2
            if centre < nut - SAME_MM:
                yield finding(
                    NUT_ON_BEND,
                    Severity.WARN,
                    place,
                    value=centre,
                    limit=nut,
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
                value=o.width_mm,
                limit=limit,
                advice=f"the {cutting.process} marks the centre of hole {o.name} only: drill it to "
                f"{mm(o.width_mm)} by hand",
            )
