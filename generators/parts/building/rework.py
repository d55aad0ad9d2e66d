"""Single holes of a finished plan changed: slotted, opened or moved."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from generators.errors import GeometryFault
from generators.geometry.contours import Placement
from generators.model.plan import Flange, Hole, PartPlan, Slot
from generators.model.spec.rework import Rework
from generators.parts.building.openings import require_inside
from generators.sheetmetal.lying import lying, on_panel


def reworked(plan: PartPlan, changes: Sequence[Rework]) -> PartPlan:
    """The plan with those holes of what lies on the panel changed; places are in the root's frame.

    A hole is lengthened to one side: its own end stays, so the least metal goes. Raises ``GeometryFault``
    whose ``parameter`` begins with a dot: a key of the part itself.
    """
    for index, asked in enumerate(changes):
        here = f".rework[{index}]"
        root, place = _with_hole(plan, asked.hole)
        change = _in_flange(asked, place)
        hole = next((h for h in root.holes if h.name == change.hole), None)
        slot = next((s for s in root.slots if s.name == change.hole), None)
        if hole is not None:
            holes = tuple(h for h in root.holes if h is not hole)
            new = _hole(hole, change)
            if isinstance(new, Slot):
                root = replace(root, holes=holes, slots=(*root.slots, new))
            else:
                root = replace(root, holes=tuple(new if h is hole else h for h in root.holes))
        elif slot is not None:
            if change.slot_mm:
                raise GeometryFault(f"{change.hole!r} is a slot already", f"{here}.slot")
            wider = replace(
                slot,
                u_mm=slot.u_mm + change.move[0],
                v_mm=slot.v_mm + change.move[1],
                width_mm=change.diameter_mm or slot.width_mm,
            )
            root = replace(root, slots=tuple(wider if s is slot else s for s in root.slots))
        else:
            known = ", ".join(o.name for o in on_panel(plan).openings)
            raise GeometryFault(f"no hole {change.hole!r} on {root.name!r}; it has {known}", f"{here}.hole")
        plan = replace(plan, flanges=tuple(root if f.name == root.name else f for f in plan.flanges))
        try:
            require_inside(plan)
        except GeometryFault as fault:
            raise GeometryFault(f"with {change.hole!r} changed {fault}", here) from fault
    return plan


def _with_hole(plan: PartPlan, name: str) -> tuple[Flange, Placement]:
    """The flange on the panel that has this hole, with its place; the root where none has."""
    flat = lying(plan)
    return next((x for x in flat if any(o.name == name for o in x[0].openings)), flat[0])


def _in_flange(change: Rework, place: Placement) -> Rework:
    """A change given in the root's frame as a flange beside it has it."""
    turned = Placement(angle=-place.angle)
    toward = math.remainder(change.toward_rad - place.angle, 2 * math.pi)
    return replace(change, move=turned.apply(*change.move), toward_rad=toward)


def _hole(hole: Hole, change: Rework) -> Hole | Slot:
    u, v = hole.u_mm + change.move[0], hole.v_mm + change.move[1]
    size = change.diameter_mm or hole.diameter_mm
    if not change.slot_mm:
        return replace(hole, u_mm=u, v_mm=v, diameter_mm=size)
    half = change.slot_mm / 2
    return Slot(
        name=hole.name,
        u_mm=u + half * math.cos(change.toward_rad),
        v_mm=v + half * math.sin(change.toward_rad),
        width_mm=size,
        travel_mm=change.slot_mm,
        angle_rad=change.toward_rad,
        purpose=hole.purpose,
        fitting=hole.fitting,
        mates=hole.mates,
        tolerance=hole.tolerance,
    )
