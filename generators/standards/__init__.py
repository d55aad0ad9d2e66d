"""Tables of public standards as typed, frozen rows: one table, one CSV file, one module.

Lengths are mm, stresses MPa, densities kg/m3. Each row says its edition, its source and how far
it can be believed (``Trust``). Nothing is read before it is asked for. An unknown key raises
``generators.errors.LookupFault``, which lists the keys there are.
"""

from generators.standards._table import Trust
from generators.standards.bend_radius import (
    BendRadius,
    BendRadiusRow,
    bend_radius_rows,
    minimum_bend_radius,
)
from generators.standards.bulkheads import Bulkhead, bulkhead, bulkhead_rows
from generators.standards.clearance import FIT_ALIASES, ClearanceHole, clearance_hole, clearance_rows
from generators.standards.cylinders import CylinderBore, cylinder_bore_rows, standard_bores
from generators.standards.drills import (
    Drill,
    DrillSystem,
    drill,
    drills,
    nearest_drill,
    pilot_drill,
    step_or_saw,
)
from generators.standards.fasteners import Fastener, fastener, fastener_rows, spanner_circle_mm
from generators.standards.gauges import Gauge, gauge_rows, sheet_gauge
from generators.standards.hoses import HOSE_GRADES, HoseExpansion, hose_expansion, hose_expansion_rows
from generators.standards.materials import Material, material, material_rows
from generators.standards.paper import Paper, paper, paper_rows
from generators.standards.taps import TapDrill, tap_drill, tap_drill_rows

__all__ = [
    "FIT_ALIASES",
    "HOSE_GRADES",
    "BendRadius",
    "BendRadiusRow",
    "Bulkhead",
    "ClearanceHole",
    "CylinderBore",
    "Drill",
    "DrillSystem",
    "Fastener",
    "Gauge",
    "HoseExpansion",
    "Material",
    "Paper",
    "TapDrill",
    "Trust",
    "bend_radius_rows",
    "bulkhead",
    "bulkhead_rows",
    "clearance_hole",
    "clearance_rows",
    "cylinder_bore_rows",
    "drill",
    "drills",
    "fastener",
    "fastener_rows",
    "gauge_rows",
    "hose_expansion",
    "hose_expansion_rows",
    "material",
    "material_rows",
    "minimum_bend_radius",
    "nearest_drill",
    "paper",
    "paper_rows",
    "pilot_drill",
    "sheet_gauge",
    "spanner_circle_mm",
    "standard_bores",
    "step_or_saw",
    "tap_drill",
    "tap_drill_rows",
]
