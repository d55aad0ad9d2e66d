"""What ties the holes of a flange to those it is bent off, along the fold: a bend line askew shows there.

A line askew by an angle shifts a hole along its fold by that angle times the hole's distance from the line,
and hardly lifts it: heights over the root, angles and outside lengths stay as drawn.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from generators.drawing.inspection.item import Item, length
from generators.drawing.part.profile import bend_axis
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Hole, PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.in_line import BORED, worst_across

GAUGE = "height gauge, fold upright"
READ = "the two readings"
ALIKE = 1e-6
SAME_MM = 0.01
"""Bores nearer to one line than that are in line, as for the shaft through them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tie:
    """A hole bent off another flange and a hole of that one; ``centre`` in the root's frame, mm."""

    number: int
    child: str
    hole: Hole
    centre: Matrix
    first: int
    parent: str
    along_mm: float


def tied(plan: PartPlan) -> Iterator[Item]:
    """Each bore of a flange, else its hole furthest out, from a hole of the flange it is bent off, along the
    fold, within the drawing's bent length; then what two bores in line differ by, within what the drawing's
    shaft allows. Nothing where no hole there lies further along the fold than a bent length may be off.
    """
    ties = tuple(_ties(plan))
    off = (-plan.bent_mm, plan.bent_mm)
    for t in ties:
        one, other = (name.replace("_", " ") for name in (t.parent, t.child))
        what = f"hole {t.first} to hole {t.number} along the fold of {one} and {other}, a pin in each"
        yield length(f"M{t.number}", what, GAUGE, t.along_mm, off, bent=True)
    count = 0
    for a, b in itertools.combinations(ties, 2):
        if a.first == b.first and _in_line(plan, a, b):
            count += 1
            what = f"difference of M{a.number} and M{b.number}: more, and a bend line is askew"
            within = (0.0, worst_across(plan.position_mm))
            yield length(f"X{count}", what, READ, 0.0, within, bent=True)


def _ties(plan: PartPlan) -> Iterator[_Tie]:
    frames = folded_frames(plan)
    numbers: dict[str, list[tuple[int, Hole, Matrix]]] = {}
    number = 0
    for flange in plan.flanges:
        for hole in flange.holes:
            number += 1
            centre = apply(frames[flange.name], np.array([[hole.u_mm, hole.v_mm, 0.0]]))[0]
            numbers.setdefault(flange.name, []).append((number, hole, centre))
    bends = {bend.child: bend for bend in plan.bends if bend.angle_rad < math.pi - ALIKE}
    for flange in plan.flanges:
        bend = bends.get(flange.name)
        if bend is None or bend.parent not in numbers:
            continue
        axis = bend_axis(frames, bend)
        near = numbers[bend.parent]
        near = [row for row in near if row[1].mates] or near
        for number, hole, centre in _furthest_out(numbers.get(flange.name, [])):
            reach = [round(abs(float((centre - c) @ axis)), 6) for _, _, c in near]
            along = max(reach)
            if along > plan.bent_mm:
                yield _Tie(
                    number=number,
                    child=flange.name,
                    hole=hole,
                    centre=centre,
                    first=near[reach.index(along)][0],
                    parent=bend.parent,
                    along_mm=along,
                )


def _furthest_out(holes: list[tuple[int, Hole, Matrix]]) -> list[tuple[int, Hole, Matrix]]:
    """The bores of a flange, else the one hole that a bend line askew shifts most."""
    bores = [row for row in holes if row[1].fitting.kind in BORED]
    return bores or sorted(holes, key=lambda row: -round(abs(row[1].v_mm), 6))[:1]


def _in_line(plan: PartPlan, a: _Tie, b: _Tie) -> bool:
    """Whether one shaft goes through both."""
    if a.child == b.child or not {a.hole.fitting.kind, b.hole.fitting.kind} <= set(BORED):
        return False
    axis = folded_frames(plan)[a.child][:3, 2]
    step = b.centre - a.centre
    return float(np.linalg.norm(step - (step @ axis) * axis)) <= SAME_MM
