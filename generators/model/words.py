"""Words with a fixed set of meanings, typed: mypy refuses a word that is none of them.

Each alias is the type of the fields and parameters that hold such a word; where a list of the words is
needed as well it stands beside it, made from the alias. Kinds of brackets are not here: they are in their
register.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, get_args

Face = Literal["cab", "engine"]
"""Faces of a panel: the one the driver sees, and the other."""

FACES: tuple[Face, ...] = get_args(Face)

OTHER: dict[Face, Face] = {"cab": "engine", "engine": "cab"}
"""The opposite face."""

DrillFrom = Literal["", "cab", "engine"]
DRILL_FROM: tuple[DrillFrom, ...] = get_args(DrillFrom)
"""The face a drill must start on; empty where nobody has said."""

Comes = Literal["cut", "made_up"]
"""How a kit holds a hose or tube: cut to length, or made up with its ends on."""

NutFace = Literal["cab", "engine", "both", "none"]
"""Faces of a panel a nut or spanner turns on."""

NUT_FACES: tuple[NutFace, ...] = get_args(NutFace)

FittingFace = Literal["near", "far", "both", "none"]
"""The same for a part: near is the side it lies on."""

TemplateFace = Literal[
    "cab", "engine", "SCALE TEST", "FILING SHEET", "BEND CHECK", "PRINT ME", "HOLE TABLE", "SHEETS, continued"
]
"""What a page at full size is for: a face, filing at the bench, or what it is where it belongs to none."""

Status = Literal["drill", "weld", "datum", "reuse", "blank"]
"""A place on a panel: a new hole; a stud to weld on; an existing hole, kept, used again, or to be closed."""

HoleWhen = Literal["now", "last", "never", "open", "close"]
"""When a hole is made: with its panel, after a later step, not at all; opened up or closed where it is."""

HOLE_WHENS: tuple[HoleWhen, ...] = get_args(HoleWhen)

HoleWay = Literal["paper", "part", "guide", "hose", "there"]
"""How its place is found: through the paper, the part or a guide, or where its made-up hose puts what goes in
it; ``there`` for a hole that is in the panel already."""

HOLE_WAYS: tuple[HoleWay, ...] = get_args(HoleWay)

NEW: frozenset[Status] = frozenset({"drill", "weld"})
"""What is marked out from the template."""

Action = Literal["keep", "blank", "reuse"]
"""What is done with an existing opening, as a spec says it."""

ACTIONS: tuple[Action, ...] = get_args(Action)

STATUS_OF: dict[Action, Status] = {"keep": "datum", "blank": "blank", "reuse": "reuse"}

HoleKind = Literal["plain", "bolt", "bulkhead", "grommet", "insert", "weld_nut", "stud", "countersunk"]
"""What goes in a hole that a spec drills."""

HOLE_KINDS: tuple[HoleKind, ...] = get_args(HoleKind)

FittingKind = Literal[
    "plain",
    "bolt",
    "bulkhead",
    "grommet",
    "insert",
    "weld_nut",
    "stud",
    "countersunk",
    "rivet",
    "tapped",
    "press_nut",
    "bore",
    "pivot",
    "lightening",
    "existing",
]
"""What goes through a hole of a part or a panel; ``existing`` where nobody has said."""

Fit = Literal["fine", "medium", "coarse", "close", "normal", "loose"]
"""Clearance of a bolt: ISO 273 fine, medium, coarse; ASME B18.2.8 close, normal, loose."""

FITS: tuple[Fit, ...] = get_args(Fit)

MarkKind = Literal["point", "vertical", "horizontal"]
"""A datum of a panel: a point, a line of constant u, a line of constant v."""

MARK_KINDS: tuple[MarkKind, ...] = get_args(MarkKind)

LineKind = Literal["vertical", "horizontal"]
"""Which way a straight edge runs."""

LINE_KINDS: tuple[LineKind, ...] = get_args(LineKind)

LineSide = Literal["right", "left", "above", "below"]
LINE_SIDES: tuple[LineSide, ...] = get_args(LineSide)
SIDES_OF_LINE: dict[LineKind, tuple[LineSide, LineSide]] = {
    "vertical": ("right", "left"),
    "horizontal": ("above", "below"),
}
"""Where holes may lie from a line."""

Mirror = Literal["", "vehicle"]
"""What of a job is seen in a mirror in one of its forms: nothing, or all of the vehicle."""

MIRRORS: tuple[Mirror, ...] = get_args(Mirror)

Hand = Literal["left", "right"]
HANDS: tuple[Hand, ...] = get_args(Hand)

Surface = Literal["flat", "curved"]
SURFACES: tuple[Surface, ...] = get_args(Surface)

BendDirection = Literal["up", "down"]
"""Toward +w of the parent flange, or away."""

Grain = Literal["any", "along_u", "along_v"]
"""How a blank lies to the rolling direction of its sheet: u and v of its root flange, X and Y of the flat."""

GRAINS: tuple[Grain, ...] = get_args(Grain)

SheetGrain = Literal["length", "width"]
"""Which side of a sheet on the rack its rolling direction lies along."""

SHEET_GRAINS: tuple[SheetGrain, ...] = get_args(SheetGrain)

TestBend = Literal["", "across", "along"]
"""How the bend of a shop's test strip lay to the rolling direction; along it is the harder of the two."""

