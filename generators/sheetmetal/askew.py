"""What a bend line askew shifts along its fold, and how far it may be askew for that.

A line askew by an angle shifts a hole along its fold by that angle times the hole's distance from the line,
and hardly lifts it: heights over the root, angles and outside lengths stay as drawn. So holes of a bent
flange are tied to those of the flange it is bent off, along the fold.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Hole, PartPlan
from generators.sheetmetal.folding import bend_allowance, bend_axis, bend_length, folded_frames
from generators.sheetmetal.in_line import BORED, worst_across
from generators.sheetmetal.seams import seams

ALIKE = 1e-6
SAME_MM = 0.01
"""Bores nearer to one line than that are in line, as for the shaft through them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """A hole by its number, the flange it is in, and its ``centre`` in the root's frame, mm."""

    number: int
    flange: str
    hole: Hole
    centre: Matrix


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """A hole bent off another flange (``own``) and one of that (``first``), mm along the fold's ``axis``."""

    own: End
    first: End
    along_mm: float
    axis: Matrix


def ties_of(plan: PartPlan) -> Iterator[Tie]:
    """Those ties, each with its fold, in the order of the flanges."""
    frames = folded_frames(plan)
    ends: dict[str, list[End]] = {}
    number = 0
    for flange in plan.flanges:
        for hole in flange.holes:
            number += 1
            centre = apply(frames[flange.name], np.array([[hole.u_mm, hole.v_mm, 0.0]]))[0]
            end = End(number=number, flange=flange.name, hole=hole, centre=centre)
            ends.setdefault(flange.name, []).append(end)
    bends = {bend.child: bend for bend in plan.bends if bend.angle_rad < math.pi - ALIKE}
    before: list[Tie] = []
    for flange in plan.flanges:
        bend = bends.get(flange.name)
        if bend is None or bend.parent not in ends:
            continue
        axis = bend_axis(frames, bend)
        near = ends[bend.parent]
        near = [end for end in near if end.hole.mates] or near
        for own in _furthest_out(ends.get(flange.name, [])):
            shared = [t.own for t in before if t.own.flange == bend.parent and _in_line(plan, own, t.first)]
            for onto in (shared, near):
                reach = [round(abs(float((own.centre - end.centre) @ axis)), 6) for end in onto]
                along = max(reach, default=0.0)
                if along > plan.bent_mm:
                    first = onto[reach.index(along)]
                    before.append(Tie(own=own, first=first, along_mm=along, axis=axis))
                    yield before[-1]
                    break


def pairs_in_line(plan: PartPlan, ties: Sequence[Tie]) -> Iterator[tuple[Tie, Tie]]:
    """Each two ties from one hole, or one from the other's, to bores that one shaft goes through."""
    for a, b in itertools.combinations(ties, 2):
        others = _from_one_hole(a, b)
        if others is not None and _in_line(plan, *others):
            yield a, b


@lru_cache(maxsize=256)
def askew_most_rad(plan: PartPlan) -> Mapping[str, float]:
    """How far each bend's line may be askew, rad, for all that is inspected along its fold, by its name.

    End to end it may be off by what a bent length may; so may each tied hole, and two of one shaft by
    ``worst_across`` against one another, their lines askew against each other at worst. An edge that is
    welded comes no further than the blank's edges may lie off, else its gap closes or opens.
    """
    bends = {bend.child: bend for bend in plan.bends}
    most = {bend.name: plan.bent_mm / bend_length(bend) for bend in plan.bends}

    def limit(flange: str, within_mm: float, far_mm: float) -> None:
        if far_mm > ALIKE:
            name = bends[flange].name
            most[name] = min(most[name], within_mm / far_mm)

    ties = tuple(ties_of(plan))
    apart = {id(t): _across(plan, bends[t.own.flange], t) for t in ties}
    for t in ties:
        limit(t.own.flange, plan.bent_mm, apart[id(t)])
    for a, b in pairs_in_line(plan, ties):
        for t in (a, b):
            limit(t.own.flange, worst_across(plan.position_mm), apart[id(a)] + apart[id(b)])
    for _, seam in seams(plan):
        if seam is not None and seam.edge in bends:
            half = bend_allowance(bends[seam.edge], plan.thickness_mm) / 2
            limit(seam.edge, plan.position_mm, max(v for _, v in seam.ends) + half)
    return MappingProxyType(most)


def _across(plan: PartPlan, bend: Bend, tie: Tie) -> float:
    """How far the two holes of a tie lie apart on the blank, square to the bend between them, mm."""
    (au, av), (bu, bv) = bend.start, bend.end
    first = tie.first.hole
    # the bent flange begins on its own u axis, and its parent lies to the left of the line
    inside = ((bu - au) * (first.v_mm - av) - (bv - av) * (first.u_mm - au)) / bend_length(bend)
    return tie.own.hole.v_mm + bend_allowance(bend, plan.thickness_mm) + inside


def _furthest_out(holes: list[End]) -> list[End]:
    """The bores of a flange, else the one hole that a bend line askew shifts most."""
    bores = [end for end in holes if end.hole.fitting.kind in BORED]
    return bores or sorted(holes, key=lambda end: -round(abs(end.hole.v_mm), 6))[:1]


def _from_one_hole(a: Tie, b: Tie) -> tuple[End, End] | None:
    """The other ends of two ties from one hole, be it of the flange that both are bent off, or of one that is
    bent off the first bore's flange and that the second's is bent off."""
    if a.first.number == b.first.number:
        return a.own, b.own
    return (a.first, b.own) if a.own.number == b.first.number else None


def _in_line(plan: PartPlan, a: End, b: End) -> bool:
    """Whether one shaft goes through both."""
    if a.flange == b.flange or not {a.hole.fitting.kind, b.hole.fitting.kind} <= set(BORED):
        return False
    axis = folded_frames(plan)[a.flange][:3, 2]
    step = b.centre - a.centre
    return float(np.linalg.norm(step - (step @ axis) * axis)) <= SAME_MM
