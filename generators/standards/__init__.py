"""Tables of public standards as typed, frozen rows: one table, one CSV file, one module.

Lengths are mm, stresses MPa, densities kg/m3. Each row says its edition, its source and how far
it can be believed (``Trust``). Nothing is read before it is asked for. An unknown key raises
``generators.errors.LookupFault``, which lists the keys there are.
"""

from generators.standards._table import Trust
from generators.standards.bolting.lengths import (
    BoltRange,
    StockLength,
    bolt_range,
    bolt_range_rows,
    stock_length_rows,
    stock_lengths,
)
from generators.standards.bolting.nuts import (
    LockingNut,
    Washer,
    WasherSeries,
    locking_nut,
    locking_nut_rows,
    washer,
    washer_rows,
)
from generators.standards.bolting.strength import (
    PropertyClass,
    StressArea,
    default_class,
    property_class_rows,
    stress_area,
    stress_area_rows,
)
from generators.standards.fluid.bulkheads import Bulkhead, bulkhead, bulkhead_rows
from generators.standards.fluid.cylinders import CylinderBore, cylinder_bore_rows, standard_bores
from generators.standards.fluid.hose_sizes import (
    LINE_METALS,
    HoseSize,
    LineSupport,
    hose_size,
    hose_size_rows,
    line_support,
    line_support_rows,
)
from generators.standards.fluid.hoses import HOSE_GRADES, HoseExpansion, hose_expansion, hose_expansion_rows
from generators.standards.fluid.unions import (
    Union37,
    flare_takes_mm,
    nut_long_mm,
    union37,
    union37_rows,
)
from generators.standards.foot_forces import FootForce, foot_force_rows, largest_foot_force
from generators.standards.holes.bushes import DrillBush, drill_bush, drill_bush_rows
from generators.standards.holes.clearance import FIT_ALIASES, ClearanceHole, clearance_hole, clearance_rows
from generators.standards.holes.drills import (
    Drill,
    DrillSystem,
    drill,
    drills,
    nearest_drill,
)
from generators.standards.holes.fasteners import Fastener, fastener, fastener_rows, spanner_circle_mm
from generators.standards.holes.limits import (
    CUT_HOLE,
    FIT_GRADES,
    HoleTolerance,
    ToleranceGrade,
    general_hole_tolerance,
    hole_tolerance,
    press_tolerance,
    reamed_tolerance,
    tolerance_grade_rows,
    tolerance_width_mm,
)
from generators.standards.holes.sheet_inserts import SheetInsert, sheet_insert, sheet_insert_rows
from generators.standards.holes.sheet_tools import SheetTool, sheet_tool_rows
from generators.standards.holes.sunk_heads import SunkHead, sunk_head, sunk_head_rows
from generators.standards.holes.taps import TapDrill, tap_drill, tap_drill_rows
from generators.standards.holes.tolerances import (
    GENERAL_TOLERANCE,
    GeneralTolerance,
    general_deviation_mm,
    general_tolerance_rows,
    general_tolerance_words,
)
from generators.standards.holes.tooling import (
    PILOT_MM,
    HoleTool,
    Making,
    ToolKind,
    choose_tools,
    transfer_drill,
)
from generators.standards.holes.wrapped_bushes import WrappedBush, wrapped_bush, wrapped_bush_rows
from generators.standards.paper import Paper, paper, paper_rows, projection_of
from generators.standards.pedal_loads import PedalLoad, pedal_load, pedal_load_rows
from generators.standards.sheet.bend_radius import (
    BendRadius,
    BendRadiusRow,
    bend_radius_rows,
    minimum_bend_radius,
)
from generators.standards.sheet.cold_flanging import ColdFlanging, cold_flanging, cold_flanging_rows
from generators.standards.sheet.fillet_legs import (
    GROWN_GAP_MM,
    WIDEST_GAP_MM,
    FilletLeg,
    fillet_leg,
    fillet_leg_rows,
)
from generators.standards.sheet.gauges import Gauge, gauge_rows, sheet_gauge
from generators.standards.sheet.materials import Material, material, material_rows
from generators.standards.sheet.stock import StockThickness, stock_thickness_rows, thickness_off_mm
from generators.standards.sheet.strengths import (
    Strength,
    least_tensile,
    most_tensile,
    strength_rows,
    yield_strength,
)

__all__ = [
    "CUT_HOLE",
    "FIT_ALIASES",
    "FIT_GRADES",
    "GENERAL_TOLERANCE",
    "GROWN_GAP_MM",
    "HOSE_GRADES",
    "LINE_METALS",
    "PILOT_MM",
    "WIDEST_GAP_MM",
    "BendRadius",
    "BendRadiusRow",
    "BoltRange",
    "Bulkhead",
    "ClearanceHole",
    "ColdFlanging",
    "CylinderBore",
    "Drill",
    "DrillBush",
    "DrillSystem",
    "Fastener",
    "FilletLeg",
    "FootForce",
    "Gauge",
    "GeneralTolerance",
    "HoleTolerance",
    "HoleTool",
    "HoseExpansion",
    "HoseSize",
    "LineSupport",
    "LockingNut",
    "Making",
    "Material",
    "Paper",
    "PedalLoad",
    "PropertyClass",
    "SheetInsert",
    "SheetTool",
    "StockLength",
    "StockThickness",
    "Strength",
    "StressArea",
    "SunkHead",
    "TapDrill",
    "ToleranceGrade",
    "ToolKind",
    "Trust",
    "Union37",
    "Washer",
    "WasherSeries",
    "WrappedBush",
    "bend_radius_rows",
    "bolt_range",
    "bolt_range_rows",
    "bulkhead",
    "bulkhead_rows",
    "choose_tools",
    "clearance_hole",
    "clearance_rows",
    "cold_flanging",
    "cold_flanging_rows",
    "cylinder_bore_rows",
    "default_class",
    "drill",
    "drill_bush",
    "drill_bush_rows",
    "drills",
    "fastener",
    "fastener_rows",
    "fillet_leg",
    "fillet_leg_rows",
    "flare_takes_mm",
    "foot_force_rows",
    "gauge_rows",
    "general_deviation_mm",
    "general_hole_tolerance",
    "general_tolerance_rows",
    "general_tolerance_words",
    "hole_tolerance",
    "hose_expansion",
    "hose_expansion_rows",
    "hose_size",
    "hose_size_rows",
    "largest_foot_force",
    "least_tensile",
    "line_support",
    "line_support_rows",
    "locking_nut",
    "locking_nut_rows",
    "material",
    "material_rows",
    "minimum_bend_radius",
    "most_tensile",
    "nearest_drill",
    "nut_long_mm",
    "paper",
    "paper_rows",
    "pedal_load",
    "pedal_load_rows",
    "press_tolerance",
    "projection_of",
    "property_class_rows",
    "reamed_tolerance",
    "sheet_gauge",
    "sheet_insert",
    "sheet_insert_rows",
    "sheet_tool_rows",
    "spanner_circle_mm",
    "standard_bores",
    "stock_length_rows",
    "stock_lengths",
    "stock_thickness_rows",
    "strength_rows",
    "stress_area",
    "stress_area_rows",
    "sunk_head",
    "sunk_head_rows",
    "tap_drill",
    "tap_drill_rows",
    "thickness_off_mm",
    "tolerance_grade_rows",
    "tolerance_width_mm",
    "transfer_drill",
    "union37",
    "union37_rows",
    "washer",
    "washer_rows",
    "wrapped_bush",
    "wrapped_bush_rows",
    "yield_strength",
]
