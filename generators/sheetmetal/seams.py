"""Where two flanges of a bent part meet to be welded: the gap the bends leave, how long, and from which side.

All of it follows from the flat sizes and the bends: the edge of one flange is carried into the frame of the
other, whose faces are w = 0 and w = thickness there.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from shapely import get_coordinates
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapePoint

from generators.geometry.contours import polyline, segments
from generators.geometry.frames import Matrix, apply
from generators.model.contour import Vertex
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.allowance import NO_CLOSER_SHARE, length_limits, tangent_setback
from generators.sheetmetal.folding import (
    bend_allowance,
    bends_above,
    children,
    flat_placements,
    fold_step,
    folded_frames,
    past_limit,
)
from generators.standards import (
    GROWN_GAP_MM,
    WIDEST_GAP_MM,
    fillet_leg,
    general_deviation_mm,
    thickness_off_mm,
)

Point = tuple[float, float]
FARTHEST_MM = 8.0
"""An edge farther from a face than this does not meet it (ours)."""

CLEAR_MM = 0.1
"""What must be left of a gap where it comes out narrowest, so that nothing meets before the bend is made: a
feeler goes in. Common practice, no source."""

TURN_RAD, CLOSES_MM = math.radians(1), 0.01
"""A bend so far past its angle must take so much of a gap to count: less is along the edge's own plane."""

THICKER_MM = 0.1
"""The sheet is taken so much thicker to see what that does to a gap: it does it evenly."""

FINE_MM, SAME_MM = 0.05, 1e-6
Off = tuple[float, float]
"""How far a bend's line lies out on the blank, mm, and how far it is bent past its angle, rad."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """A straight edge of one flange over a face of another; mm.

    ``ends`` is that edge in its own flange's frame, ``over`` what of it lies over the other; ``upper`` the
    face it meets. ``gap_mm`` is the least and ``most_mm`` the greatest distance along the edge's nearer rim,
    ``length_mm`` how much of it lies over the other flange. ``sides`` are the faces of the edge's flange
    beside which a weld's leg has room. ``play_mm`` is by how much the gap may come out otherwise: every bent
    length on the way from the one flange to the other and the blank between the edge and the next bend, each
    at its tolerance, added up. ``closest_mm`` and ``widest_mm`` are the narrowest and the widest anywhere
    along the edge once each bend's angle is at one of its limits as well: below 0 the two meet before the
    bends are made. Clamped square only ``play_mm`` is left. With the outside lengths held the gap is
    ``per_mm`` wider for each mm of a thicker sheet, mostly -1; ``narrower_mm`` and ``wider_mm`` are what the
    sheet's limits (``thickness_limits``) do to it, and are in ``closest_mm`` and ``widest_mm``.
    """

    edge: str
    onto: str
    ends: tuple[Point, Point]
    over: tuple[Point, Point]
    upper: bool
    gap_mm: float
    most_mm: float
    length_mm: float
    leg_mm: float
    sides: tuple[str, ...]
    play_mm: float = 0.0
    closest_mm: float = 0.0
    widest_mm: float = 0.0
    per_mm: float = 0.0
    narrower_mm: float = 0.0
    wider_mm: float = 0.0

    @property
    def worst_mm(self) -> float:
        """The widest gap within the tolerances of lengths and sheet, clamped square, mm."""
        return self.most_mm + self.play_mm + self.wider_mm

    @property
    def least_mm(self) -> float:
        """The narrowest, clamped square, mm; none is below 0."""
        return max(self.gap_mm - self.play_mm - self.narrower_mm, 0.0)


def seams(plan: PartPlan) -> Iterator[tuple[tuple[str, str], Seam | None]]:
    """Each pair of flanges that is to be welded, with its seam; None where no edge comes near."""
    found = _played(plan)
    off = _sheet_off(plan, [seam for _, seam in found if seam is not None])
    for pair, seam in found:
        yield pair, None if seam is None else _with_room(plan, _with_leg(_with_sheet(seam, off)))


def thickness_limits(plan: PartPlan) -> tuple[float, float]:
    """How far the sheet's thickness may be off, mm: the one place for it. Raises nothing.

    Half the step to the next stock sheet either way, and less where an outside length hangs on it: no
    further than leaves each its own limits (``length_limits``). Less again where the gap of a weld does: no
    thicker than leaves ``CLEAR_MM`` of the gap with all else at its limits, no thinner than keeps the
    widest within what the leg drawn is for. To hundredths of a mm, inward.
    """
    return _sheet_off(plan, [seam for _, seam in _played(plan) if seam is not None])


def sheet_for_lengths(plan: PartPlan) -> bool:
    """True where an outside length holds the sheet nearer than its next, at one end at least."""
    usual, held, own = thickness_off_mm(plan.thickness_mm), length_limits(plan), thickness_limits(plan)
    return any(
        abs(h - u) > SAME_MM and abs(o - h) <= SAME_MM for u, h, o in zip(usual, held, own, strict=True)
    )


def sheet_for(plan: PartPlan) -> tuple[int, ...]:
    """Numbers of the welds, as the drawing counts them, that hold the sheet nearer than all else does."""
    usual, own = length_limits(plan), thickness_limits(plan)
    met = [seam for _, seam in seams(plan) if seam is not None]
    if own[0] <= usual[0] + SAME_MM and own[1] >= usual[1] - SAME_MM:
        return ()
    return tuple(number for number, seam in enumerate(met, 1) if abs(seam.per_mm) > SAME_MM)


@lru_cache(maxsize=64)
def _played(plan: PartPlan) -> tuple[tuple[tuple[str, str], Seam | None], ...]:
    """Each pair with its seam as bends and blank leave it, the sheet as drawn."""
    frames = folded_frames(plan) if plan.welds else {}
    met = [((edge, onto), _seam(plan, edge, onto, frames)) for edge, onto in plan.welds]
    return tuple((pair, None if seam is None else _with_play(plan, seam)) for pair, seam in met)


def _sheet_off(plan: PartPlan, met: Sequence[Seam]) -> tuple[float, float]:
    """``thickness_limits`` for seams as ``_played`` gives them."""
    thin, thick = length_limits(plan)
    no_closer = NO_CLOSER_SHARE * plan.thickness_mm
    for seam in met:
        rate = abs(seam.per_mm)
        if rate < SAME_MM:
            continue
        widest = GROWN_GAP_MM if seam.worst_mm + rate * no_closer <= GROWN_GAP_MM else WIDEST_GAP_MM
        closes_by, opens_by = (
            max(math.floor(left / rate * 100 + SAME_MM) / 100, no_closer)
            for left in (seam.closest_mm - CLEAR_MM, widest - seam.worst_mm)
        )
        down, up = (opens_by, closes_by) if seam.per_mm < 0 else (closes_by, opens_by)
        thin, thick = max(thin, -down), min(thick, up)
    return thin, thick


def _with_sheet(seam: Seam, off: tuple[float, float]) -> Seam:
    """The seam with what the sheet's limits do to its gap."""
    ends = [seam.per_mm * by for by in off]
    narrower, wider = max(-min(ends), 0.0), max(*ends, 0.0)
    return replace(
        seam,
        narrower_mm=narrower,
        wider_mm=wider,
        closest_mm=seam.closest_mm - narrower,
        widest_mm=seam.widest_mm + wider,
    )


