"""What a bracket kind is: parameters in, one plan out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from generators.model.plan import PartPlan
from generators.model.spec.job import PartSpec
from generators.model.under import PanelUnder
from generators.sheetmetal.allowance import BendRule

P = TypeVar("P")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind(Generic[P]):
    """One bracket kind, with the dataclass ``P`` of its parameters.

    ``origin`` says in words which point of the part ``mount.at`` places. ``parameters`` is the
    dataclass its ``parameters`` table is read into; ``plan`` turns a part and the bend rule of its
    sheet into a plan, and raises ``GeometryFault`` naming the parameter when no such part can be made.

    A kind whose shape follows the panel under it has ``plan_on`` too, and its parts need a mount;
    its ``plan`` is that on a sample panel (``on_sample``), for pictures and listings. One that
    ``drills`` nothing into the panel is planned after all that do, and so sees every hole. A
    ``printed`` kind is made of plastic, the others of sheet.
    """

    name: str
    summary: str
    parameters: type[P]
    plan: Callable[[PartSpec[P], BendRule], PartPlan]
    origin: str = ""
    plan_on: Callable[[PartSpec[P], BendRule, PanelUnder], PartPlan] | None = None
    drills: bool = True
    printed: bool = False


def on_sample(
    plan_on: Callable[[PartSpec[P], BendRule, PanelUnder], PartPlan], sample: PanelUnder
) -> Callable[[PartSpec[P], BendRule], PartPlan]:
    """``Kind.plan`` of a kind that needs a panel: its plan on a sample panel."""
    return lambda spec, rule: plan_on(spec, rule, sample)
