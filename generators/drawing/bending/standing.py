"""How a bent part stands on its profile: what of its metal touches the paper, on which edge of the blank.

Looked at along its bends a part has the profile, but where sides slope or other flanges are in the way only
some of it comes down to the paper. The part stands on whichever end brings more of the profile down; it does
not stand on it where a bend of the profile stays off the paper, since then its angle cannot be seen. A card
is cut out then, for the side of the metal where less of the part is in its way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely import LineString, MultiPoint, Polygon, segmentize
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from generators.drawing.bending.blank import on_side, sides_of
from generators.drawing.bending.chains import Chain, outward
from generators.geometry.contours import polyline, segments
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Flange, PartPlan
from generators.sheetmetal.folding import bend_length, flat_pattern, folded_frames

Point = tuple[float, float]
Span = tuple[float, float]

TOUCH_MM = 0.01
"""What is so near touches. Ours."""

OVER_MM, BESIDE_MM = 20.0, 0.5
"""A flange is told of that hides so much of the line so far beside the metal from above. Ours."""

ARC_STEPS, FINE_MM = 24, 0.05
STATION_MM = 1.0
"""How near to each other, along the bends, room for the edge of a card is looked for. Ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """For each leg the spans that touch, mm from its first end as the chain is walked.

    ``mirrored`` where the profile seen from above is the chain's own outline turned over. ``edges`` are the
    letters at both ends of each edge of the blank that it stands on. ``over`` are other flanges that hide
    some of the outline for who looks down on it.
    """

    spans: tuple[tuple[Span, ...], ...]
    mirrored: bool
    edges: tuple[tuple[str, str], ...]
    over: tuple[str, ...] = ()

    @property
    def touching_mm(self) -> float:
        """How much of the legs touches."""
        return sum(b - a for leg in self.spans for a, b in leg)

    @property
    def on(self) -> str:
        """Its edges in words: ``a to b and c to d``."""
        return " and ".join(f"{a} to {b}" for a, b in self.edges)


def standing(plan: PartPlan, chain: Chain) -> Standing | None:
    """How the part stands on a profile, on the better of its two ends; None where it does not."""
    found = [s for way in (1.0, -1.0) if (s := _on_end(plan, chain, way)) is not None]
    return max(found, key=lambda s: s.touching_mm, default=None)


def upper_is_free(plan: PartPlan, chain: Chain) -> bool:
    """True where a card cut out is held to the upper side of the sheet, false for the lower one.

    The side with room for the card over more of the bends' length. Where they are alike it is the outside,
    which the lengths are given to; where bends turn both ways it is the lower side.
    """
    upper, lower = (_room(plan, chain, up=up) for up in (True, False))
    if upper == lower:
        return all(turn < 0 for turn in chain.turns)
    return upper > lower


def _room(plan: PartPlan, chain: Chain, *, up: bool) -> int:
    """At how many stations along the bends nothing but the chain itself is on that side of it."""
    frames, t = folded_frames(plan), plan.thickness_mm
    on: list[Matrix] = [np.array(np.linalg.inv(frames[leg.name]), dtype=float) for leg in chain.legs]
    within = all((turn > 0) == up for turn in chain.turns)
    first = frames[chain.bends[0].child]
    start, along = first[:3, 3], first[:3, 0]
    stations = np.arange(STATION_MM / 2, bend_length(chain.bends[0]), STATION_MM)
    free = np.ones(len(stations), dtype=bool)
    own = {leg.name for leg in chain.legs}
    for flange in plan.flanges:
        if flange.name in own:
            continue
        rim = np.array(segmentize(LineString(_rim(flange)), STATION_MM / 2).coords)
        for w in (0.0, t):
            points = apply(frames[flange.name], np.column_stack([rim, np.full(len(rim), w)]))
            heights = np.array([apply(inverse, points)[:, 2] for inverse in on])
            past = heights > t + TOUCH_MM if up else heights < -TOUCH_MM
            there = np.all(past, axis=0) if within else np.any(past, axis=0)
            if there.any():
                x = (points[there] - start) @ along
                free &= (stations < x.min() - STATION_MM) | (stations > x.max() + STATION_MM)
    return int(free.sum())


def _on_end(plan: PartPlan, chain: Chain, way: float) -> Standing | None:
    frames = folded_frames(plan)
    down: Matrix = way * (frames[chain.bends[0].child][:3, :3] @ np.array([1.0, 0.0, 0.0]))
    lowest = max(float(np.max(points @ down)) for points in _metal(plan, frames))

    def touches(flange: str, *points: Point) -> bool:
        there = apply(frames[flange], np.array([(u, v, 0.0) for u, v in points]))
        return bool(np.all(there @ down > lowest - TOUCH_MM))

    if not all(touches(b.child, (0.0, 0.0)) or touches(b.child, (bend_length(b), 0.0)) for b in chain.bends):
        return None
    spans, named = [], []
    flat = flat_pattern(plan)
    for index, leg in enumerate(chain.legs):
        flange = plan.flange(leg.name)
        (u0, v0), (nu, nv) = outward(chain.bends[max(index - 1, 0)], leg.name)
        own = []
        for a, b in segments(flange.contour):
            if a.bulge or not touches(leg.name, (a.u, a.v), (b.u, b.v)):
                continue
            ends = sorted((u0 - p.u) * nu + (v0 - p.v) * nv for p in (a, b))
            if not index:
                ends = [leg.flat_mm - ends[1], leg.flat_mm - ends[0]]
            low, high = max(ends[0], 0.0), min(ends[1], leg.flat_mm)
            if high - low > TOUCH_MM:
                own.append((low, high))
                middle = (a.u + b.u) / 2, (a.v + b.v) / 2
                named.append(flat.placements[leg.name].apply(*middle))
        spans.append(tuple(sorted(own)))
    edges = tuple(pair for pair, side in sides_of(flat) if any(on_side(p, *side) for p in named))
    first = chain.legs[0].name
    nu, nv = outward(chain.bends[0], first)[1]
    walked = frames[first][:3, :3] @ np.array([nu, nv, 0.0])
    # the walk to the right and the upper side up, as the outline is drawn, look at the reader along this
    toward = np.cross(walked, frames[first][:3, 2])
    return Standing(
        spans=tuple(spans),
        mirrored=bool(float(toward @ down) > 0),
        edges=edges,
        over=_over(plan, chain, frames),
    )


