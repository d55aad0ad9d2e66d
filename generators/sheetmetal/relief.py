"""Reliefs where bends meet or end inside an edge.

Source: FAA-H-8083-31 ch. 4, "Folding a box": relief holes of at least 1/8 in for sheet up to
0.064 in, 3/16 in from 0.072 to 0.128 in. Thicker sheet: 1.5 T (common practice, no source).
"""

from __future__ import annotations

from generators.sheetmetal.allowance import BendRule
from generators.units import INCH_MM


def relief_diameter(thickness_mm: float) -> float:
    """Smallest relief diameter for a sheet, mm. Between the two rows the larger one holds."""
    inches = thickness_mm / INCH_MM
    if inches <= 0.064:
        return INCH_MM / 8
    if inches <= 0.128:
        return INCH_MM * 3 / 16
    return 1.5 * thickness_mm


def relief_width(rule: BendRule, thickness_mm: float) -> float:
    """Width and depth of a relief, mm: the shop's, else the handbook's smallest."""
    return rule.relief_mm if rule.relief_mm is not None else relief_diameter(thickness_mm)
