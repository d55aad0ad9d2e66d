"""A plate and an angle with one finished hole of every kind."""

from __future__ import annotations

from dataclasses import replace

from drawing.part_cases import bend, make

from generators.geometry.contours import rectangle
from generators.model.joints.ways import SheetSide
from generators.model.plan import Flange, Hole, PartPlan
from generators.parts.building.finished_holes import (
    countersunk_hole,
    extruded_hole,
    flow_drilled_hole,
    inserted_hole,
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