def _with_leg(seam: Seam) -> Seam:
    """The seam with the leg that its widest asks for."""
    return replace(seam, leg_mm=seam.leg_mm + (seam.worst_mm if seam.worst_mm > GROWN_GAP_MM else 0.0))


def _seam(plan: PartPlan, edge: str, onto: str, frames: dict[str, Matrix]) -> Seam | None:
    into = np.linalg.inv(frames[onto]) @ frames[edge]
    ground = Polygon(polyline(plan.flange(onto).contour, FINE_MM))
    t = plan.thickness_mm
    best: Seam | None = None
    for a, b in segments(plan.flange(edge).contour):
        if a.bulge:
            continue
        rims = [apply(into, np.array([(a.u, a.v, w), (b.u, b.v, w)])) for w in (0.0, t)]
        for upper in (True, False):
            off = [[(z - t) if upper else -z for z in rim[:, 2]] for rim in rims]
            near = [min(pair) for pair in zip(*off, strict=True)]
            if min(near) < -SAME_MM or max(near) > FARTHEST_MM:
                continue
            line = LineString([(p[0], p[1]) for p in (rims[0] + rims[1]) / 2])
            shared = line.intersection(ground)
            over = float(shared.length)
            if over > t and (best is None or over > best.length_mm + SAME_MM):
                reach = [line.project(ShapePoint(p)) / line.length for p in get_coordinates(shared)]
                best = Seam(
                    edge=edge,
                    onto=onto,
                    ends=((a.u, a.v), (b.u, b.v)),
                    over=(_on(a, b, min(reach)), _on(a, b, max(reach))),
                    upper=upper,
                    gap_mm=max(min(near), 0.0),
                    most_mm=max(*near, 0.0),
                    length_mm=over,
                    leg_mm=fillet_leg(t),
                    sides=(),
                )
    return best


