"""A brace as a strut: a tube between two bolts, pulled or pushed along its length.

Stocky ones by Johnson's parabola, slender ones by Euler's hinged column; the two meet where the slenderness
L / r is sqrt(2 π² E / σy) (Shigley's *Mechanical Engineering Design*, columns; from memory, sure).
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """A round tube: outside and wall, mm; a wall of half the outside is a solid bar."""

    outside_mm: float
    wall_mm: float

    @property
    def inside_mm(self) -> float:
        """Its bore, mm."""
        return max(self.outside_mm - 2 * self.wall_mm, 0.0)

    @property
    def area_mm2(self) -> float:
        """Of its metal."""
        return math.pi / 4 * (self.outside_mm**2 - self.inside_mm**2)

    @property
    def gyration_mm(self) -> float:
        """Radius of gyration, sqrt(I / A) = sqrt(D² + d²) / 4."""
        return math.hypot(self.outside_mm, self.inside_mm) / 4


def pushed_n(tube: Tube, length_mm: float, e_mpa: float, yield_mpa: float) -> float:
    """The push a tube hinged at both ends gives way under, N."""
    slender = length_mm / tube.gyration_mm
    if slender >= math.sqrt(2 * math.pi**2 * e_mpa / yield_mpa):
        stress = math.pi**2 * e_mpa / slender**2
    else:
        stress = yield_mpa * (1 - yield_mpa * slender**2 / (4 * math.pi**2 * e_mpa))
    return stress * tube.area_mm2


@dataclass(frozen=True, slots=True, kw_only=True)
class BraceLoad:
    """What a part asks of a brace at one hole: the most of any case, N, pull or push whichever way it stands.

    ``structure`` marks a brake's structure-only case, ``low`` by what factor the force may be below the real
    one. ``part`` and ``hole`` say where, ``tube`` and ``length_mm`` what it is made of, where that is given.
    """

    part: str
    hole: str
    force_n: float
    case: str
    low: float
    structure: bool = False
    tube: Tube | None = None
    length_mm: float = 0.0

    @property
    def sure_n(self) -> float:
        """The force with the range of its calculation, N: what it is made for."""
        return self.force_n * self.low
