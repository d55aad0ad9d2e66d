"""What a plan weighs and fills, in closed form."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.geometry.contours import area, perimeter
from generators.model.plan import Flange, Hole, PartPlan, Peg
from generators.sheetmetal.folding import FlatPattern, bend_length, flat_pattern
from generators.standards import material

M3_PER_MM3 = 1e-9


def flange_area(flange: Flange) -> float:
    """Area of a flange less its openings, mm²."""
    net = area(flange.contour)
    net -= sum(math.pi * h.diameter_mm**2 / 4 for h in flange.holes)
    net -= sum(math.pi * s.width_mm**2 / 4 + s.width_mm * s.travel_mm for s in flange.slots)
    return net


def peg_volume(peg: Peg) -> float:
    """Volume of a peg, mm³: a cylinder and the frustum of a cone."""
    big, small = peg.diameter_mm / 2, peg.tip_mm / 2
    tip = peg.chamfer_mm / 3 * (big**2 + big * small + small**2)
    return math.pi * (big**2 * peg.straight_mm + tip)


def finish_volume(hole: Hole) -> float:
    """What a hole's finish adds to a part, mm³: a ring's, less the cone of a countersink beyond the hole."""
    if hole.finish is None:
        return 0.0
    total, narrow = 0.0, hole.diameter_mm / 2
    if (ring := hole.finish.ring) is not None:
        total += math.pi * (ring.outside_mm**2 / 4 - narrow**2) * ring.height_mm
    if (sink := hole.finish.sink) is not None:
        wide, deep = sink.head_mm / 2, sink.depth_mm(hole.diameter_mm)
        total -= math.pi * deep * ((wide**2 + wide * narrow + narrow**2) / 3 - narrow**2)
    return total


def folded_volume(plan: PartPlan) -> float:
    """Volume of the folded part, mm³: flanges × thickness, a ring sector per bend, pegs, what holes have."""
    t = plan.thickness_mm
    total = sum(flange_area(f) for f in plan.flanges) * t
    total += sum(peg_volume(p) for f in plan.flanges for p in f.pegs)
    total += sum(finish_volume(h) for f in plan.flanges for h in f.holes)
    for bend in plan.bends:
        r = bend.inside_radius_mm
        total += bend.angle_rad / 2 * ((r + t) ** 2 - r**2) * bend_length(bend)
    return total


def flat_area(plan: PartPlan) -> float:
    """Area of the blank less its openings, mm²."""
    return pattern_area(flat_pattern(plan))


def pattern_area(flat: FlatPattern) -> float:
    """Area of a blank less its openings, mm²."""
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


def metal_volume(plan: PartPlan) -> float:
    """Volume of the metal a part is made of, mm³: its blank's, which bending keeps, with what holes have.

    The solid has sheet of one thickness in the bends too and is larger there by what a real one thins. Welded
    bosses count, the metal of welds does not.
    """
    return folded_volume(plan) - fold_volume_difference(plan)


def mass_kg(plan: PartPlan) -> float:
    """Mass of one part, kg, its welds not counted. Raises ``LookupFault`` for an unknown material."""
    return metal_volume(plan) * material(plan.material).density_kg_m3 * M3_PER_MM3


def uncounted_words(plan: PartPlan) -> str:
    """``, its welds not counted``: what the finished part has beside ``mass_kg``; empty for nothing."""
    made = [h.finish for f in plan.flanges for h in f.holes if h.finish is not None]
    what = ["welds"] if plan.welds or any(f.ring is not None and f.ring.welded for f in made) else []
    what += ["fitted nuts and studs"] if any(f.fitted is not None for f in made) else []
    return f", its {' and '.join(what)} not counted" if what else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingWork:
    """What the cutter does to one blank: length of all cuts, how often it pierces, holes it only marks."""

    length_mm: float
    pierces: int
    marks: int


def cutting(plan: PartPlan, smallest_hole_mm: float = 0.0) -> CuttingWork:
    """Cutting work of the blank; openings narrower than ``smallest_hole_mm`` are marked, not cut."""
    flat = flat_pattern(plan)
    cuts = [perimeter(flat.contour)]
    cuts += [math.pi * h.diameter_mm for h in flat.holes if h.diameter_mm >= smallest_hole_mm]
    cuts += [math.pi * s.width_mm + 2 * s.travel_mm for s in flat.slots if s.width_mm >= smallest_hole_mm]
    marks = 1 + len(flat.holes) + len(flat.slots) - len(cuts)
    return CuttingWork(length_mm=sum(cuts), pierces=len(cuts), marks=marks)


def cut_length(plan: PartPlan) -> float:
    """Length of all cuts of the blank, mm."""
    return cutting(plan).length_mm
