"""Edges that places on a blank are read from, by its outline: which it stands on, which a caliper goes to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from shapely.geometry import LineString, Polygon

from generators.geometry.contours import bounds, polyline, segments
from generators.model.plan import Hole, PartPlan, Slot
from generators.sheetmetal.folding import FlatPattern
from generators.standards import CUT_HOLE, general_hole_tolerance
from generators.verify.corners import lettered
from generators.verify.pdf.inspecting.rows import EDGE, NEAR, SLOT_EDGE, Row

Limits = tuple[float, float, float]
THIRD, JAW_MM, ALIKE, CHORD_MM = 1 / 3, 3.0, 1e-6, 0.01
SIDES = ("left", "lower")


def stands_on(flat: FlatPattern, side: str) -> bool:
    """Whether the blank stands on a side: a third of its size that way or more, its middle over it."""
    axis = SIDES.index(side)
    low = bounds(flat.contour)[axis]
    feet = [
        v[1 - axis]
        for a, b in segments(flat.contour)
        for v in ((a.u, a.v), (b.u, b.v))
        if a.bulge == 0 and abs((a.u, a.v)[axis] - low) < ALIKE and abs((b.u, b.v)[axis] - low) < ALIKE
    ]
    if not feet:
        return False
    ring = np.array(polyline(flat.contour, CHORD_MM))
    nxt = np.roll(ring, -1, axis=0)
    cross = ring[:, 0] * nxt[:, 1] - nxt[:, 0] * ring[:, 1]
    middle = ((ring + nxt) * cross[:, None]).sum(axis=0)[1 - axis] / (3 * cross.sum())
    wide = float(np.ptp(ring[:, 1 - axis]))
    return min(feet) < middle < max(feet) and max(feet) - min(feet) >= wide * THIRD


def near_limits(words: str, plan: PartPlan, flat: FlatPattern) -> Limits | None:
    """Nominal, least and most of a near rim from the edge that a row names, mm; None without such an edge."""
    match, items = NEAR.fullmatch(words), _openings(flat)
    if match is None or not 1 <= int(match[2]) <= len(items):
        return None
    item = items[int(match[2]) - 1]
    side = lettered_sides(flat).get((match[3], match[4]))
    if side is None or (match[1] == "slot") != isinstance(item, Slot):
        return None
    axis = 0 if abs(side[0][0] - side[1][0]) < ALIKE else 1
    if abs(side[0][axis] - side[1][axis]) > ALIKE or side not in _reached(flat, item, axis):
        return None
    at = side[0][axis] - bounds(flat.contour)[axis]
    low, high = _half_off(plan, item, axis)
    beside = 0.0 if at < ALIKE else plan.position_mm if plan.bends else _general(plan, at)
    long = abs(side[0][axis] - (item.u_mm, item.v_mm)[axis]) - _half(item, axis)
    slack = plan.position_mm + beside
    return long, long - high - slack, long - low + slack


def edge_problems(rows: Sequence[Row], flat: FlatPattern) -> Iterator[str]:
    """Rows from an edge that the blank cannot stand on, or from another one where it stands."""
    items = _openings(flat)
    for row in rows:
        far, near = EDGE.fullmatch(row.what) or SLOT_EDGE.fullmatch(row.what), NEAR.fullmatch(row.what)
        if far and 1 <= int(far[1]) <= len(items) and not stands_on(flat, far[2]):
            beside = _reached(flat, items[int(far[1]) - 1], SIDES.index(far[2]))
            yield from (f"item {row.key}: the blank does not stand on its {far[2]} edge" for _ in beside[:1])
        if near and (side := side_of(row.what, flat)) and stands_on(flat, side):
            yield f"item {row.key}: from edge {near[3]} to {near[4]}, and the blank stands on its {side} edge"


def side_of(words: str, flat: FlatPattern) -> str | None:
    """``left`` or ``lower``: the side of the blank that an edge named in a row takes the place of."""
    match = NEAR.fullmatch(words)
    side = lettered_sides(flat).get((match[3], match[4])) if match else None
    if side is None:
        return None
    return "left" if abs(side[0][0] - side[1][0]) < ALIKE else "lower"


def _openings(flat: FlatPattern) -> list[Hole | Slot]:
    return [*flat.holes, *flat.slots]


Side = tuple[tuple[float, float], tuple[float, float]]


def lettered_sides(flat: FlatPattern) -> dict[tuple[str, str], Side]:
    """The straight sides of the outline by the letters of the corners they run between."""
    places = lettered(flat)
    ring = list(places)
    out: dict[tuple[str, str], Side] = {}
    for one, other in zip(ring, [*ring[1:], ring[0]], strict=True):
        straight = [((a.u, a.v), (b.u, b.v)) for a, b in segments(flat.contour) if not a.bulge]
        # the side between two corners is the one whose ends lie nearest to where those are shown
        out[one, other] = min(
            straight, key=lambda s: math.dist(s[0], places[one]) + math.dist(s[1], places[other])
        )
    return out


def _reached(flat: FlatPattern, item: Hole | Slot, axis: int) -> list[Side]:
    """Straight sides beside an opening with sheet all the way: the nearest, and those as near."""
    ground = Polygon(polyline(flat.contour, CHORD_MM)).buffer(CHORD_MM)
    place = (item.u_mm, item.v_mm)
    found: list[tuple[float, Side]] = []
    for a, b in segments(flat.contour):
        ends = ((a.u, a.v), (b.u, b.v))
        if a.bulge or abs(ends[0][axis] - ends[1][axis]) > ALIKE:
            continue
        first, last = sorted(e[1 - axis] for e in ends)
        foot = (ends[0][0], place[1]) if axis == 0 else (place[0], ends[0][1])
        inside = first + JAW_MM <= place[1 - axis] <= last - JAW_MM
        if inside and ground.covers(LineString([foot, place])):
            found.append((math.dist(foot, place), ends))
    nearest = min((away for away, _ in found), default=0.0)
    return [side for away, side in found if away <= nearest + ALIKE * 10]


def _half(item: Hole | Slot, axis: int) -> float:
    """From an opening's middle to its rim along an axis, mm."""
    if isinstance(item, Hole):
        return item.diameter_mm / 2
    return (item.width_mm + item.travel_mm * _along(item, axis)) / 2


def _along(item: Slot, axis: int) -> float:
    return abs((math.cos, math.sin)[axis](item.angle_rad))


def _half_off(plan: PartPlan, item: Hole | Slot, axis: int) -> tuple[float, float]:
    """How far a rim may be off for the opening's size, mm."""
    width = item.tolerance or CUT_HOLE
    ends = (width.lower_mm, width.upper_mm)
    if isinstance(item, Hole):
        return ends[0] / 2, ends[1] / 2
    long = _general(plan, item.width_mm + item.travel_mm)
    share = _along(item, axis)
    low, high = ((share * by + (1 - share) * w) / 2 for by, w in zip((-long, long), ends, strict=True))
    return low, high


def _general(plan: PartPlan, long: float) -> float:
    row = general_hole_tolerance(long, plan.tolerance)
    return 0.0 if row is None else row.upper_mm
