"""A small Z bracket that holds a cushioned loop clamp off the panel.

The foot lies on the panel, the web rises from it by one bend, and a second bend of the same angle
the other way lays the head parallel to the foot. A low one is a joggle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.geometry.contours import polygon
from generators.model.plan import Flange, PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.words import FITS, Fit
from generators.parts.building.bends import bend_at
from generators.parts.building.openings import bolt_hole, plan_of
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule, setback
from generators.sheetmetal.joggle import joggle_flat

JOGGLE_FLAT_MM = 0.5
"""Least flat between the two bends: as close together as that, they are a joggle, pressed in one stroke."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClampStandoff:
    """Parameters. The origin is the middle of the mounting bolts; lengths are outside sizes."""

    width_mm: float = key.length("Width of the strip", lo=10.0, hi=150.0, default=30.0)
    standoff_mm: float = key.length(
        "Panel to the outside face of the head, where the clamp sits", lo=2.0, hi=200.0, default=30.0
    )
    angle_rad: float = key.angle(
        "How far each bend turns: the web's slope from the panel",
        lo=math.radians(15),
        hi=math.radians(90),
        default=math.radians(90),
    )
    foot_length_mm: float = key.length(
        "Outside length of the foot, free edge to web", lo=10.0, hi=150.0, default=32.0
    )
    head_length_mm: float = key.length(
        "Outside length of the head, web to free edge", lo=10.0, hi=150.0, default=32.0
    )
    corner_radius_mm: float = key.length("Radius of the free corners", hi=50.0, default=6.0)
    mounts: int = key.integer("Mounting bolts: one, or two across the width", lo=1, hi=2, default=1)
    mount_spacing_mm: float = key.length("Between two mounting bolts", lo=8.0, hi=140.0, default=24.0)
    mount_inset_mm: float = key.length(
        "Mounting bolts to the foot's free edge", lo=3.0, hi=140.0, default=14.0
    )
    mount_thread: str = key.text("Mounting bolt thread", lo=1, hi=10, default="M6")
    mount_fit: Fit = key.choice("Clearance of the mounting bolts", FITS, default="medium")
    clamp_inset_mm: float = key.length("Clamp bolt to the head's free edge", lo=3.0, hi=140.0, default=14.0)
    clamp_thread: str = key.text("Clamp bolt thread", lo=1, hi=10, default="M6")
    clamp_fit: Fit = key.choice("Clearance of the clamp bolt", FITS, default="medium")


def clamp_standoff(spec: PartSpec[ClampStandoff], bend: BendRule) -> PartPlan:
    """Plan of a clamp standoff. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    t, r = spec.thickness_mm, bend.inside_radius_mm
    back = setback(p.angle_rad, r, t)
    foot_flat, head_flat = p.foot_length_mm - back, p.head_length_mm - back
    web_flat = joggle_flat(p.standoff_mm - t, p.angle_rad, r, t)
    for flat, name, parameter, least in (
        (foot_flat, "foot", "foot_length", t),
        (head_flat, "head", "head_length", t),
        (web_flat, "web", "standoff", JOGGLE_FLAT_MM),
    ):
        if flat < least:
            raise GeometryFault(f"the bends leave nothing of the {name}", parameter)
    corner = p.corner_radius_mm
    most = min(p.width_mm / 2, foot_flat, head_flat)
    if corner > most:
        raise GeometryFault(f"the strip takes at most {most:.1f} mm", "corner_radius")
    half = p.width_mm / 2
    low, high = -p.mount_inset_mm, foot_flat - p.mount_inset_mm
    offsets = (0.0,) if p.mounts == 1 else (-p.mount_spacing_mm / 2, p.mount_spacing_mm / 2)
    foot = Flange(
        name="foot",
        contour=polygon([(-half, low), (half, low), (half, high), (-half, high)], [corner, corner, 0.0, 0.0]),
        holes=tuple(
            bolt_hole(
                f"mount_{i + 1}",
                u,
                0.0,
                thread=p.mount_thread,
                fit=p.mount_fit,
                purpose=f"{p.mount_thread} bolt, clamp standoff",
                mates=True,
            )
            for i, u in enumerate(offsets)
        ),
    )
    w = p.width_mm
    web = Flange(name="web", contour=polygon([(0.0, 0.0), (w, 0.0), (w, web_flat), (0.0, web_flat)]))
    head = Flange(
        name="head",
        contour=polygon([(0.0, 0.0), (w, 0.0), (w, head_flat), (0.0, head_flat)], [0.0, 0.0, corner, corner]),
        holes=(
            bolt_hole(
                "clamp",
                half,
                head_flat - p.clamp_inset_mm,
                thread=p.clamp_thread,
                fit=p.clamp_fit,
                purpose=f"{p.clamp_thread} bolt, cushioned clamp",
            ),
        ),
    )
    bends = (
        bend_at(bend, "foot", "web", (half, high), (-half, high), p.angle_rad),
        bend_at(bend, "web", "head", (w, web_flat), (0.0, web_flat), p.angle_rad, direction="down"),
    )
    return plan_of(spec, "Clamp standoff", (foot, web, head), bends)


KIND = Kind(
    name="clamp_standoff",
    summary="small Z bracket that holds a cushioned loop clamp off the panel",
    origin="the middle of the mounting bolts",
    parameters=ClampStandoff,
    plan=clamp_standoff,
)