TEST_BENDS: tuple[TestBend, ...] = get_args(TestBend)

Gauge = Literal["given", "stiff enough"]
GAUGES: tuple[Gauge, ...] = get_args(Gauge)

HoldBy = Literal["bore", "washer"]
HOLD_BY: tuple[HoldBy, ...] = get_args(HoldBy)
HoldWashers = Literal["as needed", "large"]
HOLD_WASHERS: tuple[HoldWashers, ...] = get_args(HoldWashers)
PlateEdges = Literal["rest", "clamped"]
PLATE_EDGES: tuple[PlateEdges, ...] = get_args(PlateEdges)

PedalCase = Literal["normal", "limit", "structure", "side"]
"""Cases at a pad: everyday effort, the most that may come, a brake's structural figure, from the side."""

PEDAL_CASES: tuple[PedalCase, ...] = get_args(PedalCase)

LoadCase = Literal["normal", "limit", "structure", "side", "force"]
LOAD_CASES: tuple[LoadCase, ...] = get_args(LoadCase)

Toward = Literal["right", "left", "up", "down", "out", "in"]
"""Directions as a part's root flange has them: out is away from what it lies on."""

Instrument = Literal["tape", "rule", "caliper"]
INSTRUMENTS: tuple[Instrument, ...] = get_args(Instrument)

PlacedBy = Literal["", "tape", "rule", "caliper"]
PLACED_BY: tuple[PlacedBy, ...] = get_args(PlacedBy)
INSTRUMENT_MM: Mapping[str, float] = MappingProxyType({"tape": 0.5, "rule": 0.3, "caliper": 0.1})
"""Standard uncertainty of a reading, mm; of a caliper, on a drilled rim. Common practice, no source."""

ReadingKind = Literal["centre", "inner", "outer", "same_side", "offset_u", "offset_v", "diameter"]
READING_KINDS: tuple[ReadingKind, ...] = get_args(ReadingKind)
DISTANCE_KINDS: tuple[ReadingKind, ...] = ("centre", "inner", "outer", "same_side")
OFFSET_KINDS: tuple[ReadingKind, ...] = ("offset_u", "offset_v")

RescueKind = Literal[
    "go",
    "slot",
    "enlarge",
    "enlarge_panel",
    "enlarge_both",
    "move",
    "enlarge_all",
    "redrill",
    "size",
    "names",
]
"""Ways to make a part go on the holes as drilled; ``size`` drills the panel's holes up, ``enlarge_panel``
opens one of them wider, ``names`` says that holes were mixed up in the readings."""

PedalKind = Literal["clutch", "brake"]
PEDAL_KINDS: tuple[PedalKind, ...] = get_args(PedalKind)

MeasuredBy = Literal["panel", "plumb"]
"""How places of a pedal were measured: square to its panel, or level and plumb in the vehicle."""

MEASURED_BY: tuple[MeasuredBy, ...] = get_args(MeasuredBy)

LiningKind = Literal["floating caliper", "fixed caliper", "drum"]
LINING_KINDS: tuple[LiningKind, ...] = get_args(LiningKind)

BrakedAxles = Literal["both", "one"]
BRAKED_AXLES: tuple[BrakedAxles, ...] = get_args(BrakedAxles)

