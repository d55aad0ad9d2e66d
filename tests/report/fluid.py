"""Hydraulics, hoses and what a foot does."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from generators.hydraulics.cylinders import follower_travel, piston_area, pressure
from generators.hydraulics.line import compliance, compressed
from generators.model.spec.hydraulics import Fluid
from generators.model.spec.shop import Positions
from generators.standards import (
    bulkhead,
    hose_expansion,
    hose_size,
    largest_foot_force,
    line_support,
    pedal_load,
)
from report.check import Check

INCH = 25.4
PSI = 4.4482216152605 / 25.4**2
NEWTON_PER_LBF = 4.4482216152605
AC = "AC 43.13-1B (1998)"


def _squeezed(volume_mm3: float, modulus_gpa: float, pressure_mpa: float) -> float:
    """Fluid alone, no hoses and no air."""
    fluid = compliance((), Fluid(bulk_modulus_mpa=modulus_gpa * 1000), volume_mm3)
    return float(compressed(replace(fluid, air_mm3=0.0), np.array(pressure_mpa)))


CHECKS = (
    Check(
        room="hydraulics",
        what="volume of a .750 in master, 1.40 in stroke",
        source="pi/4 D2 s",
        reference=10.135,
        unit="cc",
        ours=lambda: piston_area(0.750 * INCH) * 1.40 * INCH / 1000,
        within=0.0005,
        trust="C",
    ),
    Check(
        room="hydraulics",
        what="travel of a .875 in slave behind it",
        source="equal volumes",
        reference=26.13,
        unit="mm",
        ours=lambda: follower_travel(1.40 * INCH, piston_area(0.750 * INCH), piston_area(0.875 * INCH)),
        within=0.005,
        trust="C",
    ),
    Check(
        room="hydraulics",
        what="100 lbf by 6:1 on a .750 in bore",
        source="F / A",
        reference=1358.1,
        unit="psi",
        ours=lambda: pressure(600 * NEWTON_PER_LBF, piston_area(0.750 * INCH)) / PSI,
        within=0.05,
        trust="C",
    ),
    Check(
        room="hydraulics",
        what="500 N by 6:1 on 19.05 mm",
        source="F / A",
        reference=10.525,
        unit="MPa",
        ours=lambda: pressure(3000.0, piston_area(19.05)),
        within=0.0005,
        trust="C",
    ),
    Check(
        room="hydraulics",
        what="100 lbf by 6:1 on a 1.125 in bore: 600 / 0.994",
        source="worked example of a public page on line pressure",
        reference=604.0,
        unit="psi",
        ours=lambda: pressure(600 * NEWTON_PER_LBF, piston_area(1.125 * INCH)) / PSI,
        within=0.5,
        trust="R2",
    ),
    Check(
        room="hydraulics",
        what="pad force for 1000 psi on a .875 in bore by 5:1",
        source="worked example of a public page on line pressure",
        reference=120.2,
        unit="lbf",
        ours=lambda: 1000.0 * piston_area(0.875 * INCH) / INCH**2 / 5.0,
        within=0.1,
        trust="R2",
    ),
    *(
        Check(
            room="hydraulics",
            what=f"{volume:g} of oil, K {modulus:g} GPa, under {pressed:g} MPa: less by",
            source=f"a physics text's {what}, in a public solution",
            reference=printed,
            unit=unit,
            ours=lambda v=mm3, k=modulus, p=pressed, one=one: _squeezed(v, k, p) / one,  # type: ignore[misc]
            within=within,
            trust="R2",
        )
        for what, volume, mm3, modulus, pressed, printed, unit, one, within in (
            ("hydraulic press", 250.0, 250e6, 5.0, 16.0, 0.80, "L", 1e6, 0.005),
            ("specimen of oil", 600.0, 600e3, 4.8, 3.6, 0.45, "cc", 1e3, 0.005),
        )
    ),
    Check(
        room="hoses",
        what="bend radius of a -4 medium-pressure hose",
        source=f"{AC} table 9-3",
        reference=3.00,
        unit="in",
        ours=lambda: hose_size(4).bend_radius_mm / INCH,
        within=1e-9,
        trust="R1",
    ),
    Check(
        room="hoses",
        what="operating pressure of a -6",
        source=f"{AC} table 9-3",
        reference=2000.0,
        unit="psi",
        ours=lambda: hose_size(6).operating_mpa / PSI,
        within=0.001,
        trust="R1",
    ),
    Check(
        room="hoses",
        what="swell of 1/8 in, regular, 1000 psi: 0.66 cc/ft",
        source="49 CFR 571.106 table I, from memory",
        reference=0.66,
        unit="cc/ft",
        ours=lambda: hose_expansion(3.175, "regular")[0].swell_mm2 * 304.8 / 1000,
        within=1e-6,
        trust="M-high",
    ),
    Check(
        room="hoses",
        what="support of 1/4 in steel line",
        source="MIL-H-8891A table II",
        reference=16.0,
        unit="in",
        ours=lambda: line_support(0.25 * INCH, "steel").support_mm / INCH,
        within=1e-9,
        trust="R1",
    ),
    Check(
        room="fittings",
        what="across flats of the -4 bulkhead nut",
        source="AN924 Rev 13, sheet 2",
        reference=0.688,
        unit="in",
        ours=lambda: bulkhead(4).nut_af_mm / INCH,
        within=0.0005,
        trust="R1",
    ),
    Check(
        room="fittings",
        what="panel hole of a -4 bulkhead",
        source="MS21344 and TO 00-25-223 as quoted",
        reference=0.453,
        unit="in",
        ours=lambda: bulkhead(4).hole_mm / INCH,
        within=0.0005,
        trust="R2",
    ),
    Check(
        room="pedals",
        what="limit load of a foot control",
        source="14 CFR 27.397(a)(1), 130 lbf",
        reference=578.27,
        unit="N",
        ours=lambda: pedal_load("limit", "clutch").force_n,
        within=0.005,
        trust="R1",
    ),
    *(
        Check(
            room="pedals",
            what=f"largest force on a brake pedal, {words}",
            source="UN R13 annex 4, 2.2.3",
            reference=printed,
            unit="N",
            ours=lambda category=category: largest_foot_force(category).force_n,  # type: ignore[misc]
            within=1e-9,
            trust="R2",
        )
        for category, words, printed in (("M1", "category M1", 500.0), ("N1", "other categories", 700.0))
    ),
    Check(
        room="fits",
        what="round zone over ±0.2 mm across and up",
        source="ASME Y14.5: a square's corners, 2 sqrt(2) t",
        reference=0.4 * math.sqrt(2),
        unit="mm",
        ours=lambda: Positions().cut_mm,
        within=1e-12,
        trust="C",
    ),
)
