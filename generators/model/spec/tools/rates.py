"""The shop's sheets by size, how blanks are laid on them, and what its time costs."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.spec import fields as key
from generators.model.words import (
    HOSE_KINDS,
    PRICED_SERVICES,
    SHEET_GRAINS,
    HoseKind,
    PricedService,
    SheetGrain,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RackSheet:
    """A whole sheet or a kept remnant, which blanks are laid on."""

    material: str = key.text("Material, as `pedalplate kinds --materials` lists it", lo=1, hi=40)
    thickness_mm: float = key.thickness(
        "Sheet thickness; a gauge is of the material's table", lo=0.3, hi=25.0
    )
    length_mm: float = key.length("Its length, along X of the nest", lo=50.0, hi=10_000.0)
    width_mm: float = key.length("Its width, along Y of the nest", lo=50.0, hi=10_000.0)
    grain: SheetGrain = key.choice(
        "Its rolling direction: along its length, as mills roll whole sheets, or along a remnant's width",
        SHEET_GRAINS,
        default="length",
    )
    count: int | None = key.integer(
        "How many there are; left out, as many as it takes", lo=1, hi=999, default=None
    )
    name: str = key.text("What is written on it, of a remnant", hi=30, default="")
    per_kg: float | None = key.number(
        "Its price for a kilogram, in the currency of [rates]", lo=0, hi=1e5, default=None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Nesting:
    """How blanks are laid on a sheet. The defaults are ours: common practice, no source."""

    gap_mm: float = key.length(
        "Metal left between two blanks, cut edge to cut edge", lo=0.5, hi=100.0, default=8.0
    )
    margin_mm: float = key.length("Metal left along the sheet's edges", hi=200.0, default=10.0)
    remnant_mm: float = key.length(
        "A remnant is kept if both its sides are at least", lo=10.0, hi=5_000.0, default=200.0
    )
    sheet_layer: str = key.text("Layer of the sheet's own edges, not cut", lo=1, hi=31, default="SHEET")
    remnant_layer: str = key.text("Layer of the remnant's outline, not cut", lo=1, hi=31, default="REMNANT")


@dataclass(frozen=True, slots=True, kw_only=True)
class CutRate:
    """How fast the cutter goes in one sheet."""

    material: str = key.text("Material, as `pedalplate kinds --materials` lists it", lo=1, hi=40)
    thickness_mm: float = key.thickness(
        "Sheet thickness; a gauge is of the material's table", lo=0.3, hi=25.0
    )
    speed_mm_per_s: float = key.speed(
        "Length cut in a time, corners and small holes included", lo=0.1, hi=2_000.0
    )
    pierce_s: float = key.time("Time of one pierce, moving there included", hi=600.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseRate:
    """What hose or tube of one size costs."""

    dash: int = key.integer("37 degree flare size in 1/16 in of tube", lo=2, hi=16)
    kind: HoseKind = key.choice("Flexible or rigid", HOSE_KINDS, default="hose")
    service: PricedService = key.choice(
        "Hose under pressure, or feed hose that is pushed on; rigid line is priced as pressure",
        PRICED_SERVICES,
        default="pressure",
    )
    per_m: float = key.number("Price of a metre, in the currency of [rates]", lo=0, hi=1e5)
    end: float | None = key.number(
        "Price of what is on one end: fitting, or nut and sleeve, or clip", lo=0, hi=1e5, default=None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BoughtRate:
    """What a bought thing costs."""

    item: str = key.text("The thing, word for word as bom.csv has it under `item`", lo=2, hi=120)
    each: float = key.number("Price of one, in the currency of [rates]", lo=0, hi=1e6)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """What the shop's time costs. Nothing is computed from a rate that is not given."""

    currency: str = key.text("What prices are in, printed beside them", hi=8, default="")
    cutter_hour: float | None = key.number("Price of an hour of the cutter", lo=0, hi=1e5, default=None)
    brake_hour: float | None = key.number(
        "Price of an hour of brake and operator", lo=0, hi=1e5, default=None
    )
    bench_hour: float | None = key.number(
        "Price of an hour at the bench: picking, making up hoses, packing", lo=0, hi=1e5, default=None
    )
    sheet_setup_s: float | None = key.time("Laying on and taking off one sheet", hi=36_000.0, default=None)
    bend_s: float | None = key.time("One bend of one part", hi=3_600.0, default=None)
    bend_setup_s: float | None = key.time(
        "Setting the brake up for one kind of part", hi=36_000.0, default=None
    )
    cut: tuple[CutRate, ...] = key.tables("Cutting speed by sheet", CutRate)
    hose: tuple[HoseRate, ...] = key.tables("Hose and tube by the metre", HoseRate, hi=100)
    bought: tuple[BoughtRate, ...] = key.tables("Bought things", BoughtRate, hi=2_000)