def _on(a: Vertex, b: Vertex, share: float) -> Point:
    return a.u + share * (b.u - a.u), a.v + share * (b.v - a.v)


def never_past(plan: PartPlan, past_rad: float | None = None) -> PartPlan:
    """The plan with bends that may not end past their angle, where that would close the gap of a weld.

    ``past_rad`` is how far every bend of the part may, if that is said.
    """
    if past_rad is not None:
        return replace(plan, bends=tuple(replace(b, past_rad=past_rad) for b in plan.bends))
    met = [s for _, s in seams(plan) if s is not None and s.closest_mm < CLEAR_MM - SAME_MM]
    return replace(
        plan,
        bends=tuple(
            replace(b, past_rad=0.0) if any(closes(plan, s, b) for s in met) else b for b in plan.bends
        ),
    )


def closes(plan: PartPlan, seam: Seam, bend: Bend) -> bool:
    """True where a weld's gap closes somewhere while a bend is bent past its angle."""
    if bend not in _between(plan, seam):
        return False
    past = _heights(plan, seam, {bend.name: (0.0, TURN_RAD)})
    return float((_heights(plan, seam, {}) - past).max()) > CLOSES_MM


def closed_by(plan: PartPlan, bend: Bend) -> tuple[int, ...]:
    """Numbers of the welds, as the drawing counts them, whose gap closes when a bend ends past its angle."""
    met = (seam for _, seam in seams(plan) if seam is not None)
    return tuple(number for number, seam in enumerate(met, 1) if closes(plan, seam, bend))


def _with_play(plan: PartPlan, seam: Seam) -> Seam:
    """The seam with what bends and blank may do to its gap, and what each mm of the sheet does."""
    lengths = blank = farthest = 0.0
    usual, off = _heights(plan, seam, {}), []
    for bend in _between(plan, seam):
        # a line that lies farther out makes the one leg longer and the other shorter
        ways = (plan.bent_mm, -plan.bent_mm)
        by_length = max(
            float(np.abs(_heights(plan, seam, {bend.name: (by, 0.0)}) - usual).max()) for by in ways
        )
        if by_length > SAME_MM:
            lengths, farthest = lengths + by_length, max(farthest, _apart(plan, seam, bend))
        turns = (-plan.bent_rad, past_limit(plan, bend))
        off.append([(bend.name, (by, turn)) for by in ways for turn in turns])
    if lengths:
        blank = general_deviation_mm(plan.tolerance, farthest)
    limits = [_heights(plan, seam, dict(each)) for each in itertools.product(*off)]
    thicker = _heights(plan, seam, {}, THICKER_MM) - usual
    return replace(
        seam,
        play_mm=lengths + blank,
        closest_mm=min(float(h.min()) for h in limits) - blank,
        widest_mm=max(float(h.max()) for h in limits) + blank,
        per_mm=float(thicker[np.abs(thicker).argmax()]) / THICKER_MM,
    )


def cut_from(plan: PartPlan, seam: Seam) -> tuple[tuple[Point, Point], float, float] | None:
    """The far end of the flange a seam's edge hangs on, how far off it is cut, and ± how much, mm.

    A bent length is held from there, so ``play_mm`` counts the blank right only where the edge keeps that
    distance as near as one that is no longer than from the edge to the bend. None where the general
    tolerance keeps it so anyhow, or no straight end runs along the edge. Points are those of the blank.
    """
    placed, usual = flat_placements(plan), _heights(plan, seam, {})
    (a, b), (c, d) = (placed[seam.edge].apply(*end) for end in seam.ends)
    long, best = math.hypot(c - a, d - b), None
    below = bends_above(plan, seam.edge)
    for bend in _between(plan, seam):
        if np.abs(_heights(plan, seam, {bend.name: (plan.bent_mm, 0.0)}) - usual).max() <= SAME_MM:
            continue
        leg = bend.child if bend in below else bend.parent
        nearest = _apart(plan, seam, bend)
        for one, other in segments(plan.flange(leg).contour):
            start, end = placed[leg].apply(one.u, one.v), placed[leg].apply(other.u, other.v)
            offs = [((c - a) * (v - b) - (d - b) * (u - a)) / long for u, v in (start, end)]
            if one.bulge or abs(offs[0] - offs[1]) > SAME_MM or math.dist(start, end) < plan.thickness_mm:
                continue
            if abs(offs[0]) > nearest + SAME_MM and (best is None or abs(offs[0]) > best[1]):
                best = ((start, end), abs(offs[0]), general_deviation_mm(plan.tolerance, nearest))
    if best is None or general_deviation_mm(plan.tolerance, best[1]) <= best[2]:
        return None
    return best


