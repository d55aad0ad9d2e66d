"""How a plate over an old hole is riveted: how many blind rivets, on which line, for which grip.

One size for all such plates, 1/8 in: the lap they leave room for is worked out with it (``layout.closing``).
Edge distance of two diameters: AC 43.13-1B 4-57c. Spacing at most 24 times the thinnest sheet and at least
three diameters: FAA airframe handbook, from memory. Four at least, one to each side: common practice, no
source. Hole 3.3 mm, or a number 30 drill, and a head of at most 6.7 mm: ISO 15977 for 3.2 mm and handbooks
for 1/8 in, from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.layout.closing import NEAR_MM, Closing, plated
from generators.units import INCH_MM, UnitSystem

RIVET_MM = INCH_MM / 8
HEAD_MM = 6.7
EDGE_DIAMETERS = 2.0
MOST_PITCH_SHEETS = 24.0
LEAST_PITCH_DIAMETERS = 3.0
LEAST_COUNT = 4
MOST_PLATE_MM = 2.0
"""A cover carries nothing: thicker is only harder to cut. Common practice, no source."""

MOST_GRIP_MM = 6.4
"""Of closed-end rivets that size, from memory; through more go small bolts."""

STEP_MM = 0.5
"""In what the line's distance is told where it is not midway; in inches a 64th."""

RIVET_WORDS = {"metric": "3.2 mm", "inch": "1/8 in"}
DRILL_WORDS = {"metric": "twist drill 3.3 mm", "inch": "twist drill #30"}
BOLT_WORDS = {"metric": "M4", "inch": "#8-32"}
BOLT_DRILL_WORDS = {"metric": "twist drill 4.5 mm", "inch": "twist drill #16"}
"""ISO 273 and ASME B18.2.8 have 4.5 mm and 0.177 in for the normal fit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Riveting:
    """So many rivets on a line ``line_mm`` from the rims, ``pitch_mm`` apart, through ``grip_mm``.

    ``clear`` is False where what stands behind comes too near to some of them.
    """

    count: int
    line_mm: float
    pitch_mm: float
    grip_mm: float
    clear: bool
    plate_mm: float

    @property
    def bolted(self) -> bool:
        """True where panel and plate are too thick for rivets of that size."""
        return self.grip_mm > MOST_GRIP_MM


def riveting(done: Closing, thickness_mm: float, units: UnitSystem = "metric") -> Riveting:
    """The rivets of a plate as thick as the panel (mm), or as a cover needs.

    Their line is midway in the lap, or as much nearer to the hole as what stands behind asks for, but never
    within two diameters of the rim. Raises ``ValueError`` where no plate fits.
    """
    if not done.plate:
        raise ValueError(f"no plate fits hole {done.holes[0].number}")
    step = STEP_MM if units == "metric" else INCH_MM / 64
    edge = EDGE_DIAMETERS * RIVET_MM
    most = done.behind.at_mm - HEAD_MM / 2 - NEAR_MM
    line = done.lap_mm / 2
    if most < line:
        line = max(math.floor(most / step) * step, math.ceil(edge / step) * step)
    long = plated(done.holes, line).boundary.length
    pitch = max(MOST_PITCH_SHEETS * thickness_mm, LEAST_PITCH_DIAMETERS * RIVET_MM)
    count = max(LEAST_COUNT, math.ceil(long / pitch))
    return Riveting(
        count=count,
        line_mm=line,
        pitch_mm=long / count,
        grip_mm=thickness_mm + min(thickness_mm, MOST_PLATE_MM),
        clear=line <= most,
        plate_mm=min(thickness_mm, MOST_PLATE_MM),
    )
