"""The tables of a spec that say what the fluid runs through: components, clamps, hoses, what is in the way.

A component sits in a hole of a panel or of a part, or free in the vehicle. Its own frame begins where it
sits: ``out`` away from the sheet on the side it stands on (free: the way it faces), ``up`` as near to the
vehicle's up as that allows (an upright axis: toward the front), ``right`` as seen looking at it.
"""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.spec import fields as key
from generators.model.spec.fittings import SEAT_OFF_PANEL_MM, SPAN_MM, Adapter, Elbow, HoseEnd, PortSpec
from generators.model.words import (
    ASIDES,
    CLAMP_RUNS,
    COMPONENT_KINDS,
    DECIDING_ENDS,
    FACES,
    FASTENERS,
    FITS,
    HOSE_KINDS,
    METALS,
    PLACE_BY,
    PORT_SIDES,
    ROW_FASTENERS,
    SERVICES,
    SIDES,
    Aside,
    ClampRun,
    ComponentKind,
    DecidingEnd,
    Face,
    Fastener,
    Fit,
    HoseKind,
    Metal,
    PlaceBy,
    PortSide,
    RowFastener,
    Service,
    Side,
)

BAG = "Bag it is packed in with its fasteners; without it, one named after it"
FLANGE_MM: dict[ComponentKind, float] = {"master": 10.0, "slave": 10.0, "reservoir": 3.0}
"""Flange or foot of a component whose thickness the spec does not give. Ours: sheets say to measure it."""

FRAME_THREAD = "#10"
"""Bolt of a clamp that sits in no hole of the job: the usual one (MS21919, from memory, unsure)."""

