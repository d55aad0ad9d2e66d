"""The gap of a weld, folded anew: its least and greatest with bends, blank and sheet at every limit."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Flange, PartPlan
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.standards import thickness_off_mm
from generators.verify.pdf.rebuild.sheet_lengths import bends_have_mm, lengths_leave_mm

BLANK = {
    "f": ((6.0, 0.05), (30.0, 0.1), (120.0, 0.15), (400.0, 0.2), (1000.0, 0.3)),
    "m": ((6.0, 0.1), (30.0, 0.2), (120.0, 0.3), (400.0, 0.5), (1000.0, 0.8)),
    "c": ((3.0, 0.2), (6.0, 0.3), (30.0, 0.5), (120.0, 0.8), (400.0, 1.2)),
}
"""What a length of the blank may be off by in a class of ISO 2768-1, written down anew."""

LEGS, LAST_LEG_MM = ((6.0, 3.0), (12.0, 5.0), (20.0, 6.0)), 8.0
"""Least legs by thickness, AWS D1.1, written down anew."""

MOVED_MM, FLUSH_MM = 1e-3, 0.01
SAMPLE_MM, NEAR_MM = 0.25, 8.0
LEFT_MM, GROWS_MM, NONE_MM = 0.1, 25.4 / 16, 25.4 * 3 / 16
"""What must be left of a gap, from where the leg grows by it, and from where there is no weld."""

THICKER_MM, EVENS_MM, FINEST = 0.1, 0.005, 0.01
"""So much thicker a sheet is folded, so little is nothing; no nearer is one asked for, of its size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GapLimits:
    """A gap clamped square, up to ``worst``, and as bent, ``closest`` to ``widest``, mm."""

    worst: float
    closest: float
    widest: float


@lru_cache(maxsize=64)
def gap_limits(plan: PartPlan, edge: str, onto: str) -> GapLimits:
    """What a gap may come out as with bends, blank and sheet at their limits."""
    gap, play = (gap_and_length(plan, edge, onto) or (0.0, 0.0))[0], stacked_mm(plan, edge, onto)
    ends = [_per_mm(plan, edge, onto) * by for by in sheet_off_mm(plan)]
    narrower, wider = max(-min(ends), 0.0), max(*ends, 0.0)
    closest, widest = bent_limits_mm(plan, edge, onto)
    return GapLimits(
        worst=gap + play + wider,
        closest=closest - narrower,
        widest=widest + wider,
    )


def taken_gap(plan: PartPlan, worst_mm: float) -> tuple[float, str]:
    """The widest gap that the leg drawn is for, mm, and what drawing and sheet say of a wider one.

    A leg that had to grow for ``worst_mm`` is for that; from there on the least leg and all of the gap is.
    """
    most = max(worst_mm, GROWS_MM)
    if most >= NONE_MM:
        return most, ""
    least = min(next((leg for to, leg in LEGS if plan.thickness_mm <= to), LAST_LEG_MM), plan.thickness_mm)
    halves = math.ceil(least * 2 - 1e-6) / 2
    return (
        most,
        f"over that to {math.floor(NONE_MM * 100) / 100:.2f} mm with a leg of {halves:g} mm and the gap",
    )


@lru_cache(maxsize=64)
def sheet_off_mm(plan: PartPlan) -> tuple[float, float]:
    """How far the sheet may be off: what outside lengths and the gaps of welds leave of half the next one."""
    low, high = lengths_leave_mm(plan)
    finest = FINEST * plan.thickness_mm
    for edge, onto in plan.welds:
        measured, rate = gap_and_length(plan, edge, onto), _per_mm(plan, edge, onto)
        if measured is None or abs(rate) < EVENS_MM:
            continue
        worst = measured[0] + stacked_mm(plan, edge, onto)
        upper = GROWS_MM if worst + abs(rate) * finest <= GROWS_MM else NONE_MM
        closing, opening = (
            max(math.floor(room / abs(rate) * 100 + 1e-6) / 100, finest)
            for room in (bent_limits_mm(plan, edge, onto)[0] - LEFT_MM, upper - worst)
        )
        low = max(low, -(opening if rate < 0 else closing))
        high = min(high, closing if rate < 0 else opening)
    return low, high


