"""What a plan weighs and fills, in closed form."""

from __future__ import annotations

import math

from generators.geometry.contours import area, perimeter
from generators.model.plan import Flange, PartPlan
from generators.sheetmetal.folding import bend_length, flat_pattern


def flange_area(flange: Flange) -> float:
    """Area of a flange less its openings, mm²."""
    net = area(flange.contour)
    net -= sum(math.pi * h.diameter_mm**2 / 4 for h in flange.holes)
    net -= sum(math.pi * s.width_mm**2 / 4 + s.width_mm * s.travel_mm for s in flange.slots)
    return net


def folded_volume(plan: PartPlan) -> float:
    """Volume of the folded part, mm³: flanges × thickness plus a ring sector per bend."""
    t = plan.thickness_mm
    total = sum(flange_area(f) for f in plan.flanges) * t
    for bend in plan.bends:
        r = bend.inside_radius_mm
        total += bend.angle_rad / 2 * ((r + t) ** 2 - r**2) * bend_length(bend)
    return total


def flat_area(plan: PartPlan) -> float:
    """Area of the blank less its openings, mm²."""
    flat = flat_pattern(plan)
    net = area(flat.contour)
    net -= sum(math.pi * h.diameter_mm**2 / 4 for h in flat.holes)
    net -= sum(math.pi * s.width_mm**2 / 4 + s.width_mm * s.travel_mm for s in flat.slots)
    return net


def fold_volume_difference(plan: PartPlan) -> float:
    """``folded_volume − flat area × T`` in mm³.

    A real bend keeps its volume and thins a little; a solid of constant thickness has its own
    neutral fibre at T/2, so each bend differs by ``A (1/2 − K) T² L``.
    """
    t = plan.thickness_mm
    return sum(b.angle_rad * (0.5 - b.k_factor) * t * t * bend_length(b) for b in plan.bends)


def cut_length(plan: PartPlan) -> float:
    """Length of all cuts of the blank, mm."""
    flat = flat_pattern(plan)
    total = perimeter(flat.contour)
    total += sum(math.pi * h.diameter_mm for h in flat.holes)
    total += sum(math.pi * s.width_mm + 2 * s.travel_mm for s in flat.slots)
    return total
