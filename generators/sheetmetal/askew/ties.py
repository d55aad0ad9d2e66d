"""What ties the holes of a flange to those it is bent off, along the fold: a bend line askew shows there.

A line askew by an angle shifts a hole along its fold by that angle times the hole's distance from the line,
and hardly lifts it: heights over the root, angles and outside lengths stay as drawn.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.model.plan import Hole, PartPlan
from generators.sheetmetal.folding import bend_axis, folded_frames
from generators.sheetmetal.in_line import BORED

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
