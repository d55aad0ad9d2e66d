"""A sheet of measurements, as read: holes that exist, and what tape and calipers said of them.

The frame is a panel's: u to the right and v up as the driver sees it. Uncertainties are standard
uncertainties (one standard deviation): about two readings in three lie that near the truth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.spec import fields as key
from generators.model.spec.job import SPAN_MM
from generators.model.words import (
    ACTIONS,
    FACES,
    HANDS,
    INSTRUMENT_MM,
    INSTRUMENTS,
    LINE_KINDS,
    LINE_SIDES,
    READING_KINDS,
    Action,
    Face,
    Hand,
    Instrument,
    LineKind,
    LineSide,
    ReadingKind,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredHole:
    """A hole that is there. ``at`` is a centre read directly; without an uncertainty it is exact."""

    name: str = key.name("Name, unique in the file")
    diameter_mm: float = key.length("Diameter as read", lo=1.0, hi=500.0)
    diameter_by: Instrument = key.choice("What the diameter was read with", INSTRUMENTS, default="caliper")
    at: tuple[float, float] | None = key.point(
        "Centre, if it is known or was read in u and v", hi=SPAN_MM, default=None
    )
    uncertainty_mm: float | None = key.length(
        "Standard uncertainty of `at`, each way; without one `at` is a datum, taken as exact",
        lo=0.001,
        hi=20.0,
        default=None,
    )
    what: str = key.text("What it was or is for", lo=3, hi=80, default="existing hole")
    action: Action = key.choice("What is done with it", ACTIONS, default="keep")
    mates: str = key.name("Hole of the part that goes on it, if of another name (asdrilled)", default="")
    fixed: bool = key.flag(
        "The fastener cannot shift in it: weld nut, stud or tapped hole (asdrilled)", default=False
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureLine:
    """A straight edge or scribed line one can measure to, taken as exact."""

    name: str = key.name("Name, unique in the file")
    kind: LineKind = key.choice("Which way it runs", LINE_KINDS)
    at_mm: float = key.length("Its u (vertical) or v (horizontal)", lo=-SPAN_MM, hi=SPAN_MM, default=0.0)
    holes: LineSide = key.choice("Where the holes lie from it", LINE_SIDES)
    what: str = key.text("How to find it on the metal", hi=80, default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading. ``inner``: near rim to near rim; ``outer``: far to far; ``same_side``: from the far
    rim of ``from`` to the near rim of ``to`` (both left rims, say); to a line: near or far rim.
    """

    kind: ReadingKind = key.choice("What was measured", READING_KINDS, default="centre")
    from_: str = key.name("Hole it starts at")
    to: str = key.name("Hole or line it ends at (none for a diameter)", default="")
    is_mm: float = key.length("What the instrument said", lo=-SPAN_MM, hi=SPAN_MM)
    by: Instrument = key.choice("What it was read with", INSTRUMENTS, default="tape")
    uncertainty_mm: float | None = key.length(
        "Standard uncertainty, if not the instrument's", lo=0.001, hi=50.0, default=None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """What distances cannot tell: on which side of a line a hole lies."""

    hole: str = key.name("This hole")
    side: Hand = key.choice("lies on this side", HANDS)
    from_: str = key.name("of the line from this hole")
    to: str = key.name("to this one")
    seen_from: Face = key.choice("Seen from", FACES, default="cab")


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedThing:
    """A thing that is bolted down, how far from where the spec has it; what is not listed is not fixed."""

    name: str = key.name("Part, component or clamp of the spec that is fixed")
    right_mm: float = key.length(
        "How far it sits to the right of where the spec has it, along its panel as the driver sees it; of "
        "what is on no panel, to the vehicle's right",
        lo=-SPAN_MM,
        hi=SPAN_MM,
        default=0.0,
    )
    up_mm: float = key.length(
        "How far above, along its panel; of what is on no panel, in the vehicle",
        lo=-SPAN_MM,
        hi=SPAN_MM,
        default=0.0,
    )
    rear_mm: float = key.length(
        "How far to the rear, of what is on no panel", lo=-SPAN_MM, hi=SPAN_MM, default=0.0
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseInHand:
    """A hose that was bought or made up."""

    hose: str = key.name("Hose of the spec")
    length_mm: float = key.length("Its length, seat to seat", lo=20.0, hi=20_000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockHose:
    """Another length that can be had for a hose."""

    hose: str = key.name("Hose of the spec")
    length_mm: float = key.length("A length that can be had, seat to seat", lo=20.0, hi=20_000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectedItem:
    """What was read for one item of a part's inspection sheet."""

    item: str = key.text("Number of the item on the sheet: `1`, `D3`, `B2`", lo=1, hi=6)
    is_mm: float | None = key.length("Length as read", hi=SPAN_MM, default=None)
    angle_rad: float | None = key.angle("Angle as read", lo=0.0, hi=math.pi, default=None)
    goes: bool | None = key.flag("Whether the shaft goes through", default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureFrame:
    """Where u and v begin when no edge or known hole says so."""

    origin: str = key.name("Hole put at `at`; the first without", default="")
    at: tuple[float, float] = key.point("Where it is put", hi=SPAN_MM, default=(0.0, 0.0))
    along: str = key.name("Hole that gives the direction; the next without", default="")
    angle_rad: float = key.angle(
        "Direction from origin to along, counter-clockwise from u", lo=-math.pi, hi=math.pi, default=0.0
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureHead:
    """The ``[measure]`` table. Uncertainties of the instruments: common practice, no source."""

    name: str = key.name("Name; also the output folder")
    title: str = key.text("In words, printed on the sheet", lo=1, hi=60)
    panel: str = key.name("Panel of the spec it belongs to", default="panel")
    part: str = key.name("Part that goes on these holes (asdrilled)", default="")
    sheet: str = key.text(
        "Revision of the inspection sheet the items were read from (asdrilled)", hi=20, default=""
    )
    tape_mm: float = key.length(
        "Standard uncertainty of the tape", lo=0.001, hi=20.0, default=INSTRUMENT_MM["tape"]
    )
    rule_mm: float = key.length(
        "Standard uncertainty of the steel rule", lo=0.001, hi=20.0, default=INSTRUMENT_MM["rule"]
    )
    caliper_mm: float = key.length(
        "Standard uncertainty of the caliper, on a drilled rim",
        lo=0.001,
        hi=20.0,
        default=INSTRUMENT_MM["caliper"],
    )
    outline: tuple[tuple[float, float], ...] | None = key.points(
        "Corners of the panel, if known: the overlay draws them", lo=3, hi=200, default=None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """The whole file."""

    measure: MeasureHead = key.table("What was measured", MeasureHead)
    frame: MeasureFrame = key.table("Where u and v begin", MeasureFrame, default=MeasureFrame())
    hole: tuple[MeasuredHole, ...] = key.tables("Holes", MeasuredHole, hi=60)
    line: tuple[MeasureLine, ...] = key.tables("Edges and scribed lines", MeasureLine, hi=20)
    reading: tuple[Reading, ...] = key.tables("Readings", Reading, hi=400)
    handed: tuple[Handed, ...] = key.tables("On which side a hole lies", Handed, hi=60)
    inspected: tuple[InspectedItem, ...] = key.tables(
        "Items of the part's inspection sheet, as read (asdrilled)", InspectedItem, hi=400
    )
    fixed: tuple[FixedThing, ...] = key.tables(
        "Things that are bolted down, in the wrong place or the right one (asdrilled)", FixedThing, hi=60
    )
    in_hand: tuple[HoseInHand, ...] = key.tables("Hoses bought or made up (asdrilled)", HoseInHand, hi=60)
    stock_hose: tuple[StockHose, ...] = key.tables("Lengths that can be had (asdrilled)", StockHose, hi=200)

    def instrument_mm(self, name: str) -> float:
        """Standard uncertainty of an instrument, mm."""
        head = self.measure
        return {"tape": head.tape_mm, "rule": head.rule_mm, "caliper": head.caliper_mm}[name]
