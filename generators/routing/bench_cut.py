"""Lengths a hand cuts: whole millimetres or sixteenths of an inch, with the least and most that will do."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.figures import fixed, format_length, format_short
from generators.model.hose_results import CutWindow
from generators.units import INCH_MM, UnitSystem

STEPS_MM = {"metric": (1.0, 0.5), "inch": (INCH_MM / 16, INCH_MM / 32)}
"""What a saw at the bench is held to, mm; the finer where the window holds no two of the coarser."""

_NOISE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchCut:
    """One cut in mm, each of the three on a line of the rule; ``step_mm`` 0 where none lies in the window."""

    cut_mm: float
    least_mm: float
    most_mm: float
    step_mm: float


def bench_cut(exact_mm: float, window: CutWindow, units: UnitSystem) -> BenchCut:
    """The length to cut nearest above ``exact_mm`` that lies in the window, and the window rounded inward."""
    for step in STEPS_MM[units]:
        low = math.ceil(window.least_mm / step - _NOISE)
        high = math.floor(window.most_mm / step + _NOISE)
        if high > low:
            # short is the side on which a hose is pulled off
            lines = min(max(math.ceil(exact_mm / step - _NOISE), low), high)
            return BenchCut(cut_mm=lines * step, least_mm=low * step, most_mm=high * step, step_mm=step)
    return BenchCut(cut_mm=exact_mm, least_mm=window.least_mm, most_mm=window.most_mm, step_mm=0.0)


def cut_words(cut: BenchCut, units: UnitSystem) -> str:
    """``495 mm (least 493 mm, most 507 mm)``; a length no rule has lines for is told as it is."""
    if not cut.step_mm:
        return format_length(cut.cut_mm, units)
    return (
        f"{_said(cut.cut_mm, units)} (least {_said(cut.least_mm, units)}, most {_said(cut.most_mm, units)})"
    )


def _said(mm: float, units: UnitSystem) -> str:
    text = format_short(mm, units, 1)
    # whole inches are told with decimals: a bare number and "in" read as a word
    return text if units == "metric" or "/" in text else f"{fixed(mm / INCH_MM, 3)} in"
