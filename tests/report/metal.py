"""Sheet metal, holes and bolts."""

from __future__ import annotations

import math

from generators.sheetmetal.allowance import allowance, deduction, din_6935_k, setback
from generators.sheetmetal.die import shoulder
from generators.sheetmetal.in_line import passing
from generators.standards import (
    clearance_hole,
    drill,
    material,
    minimum_bend_radius,
    sheet_gauge,
    stress_area,
    tap_drill,
    tolerance_width_mm,
)
from generators.strength.preload import preload_n, torque_nm
from report.check import Check

INCH = 25.4
AC = "AC 43.13-1B (1998)"
FAA = "FAA-H-8083-31 ch 4"


def _k(degrees: float) -> float:
    return setback(math.radians(degrees), 1.0, 0.0)


def _din(radius: float, thickness: float) -> float:
    return deduction(math.pi / 2, radius, thickness, din_6935_k(radius, thickness) / 2)


CHECKS = (
    Check(
        room="bends",
        what="setback of .064 in, R .25 in, bent 45°",
        source=f"{AC} 4-56b(2), fig 4-3",
        reference=0.130,
        unit="in",
        ours=lambda: setback(math.radians(45), 0.25 * INCH, 0.064 * INCH) / INCH,
        within=0.0005,
        trust="R1",
    ),
    *(
        Check(
            room="bends",
            what=f"setback factor K at {degrees}°",
            source=f"{AC} table 4-7",
            reference=printed,
            unit="",
            ours=lambda degrees=degrees: _k(degrees),  # type: ignore[misc]
            within=0.0005 if printed < 1.5 else 0.005,
            trust="R1",
        )
        for degrees, printed in ((30, 0.2679), (60, 0.5773), (120, 1.732), (135, 2.414), (150, 3.732))
    ),
    Check(
        room="bends",
        what="flat of the U-channel's middle: 2.00 - 2 SB, T .040, R .16",
        source=f"{FAA}, steps 1 to 3",
        reference=1.60,
        unit="in",
        ours=lambda: 2.00 - 2 * setback(math.pi / 2, 0.16, 0.040),
        within=0.005,
        trust="R1",
    ),
    Check(
        room="bends",
        what="allowance R .250, T .051, 90°, half-thickness rule",
        source="closed form of NAVEDTRA 14119 p 13-42: A (R + T/2)",
        reference=0.4328,
        unit="in",
        ours=lambda: allowance(math.pi / 2, 0.250, 0.051, 0.5),
        within=0.0001,
        trust="R1",
    ),
    *(
        Check(
            room="bends",
            what=f"deduction r {radius:g}, s 2 mm, 90°",
            source="DIN 6935, k = 0.65 + 0.5 log10(r/s), 1 above 5",
            reference=printed,
            unit="mm",
            ours=lambda radius=radius: _din(radius, 2.0),  # type: ignore[misc]
            within=0.0001,
            trust="C",
        )
        for radius, printed in ((2.0, 3.8374), (3.0, 4.1283), (12.0, 7.5796))
    ),
    Check(
        room="bends",
        what="least radius of 6061-T6, .064 in, in thicknesses",
        source=f"{AC} table 4-6, the safe end of 1 to 2",
        reference=2.0,
        unit="t",
        ours=lambda: minimum_bend_radius("6061-T6", 0.064 * INCH).radius_mm / (0.064 * INCH),
        within=1e-9,
        trust="R1",
    ),
    Check(
        room="bends",
        what="least radius of S235, 6 mm, bend along the grain",
        source="EN 10025-2 cold flanging (S235JRC), over 5 to 6 mm, one transcription",
        reference=10.0,
        unit="mm",
        ours=lambda: minimum_bend_radius("S235 steel", 6.0).high_mm,
        within=1e-9,
        trust="R2",
    ),
    *(
        Check(
            room="bends",
            what=f"leg to the shoulder of V 24 at {degrees}°",
            source="V/2 ÷ cos(A/2), by hand",
            reference=by_hand,
            unit="mm",
            ours=lambda degrees=degrees: shoulder(24.0, math.radians(degrees)),  # type: ignore[misc]
            within=0.05,
            trust="C",
        )
        for degrees, by_hand in ((90, 16.97), (120, 24.0), (150, 46.4))
    ),
    Check(
        room="bends",
        what="shaft through a 16 mm bore in 4 mm sheet that leans by 2°",
        source="D cos a - t sin a, by hand",
        reference=15.8507,
        unit="mm",
        ours=lambda: passing(16.0, 4.0, math.radians(2)),
        within=0.0001,
        trust="C",
    ),
    *(
        Check(
            room="holes",
            what=f"clearance {thread} {fit}",
            source=source,
            reference=printed,
            unit=unit,
            ours=lambda thread=thread, fit=fit, unit=unit: (  # type: ignore[misc]
                clearance_hole(thread, fit).diameter_mm / (INCH if unit == "in" else 1.0)
            ),
            within=0.0005 if unit == "in" else 1e-9,
            trust="R2+" if unit == "mm" else "R2",
        )
        for thread, fit, source, printed, unit in (
            ("M6", "medium", "ISO 273", 6.6, "mm"),
            ("M12", "medium", "ISO 273", 13.5, "mm"),
            ("M8", "fine", "ISO 273", 8.4, "mm"),
            ("1/4", "normal", "ASME B18.2.8", 0.281, "in"),
            ("3/8", "close", "ASME B18.2.8", 0.391, "in"),
        )
    ),
    Check(
        room="holes",
        what="tap drill M8x1.25",
        source="ISO 2306",
        reference=6.8,
        unit="mm",
        ours=lambda: tap_drill("M8x1.25").diameter_mm,
        within=1e-9,
        trust="R2+",
    ),
    Check(
        room="holes",
        what="drill F",
        source="ASME B94.11M",
        reference=0.257,
        unit="in",
        ours=lambda: drill("F").diameter_mm / INCH,
        within=0.0006,
        trust="R2",
    ),
    Check(
        room="holes",
        what="IT12 of 6 to 10 mm",
        source="ISO 286-1 table 1, from memory",
        reference=0.150,
        unit="mm",
        ours=lambda: tolerance_width_mm(12, 8.4),
        within=1e-9,
        trust="M-high",
    ),
    Check(
        room="sheet",
        what="16 ga steel, Manufacturers' Standard",
        source="41.82 lb/ft2 per inch of the statute's 2.5 lb/ft2",
        reference=2.5 / 41.82,
        unit="in",
        ours=lambda: sheet_gauge("msg", 16).thickness_mm / INCH,
        within=0.00005,
        trust="R2+",
    ),
    Check(
        room="sheet",
        what="14 ga aluminium, Brown and Sharpe",
        source="0.005 x 92^((36 - n)/39)",
        reference=0.005 * 92 ** (22 / 39),
        unit="in",
        ours=lambda: sheet_gauge("aluminium", 14).thickness_mm / INCH,
        within=0.00005,
        trust="C",
    ),
    Check(
        room="sheet",
        what="yield of S235JR to 16 mm",
        source="EN 10025-2 table 7",
        reference=235.0,
        unit="MPa",
        ours=lambda: material("S235 steel").yield_mpa,
        within=1e-9,
        trust="R2",
    ),
    Check(
        room="bolts",
        what="stress area of M10x1.5",
        source="ISO 898-1: pi/4 (d - 0.9382 P)2",
        reference=math.pi / 4 * (10 - 0.9382 * 1.5) ** 2,
        unit="mm2",
        ours=lambda: stress_area("M10x1.5").area_mm2,
        within=0.05,
        trust="C",
    ),
    Check(
        room="bolts",
        what="proof load of M8, class 8.8",
        source="ISO 898-1 table 5: 21.2 kN",
        reference=21200.0,
        unit="N",
        ours=lambda: preload_n(580.0, stress_area("M8x1.25").area_mm2, 1.0),
        within=50.0,
        trust="R2+",
    ),
    Check(
        room="bolts",
        what="torque of M8, class 8.8, dry: middle of published 22 to 28",
        source="service tables as published scatter by 25 %; NASA RP-1228 formula",
        reference=25.0,
        unit="N·m",
        ours=lambda: torque_nm(preload_n(580.0, stress_area("M8x1.25").area_mm2), 8.0),
        within=3.0,
        trust="R2",
    ),
)