VehicleCategory = Literal["", "M1", "M2", "M3", "N1", "N2", "N3", "other"]
"""UN categories of vehicles (R.E.3): M1 is a passenger car of at most eight seats beside the driver's."""

VEHICLE_CATEGORIES: tuple[VehicleCategory, ...] = get_args(VehicleCategory)

SlaveKind = Literal["plain", "concentric"]
SLAVE_KINDS: tuple[SlaveKind, ...] = get_args(SlaveKind)

HoseKind = Literal["hose", "rigid"]
HOSE_KINDS: tuple[HoseKind, ...] = get_args(HoseKind)

PricedService = Literal["pressure", "feed"]
"""What a price of hose is for: one under pressure, with fittings, or one that is pushed on, with clips."""

PRICED_SERVICES: tuple[PricedService, ...] = get_args(PricedService)

PedalLineKind = Literal["", "hose", "rigid"]
"""A pedal's line; empty for the kind of the hose it names."""

PEDAL_LINE_KINDS: tuple[PedalLineKind, ...] = get_args(PedalLineKind)

Expansion = Literal["regular", "low", "none"]
EXPANSIONS: tuple[Expansion, ...] = get_args(Expansion)

Circuit = Literal["front", "rear"]
CIRCUITS: tuple[Circuit, ...] = get_args(Circuit)

HangerFlex = Literal["none", "computed"]
HANGER_FLEX: tuple[HangerFlex, ...] = get_args(HangerFlex)

Side = Literal["cab", "engine", "left", "right", "up", "down"]
"""Which way something faces: cab is rearward, engine is forward."""

SIDES: tuple[Side, ...] = get_args(Side)

ClampRun = Literal["any", "cab", "engine", "left", "right", "up", "down"]
CLAMP_RUNS: tuple[ClampRun, ...] = get_args(ClampRun)

PortSide = Literal["out", "back", "right", "left", "up", "down"]
PORT_SIDES: tuple[PortSide, ...] = get_args(PortSide)

Aside = Literal["right", "left", "up", "down"]
"""Ways in the plane of a face, as the driver sees it."""

ASIDES: tuple[Aside, ...] = get_args(Aside)

ComponentKind = Literal["master", "reservoir", "slave", "bulkhead", "tee", "line_end"]
COMPONENT_KINDS: tuple[ComponentKind, ...] = get_args(ComponentKind)

Service = Literal["pressure", "feed", "brake"]
"""What a hose carries."""

SERVICES: tuple[Service, ...] = get_args(Service)

Metal = Literal["steel", "aluminium"]
METALS: tuple[Metal, ...] = get_args(Metal)

DecidingEnd = Literal["", "from", "to"]
DECIDING_ENDS: tuple[DecidingEnd, ...] = get_args(DecidingEnd)

PlaceBy = Literal["given", "best"]
PLACE_BY: tuple[PlaceBy, ...] = get_args(PlaceBy)

Fastener = Literal["bolt", "insert", "grommet"]
"""What holds a clamp."""

FASTENERS: tuple[Fastener, ...] = get_args(Fastener)

RowFastener = Literal["bolt", "insert"]
ROW_FASTENERS: tuple[RowFastener, ...] = get_args(RowFastener)

ObstacleKind = Literal["fixed", "moving", "hot", "steering"]
"""What something is to a hose."""

ZoneKind = Literal["stones", "spray", "heat", "covering"]
"""Room that is no body: where stones fly, road water and salt, hot air, under the floor covering."""

ThereIs = Literal["fixed", "moving", "hot", "steering", "stones", "spray", "heat", "covering"]
"""What is somewhere in the vehicle: a body, or a zone."""

BODY_IS: dict[ThereIs, ObstacleKind] = {kind: kind for kind in get_args(ObstacleKind)}
ZONE_IS: dict[ThereIs, ZoneKind] = {kind: kind for kind in get_args(ZoneKind)}
THERE_IS: tuple[ThereIs, ...] = get_args(ThereIs)

KeptOff = Literal["fixed", "moving", "hot", "steering", "zone"]
"""What a hose keeps off: a body by its kind, or room it had better not be in, of which it only stays out."""

