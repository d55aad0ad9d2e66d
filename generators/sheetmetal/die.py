"""How far a leg must reach to lie on the shoulders of a V die.

Seen along the bend, the outside faces rise at half the bend angle ``A`` from the mould line in the middle of
the die, and rest on its shoulders ``V/2`` to either side: at ``V/2 / cos(A/2)`` along the sheet.
"""

from __future__ import annotations

import math

from generators.sheetmetal.allowance import BendRule, setback

LEG_RATIO = 4.0
"""Thicknesses in the least outside leg without a known die, beside R (common practice, no source)."""


def shoulder(opening_mm: float, angle_rad: float) -> float:
    """Mould line to the die's shoulder along the outside of the bent sheet, mm: ``V/2 / cos(A/2)``."""
    return opening_mm / 2 / math.cos(angle_rad / 2)


def trade_leg(angle_rad: float, inside_radius_mm: float, thickness_mm: float, ratio: float) -> float:
    """Least outside leg where no die is known, mm: ``ratio x t + R`` for a square bend (common practice).

    A die that asks so much at 90° asks for more past it, as ``shoulder`` does. Below 90° nothing is taken
    off.
    """
    square = ratio * thickness_mm + inside_radius_mm
    return square * max(1.0, math.cos(math.pi / 4) / math.cos(angle_rad / 2))


def least_flat(rule: BendRule, thickness_mm: float, angle_rad: float) -> float:
    """How far a leg must reach from its tangent line, mm: over the shop's die, else by the trade's figure."""
    radius = rule.inside_radius_mm
    if rule.die_opening_mm is not None:
        leg = shoulder(rule.die_opening_mm, angle_rad)
    else:
        leg = trade_leg(angle_rad, radius, thickness_mm, LEG_RATIO)
    return max(0.0, leg - setback(angle_rad, radius, thickness_mm))
