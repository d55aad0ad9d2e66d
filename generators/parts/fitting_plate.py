"""The fitting plate: flat, carries a row of bulkhead fittings and stiffens the panel behind it."""

from __future__ import annotations

from dataclasses import dataclass

from generators.geometry.contours import rectangle
from generators.model.plan import Flange, Hole, PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.words import FITS, Fit
from generators.parts.building.openings import bolt_hole, bulkhead_hole, plan_of
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingPlate:
    """Parameters. The plate's origin is its middle; the row runs along u."""

    count: int = key.integer("How many bulkhead fittings", lo=1, hi=12, default=2)
    dash: int = key.integer("Their size: tube outside diameter in 1/16 in", lo=3, hi=8, default=4)
    spacing_mm: float = key.length("Centre to centre", lo=10.0, hi=300.0, default=38.0)
    end_margin_mm: float = key.length(
        "Outer fitting's centre to the plate's end", lo=10.0, hi=200.0, default=36.0
    )
    height_mm: float = key.length("Height of the plate", lo=20.0, hi=400.0, default=60.0)
    corner_radius_mm: float = key.length("Corner radius", lo=0.0, hi=50.0, default=8.0)
    bolts: int = key.integer(
        "Bolts: 1 or 2 at the ends, 3, or 4 at the corners; 0 for none", lo=0, hi=4, default=4
    )
    bolt_thread: str = key.text("Bolt thread", lo=1, hi=10, default="M5")
    bolt_fit: Fit = key.choice(
        "Clearance of the bolts",
        FITS,
        default="medium",
    )
    bolt_inset_mm: float = key.length("Bolt centre to the plate's edges", lo=5.0, hi=100.0, default=12.0)


def fitting_plate(spec: PartSpec[FittingPlate], bend: BendRule) -> PartPlan:
    """Plan of a fitting plate. Raises ``GeometryFault`` when its holes do not fit."""
    p = spec.parameters
    half_w = (p.count - 1) * p.spacing_mm / 2 + p.end_margin_mm
    half_h = p.height_mm / 2
    holes: list[Hole] = [
        bulkhead_hole(
            f"bulkhead_{i + 1}",
            (i - (p.count - 1) / 2) * p.spacing_mm,
            0.0,
            dash=p.dash,
            purpose=f"-{p.dash} bulkhead fitting",
        )
        for i in range(p.count)
    ]
    u, v = half_w - p.bolt_inset_mm, half_h - p.bolt_inset_mm
    corners = {0: (), 1: ((-u, 0.0),), 2: ((-u, 0.0), (u, 0.0)), 3: ((-u, -v), (u, -v), (0.0, v))}.get(
        p.bolts, ((-u, -v), (u, -v), (u, v), (-u, v))
    )
    holes += [
        bolt_hole(
            f"mount_{i + 1}",
            cu,
            cv,
            thread=p.bolt_thread,
            fit=p.bolt_fit,
            purpose=f"{p.bolt_thread} bolt, fitting plate",
            mates=True,
        )
        for i, (cu, cv) in enumerate(corners)
    ]
    plate = Flange(
        name="plate",
        contour=rectangle(-half_w, -half_h, half_w, half_h, p.corner_radius_mm),
        holes=tuple(holes),
    )
    return plan_of(spec, "Fitting plate", (plate,))


KIND = Kind(
    name="fitting_plate",
    summary="fitting plate: flat, with a row of bulkhead fittings, bolted to the panel",
    origin="the middle of the plate",
    parameters=FittingPlate,
    plan=fitting_plate,
)
