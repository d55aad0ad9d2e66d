"""What is pressed into pivot bores, bush or bearing alike: the bore it goes into, and that bore's fit."""

from __future__ import annotations

from dataclasses import replace

from generators.errors import GeometryFault
from generators.model.pedal_place import PressedBush
from generators.model.plan import PartPlan

PIVOT = "pivot"
SAME_MM = 1e-6


def bore_for(parameters: object, outside_mm: float, what: str) -> float:
    """The pivot bore of a part, mm. Raises ``GeometryFault`` where ``what`` does not go into it."""
    bore: float = getattr(parameters, "pivot_bore_mm", outside_mm)
    if abs(bore - outside_mm) > SAME_MM:
        raise GeometryFault(
            f"a pivot bore of {bore:g} mm for {what}, which goes into {outside_mm:g} mm", "pivot_bore"
        )
    return bore


def seated(plan: PartPlan, bush: PressedBush, bore_mm: float) -> PartPlan:
    """The plan with ``bush`` in its pivot bores of ``bore_mm``, and its fit on them."""
    flanges = tuple(
        replace(
            flange,
            holes=tuple(
                replace(h, tolerance=bush.fit)
                if h.name.startswith(PIVOT) and abs(h.diameter_mm - bore_mm) < SAME_MM
                else h
                for h in flange.holes
            ),
        )
        for flange in plan.flanges
    )
    return replace(plan, flanges=flanges, bush=bush)
