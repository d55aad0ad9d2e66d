"""Steps found on the folder, and one it refuses, confirmed with booleans of exact solids; poses against the part."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
from bending_solids import AIR_MM, laid_at, lie_as_folded, moved, plate, shared, tool
from bent_parts import K, R, T, box, channel, hat, zed
from folded_parts import FOLD, folded, one_lip

from generators.bending.folder.tools import beam_outline, bed_outline, finger_outline, leaf_outline
from generators.bending.legs import Laid, Plate
from generators.bending.steps import FoldStep
from generators.geometry.frames import Matrix
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import Folder

HALF = math.pi / 4 * (R + K * T)
"""Half the allowance of a square bend: it begins so far behind the middle of the flat strip."""


def shift(y: float, z: float) -> Matrix:
    out = np.eye(4)
    out[1, 3], out[2, 3] = y, z
    return out


def swung(angle: float, slides: bool = True) -> Matrix:
    """The motion of what lies on the leaf, written down anew: along it by the arc, then about (HALF, R + T)."""
    c, s = math.cos(angle), math.sin(angle)
    turn = np.eye(4)
    turn[1:3, 1:3] = ((c, s), (-s, c))
    along = angle * (R + K * T) if slides else 0.0
    out: Matrix = shift(HALF, R + T) @ turn @ shift(along - HALF, -(R + T))
    return out


def metal(laid: Laid, angle: float) -> Iterator[cq.Solid]:
    """All plates of the part: what stands off whole, flat metal less its skin and less what the arc takes."""
    for leg, move in ((laid.rear, np.eye(4)), (laid.front, swung(angle))):
        for piece in leg.pieces:
            if isinstance(piece, Plate):
                yield plate(piece.outline, move @ piece.frame, 0.0, piece.thickness)
        for _, flat in leg.flats:
            yield plate(flat, move, AIR_MM, T - AIR_MM)


def machine(folder: Folder, step: FoldStep, angle: float, long: float) -> list[cq.Solid]:
    wide = math.fsum(step.fingers_mm)
    low = min(max((long - wide) / 2, step.reach.low), step.reach.high - wide)

    def put(solid: cq.Solid) -> cq.Solid:
        return solid.moved(cq.Location(cq.Vector(0.0, HALF, 0.0)))

    leaf = leaf_outline(folder)
    ring = np.array([(-500.0, y + HALF, z) for y, z in leaf.exterior.coords[:-1]])
    moved = (swung(angle, slides=False) @ np.column_stack([ring, np.ones(len(ring))]).T)[:3].T
    face = cq.Face.makeFromWires(cq.Wire.makePolygon([cq.Vector(*p) for p in moved], close=True))
    return [
        put(tool(bed_outline(folder), 0.0, -500.0, 800.0)),
        put(tool(beam_outline(folder, T), 0.0, -500.0, 800.0)),
        put(tool(finger_outline(folder, T), 0.0, low, low + wide)),
        cq.Solid.extrudeLinear(face, cq.Vector(1300.0, 0.0, 0.0)),
    ]


def overlap(plan: PartPlan, step: FoldStep, angle: float, folder: Folder = FOLD) -> float:
    """Volume part and machine share at ``angle``, mm³."""
    _, laid = laid_at(plan, step)
    every = machine(folder, step, angle, laid.length)
    return sum(shared(piece, each) for piece in metal(laid, angle) for each in every)


@pytest.mark.parametrize(
    "plan",
    [zed(41.1, 50.0), one_lip(28.9)],
    ids=["zed", "box with a lip"],
)
def test_no_step_that_is_found_shares_volume_with_the_machine(plan: PartPlan) -> None:
    sequence = folded(plan)
    assert sequence.found
    for step in sequence.steps[-2:]:
        assert isinstance(step, FoldStep)
        for share in (0.0, 0.6, 1.0):
            assert overlap(plan, step, share * step.angle_rad) < 1e-3, (step.bend, share)


@pytest.mark.parametrize(
    ("plan", "like", "tool_name"),
    [
        (channel(50.0, 36.0), channel(50.0, 28.9), "fingers"),
        (zed(36.0, 50.0), zed(41.1, 50.0), "leaf"),
        (box(200.0, 240.0, 105.0), box(200.0, 240.0, 95.0), "beam"),
    ],
)
def test_what_is_refused_shares_volume_where_it_is_said_to(
    plan: PartPlan, like: PartPlan, tool_name: str
) -> None:
    tall = replace(FOLD, lift_mm=400.0)
    made = next(
        s for s in folded(like, tall).steps if isinstance(s, FoldStep) and len(s.done) == len(plan.bends) - 1
    )
    refused = [r for r in folded(plan, tall).refusals if r.why == "meets" and r.tool == tool_name]
    assert refused
    # the like part's way of making that bend, with this part's flanges
    assert max(overlap(plan, made, share * math.pi / 2, tall) for share in (0.0, 0.5, 1.0)) > 1.0


def test_at_the_end_every_flange_lies_as_in_the_folded_part() -> None:
    plan = hat(80.0, 45.0, 20.0)
    step = folded(plan).steps[-1]
    _, laid = laid_at(plan, step)
    lie_as_folded(plan, moved(((laid.rear, np.eye(4)), (laid.front, swung(step.angle_rad)))))
