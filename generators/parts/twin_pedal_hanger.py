"""A folded channel that carries the clutch and the brake pedal on one shaft.

The web lies on the panel around the masters: one for the clutch, and one for the brake or two behind
a balance bar. Two cheeks carry the shaft, and a cross tube if wanted; a tab takes a brace.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.plan import Hole, PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.parts.building.channel import (
    CheekBore,
    HangingChannel,
    folded_channel,
    master_pattern,
    mount_pattern,
)
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule


@dataclass(frozen=True, slots=True, kw_only=True)
class TwinPedalHanger(HangingChannel):
    """Parameters. The origin is the middle of the web at the masters' height.

    Only the keys whose usual size differs from a single hanger's are declared again.
    """

    inside_width_mm: float = key.length("Between the cheeks", lo=100.0, hi=500.0, default=236.0)
    web_below_mm: float = key.length("Web below the masters' centres", lo=15.0, hi=300.0, default=82.0)
    master_angle_rad: float = key.angle(
        "Line of each master's bolts, from level", lo=-math.pi / 2, hi=math.pi / 2, default=math.pi / 2
    )
    pivot_out_mm: float = key.length("Pivot from the panel", lo=20.0, hi=300.0, default=110.0)
    mount_spacing_mm: float = key.length(
        "Outer mounting bolts across the web", lo=10.0, hi=480.0, default=188.0
    )
    mount_bottom_mm: float = key.length(
        "Lower mounting bolts below the masters' centres", lo=10.0, hi=280.0, default=62.0
    )
    tab_width_mm: float = key.length("Width of the brace tab", lo=15.0, hi=450.0, default=110.0)
    tab_bolts: int = key.integer("Brace bolts", lo=1, hi=2, default=2)
    tab_spacing_mm: float = key.length("Between two brace bolts", lo=10.0, hi=400.0, default=60.0)
    mount_columns: int = key.integer("Mounting bolts in each row", lo=2, hi=4, default=3)
    clutch_u_mm: float = key.length(
        "Clutch master, to the right of the middle", lo=-220.0, hi=220.0, default=-70.0
    )
    brake_u_mm: float = key.length(
        "Brake master, or the middle of two, to the right of the middle", lo=-220.0, hi=220.0, default=44.0
    )
    balance_spacing_mm: float = key.length(
        "Between the two brake masters of a balance bar; 0 for one master", hi=200.0, default=64.0
    )
    balance_bore_mm: float = key.length(
        "Bore in each cheek for the balance-bar tube or a cross tube; 0 for none", hi=80.0, default=20.0
    )
    balance_up_mm: float = key.length(
        "That bore above the masters' centres", lo=-250.0, hi=300.0, default=10.0
    )
    balance_out_mm: float = key.length("That bore from the panel", lo=10.0, hi=300.0, default=52.0)


def _masters(p: TwinPedalHanger) -> tuple[Hole, ...]:
    holes = master_pattern(p, "clutch", p.clutch_u_mm, "clutch master")
    if p.balance_spacing_mm == 0:
        return holes + master_pattern(p, "brake", p.brake_u_mm, "brake master")
    half = p.balance_spacing_mm / 2
    if half * 2 <= p.master_bore_mm:
        raise GeometryFault(
            f"brake masters {p.balance_spacing_mm:g} mm apart with noses of {p.master_bore_mm:g} mm",
            "balance_spacing",
        )
    return (
        holes
        + master_pattern(p, "brake_left", p.brake_u_mm - half, "left brake master")
        + master_pattern(p, "brake_right", p.brake_u_mm + half, "right brake master")
    )


def twin_pedal_hanger(spec: PartSpec[TwinPedalHanger], bend: BendRule) -> PartPlan:
    """Plan of a hanger for two pedals. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    tube = CheekBore(
        name="balance",
        up_mm=p.balance_up_mm,
        out_mm=p.balance_out_mm,
        diameter_mm=p.balance_bore_mm,
        purpose="balance-bar or cross tube",
    )
    web_holes = _masters(p) + mount_pattern(p, p.mount_columns)
    bores = (tube,) if p.balance_bore_mm > 0 else ()
    return folded_channel(spec, bend, "Twin pedal hanger", web_holes, bores)


KIND = Kind(
    name="twin_pedal_hanger",
    summary="folded channel for clutch and brake pedals: two or three masters, shaft and cross-tube bores",
    origin="the middle of the web at the masters' height",
    parameters=TwinPedalHanger,
    plan=twin_pedal_hanger,
)