@lru_cache(maxsize=64)
def sheet_welds(plan: PartPlan) -> tuple[int, ...]:
    """Numbers of the welds that hold the sheet nearer than the next stock sheet and outside lengths do."""
    if np.allclose(sheet_off_mm(plan), lengths_leave_mm(plan), atol=1e-6):
        return ()
    met = [pair for pair in plan.welds if near_points(plan, *pair) is not None]
    return tuple(n for n, pair in enumerate(met, 1) if abs(_per_mm(plan, *pair)) >= EVENS_MM)


def sheet_words(plan: PartPlan) -> str:
    """What the sheet is held for, as drawing and inspection sheet have it; empty for the next sheet alone."""
    welds = sheet_welds(plan)
    said = ["the gap of WELD " + " and ".join(str(n) for n in welds)] if welds else []
    if _for_lengths(plan):
        said.append("the outside lengths")
    return " and ".join(said)


def left_words(plan: PartPlan) -> str:
    """What the sheet's limits leave to the bending, where outside lengths hold them."""
    if not _for_lengths(plan):
        return ""
    left = math.floor(bends_have_mm(plan, sheet_off_mm(plan)) * 100 + 1e-6) / 100
    return f", which leaves ±{left:.2f} mm to blank, stop and bends"


def _for_lengths(plan: PartPlan) -> bool:
    own = sheet_off_mm(plan)
    ends = zip(own, lengths_leave_mm(plan), thickness_off_mm(plan.thickness_mm), strict=True)
    return any(math.isclose(has, held, abs_tol=1e-6) and abs(held - free) > 1e-6 for has, held, free in ends)


@lru_cache(maxsize=64)
def _per_mm(plan: PartPlan, edge: str, onto: str) -> float:
    """By how much a mm of a thicker sheet widens a gap, every flange as long outside as before."""
    thick = replace(plan, thickness_mm=plan.thickness_mm + THICKER_MM)
    for name in [b.name for b in plan.bends]:
        bend = next(b for b in thick.bends if b.name == name)
        shorter = THICKER_MM * min(math.tan(min(bend.angle_rad, math.pi / 2) / 2), 1.0)
        # the line goes in on the one leg; on the other all lies nearer to it twice over
        thick = _bent_off(thick, bend, -shorter)
        bend = next(b for b in thick.bends if b.name == name)
        thick = _drawn_in(thick, bend.child, 2 * shorter)
    found = [near_points(p, edge, onto) for p in (plan, thick)]
    if any(f is None for f in found):
        return 0.0
    was, now = (float(np.minimum(f[1]["lower"], f[1]["upper"])[f[2]].min()) for f in found if f is not None)
    return (now - was) / THICKER_MM


@lru_cache(maxsize=64)
def stacked_mm(plan: PartPlan, edge: str, onto: str) -> float:
    """By how much bent lengths and the blank widen a gap at worst: it is folded with each bend moved."""
    by_bend = _moved_mm(plan, edge, onto)
    return sum(by_bend.values()) + _blank_mm(plan, edge, onto, by_bend)


def _moved_mm(plan: PartPlan, edge: str, onto: str) -> dict[str, float]:
    """By how much each bend's length widens a gap, those that do."""
    gap = gap_and_length(plan, edge, onto)
    out: dict[str, float] = {}
    for bend in plan.bends if gap is not None else ():
        for by in (plan.bent_mm, -plan.bent_mm):
            found = near_points(_bent_off(plan, bend, by), edge, onto)
            if found is not None and gap is not None:
                _, offs, over = found
                wider = float(np.minimum(offs["lower"], offs["upper"])[over].min()) - gap[0]
                if wider > max(MOVED_MM, out.get(bend.name, 0.0)):
                    out[bend.name] = wider
    return out


def _blank_mm(plan: PartPlan, edge: str, onto: str, by_bend: Mapping[str, float]) -> float:
    """How far the edge may be off on the blank, from the bend that moves it and lies farthest off."""
    if not by_bend:
        return 0.0
    farthest = max(_on_blank(plan, edge, onto, b) for b in plan.bends if b.name in by_bend)
    rows = BLANK.get(plan.tolerance.removeprefix("ISO 2768-1 "), BLANK["m"])
    return _off_by(rows, farthest)


