"""One thing to measure on a finished part, and its figures as a sheet prints them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.drawing.part.tables.callouts import FINE_MM, INWARD
from generators.figures import fixed
from generators.model.words import ItemUnit
from generators.units import INCH_MM, UnitSystem

Point = tuple[float, float]

SHORT_CALIPER_MM, LONG_CALIPER_MM = 150.0, 300.0
"""How far the usual calipers reach. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing to measure. Lengths in mm, angles in rad; limits are None where there are none.

    ``key`` is what a file of readings calls it. ``at`` are places on the blank to label; ``holes`` are the
    names of the holes it is taken from. An item whose unit is ``go`` is tried, not measured. ``bent`` says
    that it is there only after bending.
    """

    key: str
    what: str
    using: str
    unit: ItemUnit
    nominal: float
    least: float | None
    most: float | None
    bent: bool = False
    at: tuple[Point, ...] = ()
    holes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """An item's figures as the sheet gives them, in ``one`` mm or rad with ``places`` decimals."""

    nominal: float
    least: float | None
    most: float | None
    one: float
    places: int


def printed(item: Item, units: UnitSystem) -> Printed:
    """The figures of an item: as on the drawing the size as printed, with what it may be off inward."""
    if item.unit == "angle":
        one, places = math.radians(1), 1
    else:
        one, places = (1.0, 2) if units == "metric" else (INCH_MM, 3)
        if item.least is not None and item.most is not None and item.most - item.least < FINE_MM:
            places += 1
    scale = 10.0**places
    nominal = float(fixed(item.nominal / one, places))
    least = most = None
    if item.least is not None:
        least = nominal + math.ceil((item.least - item.nominal) / one * scale - INWARD) / scale
    if item.most is not None:
        most = nominal + math.floor((item.most - item.nominal) / one * scale + INWARD) / scale
    return Printed(nominal=nominal, least=least, most=most, one=one, places=places)


def caliper(length_mm: float) -> str:
    """What a length is measured with."""
    if length_mm <= SHORT_CALIPER_MM:
        return "caliper"
    return "long caliper" if length_mm <= LONG_CALIPER_MM else "steel rule or tape"


def length(
    key: str,
    what: str,
    using: str,
    nominal: float,
    off: tuple[float | None, float | None] | None,
    *,
    bent: bool = False,
    at: tuple[Point, ...] = (),
    holes: tuple[str, ...] = (),
) -> Item:
    """An item that is a length, mm; it may be ``off`` so far, None where nobody says."""
    least, most = (None if by is None else nominal + by for by in off or (None, None))
    return Item(
        key=key,
        what=what,
        using=using,
        unit="length",
        nominal=nominal,
        least=least,
        most=most,
        bent=bent,
        at=at,
        holes=holes,
    )
