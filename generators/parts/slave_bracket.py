"""Two legs with side gussets that hold a two-bolt slave cylinder off a bell housing.

The base bolts to the housing, the upright takes the slave's nose and flange. Gussets bent from the
upright's sides come down to the base on feet, a weld's gap above it, so that the slave's thrust does
not have to be held by the bend alone. Base and upright are both necked beside their bend by one
relief: the bends meet at no corner, and the punch for that bend passes between the gussets.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from generators.errors import GeometryFault
from generators.geometry.contours import polygon
from generators.model.contour import Contour
from generators.model.plan import Flange, Hole, PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.words import FITS, Fit
from generators.parts.building.bends import bend_at
from generators.parts.building.openings import bolt_hole, bore, plan_of
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule, setback
from generators.sheetmetal.relief import relief_width
from generators.standards import fastener

FRONT_MM = 10.0
SQUARE = math.pi / 2
"""Height of a gusset's front edge over its foot, at least; common practice, no source."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SlaveBracket:
    """Parameters. The origin is the middle of the mounting bolts; lengths are outside sizes.

    Heights are measured from the face that lies on the housing, depths from the upright's outside face.
    """

    inside_width_mm: float = key.length(
        "Between the gussets; a side without one ends there", lo=40.0, hi=300.0, default=110.0
    )
    gussets: Literal["both", "left", "right"] = key.choice(
        "Gussets, seen with the base below and the upright behind", ("both", "left", "right"), default="both"
    )
    base_width_mm: float = key.length("Width of the base", lo=40.0, hi=400.0, default=136.0)
    base_depth_mm: float = key.length("Depth of the base, upright included", lo=30.0, hi=300.0, default=104.0)
    corner_radius_mm: float = key.length("Radius of the free corners", hi=60.0, default=8.0)
    mounts: int = key.integer(
        "Mounting bolts: a row of 2; 3: one more in the middle of a second row; 4: two rows",
        lo=2,
        hi=4,
        default=4,
    )
    mount_spacing_mm: float = key.length("Mounting bolts across", lo=10.0, hi=380.0, default=60.0)
    mount_rows_mm: float = key.length("Row to row, for 3 or 4 bolts", lo=10.0, hi=250.0, default=36.0)
    mount_inset_mm: float = key.length("First row to the base's free edge", lo=5.0, hi=200.0, default=24.0)
    mount_thread: str = key.text("Mounting bolt thread", lo=1, hi=10, default="M10")
    mount_fit: Fit = key.choice("Clearance of the mounting bolts", FITS, default="medium")
    upright_height_mm: float = key.length("Height of the upright", lo=30.0, hi=300.0, default=90.0)
    slave_height_mm: float = key.length("Height of the slave's axis", lo=15.0, hi=280.0, default=58.0)
    nose_bore_mm: float = key.length("Bore for the slave's nose", lo=5.0, hi=120.0, default=30.0)
    flange_spacing_mm: float = key.length("Between the two flange bolts", lo=12.0, hi=200.0, default=64.0)
    flange_angle_rad: float = key.angle(
        "Line of the flange bolts, from level", lo=-math.pi / 2, hi=math.pi / 2, default=0.0
    )
    flange_thread: str = key.text("Flange bolt thread", lo=1, hi=10, default="M8")
    flange_fit: Fit = key.choice("Clearance of the flange bolts", FITS, default="medium")
    gusset_depth_mm: float = key.length("Depth of the gussets at the base", lo=15.0, hi=300.0, default=72.0)
    gusset_top_mm: float = key.length("Depth of the gussets at the top", lo=5.0, hi=300.0, default=26.0)
    gusset_gap_mm: float = key.length(
        "Left between a gusset's foot and the base, for a weld", lo=0.5, hi=3.0, default=0.8
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sizes:
    """Flat sizes in mm: half widths of the neck and of the upright to each side, leg heights."""

    relief: float
    back: float
    neck: float
    left: float
    right: float
    base: float
    upright: float


def _sizes(p: SlaveBracket, t: float, r: float, relief: float) -> _Sizes:
    back = setback(math.pi / 2, r, t)
    half = p.inside_width_mm / 2 - r
    neck = half - relief
    if neck < 2 * t:
        raise GeometryFault("the gussets and their reliefs leave no bend to the base", "inside_width")
    least = p.inside_width_mm + 2 * t
    if p.base_width_mm < least:
        raise GeometryFault(f"the gussets stand beside the base; at least {least:.1f} mm", "base_width")
    base, upright = p.base_depth_mm - back, p.upright_height_mm - back
    if base < relief + 2 * t:
        raise GeometryFault("the bend leaves nothing of the base", "base_depth")
    if upright < relief + 4 * t:
        raise GeometryFault("the upright is too low to bend gussets from", "upright_height")
    return _Sizes(
        relief=relief,
        back=back,
        neck=neck,
        left=half if p.gussets != "right" else p.inside_width_mm / 2,
        right=half if p.gussets != "left" else p.inside_width_mm / 2,
        base=base,
        upright=upright,
    )


def _gusset(p: SlaveBracket, s: _Sizes, t: float, r: float) -> tuple[Contour, Contour]:
    """Outlines of the right and of the left gusset.

    The bend runs along v = 0 from the upright's shoulder to its top. Behind one relief the foot
    comes down past the shoulder to the gap above the base.
    """
    tall = s.upright - s.relief
    depth, top = p.gusset_depth_mm - s.back, p.gusset_top_mm - s.back
    if p.gusset_depth_mm > p.base_depth_mm:
        raise GeometryFault(f"the base ends at {p.base_depth_mm:.1f} mm", "gusset_depth")
    if depth < s.relief + 2 * t:
        least = s.back + s.relief + 2 * t
        raise GeometryFault(f"the gusset has no foot; at least {least:.1f} mm", "gusset_depth")
    if not t <= top <= depth:
        raise GeometryFault(
            f"the gusset's top must be {s.back + t:.1f} mm to {p.gusset_depth_mm:.1f} mm deep", "gusset_top"
        )
    drop = r + s.relief - p.gusset_gap_mm
    front = max(FRONT_MM, 2 * t)
    if tall + drop - front < t:
        raise GeometryFault("the gussets are lower than their front edges", "upright_height")
    points: list[Point] = [
        (0.0, 0.0),
        (tall, 0.0),
        (tall, s.relief),
        (tall + drop, s.relief),
        (tall + drop, depth),
        (tall + drop - front, depth),
        (0.0, top),
    ]
    slant = math.dist(points[5], points[6])
    corner = min(6.0, 0.4 * top, 0.4 * front, 0.4 * slant)
    inner = min(s.relief, drop, depth - s.relief) / 2
    radii = [0.0, 0.0, inner, 0.0, 0.0, corner, corner]
    # a bend line walked from the other end: mirrored and reversed, so that it stays counter-clockwise
    mirrored = [(tall - u, v) for u, v in reversed(points)]
    return polygon(points, radii), polygon(mirrored, radii[::-1])


def _mounts(p: SlaveBracket) -> tuple[Hole, ...]:
    u = p.mount_spacing_mm / 2
    if p.mounts == 2:
        places: tuple[Point, ...] = ((-u, 0.0), (u, 0.0))
    else:
        v = p.mount_rows_mm / 2
        places = ((-u, -v), (u, -v), *(((0.0, v),) if p.mounts == 3 else ((-u, v), (u, v))))
    return tuple(
        bolt_hole(
            f"mount_{i + 1}",
            mu,
            mv,
            thread=p.mount_thread,
            fit=p.mount_fit,
            purpose=f"{p.mount_thread} bolt, slave bracket",
            mates=True,
        )
        for i, (mu, mv) in enumerate(places)
    )


def _base(p: SlaveBracket, s: _Sizes) -> Flange:
    """The base, with its neck of one relief at the bend."""
    rows = 0.0 if p.mounts == 2 else p.mount_rows_mm / 2
    low = -p.mount_inset_mm - rows
    high, half = low + s.base, p.base_width_mm / 2
    shoulder = high - s.relief
    corner = p.corner_radius_mm
    most = min(half, shoulder - low)
    if corner > most:
        raise GeometryFault(f"the base takes at most {most:.1f} mm", "corner_radius")
    fillet = s.relief / 2
    outer = min(corner, 0.4 * (shoulder - low - corner), half - s.neck - fillet)
    contour = polygon(
        [
            (-half, low),
            (half, low),
            (half, shoulder),
            (s.neck, shoulder),
            (s.neck, high),
            (-s.neck, high),
            (-s.neck, shoulder),
            (-half, shoulder),
        ],
        [corner, corner, outer, fillet, 0.0, 0.0, fillet, outer],
    )
    return Flange(name="base", contour=contour, holes=_mounts(p))


def _require_wrench_room(p: SlaveBracket, t: float, base_end: float, mounts: tuple[Hole, ...]) -> None:
    """Raises ``GeometryFault`` when a mounting bolt's head would stand under a gusset.

    ``base_end`` is v of the upright's outside face in the base's frame, mm.
    """
    head = fastener(p.mount_thread).nut_corners_mm / 2
    inside = p.inside_width_mm / 2
    sides = {"both": (-1.0, 1.0), "left": (-1.0,), "right": (1.0,)}[p.gussets]
    for hole in mounts:
        if base_end - hole.v_mm > p.gusset_depth_mm + head:
            continue
        for side in sides:
            if inside - head < side * hole.u_mm < inside + t + head:
                raise GeometryFault(
                    f"the head of {hole.name} meets a gusset; at most {2 * (inside - head):.1f} mm, or at "
                    f"least {2 * (inside + t + head):.1f} mm",
                    "mount_spacing",
                )


def _upright(p: SlaveBracket, s: _Sizes) -> Flange:
    """The upright in its own frame: the bend from (0, 0) to twice the neck, its neck, the holes."""
    middle, top, fillet = s.neck, s.upright, s.relief / 2
    left, right = middle - s.left, middle + s.right
    corners = [0.0 if p.gussets in ("both", side) else min(8.0, s.relief) for side in ("right", "left")]
    contour = polygon(
        [
            (0.0, 0.0),
            (2 * s.neck, 0.0),
            (2 * s.neck, s.relief),
            (right, s.relief),
            (right, top),
            (left, top),
            (left, s.relief),
            (0.0, s.relief),
        ],
        [0.0, 0.0, fillet, 0.0, corners[0], corners[1], 0.0, fillet],
    )
    axis = p.slave_height_mm - s.back
    du = math.cos(p.flange_angle_rad) * p.flange_spacing_mm / 2
    dv = math.sin(p.flange_angle_rad) * p.flange_spacing_mm / 2
    flange_bolts = (
        bolt_hole(
            f"flange_{i + 1}",
            middle + side * du,
            axis + side * dv,
            thread=p.flange_thread,
            fit=p.flange_fit,
            purpose=f"{p.flange_thread} bolt, slave cylinder",
        )
        for i, side in enumerate((-1, 1))
    )
    nose = bore("nose", middle, axis, p.nose_bore_mm, "slave cylinder nose")
    return Flange(name="upright", contour=contour, holes=(nose, *flange_bolts))


def slave_bracket(spec: PartSpec[SlaveBracket], bend: BendRule) -> PartPlan:
    """Plan of a slave bracket. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    t, r = spec.thickness_mm, bend.inside_radius_mm
    s = _sizes(p, t, r, relief_width(bend, t))
    base, upright = _base(p, s), _upright(p, s)
    high = max(v.v for v in base.contour.vertices)
    _require_wrench_room(p, t, high + s.back, base.holes)
    right_contour, left_contour = _gusset(p, s, t, r)
    flanges = [base, upright]
    bends = [bend_at(bend, "base", "upright", (s.neck, high), (-s.neck, high), SQUARE)]
    if p.gussets != "left":
        side = s.neck + s.right
        flanges.append(Flange(name="right_gusset", contour=right_contour))
        bends.append(bend_at(bend, "upright", "right_gusset", (side, s.relief), (side, s.upright), SQUARE))
    if p.gussets != "right":
        side = s.neck - s.left
        flanges.append(Flange(name="left_gusset", contour=left_contour))
        bends.append(bend_at(bend, "upright", "left_gusset", (side, s.upright), (side, s.relief), SQUARE))
    welds = tuple((flange.name, "base") for flange in flanges[2:])
    return replace(plan_of(spec, "Slave bracket", tuple(flanges), tuple(bends)), welds=welds)


KIND = Kind(
    name="slave_bracket",
    summary="base and upright with side gussets: holds a two-bolt slave cylinder off a bell housing",
    origin="the middle of the mounting bolts",
    parameters=SlaveBracket,
    plan=slave_bracket,
)
