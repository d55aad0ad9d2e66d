"""What a plan is bent with: the shop's brake, and what its own test bend of that sheet says."""

from __future__ import annotations

from dataclasses import replace

from generators.bending.search import bend_sequence
from generators.bending.steps import Sequence, Why
from generators.bending.trial import Setting
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop, Stock
from generators.model.spec.tools.press import Brake
from generators.sheetmetal.allowance import SAME_THICKNESS_MM
from generators.standards import most_tensile


def stock_of(plan: PartPlan, shop: Shop) -> Stock | None:
    """The shop's sheet a part is made of, if it has it."""
    return next(
        (
            s
            for s in shop.stock
            if s.material == plan.material and abs(s.thickness_mm - plan.thickness_mm) <= SAME_THICKNESS_MM
        ),
        None,
    )


def setting_of(plan: PartPlan, shop: Shop) -> Setting:
    """Brake, die opening and springback for a part.

    Raises ``LookupFault`` for a material whose strength is not known.
    """
    stock = stock_of(plan, shop)
    return Setting(
        brake=shop.brake,
        tensile_mpa=most_tensile(plan.material).mpa,
        opening_mm=stock.die_opening_mm if stock is not None else None,
        springback_rad=stock.springback_rad if stock is not None else 0.0,
    )


def stated(shop: Shop, why: Why) -> bool:
    """True where the shop has named what a bend is refused for: only then is it known that it cannot be made.

    Its punches; or, for the press, a figure that is not what stands where nothing is typed.
    """
    brake, plain = shop.brake, Brake()
    if brake.punch or (why == "force" and any(tool.force_per_m_n is not None for tool in brake.die)):
        return True
    if why == "length":
        return brake.length_mm != plain.length_mm
    if why == "force":
        return brake.force_n != plain.force_n
    return why == "opening" and (brake.open_mm, brake.stroke_mm) != (plain.open_mm, plain.stroke_mm)


def sequence_of(plan: PartPlan, shop: Shop) -> tuple[Sequence, bool]:
    """The order of bends of a part, and whether the die carries the sheet everywhere in it.

    Where no order does that, one is looked for in which at least nothing meets.
    """
    setting = setting_of(plan, shop)
    carried = bend_sequence(plan, setting)
    if carried.found:
        return carried, True
    return bend_sequence(plan, replace(setting, supported=False)), False
