"""The rule on what inside radius a die makes by air bending, beside the one the part is drawn with."""

from __future__ import annotations

from collections.abc import Iterator

from generators.bending.force import legs_grow, made_radius
from generators.bending.setting import setting_of, stock_of
from generators.bending.steps import Sequence, Step
from generators.bending.tools import dies_of, punches_of
from generators.checks.rule import SAME_MM, Rule, finding, listed, mm
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop

LEAST_T, MOST_T = 6.0, 12.0
"""Openings that suit a sheet, in thicknesses (common practice, no source)."""

SEEN_SHARE = 1.4
"""How far a radius the shop has seen may lie beside V/8 to V/6, ours: beyond that its strip was another's."""

DIE_RADIUS = Rule(
    code="die-radius",
    title="The die makes another radius",
    meaning=(
        "In air bending the opening of the die makes the inside radius, about V/8 to V/6 in steel and no "
        "less than the punch's tip. Where the part is drawn with another, its flat length and its legs "
        "come out otherwise. A stock entry with its die and the K-factor of a test bend goes before this: "
        "that radius was seen, unless it is more than 1.4 times off what the die makes (ours): then the "
        "entry contradicts its die, and it is a warning. Each leg comes out by half of (2 tan(A/2) - A) "
        "times the difference of the radii, with its holes. A punch whose tip makes the radius is taken "
        "first. Said too where the only dies are far from 6 to 12 thicknesses wide."
    ),
    formula="max(tip, V/8) <= inside radius <= max(tip, V/6); 6 t <= V <= 12 t",
    source="common practice, no source",
    trust="CP",
    mend="Bend a test strip over that die and state radius, die and K-factor, or take the die that makes it.",
)

RULES = (DIE_RADIUS,)


def check_die_radius(plan: PartPlan, shop: Shop, sequence: Sequence) -> Iterator[Finding]:
    """A note for each radius and die of an order of bends that do not go together."""
    said: dict[tuple[str, float], list[str]] = {}
    for step in sequence.on_brake:
        said.setdefault((step.die, _radius(plan, step)), []).append(step.bend)
    for (die, radius), names in said.items():
        step = next(s for s in sequence.on_brake if s.bend == names[0])
        words, low, high = _against(plan, shop, step, radius)
        if not words:
            continue
        seen = _seen(plan, shop, step, radius)
        advice = "bend a test strip over that die, and state its radius, die_opening and k_factor"
        if seen:
            advice = (
                f"bend that strip again, take a punch with a tip of {mm(radius)}, or a V of {mm(7 * radius)}"
            )
        if low > 0:
            advice = f"{_comes_out(step, radius, low, high)}: {advice}"
        yield finding(
            DIE_RADIUS,
            Severity.WARN if seen else Severity.NOTE,
            f"part:{plan.name} {'bends' if len(names) > 1 else 'bend'} {listed(names)}",
            value=radius,
            found=f"{mm(radius)} over {die}",
            wanted=words,
            advice=advice,
        )


def _comes_out(step: Step, radius: float, low: float, high: float) -> str:
    """What the other radius does to the legs and to the holes on them."""
    made = low if abs(low - radius) < abs(high - radius) else high
    off = legs_grow(step.angle_rad, radius, made) / 2
    way, holes = ("longer", "farther from") if off > 0 else ("shorter", "nearer to")
    return f"each leg comes out {mm(abs(off))} or more {way} outside, its holes as much {holes} the bend"


def _seen(plan: PartPlan, shop: Shop, step: Step, radius: float) -> bool:
    """True where the shop says that its test strip had that radius over that die."""
    stock = stock_of(plan, shop)
    return (
        stock is not None
        and stock.k_factor is not None
        and stock.die_opening_mm is not None
        and abs(stock.die_opening_mm - step.opening_mm) < SAME_MM
        and abs(stock.inside_radius_mm - radius) < SAME_MM
    )


def _radius(plan: PartPlan, step: Step) -> float:
    return next(b.inside_radius_mm for b in plan.bends if b.name == step.bend)


def _against(plan: PartPlan, shop: Shop, step: Step, radius: float) -> tuple[str, float, float]:
    """What the die makes or suits instead, and that radius (0 where it is another matter); empty if well."""
    setting, v = setting_of(plan, shop), step.opening_mm
    die = next(d for d in dies_of(setting.brake, setting.opening_mm, plan.thickness_mm) if d.name == step.die)
    tip = next(p.tip_radius_mm for p in punches_of(setting.brake) if p.name == step.punch)
    low, high = made_radius(v, tip, bottom=die.way == "bottom")
    # what was seen may lie beside the rule of thumb, but not far
    share = SEEN_SHARE if _seen(plan, shop, step, radius) else 1.0
    if not low / share - SAME_MM <= radius <= high * share + SAME_MM:
        return f"what it makes, {mm(low)}" + (f" to {mm(high)}" if high > low else ""), low, high
    ratio = v / plan.thickness_mm
    if setting.opening_mm is None and not LEAST_T - 1e-6 <= ratio <= MOST_T + 1e-6:
        least, most = LEAST_T * plan.thickness_mm, MOST_T * plan.thickness_mm
        return f"an opening of {mm(least)} to {mm(most)}: it is {ratio:.1f} thicknesses wide", 0.0, 0.0
    return "", 0.0, 0.0
