"""Holes of a part by what goes through them, sized from the standards tables."""

from __future__ import annotations

import math

from shapely import STRtree
from shapely.geometry import LineString, Polygon

from generators.errors import GeometryFault
from generators.geometry.contours import circle, polyline, stadium
from generators.model.plan import (
    BOLT_REACH_MM,
    BULKHEAD_REACH_MM,
    Bend,
    Fitting,
    Flange,
    Hole,
    PartPlan,
    Peg,
    Slot,
)
from generators.model.spec.job import PartSpec
from generators.model.words import Fit, FittingFace
from generators.standards import bulkhead, clearance_hole, fastener, hole_tolerance, spanner_circle_mm

INSIDE_MM = 0.05
LEAST_TRAVEL_MM = 0.05
TOUCH_MM = 0.01
"""Two rims this near touch: the kernel makes no valid solid of holes that meet in a point."""


def bolt_fitting(thread: str, nut_face: FittingFace = "near", own_stud: bool = False) -> Fitting:
    """A bolt, or a stud of what is fitted, with a nut turning on one face.

    Raises ``LookupFault`` for an unknown thread.
    """
    row = fastener(thread)
    return Fitting(
        kind="bolt",
        label=f"{thread} bolt",
        nut_circle_mm=row.nut_corners_mm,
        spanner_circle_mm=spanner_circle_mm(row.nut_af_mm),
        nut_face=nut_face,
        reach_mm=max(BOLT_REACH_MM, row.nut_stand_mm),
        shank_mm=row.major_mm,
        own_stud=own_stud,
    )


def bolt_hole(
    name: str,
    u: float,
    v: float,
    *,
    thread: str,
    fit: Fit,
    purpose: str,
    mates: bool = False,
    nut_face: FittingFace = "near",
    own_stud: bool = False,
) -> Hole:
    """A clearance hole (ISO 273 or ASME B18.2.8) for a bolt, or for a stud of what is fitted."""
    diameter = clearance_hole(thread, fit).diameter_mm
    return Hole(
        name=name,
        u_mm=u,
        v_mm=v,
        diameter_mm=diameter,
        purpose=purpose,
        fitting=bolt_fitting(thread, nut_face, own_stud),
        mates=mates,
        tolerance=hole_tolerance("bolt", diameter, fit=fit),
    )


def bolt_slot(
    name: str,
    u: float,
    v: float,
    *,
    thread: str,
    fit: Fit,
    travel_mm: float,
    angle_rad: float,
    purpose: str,
    mates: bool = False,
) -> Hole | Slot:
    """A slot for a bolt, or a round hole when there is no travel to speak of."""
    if travel_mm < LEAST_TRAVEL_MM:
        return bolt_hole(name, u, v, thread=thread, fit=fit, purpose=purpose, mates=mates)
    width = clearance_hole(thread, fit).diameter_mm
    return Slot(
        name=name,
        u_mm=u,
        v_mm=v,
        width_mm=width,
        travel_mm=travel_mm,
        angle_rad=angle_rad,
        purpose=purpose,
        fitting=bolt_fitting(thread),
        mates=mates,
        tolerance=hole_tolerance("bolt", width, fit=fit),
    )


def bulkhead_hole(name: str, u: float, v: float, *, dash: int, purpose: str) -> Hole:
    """A hole for a bulkhead fitting; its nut turns on one face, its body is held on the other."""
    row = bulkhead(dash)
    return Hole(
        name=name,
        u_mm=u,
        v_mm=v,
        diameter_mm=row.hole_mm,
        purpose=purpose,
        fitting=Fitting(
            kind="bulkhead",
            label=f"-{dash} bulkhead fitting",
            nut_circle_mm=row.nut_corners_mm,
            spanner_circle_mm=spanner_circle_mm(row.nut_af_mm),
            nut_face="both",
            reach_mm=BULKHEAD_REACH_MM,
            shank_mm=row.thread_major_mm,
        ),
        mates=True,
        tolerance=hole_tolerance("bulkhead", row.hole_mm, shank_mm=row.thread_major_mm),
    )


def bore(
    name: str,
    u: float,
    v: float,
    diameter_mm: float,
    purpose: str,
    *,
    mates: bool = False,
    far_reach_mm: float = 0.0,
) -> Hole:
    """A plain bore nothing turns in; ``far_reach_mm`` is how far its body stands off behind the panel."""
    return Hole(
        name=name,
        u_mm=u,
        v_mm=v,
        diameter_mm=diameter_mm,
        purpose=purpose,
        fitting=Fitting(kind="bore", label=f"{diameter_mm:g} mm bore", far_reach_mm=far_reach_mm),
        mates=mates,
    )


def split(openings: list[Hole | Slot]) -> tuple[tuple[Hole, ...], tuple[Slot, ...]]:
    """Round holes and slots apart, in order."""
    return (
        tuple(o for o in openings if isinstance(o, Hole)),
        tuple(o for o in openings if isinstance(o, Slot)),
    )


