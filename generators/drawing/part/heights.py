"""Heights of openings over the root of a bent part, and what they may be off, for drawing and inspection.

A flange at a bend that is not square leans, and a degree there lifts its openings by far more than a bent
length may be off. Limits stack what the drawing lets bent lengths and angles be off.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np

from generators.drawing.pack.entries import numbers_in_words
from generators.drawing.part.profile import mould_line
from generators.drawing.part.tables.callouts import least_off, most_off
from generators.drawing.part.tables.openings import Opening
from generators.figures import fixed
from generators.geometry.frames import Matrix, apply, turned_about
from generators.model.plan import Bend, Hole, PartPlan, Slot
from generators.sheetmetal.folding import bends_above, folded_frames, past_limit

SQUARE_RAD = math.radians(0.01)
LEAST_SINE = 0.02
"""Flanges nearer to parallel than that, about a degree, have no height one over the other."""

PLACES = 2


def oblique(bends: Sequence[Bend]) -> bool:
    """True where one of them is not square."""
    return any(abs(b.angle_rad - math.pi / 2) > SQUARE_RAD for b in bends)


def leaning(normal_z: float) -> bool:
    """True for a flange whose normal has that share along the root's: one that openings have a height in."""
    return math.sqrt(max(0.0, 1 - normal_z**2)) >= LEAST_SINE


def stacked_heights(plan: PartPlan, openings: Sequence[Opening]) -> Iterator[str]:
    """The drawing's line on heights that angles and lengths stack up to, mm; none where all bends are square.

    ``openings`` are all of the part as the drawing numbers them. Limits are the inspection sheet's.
    """
    frames = folded_frames(plan)
    own: list[tuple[str, Hole | Slot]] = [(f.name, h) for f in plan.flanges for h in f.holes]
    own += [(f.name, slot) for f in plan.flanges for slot in f.slots]
    each: dict[tuple[str, str], list[str]] = {}
    for number, ((flange, item), o) in enumerate(zip(own, openings, strict=True), 1):
        leans = leaning(float(frames[flange][2, 2])) and oblique(bends_above(plan, flange))
        if o.height_mm is None or not leans:
            continue
        lower, upper = height_off(plan, flange, item)
        high = float(fixed(o.height_mm, PLACES))
        limits = fixed(high + least_off(lower, PLACES), PLACES), fixed(high + most_off(upper, PLACES), PLACES)
        each.setdefault(limits, []).append(str(number))
    if each:
        said = (f"of {numbers_in_words(those)}: {low} to {top}" for (low, top), those in each.items())
        yield f"H {'; '.join(said)}, by angles and lengths."


def height_off(plan: PartPlan, flange: str, item: Hole | Slot) -> tuple[float, float]:
    """How far an opening's height over the root may be off on the outer side of its flange, mm.

    On square bends alone it is the drawing's bent length. Else each angle on the way may be off, and each
    outside length up to the opening. With outside lengths as they are a bend farther turns what is beyond
    about the line where its outer faces meet.
    """
    bends, frames = bends_above(plan, flange)[::-1], folded_frames(plan)
    if not oblique(bends):
        return -plan.bent_mm, plan.bent_mm
    side = 0.0 if bends[-1].direction == "up" else plan.thickness_mm
    centre = apply(frames[flange], np.array([[item.u_mm, item.v_mm, side]]))[0]
    lines = [_mould(plan, frames, b) for b in bends]
    outward = [frames[b.parent][:3, :3] @ np.array([*_normal(b), 0.0]) for b in bends[1:]]
    outward.append(frames[flange][:3, 1])
    heights: list[float] = []
    for turns in itertools.product(*((-plan.bent_rad, 0.0, past_limit(plan, b)) for b in bends)):
        turned = [turned_about(np.eye(3), axis, by).T for (_, axis), by in zip(lines, turns, strict=True)]
        at = centre
        for (point, _), turn in reversed(list(zip(lines, turned, strict=True))):
            at = point + turn @ (at - point)
        play, whole = 0.0, np.eye(3)
        for turn, way in zip(turned, outward, strict=True):
            whole = whole @ turn
            play += abs(float((whole @ way)[2])) * plan.bent_mm
        heights += [float(at[2]) - play, float(at[2]) + play]
    return min(heights) - float(centre[2]), max(heights) - float(centre[2])


def _normal(bend: Bend) -> tuple[float, float]:
    """Out of the parent, square to the bend, in its frame."""
    long = math.dist(bend.start, bend.end)
    return (bend.end[1] - bend.start[1]) / long, (bend.start[0] - bend.end[0]) / long


def _mould(plan: PartPlan, frames: dict[str, Matrix], bend: Bend) -> tuple[Matrix, Matrix]:
    """A point of the line where a bend's outer faces meet, and its direction: about it one bends on."""
    (u, v), (nu, nv) = mould_line(bend, bend.parent, plan.thickness_mm)
    up = bend.direction == "up"
    point = apply(frames[bend.parent], np.array([[u, v, 0.0 if up else plan.thickness_mm]]))[0]
    # a turn about this axis takes the way out of the parent to where the bend goes
    axis = np.array([nv, -nu, 0.0]) if up else np.array([-nv, nu, 0.0])
    return point, frames[bend.parent][:3, :3] @ axis
