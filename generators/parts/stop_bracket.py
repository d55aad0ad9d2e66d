"""A folded foot and upright that carry a pedal's stop: a bolt with a jam nut on each face of the upright.

Seen onto the foot, the upright stands at its lower edge, so that the isometric view shows the slots. They run
square to the upright; the bolt is the fine setting. A gusset bent from the upright's left side comes down to
the foot, a weld's gap above it, and takes the push of the pedal off the bend; beside it foot and upright are
necked by one relief. For a gusset on the right, mirror the part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from generators.errors import GeometryFault
from generators.geometry.contours import polygon
from generators.model.contour import Contour
from generators.model.plan import Flange, Hole, PartPlan, Slot
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.spec.titles import within
from generators.model.words import FITS, Fit
from generators.parts.building.bends import bend_at
from generators.parts.building.openings import bolt_hole, bolt_slot, plan_of, split
from generators.parts.kind import Kind
from generators.sheetmetal.allowance import BendRule, setback
from generators.sheetmetal.relief import relief_width
from generators.standards import fastener, spanner_circle_mm

SQUARE = math.pi / 2
WELD_GAP_MM = 0.8
"""Left between gusset and foot; common practice, no source."""
FRONT_MM = 10.0
"""Height of the gusset's front edge over the foot, at least; common practice, no source."""
PITCHES = 2.0
"""Thread past a nut, in pitches; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StopBracket:
    """Parameters. The origin is the middle of the mounting bolts; lengths are outside sizes.

    Heights are measured from the face that lies on the panel, depths from the upright's outside face.
    """

    width_mm: float = key.length("Width of foot and upright", lo=25.0, hi=250.0, default=76.0)
    foot_depth_mm: float = key.length("Depth of the foot, upright included", lo=25.0, hi=250.0, default=66.0)
    upright_height_mm: float = key.length("Height of the upright", lo=25.0, hi=250.0, default=80.0)
    corner_radius_mm: float = key.length("Radius of the free corners", hi=60.0, default=8.0)
    stop_height_mm: float = key.length("Height of the stop bolt's axis", lo=10.0, hi=240.0, default=58.0)
    stop_offset_mm: float = key.length(
        "Stop bolt toward the gusset from the middle of the width; away from it is negative",
        lo=-110.0,
        hi=110.0,
        default=0.0,
    )
    stop_thread: str = key.text("Stop bolt thread", lo=1, hi=10, default="M8")
    stop_fit: Fit = key.choice("Clearance of the stop bolt", FITS, default="medium")
    mount_spacing_mm: float = key.length(
        "Between the two mounting bolts, across the width", lo=10.0, hi=230.0, default=34.0
    )
    mount_inset_mm: float = key.length(
        "Middle of the mounting bolts to the foot's free edge", lo=5.0, hi=230.0, default=34.0
    )
    mount_slot_mm: float = key.length(
        "Travel of the mounting slots, square to the upright; 0 for round holes", hi=100.0, default=10.0
    )
    mount_thread: str = key.text("Mounting bolt thread", lo=1, hi=10, default="M8")
    mount_fit: Fit = key.choice("Clearance of the mounting bolts", FITS, default="medium")
    gusset_depth_mm: float = key.length(
        "Depth of the gusset at the foot; 0 for none, enough for a low upright", hi=250.0, default=52.0
    )
    gusset_top_mm: float = key.length("Depth of the gusset at its top", lo=5.0, hi=250.0, default=22.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sizes:
    """Flat sizes in mm. ``neck`` and ``side`` are u in the upright's frame, from its plain side: where the
    bend to the foot and the upright itself end beside the gusset."""

    relief: float
    back: float
    neck: float
    side: float
    foot: float
    upright: float


def _sizes(p: StopBracket, t: float, r: float, relief: float) -> _Sizes:
    back = setback(SQUARE, r, t)
    cut = relief if p.gusset_depth_mm else 0.0
    side = p.width_mm - back if p.gusset_depth_mm else p.width_mm
    foot, upright = p.foot_depth_mm - back, p.upright_height_mm - back
    if side - cut < 4 * t:
        raise GeometryFault("the gusset and its relief leave no bend to the foot", "width")
    if foot < cut + 2 * t:
        raise GeometryFault("the bend leaves nothing of the foot", "foot_depth")
    if upright < cut + 4 * t:
        raise GeometryFault("the bend leaves nothing of the upright", "upright_height")
    most = min(p.width_mm / 2, foot - cut, upright)
    if p.corner_radius_mm > most:
        raise GeometryFault(f"foot and upright take at most {most:.1f} mm", "corner_radius")
    return _Sizes(relief=cut, back=back, neck=side - cut, side=side, foot=foot, upright=upright)


def _require_nut_room(p: StopBracket, t: float, r: float) -> None:
    """Raises ``GeometryFault`` where the inner jam nut would ride on a bend or its spanner meet the foot or
    the gusset, or where the stop bolt would lie on the nuts of the mounting bolts."""
    stop, mount = fastener(p.stop_thread), fastener(p.mount_thread)
    off_wall = t + max(r + stop.nut_corners_mm / 2, spanner_circle_mm(stop.nut_af_mm) / 2)
    over_mounts = t + mount.nut_height_mm + PITCHES * mount.pitch_mm + stop.major_mm / 2
    least = max(off_wall, over_mounts)
    if p.stop_height_mm < least:
        raise GeometryFault(
            f"no room for the inner jam nut and the mounting nuts below; at least {least:.1f} mm",
            "stop_height",
        )
    most = p.width_mm / 2 - off_wall
    if p.gusset_depth_mm and p.stop_offset_mm > most:
        raise GeometryFault(
            f"no room for the inner jam nut beside the gusset; at most {most:.1f} mm", "stop_offset"
        )


def _foot(p: StopBracket, s: _Sizes, words: str) -> Flange:
    half, high, corner = p.width_mm / 2, p.mount_inset_mm, p.corner_radius_mm
    low = high - s.foot
    points = [(half, high), (-half, high), (-half, low), (half, low)]
    radii = [corner, corner, 0.0, 0.0]
    if s.relief:
        shoulder, neck, fillet = low + s.relief, half - s.neck, s.relief / 2
        outer = min(corner, 0.4 * (s.foot - s.relief - corner), half + neck - fillet)
        points[2:3] = [(-half, shoulder), (neck, shoulder), (neck, low)]
        radii[2:3] = [outer, fillet, 0.0]
    mounts: list[Hole | Slot] = [
        bolt_slot(
            f"mount_{i + 1}",
            side * p.mount_spacing_mm / 2,
            0.0,
            thread=p.mount_thread,
            fit=p.mount_fit,
            travel_mm=p.mount_slot_mm,
            angle_rad=SQUARE,
            purpose=f"{p.mount_thread} bolt, {words}",
            mates=True,
        )
        for i, side in enumerate((-1, 1))
    ]
    holes, slots = split(mounts)
    return Flange(name="foot", contour=polygon(points, radii), holes=holes, slots=slots)


def _upright(p: StopBracket, s: _Sizes) -> Flange:
    """The upright in its own frame: the bend from (0, 0) to the neck, the stop bolt's hole."""
    corner = p.corner_radius_mm
    points = [(0.0, 0.0), (s.side, 0.0), (s.side, s.upright), (0.0, s.upright)]
    radii = [0.0, 0.0, corner, corner]
    if s.relief:
        points[1:2] = [(s.neck, 0.0), (s.neck, s.relief), (s.side, s.relief)]
        radii[1:3] = [0.0, s.relief / 2, 0.0, 0.0]
    stop = bolt_hole(
        "stop",
        p.width_mm / 2 + p.stop_offset_mm,
        p.stop_height_mm - s.back,
        thread=p.stop_thread,
        fit=p.stop_fit,
        purpose=f"{p.stop_thread} stop bolt",
        nut_face="both",
    )
    return Flange(name="upright", contour=polygon(points, radii), holes=(stop,))