GapKind = Literal["fixed", "moving", "hot", "steering", "zone", "hose"]
WaypointKind = Literal["clamp", "grommet", "guide"]
SupportKind = Literal["port", "clamp", "grommet", "guide"]
GapWith = Literal["obstacle", "face", "edge", "crossing", "hose"]
"""What a hose comes near: a body, a panel's metal, its edge, the same gone through, another hose."""

HoseSide = Literal["side", "driver"]
"""From where a hose is shown: the vehicle's left, or the driver's seat."""

TaskKind = Literal["drill", "part", "pedal", "component", "clamp", "decided", "hose", "bleed"]
"""What can be done, in the order it is done where nothing else decides.

``drill`` marks and drills a panel, ``land`` drills where a made-up hose has put a component.
"""

TASK_KINDS: tuple[TaskKind, ...] = get_args(TaskKind)

Process = Literal["laser", "waterjet", "router", "plasma"]
PROCESSES: tuple[Process, ...] = get_args(Process)

Profile = Literal["polylines", "exploded", "r12"]
PROFILES: tuple[Profile, ...] = get_args(Profile)

DieWay = Literal["air", "bottom"]
DIE_WAYS: tuple[DieWay, ...] = get_args(DieWay)

Layers = Literal["by_operation", "cut_and_mark"]
LAYERS: tuple[Layers, ...] = get_args(Layers)

Projection = Literal["by_paper", "first", "third"]
PROJECTIONS: tuple[Projection, ...] = get_args(Projection)

FlangeSide = Literal["upper", "lower"]
"""Surfaces of a flange: w = thickness, w = 0."""

FLANGE_SIDES: tuple[FlangeSide, ...] = get_args(FlangeSide)

EdgeKind = Literal["sharp", "hole", "tangent"]
"""Lines of a drawn body."""

PageKind = Literal["cover", "tile", "table"]
"""Pages of a template."""

ItemUnit = Literal["length", "angle", "go"]
"""What an item of an inspection sheet is measured in; ``go`` is tried with what goes through."""

RodKind = Literal["pressure", "feed", "brake", "rigid"]
"""Round things of the assembly: hoses by what they carry, rigid lines."""

BillKind = Literal["part", "fastener", "insert", "grommet", "fitting", "cylinder", "clamp", "hose", "end"]
"""Lines of the bill, in its order."""

BILL_KINDS: tuple[BillKind, ...] = get_args(BillKind)

StopWord = Literal["floor"]
"""What may stand for a pedal's stop in place of a length."""

STOP_WORDS: tuple[StopWord, ...] = get_args(StopWord)

BodyKind = Literal[
    "panel",
    "part",
    "bolt",
    "cylinder",
    "reservoir",
    "fitting",
    "clamp",
    "hose",
    "pedal",
    "pad",
    "rod",
    "stop",
    "obstacle",
    "room",
    "zone",
]
"""What stands or moves in the vehicle; ``room`` is air kept free, for a spanner or a foot, ``zone`` room with
what harms a hose in it."""

CAUTIONS = (
    "Brakes, clutch and drilled structure: have the work checked by a licensed mechanic "
    "and follow local codes.",
    "Before drilling look behind the panel: wiring, pipes, fuel; what is not drawn may still be there. "
    "Disconnect the battery. Wear eye protection.",
)
"""The usual cautions, on every sheet a person works from and in what is drilled from."""

SHORT_CAUTIONS = (
    "Brakes, clutch, drilled structure: have it checked by a licensed mechanic; follow local codes.",
    "Before drilling look behind the panel. Disconnect the battery. Wear eye protection.",
)
"""The same for the end of what a command prints."""

_SIDES = (("left", "right"), ("Left", "Right"), ("LEFT", "RIGHT"), ("LH", "RH"))
OTHER_SIDE = {one: two for pair in _SIDES for one, two in (pair, pair[::-1])}
# names part their words with _; a right angle has no other hand, and a thread keeps its own in a mirror
_SIDE = re.compile(
    rf"(?<![A-Za-z])({'|'.join(OTHER_SIDE)})(?![A-Za-z])(?!(?i: angle|(?:[- ]hand(?:ed)?)?[- ]thread))"
)


def other_hand(text: str) -> str:
    """The text with left and right exchanged, word by word."""
    return _SIDE.sub(lambda found: OTHER_SIDE[found[1]], text)
