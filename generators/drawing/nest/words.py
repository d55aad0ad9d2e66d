"""What the overview of a nest says: times and prices, and only those there are rates for."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.figures import fixed, format_short
from generators.model.spec.tools.rates import Rates
from generators.nesting.cost import NestWork, SheetWork
from generators.nesting.nest import LaidSheet, Nest, stock_name
from generators.units import INCH_MM, UnitSystem

CAUTIONS = (
    "Cut edges are sharp, small parts tip up: gloves, glasses, safety shoes. Two people carry a whole sheet.",
    "Check material, thickness and rolling direction of the sheet before it is loaded.",
)
OWN_RATES = "Times and prices follow from the rates in the shop's own file, nothing else; they are no offer."


def clock(seconds: float) -> str:
    """``1 h 07 min``, ``12 min``, ``42 s``."""
    if seconds < 60:
        return f"{fixed(seconds, 0)} s"
    minutes = math.floor(seconds / 60 + 0.5)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"


def money(value: float, rates: Rates) -> str:
    """``33.12 EUR``."""
    return f"{fixed(value, 2)} {rates.currency}".rstrip()


def share(nest: Nest, sheet: LaidSheet) -> str:
    """How much of what is used of a sheet the outlines fill; no nest can fill more than all of it."""
    return f"{fixed(100 * nest.outlines_mm2(sheet) / sheet.used_mm2, 0)} %"


def sheet_lines(
    nest: Nest, sheet: LaidSheet, work: SheetWork, rates: Rates, units: UnitSystem, job: str
) -> Iterator[str]:
    """The lines beside the picture of a sheet."""
    rack = sheet.rack
    grain = "along its length" if rack.grain == "length" else "along its width"
    if rack.name:
        yield f"TAKE THE REMNANT MARKED {rack.name}."
    yield (
        f"{stock_name(rack)}, {format_short(rack.length_mm, units)} x {format_short(rack.width_mm, units)}; "
        f"rolling direction {grain}."
    )
    yield (
        f"Gap between blanks {format_short(nest.gap_mm, units)}, "
        f"margin {format_short(nest.margin_mm, units)}."
    )
    yield f"Cuts {fixed(work.length_mm / 1000, 2)} m, {work.pierces} pierces."
    yield f"Uses {fixed(work.used_kg, 2)} kg of sheet; the blanks' outlines fill {share(nest, sheet)} of it."
    if work.total_s is not None:
        yield f"On the cutter {clock(work.total_s)}, setting up included."
    if work.cut_price is not None:
        yield f"Cutting {money(work.cut_price, rates)}."
    if work.metal_price is not None:
        yield f"Metal {money(work.metal_price, rates)}."
    if sheet.remnant is not None:
        yield (
            f"Keep the remnant, {remnant_size(sheet, units)}. Write on it: {remnant_name(sheet, job)}, "
            "material, thickness, rolling direction."
        )


def remnant_size(sheet: LaidSheet, units: UnitSystem = "metric") -> str:
    """``1874 x 1250 mm``, rounded down; with inches, those behind it."""
    if sheet.remnant is None:
        return ""
    u0, v0, u1, v1 = sheet.remnant
    sides = math.floor(u1 - u0 + 1e-6), math.floor(v1 - v0 + 1e-6)
    inches = (
        f" ({fixed(sides[0] / INCH_MM, 1)} x {fixed(sides[1] / INCH_MM, 1)} in)" if units == "inch" else ""
    )
    return f"{sides[0]} x {sides[1]} mm{inches}"


def remnant_name(sheet: LaidSheet, job: str) -> str:
    """``wrenfield_van-2``: the same on the page and in the sheet's DXF."""
    return f"{job}-{sheet.number}"


def job_lines(nest: Nest, work: NestWork, rates: Rates) -> Iterator[str]:
    """The lines of the first page."""
    if work.cut_s is not None:
        yield f"On the cutter {clock(work.cut_s)}, setting up included."
    if work.bends and work.bend_s is not None:
        yield f"On the brake {clock(work.bend_s)} for {work.bends} bends, setting up included."
    for what, price in (
        ("Cutting", work.cut_price),
        ("Metal", work.metal_price),
        ("Bending", work.bend_price),
    ):
        if price is not None and (work.bends or what != "Bending"):
            yield f"{what} {money(price, rates)}."
    if work.price is not None:
        each = f", {money(work.price / nest.sets, rates)} for each set" if nest.sets > 1 else ""
        yield f"TOTAL {money(work.price, rates)}{each}."
    if work.missing:
        yield f"Not worked out, for want of rates in the shop file: {', '.join(work.missing)}."
    yield OWN_RATES


def fewest(nest: Nest) -> Iterator[tuple[str, int, int]]:
    """Stock, sheets taken, and the fewest it could be: area of all outlines over that of the largest."""
    stocks: dict[str, list[LaidSheet]] = {}
    for sheet in nest.sheets:
        stocks.setdefault(stock_name(sheet.rack), []).append(sheet)
    for name, sheets in stocks.items():
        largest = max(s.area_mm2 for s in sheets)
        outlines = math.fsum(nest.outlines_mm2(s) for s in sheets)
        yield name, len(sheets), math.ceil(outlines / largest - 1e-9)
