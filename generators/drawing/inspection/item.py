"""One thing to measure on a finished part, and its figures as a sheet prints them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.drawing.part.tables.callouts import FINE_MM, least_off, most_off
from generators.figures import fixed
from generators.model.plan import Bend, PartPlan
from generators.model.words import ItemUnit
from generators.units import INCH_MM, UnitSystem

Point = tuple[float, float]

CALIPERS = ((150.0, "caliper"), (300.0, "long caliper"), (600.0, "600 mm caliper"), (1000.0, "1 m caliper"))
"""How far calipers reach. Common practice, no source."""

LONG_CALIPER_MM = 300.0
RULE, RULE_MM = "steel rule or tape", 0.5
"""What is longer is measured with, and how near that reads."""

JAWS_MM = 0.03
"""How near a caliper's inside jaws read a round hole. Common practice, no source."""

SHARE = 4.0
"""What is measured may be off by so many times what it is read to: 4 : 1, common practice, no source."""

PIN_MM = 10.0
"""Below, a hole is measured more surely with pins than with the jaws' flats. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing to measure. Lengths in mm, angles in rad; limits are None where there are none.

    ``key`` is what a file of readings calls it. ``at`` are the place on the blank to label, or both ends of
    what is measured there; ``holes`` are the names of the holes it is taken from, ``flanges`` those whose
    angle or outside length it is. An item whose unit is ``go`` is tried, not measured. ``bent`` says that it
    is there only after bending, ``welded`` that it is read once welds have cooled. What is over its most
    passes as far as ``passes`` where the words say what else is done then.
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
    flanges: tuple[str, ...] = ()
    welded: bool = False
    passes: float | None = None


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
    nominal = float(fixed(item.nominal / one, places))
    least = most = None
    if item.least is not None:
        least = nominal + least_off((item.least - item.nominal) / one, places)
    if item.most is not None:
        most = nominal + most_off((item.most - item.nominal) / one, places)
    return Printed(nominal=nominal, least=least, most=most, one=one, places=places)


def window(off: tuple[float, float] | None) -> float:
    """From the least to the most a size may be, mm; endless where nobody says."""
    return math.inf if off is None else off[1] - off[0]


def caliper(length_mm: float, off: tuple[float, float] | None) -> str:
    """What a length is measured with: a rule only where it may be off by enough for one."""
    if length_mm > LONG_CALIPER_MM and window(off) >= SHARE * RULE_MM:
        return RULE
    return next((name for reach, name in CALIPERS if length_mm <= reach), RULE)


def bore(width_mm: float, off: tuple[float, float]) -> str:
    """What a hole or the width of a slot is measured with."""
    if window(off) < FINE_MM:
        return "plug gauge, go and not go"
    if width_mm < PIN_MM:
        return "pins"
    return "bore gauge" if window(off) < SHARE * JAWS_MM else "caliper"


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
    flanges: tuple[str, ...] = (),
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
        flanges=flanges,
    )


def tried(key: str, what: str, using: str, nominal: float, *, bent: bool) -> Item:
    """An item that is tried and goes or does not; ``nominal`` is what is tried in it, mm."""
    return Item(key=key, what=what, using=using, unit="go", nominal=nominal, least=None, most=None, bent=bent)


def shown(name: str) -> str:
    """A flange or bend as it is written for people."""
    return name.replace("_", " ")


def outer_faces(plan: PartPlan, *of: tuple[str, Bend]) -> str:
    """``the outer faces of right cheek and left cheek``; of flanges bent both ways ``the lower side of …``.

    Each is a flange and the bend on whose outside that face lies: where a flange's bends go both ways, either
    of its sides is outside.
    """
    names = [shown(flange) for flange, _ in of]
    if all(len({b.direction for b in plan.bends if f in (b.parent, b.child)}) == 1 for f, _ in of):
        return f"the outer face{'s' if len(of) > 1 else ''} of {' and '.join(names)}"
    sides = ["lower" if bend.direction == "up" else "upper" for _, bend in of]
    if len(set(sides)) == 1:
        return f"the {sides[0]} side{'s' if len(of) > 1 else ''} of {' and '.join(names)}"
    return " and ".join(f"the {side} side of {name}" for side, name in zip(sides, names, strict=True))
