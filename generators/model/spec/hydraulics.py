"""The ``[[pedal]]`` tables of a spec: one hydraulic pedal with its cylinders and lines.

``out`` and ``up`` are measured in the plane across the pedal's pivot: out away from the panel toward
the driver, up as on the panel. On a hanger they are the hanger's own; otherwise out is rearward and
up is up in the vehicle, and the pivot lies across the vehicle.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from generators.errors import GeometryFault
from generators.model.spec import fields as key
from generators.model.spec.brakes import Brake, require_strokes
from generators.model.spec.pedal_shape import PedalShape
from generators.model.words import (
    CIRCUITS,
    EXPANSIONS,
    HANGER_FLEX,
    MEASURED_BY,
    PEDAL_KINDS,
    PEDAL_LINE_KINDS,
    SLAVE_KINDS,
    STOP_WORDS,
    Circuit,
    Expansion,
    HangerFlex,
    MeasuredBy,
    PedalKind,
    PedalLineKind,
    SlaveKind,
    StopWord,
)

BULK_MODULUS_MPA = 1500.0
"""Brake fluid, 1.3 to 2.0 GPa from memory, not sure: unverified. The user's own figure overrides it."""

SPAN_MM = 5_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Master:
    """The master cylinder of a clutch."""

    shelf: str = key.shelf("Master of the shop's shelf that it is")
    bore_mm: float = key.length("Bore", lo=5.0, hi=80.0)
    stroke_mm: float = key.length("Stroke of its piston, from rest to the bottom", lo=5.0, hi=150.0)
    dead_stroke_mm: float = key.length(
        "Piston travel before the port closes (1 to 2 mm is common practice, no source)",
        hi=50.0,
        default=1.5,
    )
    barrel_mm: float | None = key.length(
        "Inside length of the barrel, if measured; the stroke cannot be more", lo=5.0, hi=400.0, default=None
    )
    rating_mpa: float | None = key.pressure(
        "Highest working pressure, if known", lo=0.1, hi=200.0, default=None
    )
    reservoir_mm3: float | None = key.volume(
        "Usable volume of its reservoir, if known", lo=100.0, hi=5e6, default=None
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for strokes that do not fit each other."""
        require_strokes(self.stroke_mm, self.dead_stroke_mm)
        if self.barrel_mm is not None and self.stroke_mm > self.barrel_mm:
            raise GeometryFault(
                f"a stroke of {self.stroke_mm:g} mm over the barrel of {self.barrel_mm:g} mm", "stroke"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Slave:
    """The slave cylinder of a clutch."""

    shelf: str = key.shelf("Slave of the shop's shelf that it is")
    kind: SlaveKind = key.choice(
        "A cylinder at the fork, or a ring around the shaft", SLAVE_KINDS, default="plain"
    )
    bore_mm: float = key.length("Bore; the outer one of a concentric slave", lo=5.0, hi=150.0)
    inner_mm: float | None = key.length(
        "Inner diameter of a concentric slave", lo=5.0, hi=150.0, default=None
    )
    stroke_mm: float = key.length("Whole stroke of its piston", lo=2.0, hi=150.0)
    rating_mpa: float | None = key.pressure(
        "Highest working pressure, if known", lo=0.1, hi=200.0, default=None
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a ring that is none."""
        if self.kind == "concentric":
            if self.inner_mm is None:
                raise GeometryFault("a concentric slave without its inner diameter", "inner")
            if self.inner_mm >= self.bore_mm:
                raise GeometryFault("an inner diameter that leaves no ring inside the bore", "inner")
        elif self.inner_mm is not None:
            raise GeometryFault("an inner diameter of a plain slave", "inner")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A piece of hose or rigid line between the cylinders."""

    shelf: str = key.shelf("Hose of the shop's shelf that it is cut from")
    hose: str = key.name(
        "The hose or rigid line of this job that it is: kind and length as cut come from the layout, the "
        "inside diameter of a table's hose from the table",
        default="",
    )
    kind: PedalLineKind = key.choice(
        "Flexible or rigid; of a named hose, its own", PEDAL_LINE_KINDS, default=""
    )
    length_mm: float = key.length("Length; of a named hose, the layout's", hi=30_000.0, default=0.0)
    bore_mm: float = key.length("Inside diameter; of a table's hose, the table's", hi=25.0, default=0.0)
    expansion: Expansion = key.choice(
        "Swell of a hose by the table (FMVSS 106, from memory: the largest allowed), or none",
        EXPANSIONS,
        default="regular",
    )
    swell_mm2: float | None = key.swell("Swell of this hose, in place of the table", default=None)
    swell_at_mpa: float | None = key.pressure("The pressure of that swell", lo=0.1, hi=200.0, default=None)
    rating_mpa: float | None = key.pressure(
        "Highest working pressure, if known; of a table's hose, the table's operating pressure where none is "
        "given",
        lo=0.1,
        hi=200.0,
        default=None,
    )
    circuit: Circuit = key.choice(
        "The brake circuit it belongs to; rear where the pedal has two", CIRCUITS, default="front"
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for what no hose says, half a swell, or a swell of a rigid line."""
        for name, least, value in (("length", 1.0, self.length_mm), ("bore", 1.0, self.bore_mm)):
            # 0 stands for a value that the named hose gives
            if value < least and (value > 0 or not self.hose):
                raise GeometryFault(f"a line without a {name} of 1 mm or more, and without its hose", name)
        if not (self.kind or self.hose):
            raise GeometryFault("a line without its kind, and without its hose", "kind")
        if (self.swell_mm2 is None) != (self.swell_at_mpa is None):
            missing = "swell_at" if self.swell_at_mpa is None else "swell"
            raise GeometryFault("a swell without its pressure, or a pressure without its swell", missing)
        if self.kind == "rigid" and self.swell_mm2 is not None:
            raise GeometryFault("a swell of a rigid line", "swell")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fluid:
    """The fluid, and what air is left in it."""

    kind: str = key.text(
        "Which fluid, as the makers of the cylinders name it: the steps say it where it is filled in",
        hi=60,
        default="",
    )
    bulk_modulus_mpa: float = key.pressure(
        "Bulk modulus (1.3 to 2.0 GPa, from memory: unverified)",
        lo=50.0,
        hi=10_000.0,
        default=BULK_MODULUS_MPA,
    )
    air_mm3: float = key.volume("Air left after bleeding, at rest", hi=1e6, default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clutch:
    """The clutch end: fork, bearing and what it must and must not do."""

    fork_ratio: float = key.number(
        "Slave travel over bearing travel; 1 for a concentric slave", lo=0.5, hi=10.0, default=1.0
    )
    free_play_mm: float = key.length(
        "Gap at the bearing before it touches (3 to 4 mm with a fork, 0 where it rides along)",
        hi=20.0,
        default=3.0,
    )
    release_travel_mm: float = key.length("Bearing travel past contact that releases", lo=0.5, hi=50.0)
    release_margin_mm: float = key.length(
        "More than that, to be sure of it hot and worn (ours)", hi=20.0, default=0.5
    )
    over_travel_mm: float = key.length(
        "Bearing travel past contact the fingers must not pass", lo=0.5, hi=60.0
    )
    load_n: float | None = key.force(
        "Release load at the bearing, if one figure", lo=1.0, hi=50_000.0, default=None
    )
    curve: tuple[tuple[float, float], ...] | None = key.curve(
        "Release load at the bearing by its travel past contact", lo=2, hi=100, default=None
    )
    wear_mm: float = key.length(
        "How far the bearing's rest moves as the disc wears, to be kept free in the slave (ours)",
        hi=30.0,
        default=2.5,
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` unless there is exactly one load, rising in travel."""
        if (self.load_n is None) == (self.curve is None):
            raise GeometryFault("not exactly one of load and curve", "load")
        travels = [travel for travel, _ in self.curve or ()]
        if any(b <= a for a, b in pairwise(travels)):
            raise GeometryFault("travels of a load curve that do not rise", "curve")
        if self.curve and all(load == 0 for _, load in self.curve):
            raise GeometryFault("a load curve without load", "curve")


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """What the foot should feel; where nothing is given, the defaults of the pedal's kind."""

    effort_n: float | None = key.force(
        "Pad force not to exceed: 180 N for a clutch (common practice, no source), 500 N for a brake "
        "(FMVSS 135 and UN R13-H, from memory)",
        lo=1.0,
        hi=3000.0,
        default=None,
    )
    travel_mm: float = key.length(
        "Pad travel not to exceed (100 to 150 mm is common practice, no source)",
        lo=5.0,
        hi=400.0,
        default=150.0,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pedal(PedalShape):
    """A hydraulic pedal, from the pad to the clutch or the brakes."""

    name: str = key.name("Name")
    title: str = key.text("In words", hi=60, default="")
    kind: PedalKind = key.choice("What it works", PEDAL_KINDS)
    hanger: str = key.name("Part that carries it: gives pivot and cylinder axis", default="")
    arm_shelf: str = key.shelf("Steel of the shop's shelf that its arm is made of")
    seat_mm: float = key.length(
        "On a hanger: rod seat at rest, into the cylinder from the panel's face, or from the face of the "
        "part that carries the master",
        lo=-200.0,
        hi=300.0,
        default=0.0,
    )
    pivot: tuple[float, float, float] | None = key.point3(
        "Without a hanger: pivot in the vehicle", default=None
    )
    seat_at: tuple[float, float, float] | None = key.point3(
        "Without a hanger: rod seat at rest in the vehicle", default=None
    )
    axis_to: tuple[float, float, float] | None = key.point3(
        "Without a hanger: another point of the cylinder's axis, further in", default=None
    )
    pin: tuple[float, float] = key.point(
        "Rod pin at rest, [out, up] from the pivot: out square to the hanger's panel toward the driver, up "
        "along it; without a hanger rearward and up in the vehicle",
        hi=1000.0,
    )
    pin_side_mm: float = key.length(
        "Rod pin to the right of the cylinder's axis", lo=-500, hi=500, default=0.0
    )
    pad: tuple[float, float] = key.point(
        "Middle of the pad's face at rest, [out, up] from the pivot as for pin", hi=1500.0
    )
    measured: MeasuredBy = key.choice(
        "How pin, pad, arm and the place of a stop bolt were measured: square to the panel, or with level "
        "and plumb line, rearward and up in the vehicle",
        MEASURED_BY,
        default="panel",
    )
    rod_length_mm: float | None = key.length(
        "Rod from pin to seat; without it, the length that leaves rod_play", lo=1.0, hi=1500.0, default=None
    )
    rod_play_mm: float = key.length(
        "Play wanted between rod and piston at rest (0.5 to 1 mm is common practice, no source)",
        lo=0.05,
        hi=10.0,
        default=0.5,
    )
    travel_mm: float | None = key.length(
        "Pad travel to the floor, along its arc; without it, computed: where pad or arm first meets panel, "
        "part or obstacle, less the covering",
        lo=5.0,
        hi=500.0,
        default=None,
    )
    stop: float | StopWord | None = key.length_or(
        "Pad travel at the stop, or floor: the floor itself is the stop; without it, where the arm meets "
        "stop_bolt, else the middle of the stop window",
        STOP_WORDS,
        lo=1.0,
        hi=500.0,
        default=None,
    )
    bracket_flex_mm_per_n: float = key.flex(
        "How far the panel gives at the pin, along the cylinder's axis", hi=0.1, default=0.0
    )
    hanger_flex: HangerFlex = key.choice(
        "Flex of the hanger itself, beside bracket_flex: none, or computed (by the quick answer; by finite "
        "elements with `make --stiffness`)",
        HANGER_FLEX,
        default="none",
    )
    master: Master | None = key.table("Master cylinder (clutch)", Master, default=None)
    slave: Slave | None = key.table("Slave cylinder (clutch)", Slave, default=None)
    clutch: Clutch | None = key.table("Clutch end (clutch)", Clutch, default=None)
    brake: Brake | None = key.table("Masters and brakes (brake)", Brake, default=None)
    line: tuple[Line, ...] = key.tables("Hoses and lines", Line, hi=50)
    fluid: Fluid = key.table("Fluid", Fluid, default=Fluid())
    targets: Targets = key.table("Targets for pad force and pad travel", Targets, default=Targets())

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for keys that belong to the other kind, or are missing."""
        self.require_shape()
        needed = ("master", "slave", "clutch") if self.kind == "clutch" else ("brake",)
        for name in ("master", "slave", "clutch", "brake"):
            there = getattr(self, name) is not None
            if there != (name in needed):
                word = f"a {name} table" if there else f"no {name} table"
                raise GeometryFault(f"{word} in a {self.kind} pedal", name)
        places = {"pivot": self.pivot, "seat_at": self.seat_at, "axis_to": self.axis_to}
        for name, place in places.items():
            if self.hanger and place is not None:
                raise GeometryFault(f"{name} beside a hanger, which gives it", name)
            if not self.hanger and place is None:
                raise GeometryFault(f"no hanger and no {name}", name)
        if self.hanger_flex == "computed" and not self.hanger:
            raise GeometryFault("a computed hanger flex without a hanger", "hanger_flex")
        if self.stop == "floor" and self.stop_bolt is not None:
            raise GeometryFault("a stop bolt beside a floor that is the stop", "stop_bolt")
        if self.stop_mm is not None and self.travel_mm is not None and self.stop_mm > self.travel_mm:
            raise GeometryFault(
                f"a stop at {self.stop_mm:g} mm of pad travel, beyond the floor at {self.travel_mm:g} mm",
                "stop",
            )

    @property
    def stop_mm(self) -> float | None:
        """Pad travel at the stop where the spec sets it, mm."""
        return None if isinstance(self.stop, str) else self.stop
