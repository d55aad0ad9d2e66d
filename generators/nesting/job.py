"""The nest of a job: every cut part in its quantity, as often as the job is made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop
from generators.nesting.nest import Blank, Nest
from generators.nesting.place import lay
from generators.sheetmetal.cut_file import cut_pattern
from generators.sheetmetal.folding import flat_pattern


def nest_of(plans: Sequence[PartPlan], least_mm: Mapping[str, float], shop: Shop, sets: int) -> Nest:
    """Blanks of all parts that are cut, laid on the shop's sheets; ``least_mm`` is the smallest hole by part.

    Raises ``NoSheetError`` where a blank finds no place, ``GeometryFault`` for a plan without flat pattern.
    """
    blanks = tuple(
        Blank(
            plan=plan,
            planned=(planned := flat_pattern(plan)),
            cut=cut_pattern(planned, shop.cutting.kerf_mm, least_mm[plan.name]),
            least_mm=least_mm[plan.name],
            count=plan.quantity * sets,
        )
        for plan in plans
        if not plan.printed
    )
    rules = shop.nest
    return Nest(
        blanks=blanks,
        sheets=lay(blanks, shop.sheet, rules),
        sets=sets,
        gap_mm=rules.gap_mm,
        margin_mm=rules.margin_mm,
    )
