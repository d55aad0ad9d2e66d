"""Two legs and one bend: the base bolts to a panel, the shelf carries a reservoir."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.geometry.contours import polygon
from generators.model.plan import Flange, Hole, PartPlan, Slot
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.spec.titles import within
from generators.model.words import FITS, Fit
from generators.parts.building.bends import bend_at
from generators.parts.building.openings import bolt_slot, bore, plan_of, split
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule, setback


@dataclass(frozen=True, slots=True, kw_only=True)
class ReservoirBracket:
    """Parameters. The origin is the middle of the mounting bolts; leg lengths are outside sizes."""

    width_mm: float = key.length("Width of both legs", lo=30.0, hi=400.0, default=90.0)
    base_height_mm: float = key.length("Outside height of the base leg", lo=25.0, hi=300.0, default=60.0)
    shelf_depth_mm: float = key.length("Outside depth of the shelf", lo=25.0, hi=300.0, default=80.0)
    angle_rad: float = key.angle(
        "How far the shelf is bent out of the base's plane",
        lo=math.radians(30),
        hi=math.radians(150),
        default=math.radians(90),
    )
    corner_radius_mm: float = key.length("Radius of the free corners", lo=0.0, hi=60.0, default=8.0)
    pattern_width_mm: float = key.length("Reservoir bolts across the width", lo=10.0, hi=300.0, default=50.0)
    pattern_depth_mm: float = key.length(
        "Reservoir bolts across the depth; 0 for one row", hi=250.0, default=0.0
    )
    pattern_back_mm: float = key.length(
        "Middle of the reservoir pattern from the base's outside face", lo=10.0, hi=280.0, default=45.0
    )
    pattern_slot_mm: float = key.length("Travel of the reservoir slots along the depth", hi=60.0, default=0.0)
    pattern_thread: str = key.text("Reservoir bolt thread", lo=1, hi=10, default="M6")
    pattern_fit: Fit = key.choice("Clearance of the reservoir bolts", FITS, default="medium")
    outlet_bore_mm: float = key.length("Bore for the outlet in the middle; 0 for none", hi=120.0, default=0.0)
    mount_spacing_mm: float = key.length("Mounting bolts across the width", lo=10.0, hi=350.0, default=60.0)
    mount_rows_mm: float = key.length("Second row of mounting bolts; 0 for one row", hi=250.0, default=0.0)
    mount_height_mm: float = key.length(
        "Middle of the mounting bolts above the base's free edge", lo=5.0, hi=280.0, default=22.0
    )
    mount_slot_mm: float = key.length("Travel of the mounting slots, up and down", hi=60.0, default=0.0)
    mount_thread: str = key.text("Mounting bolt thread", lo=1, hi=10, default="M6")
    mount_fit: Fit = key.choice("Clearance of the mounting bolts", FITS, default="medium")


def reservoir_bracket(spec: PartSpec[ReservoirBracket], bend: BendRule) -> PartPlan:
    """Plan of a reservoir bracket. Raises ``GeometryFault`` when a leg or a hole does not fit."""
    p = spec.parameters
    t = spec.thickness_mm
    back = setback(p.angle_rad, bend.inside_radius_mm, t)
    base_flat, shelf_flat = p.base_height_mm - back, p.shelf_depth_mm - back
    if base_flat < t:
        raise GeometryFault("the bend leaves nothing of the base leg", "base_height")
    if shelf_flat < t:
        raise GeometryFault("the bend leaves nothing of the shelf", "shelf_depth")
    half = p.width_mm / 2
    low, high = -p.mount_height_mm, base_flat - p.mount_height_mm
    corner = p.corner_radius_mm
    base = polygon([(-half, low), (half, low), (half, high), (-half, high)], [corner, corner, 0.0, 0.0])
    # the shelf's frame begins at the tangent line and looks along the width from the other side
    shelf = polygon(
        [(0.0, 0.0), (p.width_mm, 0.0), (p.width_mm, shelf_flat), (0.0, shelf_flat)],
        [0.0, 0.0, corner, corner],
    )
    mounts: list[Hole | Slot] = []
    rows = (0.0,) if p.mount_rows_mm == 0 else (-p.mount_rows_mm / 2, p.mount_rows_mm / 2)
    for v in rows:
        for u in (-p.mount_spacing_mm / 2, p.mount_spacing_mm / 2):
            mounts.append(
                bolt_slot(
                    f"mount_{len(mounts) + 1}",
                    u,
                    v,
                    thread=p.mount_thread,
                    fit=p.mount_fit,
                    travel_mm=p.mount_slot_mm,
                    angle_rad=math.pi / 2,
                    purpose=f"{p.mount_thread} bolt, {within(spec.title or 'reservoir bracket')}",
                    mates=True,
                )
            )
    tops: list[Hole | Slot] = []
    middle_v = p.pattern_back_mm - back
    depths = (0.0,) if p.pattern_depth_mm == 0 else (-p.pattern_depth_mm / 2, p.pattern_depth_mm / 2)
    for dv in depths:
        for du in (-p.pattern_width_mm / 2, p.pattern_width_mm / 2):
            tops.append(
                bolt_slot(
                    f"reservoir_{len(tops) + 1}",
                    half + du,
                    middle_v + dv,
                    thread=p.pattern_thread,
                    fit=p.pattern_fit,
                    travel_mm=p.pattern_slot_mm,
                    angle_rad=math.pi / 2,
                    purpose=f"{p.pattern_thread} bolt, reservoir",
                )
            )
    if p.outlet_bore_mm > 0:
        tops.append(bore("outlet", half, middle_v, p.outlet_bore_mm, "reservoir outlet"))
    base_holes, base_slots = split(mounts)
    shelf_holes, shelf_slots = split(tops)
    flanges = (
        Flange(name="base", contour=base, holes=base_holes, slots=base_slots),
        Flange(name="shelf", contour=shelf, holes=shelf_holes, slots=shelf_slots),
    )
    fold = bend_at(bend, "base", "shelf", (half, high), (-half, high), p.angle_rad)
    return plan_of(spec, "Reservoir bracket", flanges, (fold,))


KIND = Kind(
    name="reservoir_bracket",
    summary="two-leg folded bracket: base on a panel, shelf with the reservoir's bolt pattern",
    origin="the middle of the mounting bolts",
    parameters=ReservoirBracket,
    plan=reservoir_bracket,
)
