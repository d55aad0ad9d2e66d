"""The spec of one job, as read: what the user measured and wants.

Vehicle frame: x rearward, y to the vehicle's right, z up (the sense of SAE J1100 and ISO 4130).
Panel frame: u right and v up as seen from in front of its cab face, as the driver sees it; normal toward him.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from generators.model.limits import Limits
from generators.model.spec import fields as key
from generators.model.spec.dressing import ETCH, FINISH, FlangeFillet, HeldThing, Lightening
from generators.model.spec.fittings import Body3
from generators.model.spec.forms.head import JobHead
from generators.model.spec.forms.spread import Spread
from generators.model.spec.forms.variant import Variant
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.lines import BAG, Clamp, ClampRow, Component, Hose
from generators.model.spec.load import Bead, Carried, Hold, Load
from generators.model.spec.pattern import PartPattern, Pattern
from generators.model.spec.pedal_shape import Driver
from generators.model.spec.rework import Rework
from generators.model.spec.selling.kit import Kit
from generators.model.spec.tools.machines import BENT_ON, BentOn
from generators.model.words import (
    ACTIONS,
    BODY_IS,
    DRILL_FROM,
    FACES,
    FITS,
    GAUGES,
    GRAINS,
    HOLE_KINDS,
    INSTRUMENT_MM,
    MARK_KINDS,
    NUT_FACES,
    PLACED_BY,
    SURFACES,
    THERE_IS,
    ZONE_IS,
    Action,
    DrillFrom,
    Face,
    Fit,
    Gauge,
    Grain,
    HoleKind,
    MarkKind,
    NutFace,
    ObstacleKind,
    PlacedBy,
    Surface,
    ThereIs,
    ZoneKind,
)

SPAN_MM = 5_000.0

P_co = TypeVar("P_co", covariant=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A place on a panel, measured from named datums; without any, from the panel's origin."""

    u_mm: float = key.length("To the right, as the driver sees it", lo=-SPAN_MM, hi=SPAN_MM)
    v_mm: float = key.length("Up", lo=-SPAN_MM, hi=SPAN_MM)
    from_: str = key.name("Datum both are measured from", default="")
    u_from: str = key.name("Datum u is measured from, if another", default="")
    v_from: str = key.name("Datum v is measured from, if another", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Datum:
    """Something the installer can find on the real metal."""

    name: str = key.name("Name used by `from`")
    kind: MarkKind = key.choice("A point, or a straight edge along v or u", MARK_KINDS, default="point")
    at: tuple[float, float] = key.point("Where, from the panel's origin", hi=SPAN_MM)
    what: str = key.text("How to find it on the metal", lo=3, hi=80)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingHole:
    """An opening the panel already has. It is a point datum of the same name."""

    name: str = key.name("Name; also a datum")
    at: tuple[float, float] = key.point("Centre, from the panel's origin", hi=SPAN_MM)
    diameter_mm: float = key.length("Diameter; of a slot, its width", lo=1.0, hi=500.0)
    length_mm: float | None = key.length("Round-ended slot: its length", lo=1.0, hi=500.0, default=None)
    angle_rad: float = key.angle(
        "A slot: how far it is turned counter-clockwise from u, as the driver sees it",
        lo=-math.pi,
        hi=math.pi,
        default=0.0,
    )
    action: Action = key.choice("What is done with it", ACTIONS, default="keep")
    what: str = key.text("What it was or is for", lo=3, hi=80)
    measured_by: PlacedBy = key.choice("What `at` was measured with, if it was", PLACED_BY, default="")
    uncertainty_mm: float | None = key.length(
        "Standard uncertainty of `at` each way, as `measure` writes it", lo=0.001, hi=20.0, default=None
    )
    serves: str = key.name("Part whose fastener goes through it, as it was drilled", default="")
    serves_hole: str = key.name(
        "Hole of that part that lies on it, with action reuse: the panel has it, it is not drilled again",
        default="",
    )
    open_to_mm: float | None = key.length(
        "Opened to this diameter for that part; without it, it stays as it is", lo=1.0, hi=200.0, default=None
    )

    @property
    def sigma_mm(self) -> float:
        """Standard uncertainty of its centre each way, mm; 0 where its place is known."""
        return self.uncertainty_mm or INSTRUMENT_MM.get(self.measured_by, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleSpec:
    """A hole to drill that no part brings."""

    name: str = key.name("Name, unique in the panel")
    at: Position = key.table("Where", Position)
    kind: HoleKind = key.choice(
        "What goes in it; an insert is a threaded one that is set from one face, a rivet nut", HOLE_KINDS
    )
    purpose: str = key.text("What it is for, printed on the sheet", lo=3, hi=60)
    diameter_mm: float | None = key.length(
        "Final diameter (plain, grommet, insert, weld nut: its maker's)", lo=1.0, hi=200.0, default=None
    )
    limits_mm: tuple[float, float] | None = key.point(
        "Least and greatest final diameter, if not the usual tolerance of its kind", hi=200.0, default=None
    )
    dash: int | None = key.integer(
        "37 degree flare size in 1/16 in of tube (bulkhead fitting)", lo=3, hi=8, default=None
    )
    thread: str | None = key.text(
        "Thread, like M8 or 5/16 (bolt, insert, weld nut, stud, countersunk)", lo=1, hi=10, default=None
    )
    fit: Fit = key.choice(
        "Clearance: ISO 273 fine, medium, coarse; or ASME B18.2.8 close, normal, loose",
        FITS,
        default="medium",
    )
    grip_mm: tuple[float, float] | None = key.point(
        "Least and greatest sheet the insert grips, its maker's (insert)", hi=20.0, default=None
    )
    weld_face: Face = key.choice(
        "Face it is welded to (weld_nut, stud); a weld nut's bolt comes from the other",
        FACES,
        default="engine",
    )
    length_mm: float | None = key.length(
        "How far a stud stands off the panel (stud)", lo=3.0, hi=200.0, default=None
    )
    head_mm: float | None = key.length("Diameter of the head (countersunk)", lo=3.0, hi=60.0, default=None)
    head_angle_rad: float = key.angle(
        "Angle of the head (countersunk)",
        lo=math.radians(60),
        hi=math.radians(140),
        default=math.radians(90),
    )
    dimpled: bool = key.flag(
        "The sheet is pressed to the shape of the head instead of being cut (countersunk)", default=False
    )
    drill_from: Face = key.choice("Face the drill starts on", FACES, default="cab")
    nut_face: NutFace = key.choice(
        "Face the nut or spanner turns on; of an insert, the face it is set and the bolt put in from "
        "(both: the face the drill starts on)",
        NUT_FACES,
        default="both",
    )
    reach_cab_mm: float = key.length("How far it stands into the cab", hi=500.0, default=0.0)
    reach_engine_mm: float = key.length("How far it stands into the engine bay", hi=500.0, default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelPattern:
    """A shared pattern's holes in a panel: its clearance holes, drilled."""

    name: str = key.name("The pattern")
    label: str = key.name("Name of these holes, if not the pattern's", default="")
    at: Position = key.table("Where the pattern's origin goes", Position)
    rotate_rad: float = key.angle(
        "Turned counter-clockwise, as the driver sees it", lo=-math.pi, hi=math.pi, default=0.0
    )
    flip: bool = key.flag("Seen from the engine side: u reversed before turning", default=False)
    drill_from: Face = key.choice("Face the drill starts on", FACES, default="cab")
    nut_face: NutFace = key.choice("Face the nut or spanner turns on", NUT_FACES, default="both")


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something on or near one face that drills, nuts and brackets must stay clear of."""

    name: str = key.name("Name, unique in the panel")
    face: Face = key.choice("The face it is on", FACES)
    what: str = key.text("What it is", lo=3, hi=60)
    corner: tuple[float, float] | None = key.point("Lower left corner of a box", hi=SPAN_MM, default=None)
    size: tuple[float, float] | None = key.point("Width and height of a box", hi=SPAN_MM, default=None)
    centre: tuple[float, float] | None = key.point("Centre of a circle", hi=SPAN_MM, default=None)
    diameter_mm: float | None = key.length("Diameter of a circle", lo=0.1, hi=2_000.0, default=None)
    outline: tuple[tuple[float, float], ...] | None = key.points(
        "Corners of a polygon", lo=3, hi=200, default=None
    )
    gap_mm: float = key.length("Air between the panel and it", hi=1_000.0, default=0.0)
    depth_mm: float = key.length("How far it goes on from there", lo=0.1, hi=2_000.0)
    movable: bool = key.flag("Can be moved aside before drilling", default=False)
    is_: ThereIs = key.choice(
        "What it is to hoses: a body, or the room where stones fly, road water and salt, hot air, or under "
        "the floor covering",
        THERE_IS,
        default="fixed",
    )

    @property
    def body_is(self) -> ObstacleKind | None:
        """What the body is to a hose; None for a zone, which is none."""
        return BODY_IS.get(self.is_)

    @property
    def zone(self) -> ZoneKind | None:
        """The kind of zone; None for a body."""
        return ZONE_IS.get(self.is_)


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """A sheet of the vehicle that gets drilled."""

    name: str = key.name("Name; also the folder of its templates")
    title: str = key.text("In words", lo=1, hi=60)
    material: str = key.text("What it is made of", lo=1, hi=60)
    thickness_mm: float = key.thickness(
        "Sheet thickness; a gauge is of the material's table", lo=0.3, hi=25.0
    )
    origin: tuple[float, float, float] = key.point3("Its origin in the vehicle frame")
    tilt_rad: float = key.angle(
        "Top leaning forward from vertical, away from whom the panel faces; one that lies is 90 deg, or "
        "-90 deg where it is seen from below, and as built a little over or under",
        lo=-math.radians(95.0),
        hi=math.radians(95.0),
        default=0.0,
    )
    turn_rad: float = key.angle(
        "Turned about the vehicle's vertical, counter-clockwise from above: 90 deg faces the vehicle's "
        "right, -90 deg its left; u then runs to the right as seen from there",
        lo=-math.pi,
        hi=math.pi,
        default=0.0,
    )
    outline: tuple[tuple[float, float], ...] = key.points("Corners in the panel frame", lo=3, hi=200)
    covering_mm: float | None = key.length(
        "Thickness of carpet, mat and insulation on its cab face, trodden down; a pedal's floor lies on it",
        hi=100.0,
        default=None,
    )
    surface: Surface = key.choice("Its shape, as paper meets it", SURFACES, default="flat")
    witness_hole: str = key.name("Existing hole that shows a flipped sheet", default="")
    datum: tuple[Datum, ...] = key.tables("Named datums", Datum, hi=50)
    existing: tuple[ExistingHole, ...] = key.tables("Holes it already has", ExistingHole, hi=200)
    hole: tuple[HoleSpec, ...] = key.tables("Holes to drill", HoleSpec, hi=500)
    pattern: tuple[PanelPattern, ...] = key.tables("Shared patterns to drill", PanelPattern, hi=50)
    obstacle: tuple[Obstacle, ...] = key.tables("Things in the way", Obstacle, hi=200)
    bead: tuple[Bead, ...] = key.tables("Stiffening beads", Bead, hi=50)
    carried: Carried | None = key.table(
        "How it is carried between its supports: then how far it gives is computed", Carried, default=None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """Two panels that share an edge."""

    panels: tuple[str, ...] = key.names("The two panels", lo=2, hi=2)
    inside_radius_mm: float = key.length("Inside radius of the fold", hi=100.0, default=6.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mount:
    """Where a part's root flange lies on a panel; its mating holes become the panel's."""

    panel: str = key.name("Panel")
    face: Face = key.choice("Face it lies on", FACES)
    at: Position = key.table("Where the part's origin goes", Position)
    rotate_rad: float = key.angle(
        "Turned counter-clockwise, looking at the face it lies on", lo=-math.pi, hi=math.pi, default=0.0
    )
    drill_from: DrillFrom = key.choice(
        "Face the drill must start on; empty for the cab, and through the part for the face it lies on",
        DRILL_FROM,
        default="",
    )
    holes: bool = key.flag("Its mating holes are drilled in the panel", default=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opposite:
    """The opposite hand of a part, made from the same table."""

    name: str = key.name("Name; also the folder of its files")
    title: str = key.text("In words, if not the part's", hi=60, default="")
    quantity: int = key.integer("How many", lo=1, hi=100, default=1)
    mount: Mount | None = key.table("Where it goes on a panel", Mount, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSpec(Generic[P_co]):
    """A part to make: a kind and its parameters."""

    name: str = key.name("Name; also the folder of its files")
    title: str = key.text("In words", hi=60, default="")
    kind: str = key.name("Kind, as `pedalplate kinds` lists them")
    shelf: str = key.shelf("Master, slave or reservoir of the shop's shelf that it carries: its bolts")
    material: str = key.text("Sheet material", lo=1, hi=40)
    thickness_mm: float = key.thickness(
        "Sheet thickness; a gauge is of the material's table", lo=0.3, hi=25.0
    )
    gauge: Gauge = key.choice(
        "The thickness as given, or the thinnest of the shop's sheets of this material that is stiff enough "
        "(by `make --stiffness`; until then as given)",
        GAUGES,
        default="given",
    )
    grain: Grain = key.choice(
        "Rolling direction, along u or v of the root flange (X or Y of the flat)", GRAINS, default="any"
    )
    bent_on: BentOn = key.choice(
        "The machine it is bent on; without it either where shop.toml has a [folder], else the brake",
        BENT_ON,
        default="",
    )
    bend_past_rad: float | None = key.angle(
        "How far its bends may end past their angle, if not as the shop's bend_angle; unsaid, not at all "
        "where that would close the gap of a weld",
        lo=0.0,
        hi=math.radians(5),
        default=None,
    )
    hold: Hold = key.table("How it is held, for stiffness and strength", Hold, default=Hold())
    inside_radius_mm: float | None = key.length(
        "Inside bend radius, if not the shop's", hi=50.0, default=None
    )
    etch: str = key.text(ETCH, hi=20, default="")
    finish: str = key.text("Finish: what is put on, how thick and when", hi=120, default=FINISH)
    tolerance: str = key.text("General tolerance, if not the shop's", hi=60, default="")
    quantity: int = key.integer("How many", lo=1, hi=100, default=1)
    parameters: P_co = key.kind_table("The kind's parameters")
    mount: Mount | None = key.table("Where it goes on a panel", Mount, default=None)
    held: tuple[HeldThing, ...] = key.tables("What is bolted to it from outside the job", HeldThing, hi=20)
    bag: str = key.text(BAG, hi=40, default="")
    after: tuple[str, ...] = key.names("Fitted only after these", hi=50, default=())
    mirror: bool = key.flag("Make the opposite hand: the mirror image left for right", default=False)
    opposite: Opposite | None = key.table("Make the other hand as well", Opposite, default=None)
    pattern: tuple[PartPattern, ...] = key.tables("Holes of shared patterns", PartPattern, hi=20)
    lightening: tuple[Lightening, ...] = key.tables("Lightening holes", Lightening, hi=20)
    edge_fillet_mm: float = key.length(
        "Radius of all free outer corners the kind leaves sharp; 0 for none", hi=200.0, default=0.0
    )
    fillet: tuple[FlangeFillet, ...] = key.tables("Corners of single flanges", FlangeFillet, hi=20)
    rework: tuple[Rework, ...] = key.tables("Single holes changed after planning", Rework, hi=50)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """The whole spec."""

    use: tuple[str, ...] = key.files(
        "Other files of the same form whose tables come before these, as paths from the spec's folder", hi=20
    )
    sizes: tuple[str, ...] = key.sizes(
        'Named sizes: a name stands where a unit stands, as in "edge + 2 gap"; what this file says of a name '
        "holds over the files it uses"
    )
    shelf: tuple[str, ...] = key.picks(
        'Things of the shelf by names of this job: what says shelf = "clutch_master" takes what stands here, '
        "so that one line swaps it everywhere"
    )
    job: JobHead = key.table("What this is", JobHead)
    limits: Limits = key.table("Limits of the rules", Limits, default=Limits())
    driver: Driver = key.table("The driver's shoe, for the room a foot needs", Driver, default=Driver())
    panel: tuple[Panel, ...] = key.tables("Panels", Panel, hi=20)
    fold: tuple[Fold, ...] = key.tables("Folds between panels", Fold, hi=20)
    pattern: tuple[Pattern, ...] = key.tables("Hole patterns that parts and panels share", Pattern, hi=100)
    part: tuple[PartSpec[Any], ...] = key.tables("Parts", PartSpec, hi=100)
    pedal: tuple[Pedal, ...] = key.tables("Hydraulic pedals", Pedal, hi=10)
    load: tuple[Load, ...] = key.tables("Load cases for stiffness and strength", Load, hi=50)
    component: tuple[Component, ...] = key.tables("Cylinders, reservoirs and fittings", Component, hi=200)
    clamp: tuple[Clamp, ...] = key.tables("Cushioned clamps", Clamp, hi=500)
    clamp_row: tuple[ClampRow, ...] = key.tables("Rows of cushioned clamps", ClampRow, hi=50)
    hose: tuple[Hose, ...] = key.tables("Hoses and rigid lines", Hose, hi=500)
    obstacle: tuple[Body3, ...] = key.tables("Things in the way of hoses, in the vehicle", Body3, hi=1_000)
    kit: Kit = key.table("How it is packed when it is sold", Kit, default=Kit())
    variant: tuple[Variant, ...] = key.tables("Other forms of the job", Variant, hi=20)
    spread: Spread | None = key.table(
        "How the next vehicle and the next pair of hands differ", Spread, default=None
    )
