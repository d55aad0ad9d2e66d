"""The shop's own facts: stock, bend results, machine limits."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.spec import fields as key
from generators.model.spec.selling.labels import Labels
from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.press import Brake
from generators.model.spec.tools.rates import Nesting, RackSheet, Rates
from generators.model.words import (
    LAYERS,
    PROCESSES,
    PROFILES,
    PROJECTIONS,
    TEST_BENDS,
    Layers,
    Process,
    Profile,
    Projection,
    TestBend,
)
from generators.standards import GENERAL_TOLERANCE
from generators.units import UNIT_SYSTEMS, UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A sheet on the rack, with what the shop's own test bend gave."""

    material: str = key.text("Material, as `pedalplate kinds --materials` lists it", lo=1, hi=40)
    thickness_mm: float = key.thickness(
        "Sheet thickness; a gauge is of the material's table", lo=0.3, hi=25.0
    )
    inside_radius_mm: float = key.length("Inside radius the brake makes in this sheet", lo=0.0, hi=50.0)
    k_factor: float | None = key.number("K-factor measured on a test bend", lo=0.2, hi=0.6, default=None)
    die_opening_mm: float | None = key.length("Opening of the lower die", lo=1.0, hi=200.0, default=None)
    springback_rad: float = key.angle(
        "What its test bend of 90 deg lost when the punch went up; others lose in proportion (ours)",
        lo=0.0,
        hi=math.radians(20),
        default=0.0,
    )
    bent_without_cracks: TestBend = key.choice(
        "The shop has bent this sheet to its inside_radius by 90 deg or more and found no crack, the bend "
        "line across the rolling direction, or along it (harder: it holds for both); goes before the table",
        TEST_BENDS,
        default="",
    )
    relief_mm: float | None = key.length(
        "Width of reliefs at bend ends and corners, if not the handbook's", lo=0.2, hi=50.0, default=None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What the cutting machine can do, and the form of the files it takes."""

    process: Process = key.choice("Cutting process", PROCESSES, default="laser")
    smallest_hole_ratio: float = key.number(
        "Smallest hole as a multiple of thickness", lo=0.0, hi=5.0, default=1.0
    )
    smallest_hole_mm: float = key.length("Smallest hole whatever the thickness", lo=0.0, hi=50.0, default=1.0)
    profile: Profile = key.choice(
        "Flat DXF: closed polylines (R2010), loose lines and arcs (R2010), or the same in R12",
        PROFILES,
        default="polylines",
    )
    layers: Layers = key.choice(
        "Layers: one for each operation, or one for all that is cut and one for all that is marked",
        LAYERS,
        default="by_operation",
    )
    cut_layer: str = key.text("Layer of cuts; `0` is allowed", lo=1, hi=31, default="CUT")
    mark_layer: str = key.text("Layer of centre marks", lo=1, hi=31, default="MARK")
    bend_up_layer: str = key.text(
        "Layer of lines that bend toward you, with `layers = by_operation`", lo=1, hi=31, default="BEND_UP"
    )
    bend_down_layer: str = key.text(
        "Layer of lines that bend away from you, with `layers = by_operation`",
        lo=1,
        hi=31,
        default="BEND_DOWN",
    )
    notes_layer: str = key.text("Layer of text", lo=1, hi=31, default="NOTES")
    grain_layer: str = key.text(
        "Layer of the arrow along the rolling direction, where a part orders it", lo=1, hi=31, default="GRAIN"
    )
    etch_layer: str = key.text(
        "Layer of letters on a part that has `etch`: marked, never cut",
        lo=1,
        hi=31,
        default="ETCH",
    )
    corners_layer: str = key.text(
        "Layer of the corners' letters on a part that is bent: marked where the machine can, never cut",
        lo=1,
        hi=31,
        default="CORNERS",
    )
    corner_letters: bool = key.flag(
        "Letters of the corners, which name the edges to gauge on, in the file of a part that is bent; they "
        "are text, so without `notes` there are none",
        default=True,
    )
    bend_lines: bool = key.flag("Bend lines in the file", default=True)
    notes: bool = key.flag("Text in the file, on a layer of its own", default=True)
    kerf_mm: float | None = key.length(
        "Width of the cut, to move the path by half of it; leave out where the machine does so itself",
        lo=0.01,
        hi=6.0,
        default=None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateLayers:
    """Layers of the plotter's template, ``template.dxf``: one for each thing that is drawn."""

    drill: str = key.text("Layer of holes to drill with the panel", lo=1, hi=31, default="DRILL")
    drill_last: str = key.text(
        "Layer of holes drilled last, where a made-up hose puts them", lo=1, hi=31, default="DRILL_LAST"
    )
    drill_through: str = key.text(
        "Layer of holes drilled through a part or a guide", lo=1, hi=31, default="DRILL_THROUGH"
    )
    weld: str = key.text("Layer of studs to weld on", lo=1, hi=31, default="WELD")
    pilot: str = key.text("Layer of pilot holes", lo=1, hi=31, default="PILOT")
    existing: str = key.text("Layer of holes that are there already", lo=1, hi=31, default="EXISTING")
    blank: str = key.text("Layer of holes to close", lo=1, hi=31, default="BLANK")
    panel_edge: str = key.text("Layer of the panel's outline", lo=1, hi=31, default="PANEL_EDGE")
    fold: str = key.text("Layer of folds", lo=1, hi=31, default="FOLD")
    keepout_cab: str = key.text("Layer of what is in the way in the cab", lo=1, hi=31, default="KEEPOUT_CAB")
    keepout_engine: str = key.text(
        "Layer of what is in the way on the engine side", lo=1, hi=31, default="KEEPOUT_ENGINE"
    )
    part_edge: str = key.text("Layer of the outlines of parts", lo=1, hi=31, default="PART_EDGE")
    datum: str = key.text("Layer of datum lines", lo=1, hi=31, default="DATUM")
    notes: str = key.text("Layer of text", lo=1, hi=31, default="NOTES")
    check_bar: str = key.text("Layer of the lengths to check the print by", lo=1, hi=31, default="CHECK_BAR")


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperPrinter:
    """What a printer of templates does to its paper, as `pedalplate calibrate` found it.

    Not part of the revision: another printer makes no other holes.
    """

    name: str = key.text("Name it is called by on the command line", lo=1, hi=40)
    x_scale: float = key.number("Printed over drawn length, across the upright sheet", lo=0.95, hi=1.05)
    y_scale: float = key.number("Printed over drawn length, along the upright sheet", lo=0.95, hi=1.05)
    skew_rad: float = key.angle(
        "How far an upright line leans to the right", lo=-0.0501, hi=0.0501, default=0.0
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPrinter:
    """What the machine that prints parts makes of a size, and what it can make.

    The defaults are common practice for 0.4 mm nozzles, no source: several published design guides
    agree that printed holes come out small, and name gaps and walls like these. Print a test block.
    """

    bore_clearance_mm: float = key.length(
        "Added to the diameter of printed bores (common practice)", hi=2.0, default=0.2
    )
    peg_clearance_mm: float = key.length(
        "Taken off the diameter of printed pegs (common practice)", hi=2.0, default=0.3
    )
    smallest_wall_mm: float = key.length("Thinnest wall (common practice)", lo=0.4, hi=10.0, default=1.6)
    smallest_peg_mm: float = key.length("Thinnest peg (common practice)", lo=1.0, hi=20.0, default=3.0)
    bed_width_mm: float = key.length("Width of the bed", lo=50.0, hi=2_000.0, default=220.0)
    bed_depth_mm: float = key.length("Depth of the bed", lo=50.0, hi=2_000.0, default=220.0)
    height_mm: float = key.length("Height it can print", lo=20.0, hi=2_000.0, default=220.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Positions:
    """How true holes lie, for the proof that parts fit together."""

    cut_each_way_mm: float = key.length(
        "A machine-cut hole's centre lies within ± this across and up from where it is drawn (ours); "
        "drawings say it",
        hi=2.0,
        default=0.2,
    )
    bent_length_mm: float = key.length(
        "A length outside to outside of a bend is true within ± this (ours); drawings say it",
        hi=5.0,
        default=0.5,
    )
    bend_angle_rad: float = key.angle(
        "A bend is true within ± this (ours); drawings say it",
        lo=0.0,
        hi=math.radians(10),
        default=math.radians(1),
    )
    drill_wander_ratio: float = key.number(
        "How far a hand drill wanders where it starts, in diameters of the first drill (common practice)",
        lo=0.0,
        hi=1.0,
        default=0.25,
    )

    @property
    def cut_mm(self) -> float:
        """Diameter of the round zone that covers the square of ``cut_each_way_mm``, mm: 2√2 times it.

        ASME Y14.5: a square zone of plus and minus t reaches t√2 from the middle, at its corners.
        """
        return 2 * math.sqrt(2) * self.cut_each_way_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingRules:
    """What the shop's drawings say alike."""

    general_tolerance: str = key.text(
        "General tolerance, where a part has none of its own", lo=3, hi=60, default=GENERAL_TOLERANCE
    )
    projection: Projection = key.choice(
        "Views: first-angle on A4 and A3 and third-angle on letter and tabloid, or one of them always",
        PROJECTIONS,
        default="by_paper",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """The content of ``shop.toml``."""

    name: str = key.text("The shop's name, printed in the report only", hi=80, default="")
    units: UnitSystem = key.choice(
        "What people here measure in and buy drills by, if the job does not say: it is printed first",
        UNIT_SYSTEMS,
        default="metric",
    )
    cutting: Cutting = key.table("Cutting machine", Cutting, default=Cutting())
    brake: Brake = key.table("Press brake", Brake, default=Brake())
    folder: Folder | None = key.table("Box-and-pan folder, if there is one", Folder, default=None)
    template_layers: TemplateLayers = key.table(
        "Layers of the plotter's template", TemplateLayers, default=TemplateLayers()
    )
    drawing: DrawingRules = key.table("Drawings", DrawingRules, default=DrawingRules())
    printer: PartPrinter = key.table("Printer of plastic parts", PartPrinter, default=PartPrinter())
    position: Positions = key.table("How true holes lie", Positions, default=Positions())
    stock: tuple[Stock, ...] = key.tables("Sheets on the rack", Stock)
    sheet: tuple[RackSheet, ...] = key.tables("Sheets by size, for nests", RackSheet, hi=200)
    nest: Nesting = key.table("How blanks are laid on a sheet", Nesting, default=Nesting())
    rates: Rates = key.table("What the shop's time costs", Rates, default=Rates())
    labels: Labels = key.table("Sheets of labels", Labels, default=Labels())
    hose_step_mm: float = key.length("Hoses are made up in steps of", lo=0.1, hi=100.0, default=5.0)
    paper_printer: tuple[PaperPrinter, ...] = key.tables("Calibrated printers of paper", PaperPrinter, hi=50)
