"""What a plan is bent with: the shop's machines, and what its own test bend of that sheet says."""

from __future__ import annotations

from dataclasses import dataclass, replace

from generators.bending.folder.trial import FolderSetting
from generators.bending.force import pressed_on
from generators.bending.search import Bench, Both, bend_sequence
from generators.bending.steps import Sequence, Why
from generators.bending.trial import Setting
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop, Stock
from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.machines import BentOn, Machine
from generators.model.spec.tools.press import Brake
from generators.sheetmetal.allowance import SAME_THICKNESS_MM
from generators.standards import most_tensile


@dataclass(frozen=True, slots=True, kw_only=True)
class Machines:
    """What stands in the shop to bend a part on; ``opening_mm`` of the die its stock names."""

    brake: Brake
    folder: Folder
    opening_mm: float | None = None


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


def machines_of(plan: PartPlan, shop: Shop) -> Machines:
    """Brake and folder of the shop, or plain ones (ours), for a part."""
    stock = stock_of(plan, shop)
    opening = stock.die_opening_mm if stock is not None else None
    return Machines(brake=shop.brake, folder=shop.folder or Folder(), opening_mm=opening)


def setting_of(plan: PartPlan, shop: Shop) -> Setting:
    """Brake, die opening and springback for a part.

    Raises ``LookupFault`` for a material whose strength is not known.
    """
    stock = stock_of(plan, shop)
    springback = stock.springback_rad if stock is not None else 0.0
    return Setting(
        brake=shop.brake,
        tensile_mpa=most_tensile(plan.material).mpa,
        opening_mm=stock.die_opening_mm if stock is not None else None,
        springback_rad=springback,
        over_rad=pressed_on(springback, plan.bent_rad),
    )


def folder_setting(plan: PartPlan, shop: Shop) -> FolderSetting:
    """The shop's folder, or a plain one (ours), for a part. Raises ``LookupFault`` like ``setting_of``."""
    of_brake = setting_of(plan, shop)
    return FolderSetting(
        folder=shop.folder or Folder(),
        tensile_mpa=of_brake.tensile_mpa,
        springback_rad=of_brake.springback_rad,
    )


def asked(plan: PartPlan, shop: Shop) -> BentOn:
    """What a part is bent on: as it says, else on either machine, or the brake where there is no folder."""
    return plan.bent_on or ("either" if shop.folder is not None else "brake")


def stated(shop: Shop, why: Why, machine: Machine = "brake") -> bool:
    """True where the shop has named what a bend is refused for: only then is it known that it cannot be made.

    Its punches; or, for the press, a figure that is not what stands where nothing is typed. Its folder.
    """
    if machine == "folder":
        return shop.folder is not None
    brake, plain = shop.brake, Brake()
    if brake.punch or (why == "force" and any(tool.force_per_m_n is not None for tool in brake.die)):
        return True
    if why == "length":
        return brake.length_mm != plain.length_mm
    if why == "force":
        return brake.force_n != plain.force_n
    return why == "opening" and (brake.open_mm, brake.stroke_mm) != (plain.open_mm, plain.stroke_mm)


def benches(plan: PartPlan, shop: Shop) -> tuple[Bench, ...]:
    """What is tried one after the other: each machine alone, then the bends shared out between them.

    Raises ``LookupFault`` like ``setting_of``.
    """
    way, brake = asked(plan, shop), setting_of(plan, shop)
    if way == "brake":
        return (brake,)
    folder = folder_setting(plan, shop)
    return (folder,) if way == "folder" else (brake, folder, Both(first=brake, second=folder))


def sequence_of(plan: PartPlan, shop: Shop, *, brief: bool = False) -> tuple[Sequence, bool]:
    """The order of bends of a part, and whether the die carries the sheet everywhere in it.

    Where no order does that on any machine it may be bent on, one is looked for on the brake in which at
    least nothing meets. ``brief`` as for ``bend_sequence``.
    """
    way = asked(plan, shop)
    for bench in benches(plan, shop):
        sequence = bend_sequence(plan, bench, brief=brief)
        if sequence.found or way == "folder":
            return sequence, True
    return bend_sequence(plan, replace(setting_of(plan, shop), supported=False), brief=brief), False


def on_brake_instead(plan: PartPlan, shop: Shop, bends: Sequence) -> Sequence | None:
    """The order on the brake alone of a part bent on the folder; None where the folder is not used."""
    if all(step.machine == "brake" for step in bends.steps):
        return None
    return bend_sequence(plan, setting_of(plan, shop))
