"""What cutting and bending a nest takes and costs, by the shop's own rates; nothing without a rate.

Time of cutting: length ÷ speed + pierces x time of one + setting up, sheet by sheet. Time of bending:
bends x time of one, and setting up once for each part. Metal: area of the sheet less its remnant x
thickness x density.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from generators.model.spec.tools.rates import CutRate, RackSheet, Rates
from generators.nesting.nest import SAME_THICKNESS_MM, LaidSheet, Nest
from generators.sheetmetal.volume import cutting
from generators.standards import material

HOUR_S = 3600.0
KG_MM3_PER_M3 = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWork:
    """One sheet: length of its cuts, pierces, mass of what it uses, and what the rates make of them."""

    length_mm: float
    pierces: int
    used_kg: float
    cut_s: float | None
    setup_s: float | None
    cut_price: float | None
    metal_price: float | None

    @property
    def total_s(self) -> float | None:
        """Time on the cutter, setting up included."""
        return _sum(self.cut_s, self.setup_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class NestWork:
    """The whole nest. ``missing`` names the rates something was not computed for."""

    sheets: tuple[SheetWork, ...]
    bends: int
    bend_s: float | None
    bend_price: float | None
    cut_s: float | None
    cut_price: float | None
    metal_price: float | None
    missing: tuple[str, ...]

    @property
    def price(self) -> float | None:
        """All of it; None where any of it is not known."""
        return _sum(self.cut_price, self.metal_price, self.bend_price)


def _sum(*values: float | None) -> float | None:
    return None if any(v is None for v in values) else math.fsum(v for v in values if v is not None)


def _times(*values: float | None) -> float | None:
    return None if any(v is None for v in values) else math.prod(v for v in values if v is not None)


def rate_of(rates: Rates, rack: RackSheet) -> CutRate | None:
    """The speed the shop gives for that sheet."""
    return next(
        (
            r
            for r in rates.cut
            if r.material == rack.material and abs(r.thickness_mm - rack.thickness_mm) <= SAME_THICKNESS_MM
        ),
        None,
    )


def sheet_work(nest: Nest, sheet: LaidSheet, rates: Rates) -> SheetWork:
    """What one sheet takes."""
    works = [cutting(b.plan, b.least_mm) for b in (nest.blank(laid.part) for laid in sheet.laid)]
    length, pierces = math.fsum(w.length_mm for w in works), sum(w.pierces for w in works)
    rate = rate_of(rates, sheet.rack)
    cut_s = None if rate is None else length / rate.speed_mm_per_s + pierces * rate.pierce_s
    kg = (
        sheet.used_mm2 * sheet.rack.thickness_mm * material(sheet.rack.material).density_kg_m3 * KG_MM3_PER_M3
    )
    total = _sum(cut_s, rates.sheet_setup_s)
    return SheetWork(
        length_mm=length,
        pierces=pierces,
        used_kg=kg,
        cut_s=cut_s,
        setup_s=rates.sheet_setup_s,
        cut_price=_times(total, rates.cutter_hour, 1 / HOUR_S),
        metal_price=_times(kg, sheet.rack.per_kg),
    )


def nest_work(nest: Nest, rates: Rates) -> NestWork:
    """What the whole nest takes."""
    sheets = tuple(sheet_work(nest, sheet, rates) for sheet in nest.sheets)
    bent = [b for b in nest.blanks if b.plan.bends]
    bends = sum(len(b.plan.bends) * b.count for b in bent)
    bend_s = 0.0 if not bent else _sum(_times(bends, rates.bend_s), _times(len(bent), rates.bend_setup_s))
    return NestWork(
        sheets=sheets,
        bends=bends,
        bend_s=bend_s,
        bend_price=0.0 if not bent else _times(bend_s, rates.brake_hour, 1 / HOUR_S),
        cut_s=_sum(*(s.total_s for s in sheets)),
        cut_price=_sum(*(s.cut_price for s in sheets)),
        metal_price=_sum(*(s.metal_price for s in sheets)),
        missing=tuple(dict.fromkeys(_missing(nest, rates))),
    )


def _missing(nest: Nest, rates: Rates) -> Iterator[str]:
    """Rates that are not given, as the shop file calls them."""
    for sheet in nest.sheets:
        if rate_of(rates, sheet.rack) is None:
            yield f"[[rates.cut]] of {sheet.rack.material}, {sheet.rack.thickness_mm:g} mm"
        if sheet.rack.per_kg is None:
            yield f"[[sheet]] per_kg of {sheet.rack.material}, {sheet.rack.thickness_mm:g} mm"
    keys = {"sheet_setup": rates.sheet_setup_s, "cutter_hour": rates.cutter_hour}
    if any(b.plan.bends for b in nest.blanks):
        keys |= {"bend": rates.bend_s, "bend_setup": rates.bend_setup_s, "brake_hour": rates.brake_hour}
    yield from (f"[rates] {name}" for name, value in keys.items() if value is None)
