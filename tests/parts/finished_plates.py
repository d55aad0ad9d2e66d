"""A plate and an angle with one finished hole of every kind."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from drawing.part_cases import bend, make
from shapely.geometry import Point, Polygon

from generators.drawing.part.body import opening_contours
from generators.errors import GeometryFault, LookupFault
from generators.geometry.contours import polyline, rectangle
from generators.model.joints.ways import PATTERN_HOLES, SHEET_SIDES, PatternHoles, SheetSide
from generators.model.plan import Flange, Hole, PartPlan
from generators.parts.building.finished_holes import (
    countersunk_hole,
    extruded_hole,
    flow_drilled_hole,
    inserted_hole,
    unbent,
)


def holes(t: float, side: SheetSide = "upper") -> tuple[Hole, ...]:
    """One of each, M6 but for the countersink, in a row 40 mm apart."""
    return (
        countersunk_hole(
            "sunk", -80.0, 0.0, thread="M5", fit="medium", side=side, purpose="cover", thickness_mm=t
        ),
        extruded_hole("drawn", -40.0, 0.0, thread="M6", side=side, purpose="cover", thickness_mm=t),
        flow_drilled_hole("flow", 0.0, 0.0, thread="M6", side=side, purpose="cover", thickness_mm=t),
        insert("press_nut", 40.0, side=side),
        insert("weld_nut", 80.0, side=side),
        insert("press_stud", 120.0, side=side),
    )


def insert(
    kind: str, u: float = 0.0, v: float = 0.0, *, thread: str = "M6", side: SheetSide = "upper"
) -> Hole:
    """A nut or stud of the table; studs stand 20 mm off."""
    return inserted_hole(
        kind,
        u,
        v,
        holes=kind,  # type: ignore[arg-type]
        thread=thread,
        side=side,
        purpose="cover",
        stud_mm=20.0 if kind == "press_stud" else None,
    )


def plate(*own: Hole, t: float = 3.0, material: str = "S235 steel", half: float = 150.0) -> PartPlan:
    """A flat plate with these holes."""
    flange = Flange(name="plate", contour=rectangle(-half, -40.0, half, 40.0), holes=own)
    return replace(make("fitting_plate", t=t), material=material, thickness_mm=t, flanges=(flange,))


def angle(*own: Hole, t: float = 2.0, up: bool = True, degrees: float = 90.0) -> PartPlan:
    """The same plate with a leg along its lower edge; the tangent line is at v = -40."""
    plan = plate(*own, t=t)
    leg = Flange(name="leg", contour=rectangle(0.0, 0.0, 300.0, 50.0))
    fold = bend("leg", "plate", "leg", (-150.0, -40.0), (150.0, -40.0), degrees, "up" if up else "down")
    return replace(plan, flanges=(*plan.flanges, leg), bends=(fold,))


KINDS_OF_FINISH: tuple[PatternHoles, ...] = tuple(
    w for w in PATTERN_HOLES if w not in ("clearance", "tapped")
)


def with_finished(plan: PartPlan, draw: Random, most: int = 3) -> PartPlan:
    """The plan with one to ``most`` holes of the shop's finishes on free metal of its flanges, drawn at random.

    As it was where none finds room, or the sheet takes none of those tried.
    """
    t, done = plan.thickness_mm, 0
    for i in range(20):
        flange = draw.choice(plan.flanges)
        free = Polygon(polyline(flange.contour)).buffer(-10.0)
        for opening in opening_contours(flange):
            free = free.difference(Polygon(polyline(opening)).buffer(9.0))
        if free.is_empty or done == most:
            continue
        u0, v0, u1, v1 = free.bounds
        u, v = round(draw.uniform(u0, u1), 2), round(draw.uniform(v0, v1), 2)
        if not free.contains(Point(u, v)):
            continue
        what, side = draw.choice(KINDS_OF_FINISH), draw.choice(SHEET_SIDES)
        thread = draw.choice(("M4", "M5", "M6", "M8"))
        try:
            hole = finished(what, f"own_{i}", (u, v), thread, side, t)
        except (GeometryFault, LookupFault):
            continue
        if not plan.bends and hole.finish is not None:
            hole = replace(hole, finish=unbent(hole.finish))
        wider = replace(flange, holes=(*flange.holes, hole))
        plan = replace(plan, flanges=tuple(wider if f is flange else f for f in plan.flanges))
        done += 1
    return plan


def finished(
    what: PatternHoles, name: str, at: tuple[float, float], thread: str, side: SheetSide, t: float
) -> Hole:
    """A hole of that finish. Raises as its builder."""
    if what == "countersunk":
        return countersunk_hole(
            name, *at, thread=thread, fit="medium", side=side, purpose="cover", thickness_mm=t
        )
    if what in ("extruded", "flow_drilled"):
        make_it = extruded_hole if what == "extruded" else flow_drilled_hole
        return make_it(name, *at, thread=thread, side=side, purpose="cover", thickness_mm=t)
    stud = 20.0 if what == "press_stud" else None
    return inserted_hole(name, *at, holes=what, thread=thread, side=side, purpose="cover", stud_mm=stud)
