"""Rules on the bends of one part: flange length, neighbours, reliefs, radius, and the shop's knowledge."""

from __future__ import annotations

from collections.abc import Iterator

from generators.bending.setting import stock_of
from generators.checks.measure import line_to_line
from generators.checks.part.bending import check_bending, of_the_die, on_folder
from generators.checks.part.clash import check_room
from generators.checks.part.die import check_leg, leg_limit, outside
from generators.checks.part.flange_bends import flange_bends
from generators.checks.part.reliefs import relief_width, reliefs
from generators.checks.rule import SAME_MM, Rule, finding, listed, mm, mm_up, more, short_of
from generators.errors import LookupFault
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.plan import Bend, Flange, PartPlan
from generators.model.spec.shop import Shop, Stock
from generators.sheetmetal.allowance import SHOP_K
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.grain import Lie, lie_of
from generators.sheetmetal.joggle import is_joggle
from generators.standards import BendRadius, minimum_bend_radius

FACING = -0.5


BEND_NEAR_BEND = Rule(
    code="bend-near-bend",
    title="Two bends too close together",
    meaning=(
        "The flat between two facing bends must reach across half the die when the second one is made. "
        "It is measured outside, like a flange, for each of the two bends by its angle."
    ),
    formula="flat + setback >= V/2 / cos(A/2) if the die is known, else as flange-length",
    source="the die's geometry; without a die, common practice, no source",
    trust="CP",
    mend="Move the bends apart, or bend over a narrower die.",
    limit_key="flange_ratio",
)

BEND_RADIUS = Rule(
    code="bend-radius",
    title="Bend tighter than the alloy takes",
    meaning=(
        "Below the least radius for the alloy, temper and thickness the outside cracks. The table gives a "
        "range for 90 degrees: below its lower end is a fail, within it a warning. For structural steel the "
        "lower end holds where the bend lies across the grain, the upper one along it and at any other "
        "angle: with the part's `grain` one of them is the limit, without it between the two is a warning. A "
        "strip the shop has bent without cracks (`bent_without_cracks` of its stock) goes before the table; "
        "its K-factor alone says nothing of cracks."
    ),
    formula="inside radius >= table range",
    source=(
        "AC 43.13-1B table 4-6 for aluminium; EN 10025-2 for S235 over 2.5 mm; 1 t for other "
        "steel, common practice"
    ),
    trust="R1",
    mend="Bend to a larger radius, take a softer temper, or bend across the grain and look for cracks.",
)

BEND_RADIUS_OWN = Rule(
    code="bend-radius-own",
    title="Bend below the table, on the shop's own word",
    meaning=(
        "The radius is below the table's, and the shop says it has bent this sheet to it without cracks. "
        "That was one strip of one delivery: look at the outside of the first part of each new sheet."
    ),
    formula="inside radius < table, >= the shop's test strip",
    source="shop.toml, stock, bent_without_cracks",
    trust="CP",
    mend="Bend to the table's radius, or look at every first part.",
)

BEND_RADIUS_UNKNOWN = Rule(
    code="bend-radius-unknown",
    title="No least bend radius known",
    meaning="The table has no row for this sheet, and nothing is extrapolated.",
    formula="-",
    source="AC 43.13-1B table 4-6 ends at 0.258 in",
    trust="R1",
    mend="Ask the mill for the least radius, or bend a test strip.",
)

JOGGLE_TOOL = Rule(
    code="joggle-tool",
    title="Joggle: two bends for one stroke",
    meaning=(
        "Two bends of the same angle, one up and one down, closer together than half the die, cannot be made "
        "one after the other. An offset die presses both in one stroke; the shop needs one for this step."
    ),
    formula="flat + setback < V/2 / cos(A/2) if the die is known, else less than flange-length asks",
    source="the die's geometry; without a die, common practice, no source",
    trust="CP",
    mend="Ask the shop for an offset die of this step, or move the bends apart.",
    limit_key="flange_ratio",
)