HOSE_END_MM = 25.0
"""Seat to hose in a hose end. No figure found: ours, to be measured on the fitting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where something sits: in holes of a panel or a part, or free in the vehicle."""

    panel: str = key.name("Panel whose hole it sits in", default="")
    part: str = key.name("Mounted part whose hole it sits in", default="")
    holes: tuple[str, ...] = key.names("The hole; of several, their middle", hi=8, default=())
    side: Side = key.choice("Side of the sheet it stands on", SIDES, default="engine")
    at: tuple[float, float, float] | None = key.point3(
        "Without a hole: where, in the vehicle frame", hi=SPAN_MM, default=None
    )
    facing: Side = key.choice("Without a hole: the way it faces", SIDES, default="cab")
    toward: tuple[float, float, float] | None = key.point3(
        "Without a hole, in place of facing: another point of its axis, further out",
        hi=SPAN_MM,
        default=None,
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` unless it is exactly one of panel, part and free."""
        given = [bool(self.panel), bool(self.part), self.at is not None]
        if sum(given) != 1:
            raise GeometryFault("not exactly one of panel, part and at", "")
        if self.at is None and not self.holes:
            raise GeometryFault("a place on a sheet without its hole", "holes")
        if self.at is not None and self.holes:
            raise GeometryFault("a hole of a place that is free in the vehicle", "holes")
        if self.at is None and self.toward is not None:
            raise GeometryFault("a direction beside a hole, whose own axis it is", "toward")


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """A thing with ports: a cylinder, a reservoir, a fitting."""

    name: str = key.name("Name")
    title: str = key.text("In words", hi=60, default="")
    shelf: str = key.shelf("Master, slave, reservoir or fitting of the shop's shelf that it is")
    kind: ComponentKind = key.choice("What it is", COMPONENT_KINDS)
    on: Spot = key.table("Where it sits", Spot)
    port: tuple[PortSpec, ...] = key.tables(
        "Its ports; a bulkhead fitting has cab and engine by itself", PortSpec, hi=8
    )
    dash: int | None = key.integer(
        "37 degree flare size of a bulkhead fitting, 1/16 in of tube", lo=3, hi=16, default=None
    )
    seat_cab_mm: float = key.length(
        "Bulkhead fitting: flare seat off the cab face (no figure found: measure yours)",
        hi=200.0,
        default=SEAT_OFF_PANEL_MM,
    )
    seat_engine_mm: float = key.length(
        "Bulkhead fitting: flare seat off the engine face (no figure found: measure yours)",
        hi=200.0,
        default=SEAT_OFF_PANEL_MM,
    )
    elbow: Elbow | None = key.table("Bulkhead fitting: its 90° leg", Elbow, default=None)
    other_elbow: Elbow | None = key.table(
        "Bulkhead fitting: the leg on its other face, where it has one on both", Elbow, default=None
    )
    place: PlaceBy = key.choice(
        "Bulkhead fitting: where the spec has its hole, or where its hoses are shortest within all rules",
        PLACE_BY,
        default="given",
    )
    level_mm: float | None = key.length(
        "Reservoir: lowest fluid level above the place it sits on", lo=-500.0, hi=1_000.0, default=None
    )
    diameter_mm: float | None = key.length(
        "Its body, a round rod: diameter; without it no hose is kept clear of it",
        lo=1.0,
        hi=500.0,
        default=None,
    )
    length_mm: float | None = key.length("Its body: how long it is", lo=1.0, hi=1_000.0, default=None)
    body_at: tuple[float, float, float] | None = key.point3(
        "Its body: the middle of its foot, out, right and up; else where it sits", hi=2_000.0, default=None
    )
    body_along: PortSide = key.choice("Its body: the way it stands from there", PORT_SIDES, default="out")
    flange_width_mm: float | None = key.length("Its flange: how wide", lo=5.0, hi=500.0, default=None)
    flange_height_mm: float | None = key.length("Its flange: how high", lo=5.0, hi=500.0, default=None)
    moves_mm: float = key.length("How far it moves with the engine, either way", hi=200.0, default=0.0)
    estimated: bool = key.flag(
        "Its place is a guess until it is fitted: hoses to it are measured then", default=False
    )
    guarded: bool = key.flag("Reservoir: behind a guard that stones do not pass", default=False)
    flange_mm: float | None = key.length(
        "Thickness of the flange or foot its own bolts go through; without it a figure of ours (master and "
        "slave 10 mm, reservoir 3 mm), which the sheets say to measure",
        lo=0.5,
        hi=60.0,
        default=None,
    )
    joins: str = key.text(
        "Line end: how the vehicle's own pipe is joined to it, in your words: thread, flare, how tight, and "
        "whose figure that is; without it the sheets send whoever fits it to a licensed workshop",
        hi=200,
        default="",
    )
    bag: str = key.text(BAG, hi=40, default="")
    after: tuple[str, ...] = key.names("Fitted only after these", hi=50, default=())

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for keys of another kind, or none of its own."""
        if self.joins and self.kind != "line_end":
            raise GeometryFault("a pipe of the vehicle joined to what is not a line end", "joins")
        if self.kind == "bulkhead":
            if len(self.on.holes) != 1:
                raise GeometryFault("a bulkhead fitting that is not in exactly one hole", "on")
            if self.port:
                raise GeometryFault("ports of a bulkhead fitting, which has cab and engine", "port")
            if self.dash is None:
                raise GeometryFault("a bulkhead fitting without its size", "dash")
            if self.other_elbow is not None and self.elbow is None:
                raise GeometryFault("another elbow where there is none", "other_elbow")
            if len({elbow.face for elbow in self.elbows}) < len(self.elbows):
                raise GeometryFault("two elbows on one face", "other_elbow")
        else:
            if self.elbows:
                odd = "elbow" if self.elbow is not None else "other_elbow"
                raise GeometryFault("an elbow on a component that is not a bulkhead fitting", odd)
            if not self.port:
                raise GeometryFault("a component without a port", "port")
        if self.place == "best" and (self.kind != "bulkhead" or not self.on.panel):
            raise GeometryFault(
                "a best place for a component that is not a bulkhead fitting in a hole of a panel", "place"
            )
        self._check_body()
        if self.kind != "reservoir" and (self.level_mm is not None or self.guarded):
            what, odd = ("a guard", "guarded") if self.guarded else ("a fluid level", "level")
            raise GeometryFault(f"{what} of a component that is not a reservoir", odd)

    def _check_body(self) -> None:
        if (self.diameter_mm is None) != (self.length_mm is None):
            missing = "length" if self.length_mm is None else "diameter"
            raise GeometryFault("a body without its diameter or its length", missing)
        if self.diameter_mm is None and (self.body_at is not None or self.body_along != "out"):
            odd = "body_at" if self.body_at is not None else "body_along"
            raise GeometryFault("the place of a body that has no diameter and no length", odd)
        sizes = {"flange": self.flange_mm, "flange_width": self.flange_width_mm}
        sizes["flange_height"] = self.flange_height_mm
        missing = next((name for name, size in sizes.items() if size is None), "")
        if missing and (self.flange_width_mm or self.flange_height_mm):
            raise GeometryFault("a flange without width, height or thickness", missing)

    @property
    def elbows(self) -> tuple[Elbow, ...]:
        """The legs of a bulkhead fitting, at most one on each face."""
        return tuple(elbow for elbow in (self.elbow, self.other_elbow) if elbow is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp:
    """A cushioned loop clamp, or a grommet a hose passes through, in one place."""

    name: str = key.name("Name")
    shelf: str = key.shelf("Clamp of the shop's shelf that it is")
    dash: int = key.integer("Cushioned inside diameter in 1/16 in", lo=2, hi=32)
    on: Spot = key.table("Where its bolt or screw goes", Spot)
    run: ClampRun = key.choice(
        "The way the hose runs through it, either way round; square to its fastener",
        CLAMP_RUNS,
        default="any",
    )
    fastener: Fastener = key.choice("What holds it", FASTENERS, default="bolt")
    stand_off_mm: float | None = key.length(
        "Sheet to the middle of the hose; without it, half the clamp's inside plus cushion and band (ours)",
        lo=1.0,
        hi=200.0,
        default=None,
    )
    aside: Aside = key.choice("Side of the fastener the loop lies on", ASIDES, default="up")
    aside_by_mm: float | None = key.length(
        "Fastener to the middle of the hose; without it, a figure of ours", hi=200.0, default=None
    )
    metal: str = key.text(
        "Without a hole: what it is bolted to there, in your words, and how thick", hi=80, default=""
    )
    thread: str = key.text(
        "Thread of its bolt; without it, that of the hole it sits in, or #10 where it sits in none",
        hi=10,
        default="",
    )
    bag: str = key.text(BAG, hi=40, default="")
    after: tuple[str, ...] = key.names("Fitted only after these", hi=50, default=())

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a grommet that is not in one hole of a panel."""
        if self.fastener == "grommet" and (not self.on.panel or len(self.on.holes) != 1):
            raise GeometryFault("a grommet that is not in one hole of a panel", "on")
        if self.fastener == "grommet" and self.thread:
            raise GeometryFault("the thread of a grommet", "thread")
        if self.metal and self.on.at is None:
            raise GeometryFault("what it is bolted to, beside the hole it sits in", "metal")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClampRow:
    """Clamps at even steps along a bead or a line of a panel, whose holes become the panel's, or in space."""

    name: str = key.name("Name; the clamps are name_1, name_2, …")
    shelf: str = key.shelf("Clamp of the shop's shelf that each is")
    dash: int = key.integer("Cushioned inside diameter in 1/16 in", lo=2, hi=32)
    panel: str = key.name("Panel", default="")
    side: Face = key.choice("Face they lie on", FACES, default="engine")
    along: str = key.name("Bead they follow", default="")
    start: tuple[float, float] | None = key.point("Without a bead: one end", hi=SPAN_MM, default=None)
    end: tuple[float, float] | None = key.point("Without a bead: the other end", hi=SPAN_MM, default=None)
    start_at: tuple[float, float, float] | None = key.point3(
        "Without a panel: the first fastener, in the vehicle frame", hi=SPAN_MM, default=None
    )
    end_at: tuple[float, float, float] | None = key.point3(
        "Without a panel: the last fastener", hi=SPAN_MM, default=None
    )
    facing: Side = key.choice("Without a panel: the way their fasteners face", SIDES, default="up")
    offset_mm: float = key.length(
        "Fasteners to the left of the line, looking from its start to its end",
        lo=-500.0,
        hi=500.0,
        default=0.0,
    )
    count: int = key.integer("How many", lo=1, hi=50)
    place: PlaceBy = key.choice(
        "At even steps from end to end, or the first and the last moved along the line to where the hoses "
        "through them are shortest within all rules",
        PLACE_BY,
        default="given",
    )
    fastener: RowFastener = key.choice("What holds them", ROW_FASTENERS, default="bolt")
    metal: str = key.text("Without a panel: what they are bolted to, in your words", hi=80, default="")
    thread: str = key.text("Thread of their bolts or inserts", lo=1, hi=10, default="#10")
    fit: Fit = key.choice(
        "Clearance of the bolts",
        FITS,
        default="normal",
    )
    hole_mm: float | None = key.length("Hole of an insert, its maker's figure", lo=1, hi=30, default=None)
    grip_mm: tuple[float, float] | None = key.point(
        "Least and greatest sheet an insert grips, its maker's", hi=20.0, default=None
    )
    aside: Aside = key.choice("Side of the fasteners the loops lie on", ASIDES, default="up")
    bag: str = key.text(BAG, hi=40, default="")
    after: tuple[str, ...] = key.names("Fitted only after these", hi=50, default=())

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` unless there is exactly one line, and what an insert needs."""
        flat = self.start is not None and self.end is not None
        space = self.start_at is not None and self.end_at is not None
        halves = (self.start is None) != (self.end is None) or (self.start_at is None) != (
            self.end_at is None
        )
        if halves or [bool(self.along), flat, space].count(True) != 1:
            raise GeometryFault("not exactly one of along, start with end, start_at with end_at", "along")
        if space == bool(self.panel):
            raise GeometryFault("a panel beside start_at, or none beside the others", "panel")
        if (flat and self.start == self.end) or (space and self.start_at == self.end_at):
            raise GeometryFault("a row of no length", "end")
        if self.fastener == "insert" and not space and (self.hole_mm is None or self.grip_mm is None):
            raise GeometryFault("inserts without hole and grip: charts differ, take their maker's", "hole")
        if self.metal and self.panel:
            raise GeometryFault("what they are bolted to, beside their panel", "metal")
        if self.grip_mm is not None and not 0 < self.grip_mm[0] < self.grip_mm[1]:
            raise GeometryFault("a grip that is no range: the least sheet, then the greatest", "grip")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hose:
    """A hose or a rigid line from port to port."""

    name: str = key.name("Name")
    title: str = key.text("In words", hi=60, default="")
    shelf: str = key.shelf("Hose of the shop's shelf that it is cut from")
    kind: HoseKind = key.choice("Flexible or rigid", HOSE_KINDS, default="hose")
    metal: Metal = key.choice("Metal of a rigid line", METALS, default="steel")
    service: Service = key.choice("What it carries", SERVICES)
    from_: str = key.text("The end nearer the slave or the wheels, as component.port", lo=3, hi=81)
    to: str = key.text("The end nearer the reservoir, as component.port", lo=3, hi=81)
    dash: int = key.integer("37 degree flare size in 1/16 in of tube", lo=2, hi=16)
    outside_mm: float | None = key.length(
        "Outside diameter; without it the table's", lo=2.0, hi=60.0, default=None
    )
    radius_mm: float | None = key.length(
        "Smallest bend radius to the centre line, its maker's; without it the table's",
        lo=2.0,
        hi=500.0,
        default=None,
    )
    end_mm: float = key.length(
        "Seat to the end of the hose itself, in its end fitting (no figure found: measure yours)",
        hi=200.0,
        default=HOSE_END_MM,
    )
    straight_mm: float | None = key.length(
        "Straight run wanted at each end; without it the rule's", hi=500.0, default=None
    )
    from_adapter: Adapter | None = key.table("Between it and the port it comes from", Adapter, default=None)
    to_adapter: Adapter | None = key.table("Between it and the port it goes to", Adapter, default=None)
    from_end: HoseEnd | None = key.table("Its fitting at the port it comes from", HoseEnd, default=None)
    to_end: HoseEnd | None = key.table("Its fitting at the port it goes to", HoseEnd, default=None)
    made_up_mm: float | None = key.length(
        "Length it already has, seat to seat, if bought made up", lo=20.0, hi=20_000.0, default=None
    )
    measure: bool = key.flag("To be measured on the vehicle whatever the layout says", default=False)
    decides: DecidingEnd = key.choice(
        "The end whose component is placed by this made-up hose", DECIDING_ENDS, default=""
    )
    clamps: tuple[str, ...] = key.names(
        "Clamps, rows of clamps and grommets in order, from first", hi=50, default=()
    )
    guarded: bool = key.flag("In a sleeve or behind a guard that stones do not pass", default=False)
    finish: str = key.text("Rigid line: coating or paint of its outside", hi=60, default="")
    bag: str = key.text(BAG, hi=40, default="")
    after: tuple[str, ...] = key.names("Fitted only after these", hi=50, default=())

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for keys that do not go together."""
        if self.decides and self.made_up_mm is None:
            raise GeometryFault("a hose that decides a place, without its made-up length", "decides")
        if self.kind == "rigid" and self.decides:
            raise GeometryFault("a rigid line that decides a place", "decides")
        if self.kind == "rigid" and self.radius_mm is None:
            raise GeometryFault("a rigid line without the radius of its bender", "radius")
        for end, given in (("from_end", self.from_end), ("to_end", self.to_end)):
            if self.kind == "rigid" and given is not None:
                raise GeometryFault("the end fitting of a hose on a rigid line", end)
        if self.kind == "hose" and self.finish:
            raise GeometryFault("a finish of a hose that is not rigid", "finish")
        if self.measure and self.made_up_mm is not None:
            raise GeometryFault("a length to be measured beside a made-up one", "measure")
        if self.from_ == self.to:
            raise GeometryFault("both ends at one port", "to")

    @property
    def pushed_on(self) -> bool:
        """True for feed hose without fittings: pushed on pipes and held by clips."""
        return self.kind == "hose" and self.service == "feed" and not (self.from_end or self.to_end)
