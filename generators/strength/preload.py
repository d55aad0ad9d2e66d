"""How hard a bolt is done up: preload from proof load, torque from preload, and what the sheet bears.

T = K · D · P is the short form of NASA RP-1228 (fastener torque) and of machine-design textbooks. K lumps
all friction: about 0.2 for plain steel, clean and dry; 0.15 to 0.18 plated or oiled. Preload is 0.75 of the
proof load, the usual share for joints that are taken apart. A wrench set right still leaves the preload
25 to 30 % uncertain (NASA RP-1228, from memory).
"""

from __future__ import annotations

import math

NUT_FACTOR_DRY = 0.2
"""K of plain steel, clean and dry: NASA RP-1228 and textbooks."""

NUT_FACTOR_SLIPPERY = 0.15
"""K of plated or oiled threads, the low end of 0.15 to 0.18: the bolt is not overdone at either end."""

PROOF_SHARE = 0.75
"""Preload over proof load where a joint is taken apart again: the usual figure of textbooks and charts."""

SPREAD = 1.6
"""How much wider than the head a washer presses, over its thickness: VDI 2230, from memory."""


def preload_n(proof_mpa: float, area_mm2: float, share: float = PROOF_SHARE) -> float:
    """Preload, N: a share of the proof load, which is proof stress times stress area (ISO 898-1 clause 8)."""
    return share * proof_mpa * area_mm2


def torque_nm(preload: float, diameter_mm: float, nut_factor: float = NUT_FACTOR_DRY) -> float:
    """Tightening torque, N·m, of a preload in N: T = K · D · P (NASA RP-1228)."""
    return nut_factor * diameter_mm * preload / 1000.0


def pressed_mm(bearing_mm: float, washer_mm: float, outside_mm: float) -> float:
    """Diameter a washer presses with, mm: the head's face plus 1.6 of its thickness, at most its own.

    Source: VDI 2230, from memory. A thin wide washer dishes; its rim carries nothing.
    """
    return min(bearing_mm + SPREAD * washer_mm, outside_mm)


def bearing_area_mm2(pressed: float, hole_mm: float, travel_mm: float = 0.0) -> float:
    """What of a pressed circle is sheet, mm2: the circle without the hole, or without what it covers of a
    slot ``hole_mm`` wide with ``travel_mm`` between its end centres. Closed form; 0 where nothing is left."""
    covered = min(travel_mm, max(pressed - hole_mm, 0.0))
    return max(math.pi / 4 * (pressed**2 - hole_mm**2) - covered * hole_mm, 0.0)
