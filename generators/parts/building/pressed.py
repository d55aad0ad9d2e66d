"""Bushes pressed into the pivot bores of a part: the bores get H7, and the plan knows what goes in."""

from __future__ import annotations

from dataclasses import replace

from generators.errors import GeometryFault, LookupFault
from generators.model.pedal_place import PressedBush
from generators.model.plan import PartPlan
from generators.standards import press_tolerance, wrapped_bush

SAME_MM = 1e-6
PIVOT = "pivot"


def with_bush(plan: PartPlan, parameters: object) -> PartPlan:
    """The plan with the bush of ``pivot_bush`` in its pivot bores; as it is where the kind or spec has none.

    Raises ``GeometryFault`` for a size that ISO 3547 does not have, and for a bore it does not go into.
    """
    inside = getattr(parameters, "pivot_bush_mm", None)
    if inside is None:
        return plan
    try:
        row = wrapped_bush(inside)
    except LookupFault as fault:
        raise GeometryFault(str(fault), "pivot_bush") from fault
    bore = getattr(parameters, "pivot_bore_mm", row.outside_mm)
    if abs(bore - row.outside_mm) > SAME_MM:
        raise GeometryFault(
            f"a pivot bore of {bore:g} mm for a bush of {inside:g} mm, which goes into {row.outside_mm:g} mm",
            "pivot_bore",
        )
    given = getattr(parameters, "pivot_bush_outside_mm", None)
    least, most = given or (row.least_mm, row.most_mm)
    if least > most:
        raise GeometryFault(f"a bush of {least:g} mm at least and {most:g} mm at most", "pivot_bush_outside")
    fit = press_tolerance(row.outside_mm)
    bush = PressedBush(
        inside_mm=inside,
        bore_mm=row.bore_mm,
        least_mm=least,
        most_mm=most,
        length_mm=max(getattr(parameters, "pivot_bush_length_mm", None) or 0.0, plan.thickness_mm),
        fit=fit,
        source="pivot_bush_outside" if given else f"{row.outside_source} ({row.outside_trust})",
    )
    flanges = tuple(
        replace(
            flange,
            holes=tuple(
                replace(h, tolerance=fit) if h.name.startswith(PIVOT) and h.diameter_mm == bore else h
                for h in flange.holes
            ),
        )
        for flange in plan.flanges
    )
    return replace(plan, flanges=flanges, bush=bush)
