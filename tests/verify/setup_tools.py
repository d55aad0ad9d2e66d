"""What a shop bends a part with, as a reader of its setup sheet is told of it."""

from __future__ import annotations

from dataclasses import replace

from generators.bending.setting import machines_of, setting_of
from generators.bending.tools import dies_of, punches_of
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop
from generators.verify.pdf.bending.tools import Tools


def tools_of(plan: PartPlan, shop: Shop) -> Tools:
    """Brake, dies and folder, the plain ones where the shop names none."""
    setting = setting_of(plan, shop)
    return Tools(
        brake=replace(setting.brake, punch=punches_of(setting.brake)),
        dies=dies_of(setting.brake, setting.opening_mm, plan.thickness_mm),
        tensile_mpa=setting.tensile_mpa,
        folder=machines_of(plan, shop).folder,
        over_rad=setting.over_rad,
        opening_mm=setting.opening_mm,
        springback_rad=setting.springback_rad,
    )
