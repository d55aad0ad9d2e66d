"""Fits and places: fields of tolerance, pressed bushes, measured centres, the joint's budget, rounding."""

from __future__ import annotations

import math

from generators.checks.joint.mating import Opened, allowed, round_zone
from generators.figures import fixed
from generators.sheetmetal.allowance import din_6935_k, din_deduction
from generators.standards import clearance_hole, fastener, press_tolerance, wrapped_bush
from report.check import Check

INCH = 25.4
MAKER = "table of a bush maker, H7 housing and bore once mounted"


def _room(thread: str, fit: str) -> float:
    hole = clearance_hole(thread, fit).diameter_mm
    one = Opened(owner="", diameter_mm=hole, at=(0.0, 0.0))
    return allowed(one, one, fastener(thread).major_mm) / 2


CHECKS = (
    *(
        Check(
            room="fits",
            what=f"largest bore {size:g} H7",
            source=MAKER,
            reference=printed,
            unit="mm",
            ours=lambda size=size: press_tolerance(size).limits_mm(size)[1],  # type: ignore[misc]
            within=1e-9,
            trust="R2",
        )
        for size, printed in ((10.0, 10.015), (18.0, 18.018), (23.0, 23.021))
    ),
    *(
        Check(
            room="fits",
            what=f"least bore of a wrapped bush {size:g} once mounted",
            source=MAKER,
            reference=printed,
            unit="mm",
            ours=lambda size=size: wrapped_bush(size).bore_mm,  # type: ignore[misc]
            within=1e-9,
            trust="R2",
        )
        for size, printed in ((12.0, 11.990), (20.0, 19.990))
    ),
    Check(
        room="fits",
        what="least outside of a wrapped bush 16 before it is pressed in",
        source="table of another bush maker by ISO 3547, over 10 to 18 mm: +0.030",
        reference=18.030,
        unit="mm",
        ours=lambda: wrapped_bush(16.0).least_mm,
        within=1e-9,
        trust="R2",
    ),
    Check(
        room="fits",
        what="(round zone / 2 s)², 95 %: chi-square of 2 degrees of freedom",
        source="any table of chi-square, 5.991",
        reference=5.991,
        unit="",
        ours=lambda: (round_zone(1.0) / 2) ** 2,
        within=0.0005,
        trust="M-high",
    ),
    Check(
        room="fits",
        what="tolerance of position each, floating 1/4 in bolt in 9/32 in",
        source="ASME Y14.5 appendix B: T = H - F",
        reference=0.281 - 0.250,
        unit="in",
        ours=lambda: _room("1/4", "normal") / INCH,
        within=0.0005,
        trust="R2+",
    ),
    Check(
        room="bends",
        what="deduction r 4, s 2 mm, 120°, to the outermost tangents",
        source="DIN 6935, opening angle to 90°: 2 (r + s) - arc; by hand",
        reference=12.0 - 2 * math.pi / 3 * (4.0 + 0.5 * 2.0 * (0.65 + 0.5 * math.log10(2.0))),
        unit="mm",
        ours=lambda: din_deduction(math.radians(120), 4.0, 2.0, din_6935_k(4.0, 2.0) / 2),
        within=1e-9,
        trust="C",
    ),
    Check(
        room="rounding",
        what="12.25 to one decimal",
        source="ISO 80000-1 annex B, rule B, from memory",
        reference=12.3,
        unit="",
        ours=lambda: float(fixed(12.25, 1)),
        within=1e-9,
        trust="M-high",
    ),
)