@lru_cache(maxsize=64)
def bent_limits_mm(plan: PartPlan, edge: str, onto: str) -> tuple[float, float]:
    """The least and the greatest of a gap anywhere along its edge, mm.

    The part is folded with every bend's length and angle at one of its limits, in every combination, and the
    blank comes to it.
    """
    found = near_points(plan, edge, onto)
    if found is None:
        return 0.0, 0.0
    points, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    kept = points[over & (near < float(near[over].min()) + FLUSH_MM)]
    ways = []
    for bend in plan.bends:
        past = plan.bent_rad if bend.past_rad is None else bend.past_rad
        own = [
            (bend.name, by, turn) for by in (plan.bent_mm, -plan.bent_mm) for turn in (-plan.bent_rad, past)
        ]
        # a bend that moves neither flange against the other is left out
        moves = [
            np.abs(at_limits(plan, edge, onto, kept, (way,)) - at_limits(plan, edge, onto, kept, ())).max()
            for way in own
        ]
        if max(moves) > MOVED_MM:
            ways.append(own)
    gaps = [at_limits(plan, edge, onto, kept, each) for each in itertools.product(*ways)]
    blank = _blank_mm(plan, edge, onto, _moved_mm(plan, edge, onto))
    return min(float(g.min()) for g in gaps) - blank, max(float(g.max()) for g in gaps) + blank


def at_limits(
    plan: PartPlan, edge: str, onto: str, points: Matrix, off: Sequence[tuple[str, float, float]]
) -> Matrix:
    """How far points of the edge's flange lie off the other's faces, with bends off by length and angle."""
    flat = points
    for name, by, turn in off:
        bend = next(b for b in plan.bends if b.name == name)
        plan = _bent_off(plan, bend, by)
        turned = tuple(replace(b, angle_rad=b.angle_rad + turn) if b.name == name else b for b in plan.bends)
        plan = replace(plan, bends=turned)
        flat = flat - np.array([0.0, by]) if bend.child == edge else flat
    frames, t = folded_frames(plan), plan.thickness_mm
    into = np.linalg.inv(frames[onto]) @ frames[edge]
    high = [apply(into, np.column_stack([flat, np.full(len(flat), w)]))[:, 2] for w in (0.0, t)]
    out: Matrix = np.minimum(*[np.maximum(z - t, -z) for z in high])
    return out


def _bent_off(plan: PartPlan, bend: Bend, by: float) -> PartPlan:
    """The plan bent along a line ``by`` farther out on the blank: the one leg longer, the other shorter."""
    along = np.array(bend.end) - np.array(bend.start)
    u, v = np.array([along[1], -along[0]]) / np.linalg.norm(along) * by

    def moved(b: Bend, du: float, dv: float) -> Bend:
        start, end = ((p[0] + du, p[1] + dv) for p in (b.start, b.end))
        return replace(b, start=start, end=end)

    def shorter(f: Flange) -> Flange:
        vertices = tuple(replace(p, v=p.v - by) for p in f.contour.vertices)
        return replace(f, contour=replace(f.contour, vertices=vertices))

    return replace(
        plan,
        flanges=tuple(shorter(f) if f.name == bend.child else f for f in plan.flanges),
        bends=tuple(
            moved(b, float(u), float(v)) if b is bend else moved(b, 0.0, -by) if b.parent == bend.child else b
            for b in plan.bends
        ),
    )


def _on_blank(plan: PartPlan, edge: str, onto: str, bend: Bend) -> float:
    """How far the welded edge lies off a bend's line on the blank."""
    line = next(strip.middle for strip in flat_pattern(plan).bends if strip.bend.name == bend.name)
    at = _edge_on_blank(plan, edge, onto)
    return float(np.mean([_off_line(p, line) for p in at])) if at else 0.0


def _edge_on_blank(plan: PartPlan, edge: str, onto: str, within: float = 0.1) -> list[tuple[float, float]]:
    """Points of the welded edge on the blank, those that come ``within`` so much of the nearest, mm."""
    found = near_points(plan, edge, onto)
    if found is None:
        return []
    points, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    own = points[over & (near < float(near[over].min()) + within)]
    place = flat_pattern(plan).placements[edge]
    return [place.apply(float(u), float(v)) for u, v in own]


