"""Steps the search finds, and one it refuses, confirmed with booleans of exact solids; poses against the folded part."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest
from bending_solids import AIR_MM, laid_at, lie_as_folded, moved, plate, shared, tool
from bent_parts import ONE, TWO, K, R, T, bend, box, channel, eared, hat, last, order, plan_of, zed

from generators.bending.legs import Laid, Plate
from generators.bending.steps import Step
from generators.bending.stroke import Stroke
from generators.bending.tools import die_outline, plain_die, punch_outline, ram_outline, table_outline
from generators.geometry.contours import polygon
from generators.geometry.frames import Matrix
from generators.model.plan import PartPlan
from generators.model.spec.tools.press import Brake


def turned(stroke: Stroke, h: float, rear: bool) -> Matrix:
    """The motion of a leg in space, written down anew: a turn about the bend's axis, which itself comes down.

    The flat sheet's neutral fibre loses ``h (R + K t)`` to the arc on this side.
    """
    side = 1.0 if rear else -1.0
    die, r = stroke.die, stroke.die.shoulder_radius_mm
    slope = math.pi / 2 - die.angle_rad / 2
    centre = die.opening_mm / 2 + r * math.tan(slope / 2)
    # the outer face is a tangent of the shoulder's circle about (centre, -r)
    mould = (r - centre * math.sin(h) - r * math.cos(h)) / math.cos(h)
    axis = mould + (R + T) / math.cos(h)
    back = np.eye(4)
    back[1, 3], back[2, 3] = -side * h * (R + K * T), -(R + T)
    turn = np.eye(4)
    c, s = math.cos(h), side * math.sin(h)
    turn[1:3, 1:3] = ((c, -s), (s, c))
    up = np.eye(4)
    up[2, 3] = axis
    out: Matrix = up @ turn @ back
    return out


def metal(laid: Laid, stroke: Stroke, h: float) -> Iterator[cq.Solid]:
    """All plates of the part at ``h``: what stands off whole, flat metal less its skin."""
    for leg, rear in ((laid.rear, True), (laid.front, False)):
        move = turned(stroke, h, rear)
        for piece in leg.pieces:
            if isinstance(piece, Plate):
                yield plate(piece.outline, move @ piece.frame, 0.0, piece.thickness)
        for _, flat in leg.flats:
            yield plate(flat, move, AIR_MM, T - AIR_MM)


def tools(step: Step, brake: Brake, stroke: Stroke, h: float, long: float) -> list[cq.Solid]:
    punch = next(p for p in brake.punch if p.name == step.punch)
    die = brake.die[0]
    wide, deep = math.fsum(step.punch_pieces_mm), math.fsum(step.die_pieces_mm)
    tip = stroke.tip_z(h)
    return [
        tool(punch_outline(punch, step.turned), tip, (long - wide) / 2, (long + wide) / 2),
        tool(ram_outline(brake, punch.height_mm), tip, -500.0, 500.0),
        tool(die_outline(die), 0.0, (long - deep) / 2, (long + deep) / 2),
        tool(table_outline(brake, die.height_mm), 0.0, -500.0, 500.0),
    ]


def overlap(plan: PartPlan, step: Step, brake: Brake, h: float) -> float:
    """Volume part and tools share at ``h``, mm³."""
    bend, laid = laid_at(plan, step)
    stroke = Stroke(
        angle_rad=bend.angle_rad, radius_mm=R, thickness_mm=T, neutral_mm=R + K * T, die=brake.die[0]
    )
    every = tools(step, brake, stroke, h, laid.length)
    return sum(shared(piece, each) for piece in metal(laid, stroke, h) for each in every)


@pytest.mark.parametrize(
    ("plan", "brake"),
    [
        (hat(94.0, 47.0, 20.0, inward=True), TWO),
        (zed(20.0, 40.0), ONE),
        (box(120.0, 160.0, 40.0), ONE),
    ],
    ids=["lipped channel", "zed", "box"],
)
def test_no_step_that_is_found_shares_volume_with_a_tool(plan: PartPlan, brake: Brake) -> None:
    sequence = order(plan, brake)
    assert sequence.found
    for step in sequence.steps:
        for share in (0.0, 0.6, 1.0):
            assert overlap(plan, step, brake, share * step.angle_rad / 2) < 1e-3, (step.bend, share)


ACUTE = replace(
    TWO,
    die=(plain_die(24.0, math.radians(30)),),
    punch=tuple(replace(p, angle_rad=math.radians(28)) for p in TWO.punch),
)


def askew() -> PartPlan:
    """A web whose sides lean by 20 and 12 degrees, each with a cheek, bent by 135 and 50 degrees."""
    corners = [(0.0, 0.0), (140.0, 0.0), (176.4, 100.0), (-21.3, 100.0)]
    right, left = (math.dist(corners[i], corners[j]) for i, j in ((1, 2), (3, 0)))
    plan = plan_of({"web": (1.0, 1.0), "right": (right, 40.0), "left": (left, 45.0)}, [])
    web = replace(plan.flanges[0], contour=polygon(corners))
    bends = (
        bend("r", "web", "right", corners[1], corners[2], angle_rad=math.radians(135)),
        bend("l", "web", "left", corners[3], corners[0], angle_rad=math.radians(50)),
    )
    return replace(plan, flanges=(web, *plan.flanges[1:]), bends=bends)


@pytest.mark.parametrize(
    "plan",
    [channel(120.0, 40.0, angle_rad=math.radians(135)), zed(60.0, 45.0), askew()],
    ids=["135 degrees", "acute tools", "askew"],
)
def test_nor_at_other_angles_and_on_bends_that_are_not_square(plan: PartPlan) -> None:
    # at a slanted end a corner of the web does not reach the shoulder, which is another rule
    sequence = order(plan, ACUTE, supported=False)
    assert sequence.found
    for step in sequence.steps:
        for share in (0.0, 0.6, 1.0):
            assert overlap(plan, step, ACUTE, share * step.angle_rad / 2) < 1e-3, (step.bend, share)


def test_what_is_refused_shares_volume_where_it_is_said_to() -> None:
    # inside 46 wide, 63 deep: said to meet the straight punch, 1 mm of air wanted; a few degrees later it is in it
    plan = channel(40.0, 60.0)
    found = order(channel(200.0, 60.0))
    last = found.steps[1]
    refusal = next(r for r in order(plan).refusals if r.bend == last.bend and r.why == "meets")
    assert refusal.tool == "punch"
    half = refusal.angle_rad / 2
    assert overlap(plan, last, ONE, half - math.radians(0.5)) < 1e-3
    assert overlap(plan, last, ONE, half + math.radians(3)) > 1.0


def test_flat_metal_that_swings_down_shares_volume_with_a_longer_die_alone() -> None:
    # 5 mm beside the bend: a die 4 past its ends is free all the way, one 6 past it is in the web
    plan = eared(5.0, 40.0)
    for step in last(plan, "r"):
        assert isinstance(step, Step)
        free, long = (replace(step, die_pieces_mm=(100.0 + 2 * past,)) for past in (4.0, 6.0))
        for share in (0.0, 0.6, 1.0):
            assert overlap(plan, free, ONE, share * step.angle_rad / 2) < 1e-3
            assert (overlap(plan, long, ONE, share * step.angle_rad / 2) > 1.0) is (share > 0.0)


@pytest.mark.parametrize(
    "plan", [hat(80.0, 40.0, 30.0), box(160.0, 200.0, 45.0, lip=20.0)], ids=["hat", "box"]
)
def test_at_the_end_every_flange_lies_as_in_the_folded_part(plan: PartPlan) -> None:
    step = order(plan, TWO).steps[-1]
    bend, laid = laid_at(plan, step)
    stroke = Stroke(
        angle_rad=bend.angle_rad, radius_mm=R, thickness_mm=T, neutral_mm=R + K * T, die=TWO.die[0]
    )
    legs = ((laid.rear, True), (laid.front, False))
    lie_as_folded(plan, moved((leg, turned(stroke, stroke.half, rear)) for leg, rear in legs))
