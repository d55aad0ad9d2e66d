"""In which order a line is cut, flared and bent: which end must be flared before it is bent."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.hose_path import Arc, HosePath
from generators.standards import nut_long_mm

SPARE_MM = 20.0
"""Left over at an end that is trimmed once the line is bent. Common practice, no source."""

BAR_MM = 20.0
"""Tube a flaring bar grips behind the flare. Common practice, no source."""

BY_HAND_RAD = math.radians(5.0)
"""What turns less is pulled in by hand once the line is up, by no bender. Ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """How one line is made, mm along its middle from the seats.

    ``straight_mm`` is from each seat to the nearest bend a bender makes, infinite for a line without one.
    ``early`` tells of each end whether it is flared before anything is bent: a nut does not pass a bend, and
    nut, sleeve and bar want their length of straight tube. ``fits`` is False where not even nut and sleeve
    find room there.
    """

    straight_mm: tuple[float, float]
    nut_mm: float
    early: tuple[bool, bool]

    @property
    def fits(self) -> bool:
        """True when nut and sleeve lie between flare and bend at both ends."""
        return min(self.straight_mm) >= self.nut_mm

    @property
    def spare_mm(self) -> float:
        """How much longer than in the end it is cut: ``SPARE_MM`` for every end that is trimmed later."""
        return SPARE_MM * self.early.count(False)


def making(path: HosePath | None, dash: int) -> Making:
    """The order of work of a line of ``dash`` size along ``path``. Raises nothing.

    An end whose straight is shorter than nut with sleeve and bar together is flared first. Of a line without
    a bend one end is flared first too: only the other needs trimming.
    """
    nut = nut_long_mm(dash)
    ends = _straights(path) if path is not None else (math.inf, math.inf)
    early = ends[0] < nut + BAR_MM, ends[1] < nut + BAR_MM
    if path is not None and math.isinf(ends[0]):
        early = True, False
    return Making(straight_mm=ends, nut_mm=nut, early=early)


def _straights(path: HosePath) -> tuple[float, float]:
    """From either seat to the nearest bend, mm."""
    run, bends = 0.0, []
    for segment in path.segments:
        if isinstance(segment, Arc) and segment.sweep_rad >= BY_HAND_RAD:
            bends.append((run, run + segment.length_mm))
        run += segment.length_mm
    return (bends[0][0], run - bends[-1][1]) if bends else (math.inf, math.inf)
