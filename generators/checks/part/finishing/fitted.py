"""Rules on collars, nuts and studs of a part: sheet, edges, bends, and what they are welded to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.bending.setting import stock_of
from generators.bending.tools import dies_of, punches_of
from generators.checks.measure import line_to_line, spine_distance
from generators.checks.part.flange_bends import FlangeBend, flange_bends
from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up, more, short_of
from generators.geometry.contours import segments
from generators.model.findings import Finding, Severity
from generators.model.joints.hole_finish import HoleFinish, Ring
from generators.model.plan import Flange, Hole, PartPlan
from generators.model.spec.shop import Shop
from generators.sheetmetal.allowance import allowance
from generators.standards import material

COLLAR_EDGE_SHEETS = 3.0
FLOW_MOST = 0.5

INSERT_SHEET = Rule(
    code="insert-sheet",
    title="Sheet too thin for a nut or stud",
    meaning=(
        "A pressed nut or stud holds by the metal that flows into its groove; in thinner sheet there is not "
        "enough, and it turns or falls out. A welded one burns through."
    ),
    formula="t >= least sheet of the table",
    source="each row's own: public tables of pressed studs; pressed nuts from memory",
    trust="M-med",
    mend="Thicker sheet, a smaller thread, or a nut and bolt through a clearance hole.",
)

INSERT_EDGE = Rule(
    code="insert-edge",
    title="Nut or stud too near an edge",
    meaning=(
        "Pressed in near an edge, a nut or stud bulges the edge out and holds less. The distance runs from "
        "its middle to the nearest edge that is not bent on. Where its own rim hangs over the edge it fails."
    ),
    formula="middle to edge >= distance of the table; fail below half its width",
    source="each row's own: public tables of pressed studs; pressed nuts from memory",
    trust="M-med",
    mend="Move it inward, leave more metal there, or weld a nut on.",
)

COLLAR_EDGE = Rule(
    code="collar-edge",
    title="Collar too near an edge or a bend",
    meaning=(
        "A collar is drawn from the metal round its hole. Near an edge that metal gives way instead of "
        "stretching, beside a bend it is already stretched: the collar tears or stands crooked. Distances "
        "run from the bore's rim to a free edge, and from the collar's rim to a bend's tangent line."
    ),
    formula="rim to edge >= 3 t; collar to tangent >= 3 t; fail below 1 t",
    source="a public guide of sheet metal parts (3 t + d / 2 to an edge, 3 t + R to a bend); fail limit ours",
    trust="R2",
    mend="Move the hole away, or take a welded nut instead of a collar.",
)

FLOW_SHEET = Rule(
    code="flow-sheet",
    title="Sheet too thick to flow-drill",
    meaning=(
        "The metal a friction drill pushes aside must find room round a hole that wide; thick sheet stalls "
        "the drill or tears."
    ),
    formula="t <= 0.5 d",
    source="a public encyclopedia: typically half of the hole's diameter",
    trust="R2",
    mend="Cut a thread in the sheet instead: it is thick enough, or a larger thread.",
)

WELD_METAL = Rule(
    code="weld-nut-metal",
    title="Steel nut welded to another metal",
    meaning="Weld nuts of the table are of steel. No shop's plain means weld steel to aluminium.",
    formula="sheet of steel or stainless steel",
    source="metallurgy: iron and aluminium make brittle phases; common practice, no source",
    trust="CP",
    mend='Press a nut in (holes = "press_nut"), or bolt through with a nut.',
)

STANDS_AT_BEND = Rule(
    code="stands-at-bend",
    title="Collar, nut or stud in the way of the bending tools",
    meaning=(
        "What stands on the sheet before it is bent meets the die where it stands on the die's side, and the "
        "punch where it stands on the other. On the die's side it must lie outside of the die's width while "
        "the sheet is flat. On the punch's side the leg leans toward the punch by half the bend's angle. "
        "The distance runs from the middle of the bend to the nearer rim, on the flat sheet."
    ),
    formula="die's side: rim >= die width / 2; punch's: rim >= (punch width / 2 + h sin(A/2)) / cos(A/2)",
    source="plane geometry; widths are those of the shop's tools",
    trust="C",
    mend="Move it away from the bend, put it on the other side, or weld it on after bending.",
)

BOSS_ROOM = Rule(
    code="boss-room",
    title="No room to weld a boss on",
    meaning=(
        "A boss is welded all round. Its rim must lie on the cheek (a fail beyond an edge or a bend's "
        "tangent line), with room for the fillet's foot beside it: its throat times the square root of two."
    ),
    formula="boss's rim to edge and to tangent >= 1.41 a; fail below 0",
    source="geometry of a fillet with equal legs (ISO 2553: throat a, leg z = a x 1.41)",
    trust="C",
    mend="A larger cheek round the pivot (pivot_boss), a smaller boss, or the pivot further from the bend.",
)

RULES = (INSERT_SHEET, INSERT_EDGE, COLLAR_EDGE, FLOW_SHEET, WELD_METAL, STANDS_AT_BEND, BOSS_ROOM)


def check_fitted(plan: PartPlan, shop: Shop) -> Iterator[Finding]:
    """Findings on every collar, nut and stud of a part. Raises ``LookupFault`` for an unknown material."""
    for flange in plan.flanges:
        bends = flange_bends(plan, flange)
        for hole in flange.holes:
            finish = hole.finish
            if finish is None or finish.stands_mm <= 0:
                continue
            where = f"part:{plan.name} flange {flange.name}, hole {hole.name}"
            yield from _sheet(plan, hole, finish, where)
            yield from _edges(plan, flange, hole, bends, where)
            if not finish.bent:
                yield from _tools(plan, hole, finish, bends, shop, where)


def _sheet(plan: PartPlan, hole: Hole, finish: HoleFinish, where: str) -> Iterator[Finding]:
    t = plan.thickness_mm
    if (fitted := finish.fitted) is not None and t < fitted.least_sheet_mm - SAME_MM:
        yield finding(
            INSERT_SHEET,
            Severity.FAIL,
            where,
            value=t,
            limit=fitted.least_sheet_mm,
            found=f"{fitted.item} in sheet of {mm(t)}",
            wanted=f"{mm_up(fitted.least_sheet_mm)} at least",
            source=fitted.source,
            advice="thicker sheet, a smaller thread, or a bolt with a nut",
        )
    if finish.kind == "weld_nut" and (metal := material(plan.material).kind) not in ("steel", "stainless"):
        yield finding(
            WELD_METAL,
            Severity.FAIL,
            where,
            found=f"a weld nut of steel on {metal}",
            wanted="a sheet of steel",
            advice='press a nut in: holes = "press_nut"',
        )
    if finish.kind == "flow_drilled" and t > FLOW_MOST * hole.diameter_mm + SAME_MM:
        yield finding(
            FLOW_SHEET,
            Severity.WARN,
            where,
            value=t,
            limit=FLOW_MOST * hole.diameter_mm,
            found=f"{mm(t)} of sheet under a drill of {mm(hole.diameter_mm)}",
            wanted=f"{mm(FLOW_MOST * hole.diameter_mm)} at most",
            advice="cut a thread in the sheet instead, or take a larger one",
        )


def _edges(
    plan: PartPlan, flange: Flange, hole: Hole, bends: Sequence[FlangeBend], where: str
) -> Iterator[Finding]:
    finish, at = hole.finish, (hole.u_mm, hole.v_mm)
    if finish is None:
        return
    free = [(a, b) for a, b in segments(flange.contour) if not any(x.stands_on(a, b) for x in bends)]
    away = spine_distance(at, at, free)
    fitted, t = finish.fitted, plan.thickness_mm
    if fitted is not None and fitted.edge_mm > 0:
        floor = fitted.outside_mm / 2
        severity = short_of(away, fitted.edge_mm, floor)
        if severity:
            yield finding(
                INSERT_EDGE,
                severity,
                where,
                value=away,
                limit=fitted.edge_mm,
                floor=floor,
                source=fitted.source,
                advice=f"move hole {hole.name} at least {more(fitted.edge_mm - away)} away from the edge",
            )
    if finish.ring is None:
        return
    if finish.ring.welded:
        yield from _boss(hole, finish.ring, away, bends, where)
        return
    limit = COLLAR_EDGE_SHEETS * t
    for value, what in (
        (away - hole.diameter_mm / 2, "the edge"),
        *((_to_tangent(hole, b) - finish.wide_mm / 2, f"bend {b.bend.name}") for b in bends),
    ):
        severity = short_of(value, limit, t)
        if severity:
            yield finding(
                COLLAR_EDGE,
                severity,
                f"{where} and {what}",
                value=value,
                limit=limit,
                floor=t,
                advice=f"move hole {hole.name} at least {more(limit - value)} away from {what}",
            )


def _boss(
    hole: Hole, ring: Ring, away_mm: float, bends: Sequence[FlangeBend], where: str
) -> Iterator[Finding]:
    foot = ring.weld_mm * math.sqrt(2)
    tangents = [(_to_tangent(hole, b), f"bend {b.bend.name}") for b in bends]
    for value, what in ((away_mm, "the edge"), *tangents):
        room = value - ring.outside_mm / 2
        severity = short_of(room, foot, 0.0)
        if severity:
            yield finding(
                BOSS_ROOM,
                severity,
                f"{where} and {what}",
                value=room,
                limit=foot,
                floor=0.0,
                advice=f"leave {more(foot - room)} more metal round the boss of {hole.name}, or make it "
                "smaller",
            )


def _to_tangent(hole: Hole, bend: FlangeBend) -> float:
    at = (hole.u_mm, hole.v_mm)
    return line_to_line(at, at, bend.start, bend.end)


def tool_limits_mm(plan: PartPlan, shop: Shop, angle_rad: float, stands_mm: float) -> tuple[float, float]:
    """How far from a bend's middle what stands on a sheet must begin, mm: on the die's side, the punch's.

    With the die the shop's sheet names, else the one nearest to eight thicknesses, and the narrowest punch.
    """
    stock = stock_of(plan, shop)
    opening = stock.die_opening_mm if stock is not None else None
    dies = dies_of(shop.brake, opening, plan.thickness_mm)
    die = dies[0].width_mm / 2 if dies else 0.0
    half = angle_rad / 2
    punch = min(p.width_mm for p in punches_of(shop.brake)) / 2
    return die, (punch + stands_mm * math.sin(half)) / math.cos(half)


def _tools(
    plan: PartPlan,
    hole: Hole,
    finish: HoleFinish,
    bends: Sequence[FlangeBend],
    shop: Shop,
    where: str,
) -> Iterator[Finding]:
    for bend in bends:
        b = bend.bend
        die, punch = tool_limits_mm(plan, shop, b.angle_rad, finish.stands_mm)
        # an up bend turns toward the upper side, which is the punch's
        inner = (b.direction == "up") == (finish.side == "upper")
        limit, tool = (punch, "punch") if inner else (die, "die")
        strip = allowance(b.angle_rad, b.inside_radius_mm, plan.thickness_mm, b.k_factor)
        value = _to_tangent(hole, bend) + strip / 2 - finish.wide_mm / 2
        if value < limit - SAME_MM:
            yield finding(
                STANDS_AT_BEND,
                Severity.WARN,
                f"{where} and bend {b.name}",
                value=value,
                limit=limit,
                found=f"{mm(value)} from the middle of the bend to its rim, on the side of the {tool}",
                wanted=f"{mm_up(limit)} at least",
                advice=f"move hole {hole.name} at least {more(limit - value)} away from bend {b.name}, or "
                "turn it to the other side",
            )