def _over(plan: PartPlan, chain: Chain, frames: dict[str, Matrix]) -> tuple[str, ...]:
    """The flanges beside the profile whose shadow along its bends covers ``OVER_MM`` beside its legs.

    All other metal is above the paper, whichever end is down.
    """
    onto: Matrix = frames[chain.bends[0].child][:3, 1:3]
    own, lines = {leg.name for leg in chain.legs}, []
    for index, leg in enumerate(chain.legs):
        (u, v), (nu, nv) = outward(chain.bends[max(index - 1, 0)], leg.name)
        for w in (-BESIDE_MM, plan.thickness_mm + BESIDE_MM):
            ends = np.array([(u, v, w), (u - nu * leg.flat_mm, v - nv * leg.flat_mm, w)])
            lines.append(LineString(apply(frames[leg.name], ends) @ onto))
    found = []
    for flange in plan.flanges:
        if flange.name in own:
            continue
        bends = [b for b in plan.bends if flange.name in (b.parent, b.child)]
        shadows = [_bend_shadow(plan, bend, frames, onto) for bend in bends]
        shadow = unary_union([_shadow(plan, flange, frames, onto), *shadows])
        if sum(line.intersection(shadow).length for line in lines) > OVER_MM:
            found.append(flange.name)
    return tuple(found)


def _shadow(plan: PartPlan, flange: Flange, frames: dict[str, Matrix], onto: Matrix) -> BaseGeometry:
    """A flange seen along an axis: both faces, and the edges between them."""
    rim = _rim(flange)
    low, high = (
        apply(frames[flange.name], np.array([(u, v, w) for u, v in rim])) @ onto
        for w in (0.0, plan.thickness_mm)
    )
    walls = [
        MultiPoint([low[i - 1], low[i], high[i], high[i - 1]]).convex_hull.buffer(TOUCH_MM)
        for i in range(len(rim))
    ]
    return unary_union([*walls, *(Polygon(face).buffer(TOUCH_MM) for face in (low, high))])


def _bend_shadow(plan: PartPlan, bend: Bend, frames: dict[str, Matrix], onto: Matrix) -> BaseGeometry:
    """A bend seen along an axis: sector by sector."""
    ends = [
        apply(frames[bend.child], _arc(bend, plan.thickness_mm, along_mm=u, outer=outer)) @ onto
        for u in (0.0, bend_length(bend))
        for outer in (False, True)
    ]
    return unary_union(
        [
            MultiPoint(np.vstack([end[i - 1 : i + 1] for end in ends])).convex_hull.buffer(TOUCH_MM)
            for i in range(1, ARC_STEPS)
        ]
    )


def _metal(plan: PartPlan, frames: dict[str, Matrix]) -> Iterator[Matrix]:
    """Points of everything that may be lowest: outlines of both faces, outsides of bends, what stands off."""
    for flange in plan.flanges:
        for w in (0.0, plan.thickness_mm):
            yield apply(frames[flange.name], np.array([(u, v, w) for u, v in _rim(flange)]))
        for hole in flange.holes:
            if hole.finish is not None and hole.finish.stands_mm > 0:
                upper = hole.finish.side == "upper"
                w = plan.thickness_mm + hole.finish.stands_mm if upper else -hole.finish.stands_mm
                turns = np.linspace(0.0, math.tau, 4 * ARC_STEPS)
                wide = hole.finish.wide_mm / 2
                ring = [(hole.u_mm + wide * math.cos(a), hole.v_mm + wide * math.sin(a), w) for a in turns]
                yield apply(frames[flange.name], np.array(ring))
    for bend in plan.bends:
        yield apply(frames[bend.child], _outside(bend, plan.thickness_mm))


def _rim(flange: Flange) -> list[Point]:
    return [(float(u), float(v)) for u, v in polyline(flange.contour, FINE_MM)]


def _outside(bend: Bend, thickness_mm: float) -> Matrix:
    """Points on the outside of a bend at both ends of it, in its child's frame."""
    ends = (_arc(bend, thickness_mm, along_mm=u, outer=True) for u in (0.0, bend_length(bend)))
    return np.vstack(list(ends))


def _arc(bend: Bend, thickness_mm: float, *, along_mm: float, outer: bool) -> Matrix:
    """Points of one side of a bend so far along it, from its child's tangent line on, in that frame."""
    up, inside = bend.direction == "up", bend.inside_radius_mm
    radius = inside + thickness_mm if outer else inside
    axis, side = (inside + thickness_mm, -1.0) if up else (-inside, 1.0)
    return np.array(
        [
            (along_mm, -radius * math.sin(a), axis + side * radius * math.cos(a))
            for a in np.linspace(0.0, bend.angle_rad, ARC_STEPS)
        ]
    )
