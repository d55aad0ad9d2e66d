"""The folded profile as seen along its bends: chains of flanges joined by parallel bends, as one outline.

A chain is walked with the sheet's upper side on the left, so that an up bend turns left. Flange after flange
follows at its flat length, bend after bend at its angle and inside radius; what is narrower is not shown.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.geometry.contours import Placement, bounds, transformed
from generators.model.contour import Contour, Vertex
from generators.model.plan import Bend, Flange, PartPlan
from generators.sheetmetal.allowance import setback

Point = tuple[float, float]

OPPOSITE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One flange of a chain: its flat length, and its length outside to where outside faces meet, mm."""

    name: str
    flat_mm: float
    outside_mm: float
    cut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Legs and the bends between them: ``turns`` are signed angles in rad, left positive."""

    legs: tuple[Leg, ...]
    bends: tuple[Bend, ...]
    turns: tuple[float, ...]
    thickness_mm: float

    def path(self) -> tuple[list[Vertex], list[Vertex]]:
        """The right side of the sheet and, walked back, its left side; the chain begins at (0, 0) along u."""
        t = self.thickness_mm
        right, left = [], []
        u = v = heading = 0.0
        for i, leg in enumerate(self.legs):
            c, s = math.cos(heading), math.sin(heading)
            end = u + leg.flat_mm * c, v + leg.flat_mm * s
            turn = self.turns[i] if i < len(self.turns) else 0.0
            bulge = math.tan(turn / 4)
            right += [Vertex(u, v), Vertex(*end, bulge)]
            left += [Vertex(u - t * s, v + t * c, 0.0), Vertex(end[0] - t * s, end[1] + t * c, bulge)]
            if turn:
                # about the axis on the side it turns to, the right side at its own radius
                inside = self.bends[i].inside_radius_mm
                reach = t + inside if turn > 0 else -inside
                axis = end[0] - reach * s, end[1] + reach * c
                heading += turn
                u, v = axis[0] + reach * math.sin(heading), axis[1] - reach * math.cos(heading)
        return right, left

    def outline(self) -> Contour:
        """The closed outline, counter-clockwise: along the right side and back on the left."""
        right, left = self.path()
        back = []
        for i in range(len(left) - 1, -1, -1):
            # walked back, a segment has the bulge its other end had, the other way round
            back.append(Vertex(left[i].u, left[i].v, -left[i - 1].bulge if i else 0.0))
        return Contour((*right[:-1], Vertex(right[-1].u, right[-1].v), *back))


def chains(plan: PartPlan) -> list[Chain]:
    """Every profile of a part, the longest first. Hems are left out."""
    left = [b for b in plan.bends if b.angle_rad < math.pi - OPPOSITE]
    found: list[Chain] = []
    while left:
        best = max((_longest(plan, left, b) for b in left), key=len)
        found.append(_chain(plan, best))
        left = [b for b in left if b not in best]
    return found


def shortened(chain: Chain, most_mm: float) -> Iterator[Chain]:
    """The bends of a chain one by one, each with its two legs cut off at ``most_mm``."""
    for i, bend in enumerate(chain.bends):
        legs = []
        for leg in chain.legs[i : i + 2]:
            short = min(leg.flat_mm, most_mm)
            legs.append(Leg(name=leg.name, flat_mm=short, outside_mm=leg.outside_mm, cut=short < leg.flat_mm))
        yield Chain(legs=tuple(legs), bends=(bend,), turns=(chain.turns[i],), thickness_mm=chain.thickness_mm)


def outward(bend: Bend, flange: str) -> tuple[Point, Point]:
    """A point of a bend's tangent line on one of its flanges, and the direction over it off the flange."""
    length = math.dist(bend.start, bend.end)
    if flange == bend.child:
        return (length / 2, 0.0), (0.0, -1.0)
    normal = (bend.end[1] - bend.start[1]) / length, -(bend.end[0] - bend.start[0]) / length
    return ((bend.start[0] + bend.end[0]) / 2, (bend.start[1] + bend.end[1]) / 2), normal


def _longest(plan: PartPlan, bends: Sequence[Bend], start: Bend) -> list[Bend]:
    """The chain through a bend: on across each flange to a bend on its opposite, parallel side."""
    out = [start]
    for flange, at_end in ((start.child, True), (start.parent, False)):
        here, last = flange, start
        while True:
            away = outward(last, here)[1]
            following = next(
                (
                    b
                    for b in bends
                    if b not in out
                    and here in (b.parent, b.child)
                    and math.dist(outward(b, here)[1], (-away[0], -away[1])) < OPPOSITE
                ),
                None,
            )
            if following is None:
                break
            out = [*out, following] if at_end else [following, *out]
            last, here = following, following.child if here == following.parent else following.parent
    return out


def _chain(plan: PartPlan, bends: Sequence[Bend]) -> Chain:
    first = bends[0]
    if len(bends) > 1:
        shared = {first.parent, first.child} & {bends[1].parent, bends[1].child}
        start = first.parent if first.child in shared else first.child
    else:
        start = first.parent
    names = [start]
    for bend in bends:
        names.append(bend.child if names[-1] == bend.parent else bend.parent)
    legs = []
    for i, name in enumerate(names):
        own = [*bends[max(0, i - 1) : i], *bends[i : i + 1]]
        flat = _flat_length(plan.flange(name), own)
        outside = flat + sum(setback(b.angle_rad, b.inside_radius_mm, plan.thickness_mm) for b in own)
        legs.append(Leg(name=name, flat_mm=flat, outside_mm=outside))
    turns = tuple(b.angle_rad if b.direction == "up" else -b.angle_rad for b in bends)
    return Chain(legs=tuple(legs), bends=tuple(bends), turns=turns, thickness_mm=plan.thickness_mm)


def _flat_length(flange: Flange, own: Sequence[Bend]) -> float:
    """From tangent line to tangent line, or to the farthest edge."""
    (u, v), (nu, nv) = outward(own[0], flange.name)
    if len(own) > 1:
        (x, y), _ = outward(own[1], flange.name)
        return (u - x) * nu + (v - y) * nv
    turned = transformed(flange.contour, Placement(angle=-math.atan2(-nv, -nu)))
    return bounds(turned)[2] - (-nu * u - nv * v)