@lru_cache(maxsize=64)
def cut_limits(plan: PartPlan, edge: str, onto: str) -> tuple[float, float] | None:
    """Least and greatest distance of the welded edge from its flange's far end, mm, as ``stacked_mm`` has it.

    That counts the blank from the edge to the bend alone; the bend lies by a length that is held from the far
    end. None where ISO 2768-1 keeps the one as near as the other, or no straight end runs along the edge.
    """
    at, by_bend = _edge_on_blank(plan, edge, onto, MOVED_MM), _moved_mm(plan, edge, onto)
    if len(at) < 2 or not by_bend:
        return None
    line = max(itertools.combinations(at, 2), key=lambda two: math.dist(*two))
    rows = BLANK.get(plan.tolerance.removeprefix("ISO 2768-1 "), BLANK["m"])
    hangs = {b.child: b.parent for b in plan.bends}
    over = [edge]
    while over[-1] in hangs:
        over.append(hangs[over[-1]])
    best = (0.0, 0.0)
    for bend in (b for b in plan.bends if b.name in by_bend):
        leg = bend.child if bend.child in over else bend.parent
        place, near = flat_pattern(plan).placements[leg], _on_blank(plan, edge, onto, bend)
        rim = [place.apply(u, v) for u, v in polyline(plan.flange(leg).contour)]
        for one, other in zip(rim, [*rim[1:], rim[0]], strict=True):
            off, end = _off_line(one, line), _off_line(other, line)
            straight = abs(off - end) < FLUSH_MM / 10 and math.dist(one, other) >= plan.thickness_mm
            if straight and off > max(near + FLUSH_MM, best[0]):
                best = off, _off_by(rows, near)
    off, by = best
    return None if not off or _off_by(rows, off) <= by else (off - by, off + by)


def _off_by(rows: Sequence[tuple[float, float]], long: float) -> float:
    return next((by for to, by in rows if long <= to), rows[-1][1])


def _off_line(point: tuple[float, float], line: tuple[tuple[float, float], tuple[float, float]]) -> float:
    """Distance from a line, endless both ways."""
    (x0, y0), (x1, y1) = line
    across = (x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)
    return abs(across) / float(np.hypot(x1 - x0, y1 - y0))


def _drawn_in(plan: PartPlan, name: str, by: float) -> PartPlan:
    """The plan with all of a flange, and what hangs on it, ``by`` nearer to its own bend."""

    def nearer(b: Bend) -> Bend:
        start, end = ((p[0], p[1] - by) for p in (b.start, b.end))
        return replace(b, start=start, end=end)

    def shorter(f: Flange) -> Flange:
        vertices = tuple(replace(p, v=p.v - by) for p in f.contour.vertices)
        return replace(f, contour=replace(f.contour, vertices=vertices))

    return replace(
        plan,
        flanges=tuple(shorter(f) if f.name == name else f for f in plan.flanges),
        bends=tuple(nearer(b) if b.parent == name else b for b in plan.bends),
    )


def gap_and_length(plan: PartPlan, edge: str, onto: str) -> tuple[float, float] | None:
    """Least distance of rim points of one flange to the other's faces, and the length they are that near."""
    found = near_points(plan, edge, onto)
    if found is None:
        return None
    _, offs, over = found
    near = np.minimum(offs["lower"], offs["upper"])
    gap = float(near[over].min())
    return max(gap, 0.0), float(np.sum(over & (near < gap + 0.1))) * SAMPLE_MM


def near_points(
    plan: PartPlan, edge: str, onto: str
) -> tuple[Matrix, dict[str, Matrix], NDArray[np.bool_]] | None:
    """Points walked along the outline of the edge's flange, how far each is from the other's faces on both
    its own, and which lie over the other's metal; None where none comes near.
    """
    frames = folded_frames(plan)
    into = np.linalg.inv(frames[onto]) @ frames[edge]
    ground = Polygon(polyline(plan.flange(onto).contour, 0.05))
    ring = Polygon(polyline(plan.flange(edge).contour, 0.05)).exterior
    flat = shapely.get_coordinates(
        shapely.line_interpolate_point(ring, np.arange(0.0, ring.length, SAMPLE_MM))
    )
    t = plan.thickness_mm
    offs, carried = {}, []
    for face, w in (("lower", 0.0), ("upper", t)):
        there = apply(into, np.column_stack([flat, np.full(len(flat), w)]))
        carried.append(there)
        offs[face] = np.maximum(there[:, 2] - t, -there[:, 2])
    near = np.minimum(offs["lower"], offs["upper"])
    middle = (carried[0] + carried[1]) / 2
    shapely.prepare(ground)
    over = shapely.contains_xy(ground, middle[:, :2])
    return (flat, offs, over) if np.any(over & (near < NEAR_MM)) else None
