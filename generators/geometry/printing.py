"""What a printer does to a sheet, and how to draw so that it comes out true.

A printer stretches across and along the paper by different factors and may feed it askew. Both are
linear over a page, so three lengths of a right-angled triangle say all there is to know: its two legs
and its long side.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.figures import format_short
from generators.units import INCH_MM, UnitSystem

Floats = NDArray[np.float64]
MOST_OFF = 0.05
READING_MM = 0.25  # a steel rule read by eye; common practice, no source
PAGE_RIM_MM = 26.0
PAGE_ENDS_MM = 48.0
STEP_MM: dict[UnitSystem, float] = {"metric": 5.0, "inch": INCH_MM / 4}
MOST_UNITS = 20  # off a roll: longer than a steel rule is no use


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintMap:
    """Printed over drawn length across and along upright paper, and by how much up leans right."""

    x_scale: float = 1.0
    y_scale: float = 1.0
    skew_rad: float = 0.0

    @property
    def is_true(self) -> bool:
        """True when nothing is changed at all."""
        return self == PrintMap()

    def matrix(self, *, lying: bool = False) -> Floats:
        """Where a drawn point is printed: shape (2, 2). ``lying`` for a page printed turned by 90°.

        A printer knows only the paper: what it does along the paper, it does across a lying page. A
        turn by +90° or by −90° gives the same matrix.
        """
        upright = np.array(
            [
                [self.x_scale, self.y_scale * math.sin(self.skew_rad)],
                [0.0, self.y_scale * math.cos(self.skew_rad)],
            ]
        )
        if not lying:
            return upright
        quarter = np.array([[0.0, -1.0], [1.0, 0.0]])
        turned: Floats = quarter @ upright @ quarter.T
        return turned

    def compensation(self, *, lying: bool = False) -> Floats:
        """What to do to a page first so that it is printed true: the inverse of ``matrix``."""
        inverse: Floats = np.asarray(np.linalg.inv(self.matrix(lying=lying)), dtype=np.float64)
        return inverse


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleTest:
    """The right-angled triangle of a scale test, sides 3 : 4 : 5, mm; round figures in ``units``."""

    across_mm: float
    up_mm: float
    units: UnitSystem = "metric"

    @property
    def diagonal_mm(self) -> float:
        """The long side, from the lower left corner to the upper right one."""
        return math.hypot(self.across_mm, self.up_mm)

    def said(self, mm: float) -> str:
        """A length of it as people read it on their rule: ``180 mm``, ``6 3/4 in``."""
        return format_short(mm, self.units)


def scale_test(width_mm: float, height_mm: float, units: UnitSystem = "metric") -> ScaleTest:
    """The largest triangle that upright paper of that size holds.

    Legs are whole 15 and 20 mm, or whole 3/4 and 1 in: the long side then is round too.
    """
    across, up = min(width_mm, height_mm), max(width_mm, height_mm)
    step = STEP_MM[units]
    unit = math.floor(min((across - PAGE_RIM_MM) / (3 * step), (up - PAGE_ENDS_MM) / (4 * step)))
    unit = min(max(1, unit), math.floor(MOST_UNITS * STEP_MM["metric"] / step))
    return ScaleTest(across_mm=3 * step * unit, up_mm=4 * step * unit, units=units)


def fitted_print(test: ScaleTest, across_mm: float, up_mm: float, diagonal_mm: float) -> PrintMap:
    """The print map that three readings of a printed scale test show.

    The angle between the legs follows from the law of cosines. Raises ``GeometryFault`` with the name
    of the reading when it cannot be: more than 5 % off, or a diagonal that these legs do not have.
    """
    readings = (
        ("across", across_mm, test.across_mm),
        ("up", up_mm, test.up_mm),
        ("diagonal", diagonal_mm, test.diagonal_mm),
    )
    for name, found, drawn in readings:
        if abs(found / drawn - 1) > MOST_OFF:
            raise GeometryFault(
                f"{name} reads {found:.2f} mm, but it was drawn {drawn:g} mm: "
                f"{_why(found, drawn, [r[2] for r in readings])}",
                name,
            )
    sine = (diagonal_mm**2 - across_mm**2 - up_mm**2) / (2 * across_mm * up_mm)
    if abs(sine) > MOST_OFF:
        right = math.hypot(across_mm, up_mm)
        raise GeometryFault(
            f"diagonal reads {diagonal_mm:.2f} mm, but legs of {across_mm:.2f} and {up_mm:.2f} mm at a right "
            f"angle have {right:.2f} mm: no printer is that crooked, measure again",
            "diagonal",
        )
    return PrintMap(x_scale=across_mm / test.across_mm, y_scale=up_mm / test.up_mm, skew_rad=math.asin(sine))


def _why(found: float, drawn: float, all_drawn: Sequence[float]) -> str:
    """The likeliest slip behind a reading that cannot be."""
    for factor, slip in ((INCH_MM, "millimetres given as inches"), (1 / INCH_MM, "inches given as mm")):
        if abs(found / (drawn * factor) - 1) < MOST_OFF:
            return f"probably {slip}"
    for factor, slip in ((10.0, "mm given as cm"), (0.1, "cm given as mm")):
        if abs(found / (drawn * factor) - 1) < MOST_OFF:
            return f"probably {slip}"
    for other in all_drawn:
        if other != drawn and abs(found / other - 1) < MOST_OFF:
            return "two readings changed places?"
    return "more than 5 % off, so it was printed to fit the page or measured wrongly; print at 100 %"


def worst_distance(points: Floats, print_map: PrintMap) -> tuple[int, int, float]:
    """The pair of points (n, 2) whose printed distance is most wrong: both indices, and by how much, mm.

    On either face (the engine one is mirrored: askew paper errs the other way there) and either way round
    on the paper. Positive when the print is too long. Raises ``ValueError`` for fewer than two points.
    """
    if len(points) < 2:
        raise ValueError("needs two points")
    mirror = np.diag([-1.0, 1.0])
    upright = [print_map.matrix(), print_map.matrix(lying=True)]
    matrices = [*upright, *(m @ mirror for m in upright)]
    best = (0, 1, 0.0)
    for i, j in itertools.combinations(range(len(points)), 2):
        apart = points[j] - points[i]
        for matrix in matrices:
            error = float(np.linalg.norm(matrix @ apart) - np.linalg.norm(apart))
            if abs(error) > abs(best[2]):
                best = (i, j, error)
    return best