def _front(t: float) -> float:
    return max(FRONT_MM, 2 * t)


def _gusset(p: StopBracket, s: _Sizes, t: float, r: float) -> Contour:
    """The gusset in its own frame: its bend along v = 0 from the upright's top down to its shoulder.

    Behind one relief it comes down past the shoulder, to the weld's gap above the foot.
    """
    depth, top = p.gusset_depth_mm - s.back, p.gusset_top_mm - s.back
    if p.gusset_depth_mm > p.foot_depth_mm - p.corner_radius_mm:
        raise GeometryFault(
            f"the foot's side ends at {p.foot_depth_mm - p.corner_radius_mm:.1f} mm", "gusset_depth"
        )
    if depth < s.relief + 2 * t:
        least = s.back + s.relief + 2 * t
        raise GeometryFault(f"nothing of the gusset meets the foot; at least {least:.1f} mm", "gusset_depth")
    if not t <= top <= depth:
        raise GeometryFault(
            f"the gusset's top must be {s.back + t:.1f} mm to {p.gusset_depth_mm:.1f} mm deep", "gusset_top"
        )
    shoulder = s.upright - s.relief
    end, front = shoulder + r + s.relief - WELD_GAP_MM, _front(t)
    if end - front < t:
        raise GeometryFault("the gusset is lower than its front edge", "upright_height")
    points = [
        (0.0, 0.0),
        (shoulder, 0.0),
        (shoulder, s.relief),
        (end, s.relief),
        (end, depth),
        (end - front, depth),
        (0.0, top),
    ]
    corner = min(6.0, 0.4 * top, 0.4 * front, 0.4 * math.dist(points[5], points[6]))
    inner = min(s.relief, end - shoulder, depth - s.relief) / 2
    return polygon(points, [0.0, 0.0, inner, 0.0, 0.0, corner, corner])


def stop_bracket(spec: PartSpec[StopBracket], bend: BendRule) -> PartPlan:
    """Plan of a stop bracket. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    t, r = spec.thickness_mm, bend.inside_radius_mm
    s = _sizes(p, t, r, relief_width(bend, t))
    _require_nut_room(p, t, r)
    half, low = p.width_mm / 2, p.mount_inset_mm - s.foot
    flanges = [_foot(p, s, within(spec.title or "stop bracket")), _upright(p, s)]
    bends = [bend_at(bend, "foot", "upright", (half - s.neck, low), (half, low), SQUARE)]
    welds = (("gusset", "foot"),) if p.gusset_depth_mm else ()
    notes = [f"Stop bolt {p.stop_thread}, full thread, a jam nut on each face of the upright."]
    if p.gusset_depth_mm:
        flanges.append(Flange(name="gusset", contour=_gusset(p, s, t, r)))
        bends.append(bend_at(bend, "upright", "gusset", (s.side, s.relief), (s.side, s.upright), SQUARE))
        notes.append(
            f"Gusset to its sharp corners: {p.gusset_top_mm:g} mm deep at the top, front edge "
            f"{_front(t):g} mm high."
        )
    plan = plan_of(spec, "Pedal stop bracket", tuple(flanges), tuple(bends), tuple(notes))
    return replace(plan, welds=welds)


KIND = Kind(
    name="stop_bracket",
    summary="foot and upright with a gusset: holds a pedal's stop bolt between two jam nuts",
    origin="the middle of the mounting bolts",
    parameters=StopBracket,
    plan=stop_bracket,
)
