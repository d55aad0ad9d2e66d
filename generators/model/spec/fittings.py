"""Ports, and what turns or lengthens the way out of one: the legs of a bulkhead fitting,
and adapters; and what stands in the way of a hose."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.spec import fields as key
from generators.model.words import (
    ASIDES,
    BODY_IS,
    FACES,
    PORT_SIDES,
    SIDES,
    THERE_IS,
    ZONE_IS,
    Aside,
    Face,
    ObstacleKind,
    PortSide,
    Side,
    ThereIs,
    ZoneKind,
)

SPAN_MM = 10_000.0

SEAT_OFF_PANEL_MM = 25.0
"""A bulkhead's flare seat off the panel. No figure found: ours, to be measured on the fitting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Elbow:
    """The 90° leg of a bulkhead, on one face."""

    face: Face = key.choice("The face it is on", FACES)
    toward: Aside = key.choice("The way its leg points, as the driver sees it", ASIDES)
    leg_mm: float = key.length(
        "Axis of the fitting to the flare seat (no figure found: measure yours)",
        lo=5.0,
        hi=200.0,
        default=SEAT_OFF_PANEL_MM,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Adapter:
    """An adapter between a port and the end of a hose: straight, from one thread to another."""

    shelf: str = key.shelf("Adapter of the shop's shelf that it is")
    port_dash: int | None = key.integer(
        "37 degree flare size of the port it is screwed to, 1/16 in of tube", lo=2, hi=16, default=None
    )
    port_thread: str = key.text(
        "Or that port's thread in words, like M10x1 or 1/8 pipe: it cannot be checked", hi=24, default=""
    )
    dash: int = key.integer("37 degree flare size of its other end, the hose's", lo=2, hi=16)
    length_mm: float = key.length("From the port's seat to the seat of the hose", lo=3.0, hi=300.0)

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` unless it says once what it is screwed to."""
        if (self.port_dash is None) == (not self.port_thread):
            raise GeometryFault("not exactly one of port_dash and port_thread", "port_dash")

    @property
    def title(self) -> str:
        """In words: ``M10x1 to -4 adapter``."""
        return f"{self.port_thread or f'-{self.port_dash}'} to -{self.dash} adapter"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseEnd:
    """The fitting on one end of a hose: nut and socket, straight or with its leg at an angle.

    Lengths of a hose with an elbow count from the axis of the elbow's seat, as the trade measures it (from
    memory of SAE J517).
    """

    shelf: str = key.shelf("Hose end of the shop's shelf that it is")
    diameter_mm: float | None = key.length(
        "Widest outside of its nut and its socket (ferrule); without it 1.4 outsides of the hose (common "
        "practice)",
        lo=3.0,
        hi=120.0,
        default=None,
    )
    length_mm: float | None = key.length(
        "Along the hose, from the seat (of an elbow: from the seat's axis) to the end of the socket; without "
        "it the hose's end and two outsides (common practice)",
        lo=5.0,
        hi=300.0,
        default=None,
    )
    angle_rad: float = key.angle(
        "Of an elbow: between the way out of the port and the hose", lo=0.0, hi=math.radians(120), default=0.0
    )
    drop_mm: float | None = key.length(
        "Of an elbow: seat to the axis of the hose", lo=3.0, hi=150.0, default=None
    )
    toward: Side = key.choice("Of an elbow: the way its leg points", SIDES, default="up")

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for half an elbow."""
        if (self.angle_rad > 0) != (self.drop_mm is not None):
            missing = "drop" if self.angle_rad > 0 else "angle"
            raise GeometryFault("an elbow without its angle or its drop", missing)


@dataclass(frozen=True, slots=True, kw_only=True)
class PortSpec:
    """One port of a component, in the component's frame: out, right, up."""

    name: str = key.name("Name; a hose says component.port")
    at: tuple[float, float, float] = key.point3("Sealing seat: out, right and up", hi=2_000.0)
    facing: PortSide = key.choice("The way a hose leaves it", PORT_SIDES, default="out")
    toward: tuple[float, float, float] | None = key.point3(
        "In place of facing: a point further along, out, right and up", hi=2_000.0, default=None
    )
    dash: int | None = key.integer("37 degree flare size in 1/16 in of tube", lo=2, hi=16, default=None)

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a direction without a length."""
        if self.toward is not None and self.toward == self.at:
            raise GeometryFault("two points in one place give no direction", "toward")


@dataclass(frozen=True, slots=True, kw_only=True)
class Body3:
    """Something in the way of a hose, or a zone, in the vehicle frame: a rod or a box."""

    name: str = key.name("Name")
    what: str = key.text("What it is", lo=3, hi=60)
    start: tuple[float, float, float] | None = key.point3(
        "Rod: one end of its axis", hi=SPAN_MM, default=None
    )
    end: tuple[float, float, float] | None = key.point3("Rod: the other end", hi=SPAN_MM, default=None)
    diameter_mm: float | None = key.length("Rod: its diameter", lo=1.0, hi=2_000.0, default=None)
    corner: tuple[float, float, float] | None = key.point3(
        "Box: its lowest, leftmost, foremost corner", hi=SPAN_MM, default=None
    )
    size: tuple[float, float, float] | None = key.point3(
        "Box: how far it goes on, rearward, right and up", hi=SPAN_MM, default=None
    )
    is_: ThereIs = key.choice(
        "What it is to hoses: a body, or the room where stones fly, road water and salt, hot air, or under "
        "the floor covering",
        THERE_IS,
        default="fixed",
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` unless it is exactly one whole shape."""
        rod = (self.start is not None, self.end is not None, self.diameter_mm is not None)
        box = (self.corner is not None, self.size is not None)
        if any(rod) == any(box):
            raise GeometryFault("not exactly one of start + end + diameter and corner + size", "")
        if any(rod) and not all(rod):
            raise GeometryFault("a rod without all of start, end and diameter", "")
        if any(box) and not all(box):
            raise GeometryFault("a box without both corner and size", "")
        if all(rod) and self.start == self.end:
            raise GeometryFault("a rod of no length", "end")
        if self.size is not None and min(self.size) <= 0:
            raise GeometryFault("a box without all three sides", "size")

    @property
    def body_is(self) -> ObstacleKind | None:
        """What the body is to a hose; None for a zone, which is none."""
        return BODY_IS.get(self.is_)

    @property
    def zone(self) -> ZoneKind | None:
        """The kind of zone; None for a body."""
        return ZONE_IS.get(self.is_)
