"""Three legs and two bends that carry an electronic throttle pedal module.

The base is bolted to the panel, a riser stands square off it, and the face turns back up at a tilt.
The module's bolts sit along the face where its pad comes out at the wanted height against the brake
pad.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.geometry.contours import polygon
from generators.model.plan import Bend, Flange, Hole, PartPlan, Slot
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.spec.titles import within
from generators.model.words import FITS, BendDirection, Fit
from generators.parts.building.bends import bend_at
from generators.parts.building.openings import bolt_slot, plan_of, split
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule, setback


@dataclass(frozen=True, slots=True, kw_only=True)
class ThrottlePedalBracket:
    """Parameters. The origin is the middle of the mounting bolts; leg lengths are outside sizes.

    ``up`` is along the panel. The module lies on the face's side toward the driver.
    """

    width_mm: float = key.length("Width of all three legs", lo=30.0, hi=300.0, default=90.0)
    base_height_mm: float = key.length("Outside height of the base leg", lo=25.0, hi=250.0, default=62.0)
    offset_mm: float = key.length(
        "From the panel to the driver's side of the face, at its lower end", lo=10.0, hi=200.0, default=45.0
    )
    face_length_mm: float = key.length("Outside length of the face leg", lo=25.0, hi=300.0, default=110.0)
    tilt_rad: float = key.angle(
        "Face's upper end leaning away from the panel; toward it is negative",
        lo=math.radians(-30),
        hi=math.radians(60),
        default=math.radians(15),
    )
    corner_radius_mm: float = key.length("Radius of the free corners", lo=0.0, hi=60.0, default=8.0)
    brake_pad_mm: float = key.length(
        "Middle of the brake pad above the mounting bolts; below is negative",
        lo=-500.0,
        hi=500.0,
        default=-110.0,
    )
    pad_height_mm: float = key.length(
        "Middle of the throttle pad above that of the brake pad; below is negative",
        lo=-150.0,
        hi=150.0,
        default=-15.0,
    )
    module_pad_mm: float = key.length(
        "Throttle pad above the module's bolts, along the face; below is negative",
        lo=-500.0,
        hi=500.0,
        default=-210.0,
    )
    module_reach_mm: float = key.length(
        "Throttle pad's middle off the module's mounting face, at rest", lo=0.0, hi=300.0, default=60.0
    )
    module_bolts: int = key.integer("Bolts of the module", lo=2, hi=3, default=3)
    pattern_width_mm: float = key.length(
        "Module bolts across the width; 0 for one column", hi=250.0, default=44.0
    )
    pattern_rows_mm: float = key.length(
        "Between the rows of module bolts; 0 for one row", hi=250.0, default=50.0
    )
    pattern_slot_mm: float = key.length("Travel of the module slots, along the face", hi=60.0, default=0.0)
    pattern_thread: str = key.text("Module bolt thread", lo=1, hi=10, default="M6")
    pattern_fit: Fit = key.choice("Clearance of the module bolts", FITS, default="medium")
    mount_spacing_mm: float = key.length("Mounting bolts across the width", lo=10.0, hi=280.0, default=56.0)
    mount_rows_mm: float = key.length("Second row of mounting bolts; 0 for one row", hi=200.0, default=0.0)
    mount_height_mm: float = key.length(
        "Middle of the mounting bolts above the base's free edge", lo=5.0, hi=240.0, default=24.0
    )
    mount_slot_mm: float = key.length("Travel of the mounting slots, up and down", hi=60.0, default=8.0)
    mount_thread: str = key.text("Mounting bolt thread", lo=1, hi=10, default="M6")
    mount_fit: Fit = key.choice("Clearance of the mounting bolts", FITS, default="medium")


def _module_places(p: ThrottlePedalBracket) -> list[tuple[float, float]]:
    """Bolts about the pattern's middle, (across, along the face) mm.

    Three make a triangle with two below; without rows or columns they stand in one line. Two stand in
    one line, or on the diagonal when rows and columns are both given.
    """
    u, v = p.pattern_width_mm / 2, p.pattern_rows_mm / 2
    if u == 0 and v == 0:
        raise GeometryFault("bolts of a module need a width or rows", "pattern_width")
    if p.module_bolts == 2:
        return [(-u, -v), (u, v)]
    if u == 0 or v == 0:
        return [(-u, -v), (0.0, 0.0), (u, v)]
    return [(-u, -v), (u, -v), (0.0, v)]


def pattern_along(p: ThrottlePedalBracket, thickness_mm: float) -> float:
    """Middle of the module's bolts along the face from its lower outside edge, mm.

    The face's driver side starts one thickness below the riser's outside and rises by ``cos tilt``;
    what stands off it by ``module_reach`` comes ``sin tilt`` lower.
    """
    edge = p.base_height_mm - p.mount_height_mm - thickness_mm
    rise = p.brake_pad_mm + p.pad_height_mm - edge + p.module_reach_mm * math.sin(p.tilt_rad)
    return rise / math.cos(p.tilt_rad) - p.module_pad_mm


def _bolts(
    p: ThrottlePedalBracket, name: str, places: list[tuple[float, float]], words: str
) -> list[Hole | Slot]:
    mates = name == "mount"
    thread = p.mount_thread if mates else p.pattern_thread
    return [
        bolt_slot(
            f"{name}_{i + 1}",
            u,
            v,
            thread=thread,
            fit=p.mount_fit if mates else p.pattern_fit,
            travel_mm=p.mount_slot_mm if mates else p.pattern_slot_mm,
            angle_rad=math.pi / 2,
            purpose=f"{thread} bolt, {words}",
            mates=mates,
        )
        for i, (u, v) in enumerate(places)
    ]


def _fold(
    rule: BendRule,
    parent: str,
    child: str,
    edge: tuple[float, float, float],
    angle: float,
    way: BendDirection,
) -> Bend:
    left, right, v = edge
    return bend_at(rule, parent, child, (right, v), (left, v), angle, direction=way)


def throttle_pedal_bracket(spec: PartSpec[ThrottlePedalBracket], bend: BendRule) -> PartPlan:
    """Plan of a throttle pedal bracket. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    t, r = spec.thickness_mm, bend.inside_radius_mm
    square, turn = math.pi / 2, math.pi / 2 - p.tilt_rad
    back, face_back = setback(square, r, t), setback(turn, r, t)
    base_flat = p.base_height_mm - back
    riser_flat = p.offset_mm - back - face_back
    face_flat = p.face_length_mm - face_back
    for flat, leg, parameter in (
        (base_flat, "base leg", "base_height"),
        (riser_flat, "riser", "offset"),
        (face_flat, "face", "face_length"),
    ):
        if flat < t:
            raise GeometryFault(f"the bends leave nothing of the {leg}", parameter)
    if p.offset_mm + p.face_length_mm * math.sin(p.tilt_rad) - t * math.cos(p.tilt_rad) < t:
        raise GeometryFault("the face's upper end reaches the panel", "tilt")
    middle = pattern_along(p, t) - face_back
    if not 0.0 < middle < face_flat:
        raise GeometryFault(
            f"this pad height puts the module's bolts {middle + face_back:.1f} mm along a face of "
            f"{p.face_length_mm:.1f} mm",
            "pad_height",
        )
    half, width, corner = p.width_mm / 2, p.width_mm, p.corner_radius_mm
    low, high = -p.mount_height_mm, base_flat - p.mount_height_mm
    rows = (0.0,) if p.mount_rows_mm == 0 else (-p.mount_rows_mm / 2, p.mount_rows_mm / 2)
    mounts = [(u, v) for v in rows for u in (-p.mount_spacing_mm / 2, p.mount_spacing_mm / 2)]
    base_holes, base_slots = split(_bolts(p, "mount", mounts, within(spec.title or "throttle pedal bracket")))
    modules = [(half + u, middle + v) for u, v in _module_places(p)]
    face_holes, face_slots = split(_bolts(p, "module", modules, "throttle pedal module"))
    flanges = (
        Flange(
            name="base",
            contour=polygon(
                [(-half, low), (half, low), (half, high), (-half, high)], [corner, corner, 0.0, 0.0]
            ),
            holes=base_holes,
            slots=base_slots,
        ),
        Flange(
            name="riser",
            contour=polygon([(0.0, 0.0), (width, 0.0), (width, riser_flat), (0.0, riser_flat)]),
        ),
        Flange(
            name="face",
            contour=polygon(
                [(0.0, 0.0), (width, 0.0), (width, face_flat), (0.0, face_flat)], [0.0, 0.0, corner, corner]
            ),
            holes=face_holes,
            slots=face_slots,
        ),
    )
    bends = (
        _fold(bend, "base", "riser", (-half, half, high), square, "up"),
        _fold(bend, "riser", "face", (0.0, width, riser_flat), turn, "down"),
    )
    return plan_of(spec, "Throttle pedal bracket", flanges, bends)


KIND = Kind(
    name="throttle_pedal_bracket",
    summary="base, riser and tilted face for an electronic throttle pedal, set to the brake pad's height",
    origin="the middle of the mounting bolts",
    parameters=ThrottlePedalBracket,
    plan=throttle_pedal_bracket,
)
