"""Ports, and what turns or lengthens the way out of one: the legs of a bulkhead fitting, and adapters."""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.spec import fields as key
from generators.model.words import ASIDES, FACES, PORT_SIDES, Aside, Face, PortSide

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

    port_dash: int | None = key.integer(
        "Flare size of the port it is screwed to, 1/16 in of tube", lo=2, hi=16, default=None
    )
    port_thread: str = key.text(
        "Or that port's thread in words, like M10x1 or 1/8 pipe: it cannot be checked", hi=24, default=""
    )
    dash: int = key.integer("Flare size of its other end, the hose's", lo=2, hi=16)
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
class PortSpec:
    """One port of a component, in the component's frame: out, right, up."""

    name: str = key.name("Name; a hose says component.port")
    at: tuple[float, float, float] = key.point3("Sealing seat: out, right and up", hi=2_000.0)
    facing: PortSide = key.choice("The way a hose leaves it", PORT_SIDES, default="out")
    toward: tuple[float, float, float] | None = key.point3(
        "In place of facing: a point further along, out, right and up", hi=2_000.0, default=None
    )
    dash: int | None = key.integer("Flare size in 1/16 in of tube", lo=2, hi=16, default=None)

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a direction without a length."""
        if self.toward is not None and self.toward == self.at:
            raise GeometryFault("two points in one place give no direction", "toward")
