"""The shop's own facts: stock, bend results, machine limits."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model import fields as key


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A sheet on the rack, with what the shop's own test bend gave."""

    material: str = key.text("Material, as `pedalplate families --materials` lists it", lo=1, hi=40)
    thickness_mm: float = key.length("Sheet thickness", lo=0.3, hi=25.0)
    inside_radius_mm: float = key.length("Inside radius the brake makes in this sheet", lo=0.0, hi=50.0)
    k_factor: float | None = key.number("K-factor measured on a test bend", lo=0.2, hi=0.6, default=None)
    die_opening_mm: float | None = key.length("Opening of the lower die", lo=1.0, hi=200.0, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What the cutting machine can do."""

    process: str = key.choice("Cutting process", ("laser", "waterjet", "router", "plasma"), default="laser")
    smallest_hole_ratio: float = key.number(
        "Smallest hole as a multiple of thickness", lo=0.0, hi=5.0, default=1.0
    )
    smallest_hole_mm: float = key.length("Smallest hole whatever the thickness", lo=0.0, hi=50.0, default=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """The content of ``shop.toml``."""

    name: str = key.text("The shop's name, printed nowhere but in the report", hi=80, default="")
    cutting: Cutting = key.table("Cutting machine", Cutting, default=Cutting())
    stock: tuple[Stock, ...] = key.tables("Sheets on the rack", Stock)
