"""The rule on what inside radius a die makes by air bending, beside the one the part is drawn with."""

from __future__ import annotations

from collections.abc import Iterator

from generators.bending.setting import setting_of, stock_of
from generators.bending.steps import Sequence, Step
from generators.bending.tools import dies_of, punches_of
from generators.checks.rule import SAME_MM, Rule, finding, listed, mm
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop

LEAST_V, MOST_V = 8.0, 6.0
"""Air bending makes an inside radius of V/8 to V/6 (common practice, no source), no less than the tip's."""

LEAST_T, MOST_T = 6.0, 12.0
"""Openings that suit a sheet, in thicknesses (common practice, no source)."""

DIE_RADIUS = Rule(
    code="die-radius",
    title="The die makes another radius",
    meaning=(
        "In air bending the opening of the die makes the inside radius, about V/8 to V/6 in steel and no "
        "less than the punch's tip. Where the part is drawn with another, its flat length and its legs "
        "come out otherwise. A stock entry with its die and the K-factor of a test bend goes before this: "
        "that radius was seen. Said too where the only dies are far from 6 to 12 thicknesses wide."
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
        words = _against(plan, shop, step, radius)
        if words:
            yield finding(
                DIE_RADIUS,
                Severity.NOTE,
                f"part:{plan.name} {'bends' if len(names) > 1 else 'bend'} {listed(names)}",
                value=radius,
                found=f"{mm(radius)} over {die}",
                wanted=words,
                advice="bend a test strip over that die, and state its radius, die_opening and k_factor",
            )


def _radius(plan: PartPlan, step: Step) -> float:
    return next(b.inside_radius_mm for b in plan.bends if b.name == step.bend)


def _against(plan: PartPlan, shop: Shop, step: Step, radius: float) -> str:
    """What the die makes or suits instead; empty where all is well or the shop has seen it."""
    setting, stock, v = setting_of(plan, shop), stock_of(plan, shop), step.opening_mm
    if (
        stock is not None
        and stock.k_factor is not None
        and stock.die_opening_mm is not None
        and abs(stock.die_opening_mm - v) < SAME_MM
        and abs(stock.inside_radius_mm - radius) < SAME_MM
    ):
        return ""
    die = next(d for d in dies_of(setting.brake, setting.opening_mm, plan.thickness_mm) if d.name == step.die)
    tip = next(p.tip_radius_mm for p in punches_of(setting.brake) if p.name == step.punch)
    low, high = (max(tip, v / LEAST_V), max(tip, v / MOST_V)) if die.way == "air" else (tip, tip)
    if not low - SAME_MM <= radius <= high + SAME_MM:
        return f"what it makes, {mm(low)}" + (f" to {mm(high)}" if high > low else "")
    ratio = v / plan.thickness_mm
    if setting.opening_mm is None and not LEAST_T - 1e-6 <= ratio <= MOST_T + 1e-6:
        least, most = LEAST_T * plan.thickness_mm, MOST_T * plan.thickness_mm
        return f"an opening of {mm(least)} to {mm(most)}: it is {ratio:.1f} thicknesses wide"
    return ""
