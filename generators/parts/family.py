"""What a bracket family is: parameters in, one plan out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from generators.model.job import PartSpec
from generators.model.plan import PartPlan
from generators.sheetmetal.allowance import BendRule


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """One bracket family.

    ``origin`` says in words which point of the part ``mount.at`` places. ``parameters`` is the
    dataclass its ``parameters`` table is read into; ``plan`` turns a part and the bend rule of its
    sheet into a plan, and raises ``GeometryFault`` naming the parameter when no such part can be made.
    """

    name: str
    summary: str
    parameters: type[Any]
    plan: Callable[[PartSpec, BendRule], PartPlan]
    origin: str = ""
