"""A flat plate that closes a hole the panel no longer needs.

Mounted on that hole as its datum, with no offset: ``at = { from = "old_hole", u = "0 mm", v = "0 mm" }``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from generators.errors import GeometryFault
from generators.geometry.contours import circle, rectangle
from generators.model.plan import Flange, PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.words import FITS, Fit
from generators.parts.building.openings import bolt_hole, plan_of
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule
from generators.standards import clearance_hole

EDGE_DIAMETERS = 2.0
"""Bolts to the edge, in hole diameters: what the rule on holes and edges wants."""
_INSET_MM = 9.2


@dataclass(frozen=True, slots=True, kw_only=True)
class BlankingPlate:
    """Parameters. The origin is the middle of the plate and of the hole it closes."""

    shape: Literal["round", "rectangular"] = key.choice(
        "Outline; a rectangular plate is as wide as it is high", ("round", "rectangular"), default="round"
    )
    opening_mm: float = key.length("Diameter of the hole it closes", lo=3.0, hi=500.0, default=38.0)
    overlap_mm: float = key.length("Metal past the hole's rim, all round", lo=5.0, hi=100.0, default=15.0)
    corner_radius_mm: float = key.length("Corner radius of a rectangular plate", hi=50.0, default=6.0)
    bolts: int = key.integer("Bolts, evenly on a circle round the hole", lo=2, hi=8, default=4)
    bolt_inset_mm: float | None = key.length(
        "Bolt circle to the edge: the round rim, or the middle of a side; without it two hole diameters, at "
        "least 9.2 mm",
        lo=3.0,
        hi=95.0,
        default=None,
    )
    bolt_start_rad: float = key.angle(
        "First bolt, counter-clockwise from level", lo=-math.pi, hi=math.pi, default=math.pi / 4
    )
    bolt_thread: str = key.text("Bolt thread", lo=1, hi=10, default="M4")
    bolt_fit: Fit = key.choice("Clearance of the bolts", FITS, default="medium")


def blanking_plate(spec: PartSpec[BlankingPlate], bend: BendRule) -> PartPlan:
    """Plan of a blanking plate. Raises ``GeometryFault`` when its bolts miss the overlap."""
    p = spec.parameters
    half = p.opening_mm / 2 + p.overlap_mm
    bolt_mm = clearance_hole(p.bolt_thread, p.bolt_fit).diameter_mm
    inset = max(_INSET_MM, EDGE_DIAMETERS * bolt_mm) if p.bolt_inset_mm is None else p.bolt_inset_mm
    bolt_circle = half - inset
    if bolt_circle - bolt_mm / 2 <= p.opening_mm / 2:
        raise GeometryFault(
            f"the bolt holes run into the opening; at most {p.overlap_mm - bolt_mm / 2:.1f} mm", "bolt_inset"
        )
    if inset <= bolt_mm / 2:
        raise GeometryFault(f"the bolt holes run out of the plate; over {bolt_mm / 2:.1f} mm", "bolt_inset")
    if 2 * bolt_circle * math.sin(math.pi / p.bolts) <= bolt_mm:
        raise GeometryFault("so many bolt holes run into each other", "bolts")
    holes = []
    for i in range(p.bolts):
        turn = p.bolt_start_rad + 2 * math.pi * i / p.bolts
        holes.append(
            bolt_hole(
                f"bolt_{i + 1}",
                bolt_circle * math.cos(turn),
                bolt_circle * math.sin(turn),
                thread=p.bolt_thread,
                fit=p.bolt_fit,
                purpose=f"{p.bolt_thread} bolt, blanking plate",
                mates=True,
            )
        )
    if p.shape == "round":
        outline = circle(0.0, 0.0, 2 * half)
    else:
        if p.corner_radius_mm > half:
            raise GeometryFault(f"the plate takes at most {half:.1f} mm", "corner_radius")
        outline = rectangle(-half, -half, half, half, p.corner_radius_mm)
    plate = Flange(name="plate", contour=outline, holes=tuple(holes))
    return plan_of(spec, "Blanking plate", (plate,))


KIND = Kind(
    name="blanking_plate",
    summary="round or rectangular plate that closes an existing hole, bolted all round",
    origin="the middle of the plate, over the middle of the hole it closes",
    parameters=BlankingPlate,
    plan=blanking_plate,
)
