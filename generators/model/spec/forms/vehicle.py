"""What was read on one vehicle for a kit: the file that ``form`` asks for and ``fits`` reads."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from generators.model.spec import fields as key
from generators.model.spec.job import SPAN_MM

INCH = 25.4
HOW_TAKEN: Mapping[str, str] = MappingProxyType(
    {
        "rims": "near rim to near rim",
        "edge": "near rim to the edge, square to it",
        "side": "near rim to its near side, square to it",
        "across": "middle to middle, pulled tight through the air",
        "port": "middle of the hole to the middle of the fitting's end",
        "lean": "degrees its top leans forward of upright; minus where it leans back",
        "size": "across its bare metal, with a caliper",
    }
)
"""Kinds of readings of a vehicle, and how each is taken."""

OFF_LEVEL = "degrees off level, 0 where it is so; plus where its front edge is low, minus where it is high"
"""How the lean of a panel that lies is taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleHead:
    """The ``[vehicle]`` table. No name or address is asked for: an order number serves."""

    name: str = key.name("Which vehicle: an order number, say")
    job: str = key.name("The job the form was made for")
    variant: str = key.name("Its form, if not the one that is written", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleReading:
    """One line of the form. ``number`` is that of its picture; the rest says again what was measured."""

    number: int = key.integer("Its number on the form", lo=1, hi=99)
    kind: str = key.name("What kind of reading it is, as the form has it")
    panel: str = key.name("Panel it begins on")
    from_: str = key.name("Hole it begins at, or the panel that leans")
    to: str = key.text(
        "What it ends at: a hole, an edge, a thing, `panel.hole`, `component.port`", hi=90, default=""
    )
    # millimetres written as inches are found among the others: so long a length is read
    is_mm: float | None = key.length("What the tape said", lo=0.0, hi=INCH * SPAN_MM, default=None)
    leans_rad: float | None = key.angle(
        "What the level said; of a panel that lies, off level", lo=-math.pi, hi=math.pi, default=None
    )
    again: bool = key.flag(
        "True where it was measured again with the same result: then it is no slip, however odd",
        default=False,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleReadings:
    """The whole file."""

    vehicle: VehicleHead = key.table("Which vehicle", VehicleHead)
    reading: tuple[VehicleReading, ...] = key.tables("What was read", VehicleReading, hi=99)
