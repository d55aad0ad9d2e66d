"""The fluid that follows a circuit's linings as they wear: piston area times the way of each piston.

In a floating caliper the pistons press one lining and pull the other, so that they come out by the wear of
both; in a fixed one each follows its own. A drum's shoe turns about its anchor, and its cylinder stands about
twice as far from there as the lining's middle: similar triangles make its way twice the wear. No adjuster is
reckoned with, and disc or drum are as new: FMVSS 105 S5.4.2 reckons from new linings, fully let off, to worn
ones, fully applied, with discs and drums of nominal size (S7.18(c), from memory).
"""

from __future__ import annotations

import math

from generators.model.spec.brakes import BrakeCircuit, Linings
from generators.model.words import LiningKind

WAYS: dict[LiningKind, float] = {"floating caliper": 2.0, "fixed caliper": 1.0, "drum": 2.0}
"""Way of a piston over the wear of one lining."""


def lining_volume(linings: Linings) -> float:
    """Fluid from new linings to worn ones, mm3."""
    way = WAYS[linings.kind] * (linings.lining_mm - linings.worn_mm)
    return linings.brakes * linings.pistons * math.pi / 4 * linings.piston_mm**2 * way


def wear_volume(circuit: BrakeCircuit) -> float | None:
    """What follows the linings of a circuit, mm3: the larger of computed and said; None unknown."""
    said = [] if circuit.wear_mm3 is None else [circuit.wear_mm3]
    computed = [] if circuit.linings is None else [lining_volume(circuit.linings)]
    return max(said + computed, default=None)