STOCK_MISSING = Rule(
    code="stock-missing",
    title="Sheet not in shop.toml",
    meaning="The shop file has no such sheet, so bend radius and K-factor come from tables.",
    formula="-",
    source="shop.toml, stock",
    trust="CP",
    mend="Add the sheet to shop.toml with the radius your brake makes and the K of a test bend.",
)

K_UNMEASURED = Rule(
    code="k-unmeasured",
    title="K-factor not measured",
    meaning="The sheet is known, but the K-factor of this radius was not measured on a test bend.",
    formula="-",
    source="shop.toml, stock",
    trust="CP",
    mend="Bend a test strip at this radius, measure it, and put its K-factor in shop.toml.",
)

RULES = (
    BEND_NEAR_BEND,
    BEND_RADIUS,
    BEND_RADIUS_OWN,
    BEND_RADIUS_UNKNOWN,
    JOGGLE_TOOL,
    STOCK_MISSING,
    K_UNMEASURED,
)


def check_bends(plan: PartPlan, limits: Limits, shop: Shop, *, brief: bool = False) -> Iterator[Finding]:
    """Findings of the bend rules on one plan; ``brief`` as for ``check_bending``.

    Raises ``GeometryFault`` when it cannot be laid flat.
    """
    if not plan.bends:
        return
    stock = stock_of(plan, shop)
    yield from _knowledge(plan, stock)
    said: list[Finding] = []
    folded = on_folder(plan, shop)
    for flange in plan.flanges:
        said.extend(f for f in _lengths(plan, flange, limits, stock) if of_the_die(f, folded))
    yield from said
    flat = flat_pattern(plan)
    for bend in plan.bends:
        yield from _radius(plan, bend, lie_of(plan, flat, bend), stock)
    yield from check_room(plan, flat)
    yield from reliefs(plan, flat, relief_width(plan, stock))
    yield from check_bending(plan, shop, said, brief=brief)


def _knowledge(plan: PartPlan, stock: Stock | None) -> Iterator[Finding]:
    where = f"part:{plan.name}"
    if stock is None:
        yield finding(
            STOCK_MISSING,
            Severity.NOTE,
            where,
            found=f"{plan.material}, {mm(plan.thickness_mm)}",
            wanted="a stock entry in shop.toml",
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
            found="; ".join(sources),
            wanted="K of a test bend in shop.toml",
            advice="bend a test strip of this sheet at this radius and put its K-factor in shop.toml",
        )


def _lengths(plan: PartPlan, flange: Flange, limits: Limits, stock: Stock | None) -> Iterator[Finding]:
    here = flange_bends(plan, flange)
    t = plan.thickness_mm
    for i, one in enumerate(here):
        for two in here[i + 1 :]:
            if one.inward[0] * two.inward[0] + one.inward[1] * two.inward[1] > FACING:
                continue
            flat = line_to_line(one.start, one.end, two.start, two.end)
            # each in its turn: the one that lacks most speaks for both
            (limit, floor), value = max(
                ((leg_limit(x.bend, t, limits, stock), flat + outside(x.bend, t)) for x in (one, two)),
                key=lambda pair: pair[0][0] - pair[1],
            )
            severity = short_of(value, limit, floor)
            if severity and is_joggle(one.bend, two.bend):
                yield finding(
                    JOGGLE_TOOL,
                    Severity.WARN,
                    f"part:{plan.name} flange {flange.name}, bends {one.bend.name} and {two.bend.name}",
                    value=value,
                    limit=limit,
                    advice=f"ask the shop for an offset die, or move the bends {more(limit - value)} apart",
                )
            elif severity:
                yield finding(
                    BEND_NEAR_BEND,
                    severity,
                    f"part:{plan.name} flange {flange.name}, bends {one.bend.name} and {two.bend.name}",
                    value=value,
                    limit=limit,
                    advice=f"move bends {one.bend.name} and {two.bend.name} {more(limit - value)} apart",
                )
    for one in here:
        yield from check_leg(plan, flange, one, [x for x in here if x is not one], limits, stock)