def _between(plan: PartPlan, seam: Seam) -> Iterator[Bend]:
    """The bends on the way from the one flange to the other."""
    one, other = bends_above(plan, seam.edge), bends_above(plan, seam.onto)
    yield from (b for b in (*one, *other) if (b in one) != (b in other))


def _heights(plan: PartPlan, seam: Seam, off: Mapping[str, Off], thicker_mm: float = 0.0) -> Matrix:
    """The gap at either end of what of the edge lies over the other flange, with some bends ``off``, mm."""
    frames = _frames_off(plan, off, thicker_mm)
    into = np.linalg.inv(frames[seam.onto]) @ frames[seam.edge]
    t = plan.thickness_mm + thicker_mm
    rims = [apply(into, np.array([(*end, w) for end in seam.over])) for w in (0.0, t)]
    out: Matrix = np.minimum(*[(rim[:, 2] - t if seam.upper else -rim[:, 2]) for rim in rims])
    return out


def _frames_off(plan: PartPlan, off: Mapping[str, Off], thicker_mm: float = 0.0) -> dict[str, Matrix]:
    """``folded_frames`` with bends whose line lies farther out, or that are bent past their angle.

    Of a thicker sheet the flanges end where they did, measured outside: that is what is held and read, so
    both legs are so much shorter to the bend's tangents as the outside corner lies farther from them.
    """
    t = plan.thickness_mm + thicker_mm
    frames: dict[str, Matrix] = {plan.flanges[0].name: np.eye(4)}
    pending = [plan.flanges[0].name]
    while pending:
        parent = pending.pop()
        for bend in children(plan, parent):
            by, turn = off.get(bend.name, (0.0, 0.0))
            out, back = np.eye(4), np.eye(4)
            along = np.array(bend.end) - np.array(bend.start)
            corner, usual = (
                tangent_setback(bend.angle_rad, bend.inside_radius_mm, thick)
                for thick in (t, plan.thickness_mm)
            )
            out[:2, 3] = np.array([along[1], -along[0]]) / np.hypot(*along) * (by - (corner - usual))
            back[1, 3] = -by - (corner - usual)
            step = fold_step(bend, t, 1 + turn / bend.angle_rad)
            frames[bend.child] = frames[parent] @ out @ step @ back
            pending.append(bend.child)
    return frames


def _apart(plan: PartPlan, seam: Seam, bend: Bend) -> float:
    """How far the middle of the edge lies from a bend's line on the blank, mm."""
    placed = flat_placements(plan)
    (a, b), (c, d) = (placed[seam.edge].apply(*end) for end in seam.ends)
    length = math.dist(bend.start, bend.end)
    half = bend_allowance(bend, plan.thickness_mm) / 2
    nu, nv = (bend.end[1] - bend.start[1]) / length, (bend.start[0] - bend.end[0]) / length
    start, end = (placed[bend.parent].apply(u + nu * half, v + nv * half) for u, v in (bend.start, bend.end))
    across = (end[0] - start[0]) * ((b + d) / 2 - start[1]) - (end[1] - start[1]) * ((a + c) / 2 - start[0])
    return abs(across) / length


def _with_room(plan: PartPlan, seam: Seam) -> Seam:
    """The seam with the faces beside which the other flange reaches on for a leg, half-way along."""
    frames = folded_frames(plan)
    into = np.linalg.inv(frames[seam.onto]) @ frames[seam.edge]
    ground = Polygon(polyline(plan.flange(seam.onto).contour, FINE_MM))
    lower, upper = (
        apply(into, np.array([(*end, w) for end in seam.ends])).mean(axis=0)[:2]
        for w in (0.0, plan.thickness_mm)
    )
    across = math.dist(lower, upper)
    if across < SAME_MM:
        return seam
    out = (lower - upper) / across
    sides = tuple(
        name
        for name, start, way in (("lower", lower, 1.0), ("upper", upper, -1.0))
        if ground.covers(ShapePoint(*(start + out * way * seam.leg_mm)))
    )
    return replace(seam, sides=sides)
