"""A flat plate that carries one to three reservoirs side by side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from generators.errors import GeometryFault
from generators.geometry.contours import rectangle
from generators.model.plan import Flange, Hole, PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.words import FITS, Fit
from generators.parts.building.openings import bolt_hole, bore, plan_of
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule
from generators.standards import clearance_hole


@dataclass(frozen=True, slots=True, kw_only=True)
class ReservoirPlate:
    """Parameters. The origin is the plate's middle; the reservoirs stand in a row along u."""

    count: int = key.integer("How many reservoirs", lo=1, hi=3, default=2)
    pitch_mm: float = key.length("Reservoir to reservoir", lo=20.0, hi=300.0, default=90.0)
    end_margin_mm: float = key.length(
        "Outer reservoir's centre to the plate's end", lo=15.0, hi=250.0, default=65.0
    )
    height_mm: float = key.length("Height of the plate", lo=25.0, hi=400.0, default=90.0)
    corner_radius_mm: float = key.length("Corner radius", hi=60.0, default=8.0)
    pattern_width_mm: float = key.length("Reservoir bolts across", lo=10.0, hi=250.0, default=50.0)
    pattern_height_mm: float = key.length(
        "Second row of reservoir bolts: four a reservoir; 0 for one row of two", hi=250.0, default=0.0
    )
    pattern_thread: str = key.text("Reservoir bolt thread", lo=1, hi=10, default="M6")
    pattern_fit: Fit = key.choice("Clearance of the reservoir bolts", FITS, default="medium")
    outlet_bore_mm: float = key.length(
        "Bore for the outlet in the middle of each pattern; 0 for none", hi=120.0, default=0.0
    )
    through: Literal["panel", "plate"] = key.choice(
        "What reservoir bolts and outlets go through: the plate and the panel it lies on, or the plate alone "
        "(it stands on spacers or a frame)",
        ("panel", "plate"),
        default="panel",
    )
    mount_inset_mm: float = key.length(
        "Mounting bolts at the corners, centre to both edges", lo=5.0, hi=100.0, default=15.0
    )
    mount_thread: str = key.text("Mounting bolt thread", lo=1, hi=10, default="M6")
    mount_fit: Fit = key.choice("Clearance of the mounting bolts", FITS, default="medium")


def _reservoir_holes(p: ReservoirPlate, index: int) -> list[Hole]:
    middle = (index - (p.count - 1) / 2) * p.pitch_mm
    rows = (0.0,) if p.pattern_height_mm == 0 else (-p.pattern_height_mm / 2, p.pattern_height_mm / 2)
    places = [(middle + du, v) for v in rows for du in (-p.pattern_width_mm / 2, p.pattern_width_mm / 2)]
    mates = p.through == "panel"
    holes = [
        bolt_hole(
            f"reservoir_{index + 1}_{i + 1}",
            u,
            v,
            thread=p.pattern_thread,
            fit=p.pattern_fit,
            purpose=f"{p.pattern_thread} bolt, reservoir {index + 1}",
            mates=mates,
        )
        for i, (u, v) in enumerate(places)
    ]
    if p.outlet_bore_mm > 0:
        outlet = f"outlet, reservoir {index + 1}"
        holes.append(bore(f"outlet_{index + 1}", middle, 0.0, p.outlet_bore_mm, outlet, mates=mates))
    return holes


def reservoir_plate(spec: PartSpec[ReservoirPlate], bend: BendRule) -> PartPlan:
    """Plan of a reservoir plate. Raises ``GeometryFault`` when its holes do not fit."""
    p = spec.parameters
    half_w = (p.count - 1) * p.pitch_mm / 2 + p.end_margin_mm
    half_h = p.height_mm / 2
    if p.corner_radius_mm > min(half_w, half_h):
        raise GeometryFault(f"the plate takes at most {min(half_w, half_h):.1f} mm", "corner_radius")
    u, v = half_w - p.mount_inset_mm, half_h - p.mount_inset_mm
    if min(u, v) < clearance_hole(p.mount_thread, p.mount_fit).diameter_mm / 2:
        raise GeometryFault("the corner bolts meet in the middle of the plate", "mount_inset")
    holes = [hole for i in range(p.count) for hole in _reservoir_holes(p, i)]
    holes += [
        bolt_hole(
            f"mount_{i + 1}",
            mu,
            mv,
            thread=p.mount_thread,
            fit=p.mount_fit,
            purpose=f"{p.mount_thread} bolt, reservoir plate",
            mates=True,
        )
        for i, (mu, mv) in enumerate(((-u, -v), (u, -v), (u, v), (-u, v)))
    ]
    outline = rectangle(-half_w, -half_h, half_w, half_h, p.corner_radius_mm)
    return plan_of(spec, "Reservoir plate", (Flange(name="plate", contour=outline, holes=tuple(holes)),))


KIND = Kind(
    name="reservoir_plate",
    summary="flat plate for one to three reservoirs side by side, with corner bolts",
    origin="the middle of the plate",
    parameters=ReservoirPlate,
    plan=reservoir_plate,
)