def plan_of(
    spec: PartSpec[object],
    default_title: str,
    flanges: tuple[Flange, ...],
    bends: tuple[Bend, ...] = (),
    notes: tuple[str, ...] = (),
) -> PartPlan:
    """The plan of a part from its flanges and bends; the rest comes from its spec.

    ``notes`` are printed on its drawing: what the person who makes it must know beyond the sizes.

    Raises ``GeometryFault`` as ``require_inside`` does.
    """
    return require_inside(
        PartPlan(
            name=spec.name,
            kind=spec.kind,
            title=spec.title or default_title,
            material=spec.material,
            thickness_mm=spec.thickness_mm,
            flanges=flanges,
            bends=bends,
            finish=spec.finish,
            quantity=spec.quantity,
            notes=notes,
        )
    )


def require_inside(plan: PartPlan) -> PartPlan:
    """The plan, if every opening and peg lies whole in its flange and none runs into another.

    Raises ``GeometryFault`` naming them; a solid could not be built from them.
    """

    for flange in plan.flanges:
        face = Polygon(polyline(flange.contour)).buffer(-INSIDE_MM)
        shapes = [(h.name, Polygon(polyline(circle(h.u_mm, h.v_mm, h.diameter_mm)))) for h in flange.holes]
        shapes += [
            (s.name, Polygon(polyline(stadium(s.u_mm, s.v_mm, s.width_mm, s.travel_mm, s.angle_rad))))
            for s in flange.slots
        ]
        shapes += [(p.name, Polygon(polyline(circle(p.u_mm, p.v_mm, p.diameter_mm)))) for p in flange.pegs]
        for name, shape in shapes:
            if not face.contains(shape):
                what = "peg" if name in {p.name for p in flange.pegs} else "hole"
                off = f"{what} {name!r} does not lie whole on the flange {flange.name!r}"
                raise GeometryFault(f"{off}: {_allowed(flange, name)}")
        if not shapes:
            continue
        spines = [(spine(o), o.diameter_mm / 2) for o in flange.holes]
        spines += [(spine(o), o.width_mm / 2) for o in flange.slots]
        spines += [(spine(o), o.diameter_mm / 2) for o in flange.pegs]
        tree = STRtree([s for _, s in shapes])
        for i, (name, shape) in enumerate(shapes):
            for j in tree.query(shape, predicate="dwithin", distance=INSIDE_MM).tolist():
                # not by the polygons: their corners lie on the rims, so that two may pass that overlap
                (one, radius), (two, other) = spines[i], spines[j]
                if j > i and one.distance(two) < radius + other + TOUCH_MM:
                    raise GeometryFault(f"holes {name!r} and {shapes[j][0]!r} run into each other")
    return plan


def _allowed(flange: Flange, name: str) -> str:
    o = next(x for x in (*flange.openings, *flange.pegs) if x.name == name)
    if not isinstance(o, Slot):
        return allowed(flange, (o.u_mm, o.v_mm), o.diameter_mm / 2)
    # a slot's ends are what has to stay inside
    reach = (abs(math.cos(o.angle_rad)) * o.travel_mm / 2, abs(math.sin(o.angle_rad)) * o.travel_mm / 2)
    return allowed(flange, (o.u_mm, o.v_mm), o.width_mm / 2, reach)


def allowed(
    flange: Flange, at: tuple[float, float], half_mm: float, reach: tuple[float, float] = (0.0, 0.0)
) -> str:
    """Where the middle of an opening is, and between which u and v of its flange it may be at most, mm.

    It is ``half_mm`` wide each way, a slot's ends lie ``reach`` off its middle.
    """
    here = f"its middle is at u {at[0]:.1f} v {at[1]:.1f} mm"
    room = Polygon(polyline(flange.contour)).buffer(-half_mm)
    if room.is_empty:
        return f"{here}, and the flange is too narrow for it"
    u0, v0, u1, v1 = room.bounds
    (u0, u1), (v0, v1) = (u0 + reach[0], u1 - reach[0]), (v0 + reach[1], v1 - reach[1])
    if u1 < u0 or v1 < v0:
        return f"{here}, and the flange is too short for it"
    return f"{here}; it may be at u {u0:.1f} to {u1:.1f}, v {v0:.1f} to {v1:.1f} mm at most"


def spine(opening: Hole | Peg | Slot) -> LineString:
    """The line from end centre to end centre; of a round one, without length at its middle."""
    du = dv = 0.0
    if isinstance(opening, Slot):
        du, dv = (f(opening.angle_rad) * opening.travel_mm / 2 for f in (math.cos, math.sin))
    u, v = opening.u_mm, opening.v_mm
    return LineString([(u - du, v - dv), (u + du, v + dv)])
