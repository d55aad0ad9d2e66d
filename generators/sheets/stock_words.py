"""What is cut from each sheet of stock: for the report, and for reading it back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from generators.figures import fixed, format_length
from generators.geometry.contours import bounds
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.volume import cutting, mass_kg
from generators.units import UnitSystem

MM2_PER_M2 = 1e6
MM_PER_M = 1e3
STOCK_HEADS = ("sheet", "pieces", "blanks", "mass", "cut", "pierces", "bends")


@dataclass(frozen=True, slots=True, kw_only=True)
class StockNeed:
    """All parts of one material and thickness, times their quantities.

    ``blank_mm2`` is the area of the rectangles around the blanks: nothing is nested, and what lies between
    the rectangles is not counted.
    """

    material: str
    thickness_mm: float
    pieces: int
    blank_mm2: float
    mass_kg: float
    cut_mm: float
    pierces: int
    bends: int

    def row(self, units: UnitSystem = "metric") -> tuple[str, ...]:
        """As the report prints it, in the order of ``STOCK_HEADS``."""
        return (
            f"{self.material}, {format_length(self.thickness_mm, units)}",
            str(self.pieces),
            f"{fixed(self.blank_mm2 / MM2_PER_M2, 4)} m²",
            f"{self.mass_kg:.3f} kg",
            f"{fixed(self.cut_mm / MM_PER_M, 2)} m",
            str(self.pierces),
            str(self.bends),
        )


def stock_needs(plans: Sequence[PartPlan], least_mm: Mapping[str, float]) -> list[StockNeed]:
    """What the sheet parts need, thinnest first; ``least_mm`` is the smallest hole cut, by part name."""
    groups: dict[tuple[str, float], list[PartPlan]] = {}
    for plan in plans:
        if not plan.printed:
            groups.setdefault((plan.material, plan.thickness_mm), []).append(plan)
    out = []
    for (name, thickness), group in sorted(groups.items(), key=lambda g: (g[0][1], g[0][0])):
        area = cut = mass = 0.0
        pierces = bends = 0
        for plan in group:
            u0, v0, u1, v1 = bounds(flat_pattern(plan).contour)
            work = cutting(plan, least_mm.get(plan.name, 0.0))
            area += plan.quantity * (u1 - u0) * (v1 - v0)
            cut += plan.quantity * work.length_mm
            mass += plan.quantity * mass_kg(plan)
            pierces += plan.quantity * work.pierces
            bends += plan.quantity * len(plan.bends)
        out.append(
            StockNeed(
                material=name,
                thickness_mm=thickness,
                pieces=sum(p.quantity for p in group),
                blank_mm2=area,
                mass_kg=mass,
                cut_mm=cut,
                pierces=pierces,
                bends=bends,
            )
        )
    return out


def expected_stock_words(plans: Sequence[PartPlan], least_mm: Mapping[str, float]) -> list[str]:
    """What a report of these parts must say, part by part and sheet by sheet."""
    words = [w for need in stock_needs(plans, least_mm) for w in need.row()[2:5]]
    for plan in plans:
        words.append(f"{mass_kg(plan):.3f} kg each")
        if not plan.printed:
            words += [cutting_words(plan, least_mm.get(plan.name, 0.0)), plan.tolerance]
    return words


def cutting_words(plan: PartPlan, least_mm: float) -> str:
    """Cut length, pierces and bends of one part, and how many holes are only marked."""
    work = cutting(plan, least_mm)
    words = (
        f"{work.length_mm:.0f} mm cut, {_count(work.pierces, 'pierce')}, {_count(len(plan.bends), 'bend')}"
    )
    return words + (f", {_count(work.marks, 'hole')} marked to drill" if work.marks else "")


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