def _rounder(plan: PartPlan, radius_mm: float) -> Proposal:
    """Every bend of the part with that inside radius."""
    change = Change(path=f"part[{plan.name}].inside_radius", to=radius_mm, rounding="up")
    return Proposal(words=f"bend {plan.name} to an inside radius of {mm_up(radius_mm)}", steps=(change,))


def _own(bend: Bend, lie: Lie, stock: Stock | None) -> bool:
    """True where the shop has bent a strip of the sheet so, that tight or tighter, without cracks."""
    if stock is None or not stock.bent_without_cracks:
        return False
    as_hard = stock.bent_without_cracks == "along" or lie == "across"
    return as_hard and bend.inside_radius_mm >= stock.inside_radius_mm - SAME_MM


def _radius(plan: PartPlan, bend: Bend, lie: Lie, stock: Stock | None) -> Iterator[Finding]:
    where = f"part:{plan.name} bend {bend.name}"
    radius = bend.inside_radius_mm
    own = _own(bend, lie, stock)
    try:
        row = minimum_bend_radius(plan.material, plan.thickness_mm)
    except LookupFault as fault:
        if not own:
            yield finding(
                BEND_RADIUS_UNKNOWN,
                Severity.WARN,
                where,
                value=radius,
                wanted="no row for this sheet",
                advice=f"bend a test strip first: {fault}",
            )
        return
    low, high = row.low_mm, row.high_mm
    if row.by_grain and lie != "unsaid":
        low = high = row.low_mm if lie == "across" else row.high_mm
    severity = short_of(radius, high, low)
    if not severity:
        return
    source = f"{row.source}, {row.edition} ({row.trust})"
    if own and stock is not None:
        yield finding(
            BEND_RADIUS_OWN,
            Severity.NOTE,
            where,
            value=radius,
            wanted=_by_table(row),
            advice=(
                f"the shop has bent a strip {stock.bent_without_cracks} the grain to "
                f"{mm(stock.inside_radius_mm)} without cracks: look at the outside of each sheet's first part"
            ),
            source=source,
        )
        return
    yield finding(
        BEND_RADIUS,
        severity,
        where,
        value=radius,
        limit=high,
        floor=low,
        advice=_advice(plan, row, radius, high, lie),
        proposals=(*_turned(plan, lie, row, radius), _rounder(plan, high)),
        source=source,
    )


def _by_table(row: BendRadius) -> str:
    if row.by_grain:
        return f"across the grain {mm_up(row.low_mm)}, along it {mm_up(row.high_mm)}"
    return f"by the table {mm_up(row.low_mm)} to {mm_up(row.high_mm)}"


def _turned(plan: PartPlan, lie: Lie, row: BendRadius, radius: float) -> Iterator[Proposal]:
    """The grain ordered the other ways, where across it the radius is enough."""
    if not row.by_grain or lie == "across" or radius < row.low_mm - SAME_MM:
        return
    for word in ("along_u", "along_v"):
        if word != plan.grain:
            change = Change(path=f"part[{plan.name}].grain", word=word)
            yield Proposal(words=f"order the grain of {plan.name} {word.replace('_', ' ')}", steps=(change,))


def _advice(plan: PartPlan, row: BendRadius, radius: float, high: float, lie: Lie) -> str:
    larger = f"bend {plan.material} to an inside radius at least {more(high - radius)} larger"
    if not row.by_grain:
        return larger
    turn = ""
    if lie == "along":
        turn = f"; it lies along the grain, across it {mm_up(row.low_mm)} is enough"
    elif lie == "unsaid":
        turn = f"; across the grain {mm_up(row.low_mm)} is enough: then order it, `grain` of the part"
    return (
        f"{larger}{turn}; or bend a strip, look for cracks, and state it in shop.toml: its radius and "
        "bent_without_cracks"
    )
