"""What comes below the die's top on the way: the part folded anew for the stroke.

Each leg is taken as it lies flat and turned up by half the bend about the axis that the die gives.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Set

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply, plane_move
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Die
from generators.sheetmetal.folding import bend_allowance, bend_length, flat_step, fold_step
from generators.verify.pdf.bending.blank import in_mm, shown

FREE = re.compile(
    r"(?P<deep>[\d.]+) (?P<unit>mm|in) (?:beside its ends|from (?P<near>[\d.]+) (?:mm|in) off its middle on) "
    r"\((?P<names>[a-z0-9 ,]+)\)"
)
DEEP_MM, OFF_MM, FAR_MM, WAYS, FINE_MM, SPECK_MM2 = 1.0, 0.01, 1e5, 90, 0.2, 0.5
ROUNDED_MM, ARC = 0.15, 48
NEAR_MM = 1.5
"""Rims are looked at in points, and what is said of how near they come is rounded down."""


SLACK = 0.04
"""The outside of a bend may be drawn too large by so much of radius and thickness."""


def below_problems(
    where: str,
    said: str | None,
    bend: Bend,
    before: Iterable[str],
    plan: PartPlan,
    die: Die,
    most_rad: float,
    inside: Callable[[float], float],
) -> Iterator[str]:
    """Flanges that come below the die's top: each must be named, with room for all so named, and no other.

    ``most_rad`` is how far it is bent at worst, ``inside`` the height of the inside of the bend over the die
    at an angle, both by the caller.
    """
    made = {*before}
    seen: dict[str, tuple[float, float]] = {}
    for child in (True, False):
        for flange, points in hanging_points(plan, bend, made, child):
            falls = _falls(points, bend, plan.thickness_mm, most_rad, inside)
            if falls is not None:
                deep, near = seen.get(shown(flange), (0.0, math.inf))
                seen[shown(flange)] = max(deep, falls[0]), min(near, falls[1])
    slack = drawn_large_mm(plan)
    named: set[str] = set()
    for free in FREE.finditer(said or ""):
        names = free["names"].split(", ")
        named |= set(names)
        for name in (n for n in names if n not in seen):
            yield f"{where}: {name} is said to come below the die's top, and does not"
        here = [seen[n] for n in names if n in seen]
        if not here:
            continue
        deep, near = max(d for d, _ in here), min(n for _, n in here)
        has = in_mm(free["deep"], free["unit"])
        if not deep - ROUNDED_MM < has < deep + ROUNDED_MM + slack:
            yield f"{where}: {free['names']} is given {has:.1f} mm below the die's top; folded {deep:.1f} mm"
        if free["near"] is None:
            if near > die.width_mm / 2 + NEAR_MM:
                yield f"{where}: {free['names']} is said to be beside the die's ends, it is {near:.1f} mm off"
        elif not near - NEAR_MM - slack < in_mm(free["near"], free["unit"]) < near + ROUNDED_MM:
            yield f"{where}: {free['names']} is said {free['near']} {free['unit']} off, it is {near:.1f} mm"
    for name, (deep, _) in seen.items():
        if name not in named and deep > DEEP_MM + ROUNDED_MM:
            yield f"{where}: {name} comes {deep:.1f} mm below the die's top, and the sheet is silent"


def _falls(
    points: Matrix, bend: Bend, t: float, most_rad: float, inside: Callable[[float], float]
) -> tuple[float, float] | None:
    """How deep points come, and how near the middle those below ``DEEP_MM``; None where none does."""
    deep, near = 0.0, math.inf
    for k in range(WAYS + 1):
        h = most_rad / 2 * k / WAYS
        y, z = risen(points, bend, t, h, inside(2 * h))
        if np.any(z < -DEEP_MM):
            deep = max(deep, float(-z.min()))
            near = min(near, float(np.abs(y[z < -DEEP_MM]).min()))
    return (deep, near) if deep else None


def drawn_large_mm(plan: PartPlan) -> float:
    """By how much the outside of a part's bends may be drawn too large, mm."""
    return SLACK * (max((b.inside_radius_mm for b in plan.bends), default=0.0) + plan.thickness_mm)


def risen(points: Matrix, bend: Bend, t: float, h: float, inside_mm: float) -> tuple[Matrix, Matrix]:
    """Points of a leg as it lies flat, off the die's middle and over its top once it has risen by ``h`` rad.

    ``inside_mm`` is the height of the inside of the bend over the die then.
    """
    r = bend.inside_radius_mm
    out, up = points[:, 1] - h * (r + bend.k_factor * t), points[:, 2] - (r + t)
    c, s = math.cos(h), math.sin(h)
    return c * out - s * up, s * out + c * up + inside_mm + r


def hanging_points(plan: PartPlan, bend: Bend, made: Set[str], child: bool) -> Iterator[tuple[str, Matrix]]:
    """Points of each flange of one leg that hang under the flat sheet or are over the other leg's side.

    They are given along the bend, off its middle out of the leg's own side, and up from the lower face as it
    lies on the die.
    """
    t, base = plan.thickness_mm, leg_frame(plan, bend, child)
    arcs: list[tuple[str, Matrix]] = []
    for name, frame, flat in walked(plan, bend.child if child else bend.parent, base, bend, made, arcs):
        outline = Polygon(polyline(plan.flange(name).contour, 0.05))
        if flat:
            there = Polygon(apply(frame, _on(outline, 0.0))[:, :2])
            over = there.intersection(box(-FAR_MM, -FAR_MM, FAR_MM, -0.05))
            for part in getattr(over, "geoms", [over]):
                if isinstance(part, Polygon) and not part.is_empty and part.area > SPECK_MM2:
                    rim = _rim(part)
                    faces = [np.column_stack([rim, np.full(len(rim), w)]) for w in (0.05, t - 0.05)]
                    yield name, np.concatenate(faces)
            continue
        rim = _rim(outline)
        points = np.concatenate(
            [apply(frame, np.column_stack([rim, np.full(len(rim), w)])) for w in (0.0, t)]
        )
        if _hangs(points):
            yield name, points[_off(points)]
    yield from ((name, points[_off(points)]) for name, points in arcs if _hangs(points))


def leg_frame(plan: PartPlan, bend: Bend, child: bool) -> Matrix:
    """Puts a leg's own flange where it lies on the die: along the bend, off its middle, up."""
    t, up = plan.thickness_mm, bend.direction == "up"
    half = bend_allowance(bend, t) / 2
    eu, ev = ((b - a) / bend_length(bend) for a, b in zip(bend.start, bend.end, strict=True))
    base = np.eye(4)
    if child:
        base[1, 3] = half
    else:
        # into the parent, square to its tangent line
        base[0, :2], base[1, :2] = (eu, ev), (-ev, eu)
        base[0, 3] = -(eu * bend.start[0] + ev * bend.start[1])
        base[1, 3] = half - (-ev * bend.start[0] + eu * bend.start[1])
    if not up:
        base[2, 2:] = (-1.0, t)
    return base


def _off(points: Matrix) -> NDArray[np.bool_]:
    """Which points are; what stands on the leg's own side comes no lower than the sheet under it."""
    return (points[:, 2] < 0) | (points[:, 1] < 0)


def _hangs(points: Matrix) -> bool:
    """True for what is under the flat sheet or over the other leg's side."""
    return bool(points[:, 2].min() < -OFF_MM or points[:, 1].min() < -OFF_MM)


def _arc(bend: Bend, t: float) -> Matrix:
    """A made bend in its parent's frame: points of both faces at both its ends."""
    ends = np.array([(u, 0.0, w) for u in (0.0, bend_length(bend)) for w in (0.0, t)])
    return np.concatenate([apply(fold_step(bend, t, k / ARC), ends) for k in range(ARC + 1)])


def walked(
    plan: PartPlan, first: str, base: Matrix, bend: Bend, made: Set[str], arcs: list[tuple[str, Matrix]]
) -> Iterator[tuple[str, Matrix, bool]]:
    """Flanges reached without crossing the bend: frame, and whether it still lies in the leg's plane.

    Points of the bends already made go to ``arcs``, by the flange behind them.
    """
    pending, seen = [(first, base, True)], {first}
    while pending:
        name, frame, flat = pending.pop()
        yield name, frame, flat
        for other in plan.bends:
            if other.name == bend.name or name not in (other.parent, other.child):
                continue
            there = other.child if other.parent == name else other.parent
            if there in seen:
                continue
            seen.add(there)
            if other.name in made:
                step = fold_step(other, plan.thickness_mm)
            else:
                place = flat_step(other, plan.thickness_mm)
                step = plane_move(place.du, place.dv, place.angle)
            down = other.parent == name
            moved: Matrix = frame @ (step if down else np.linalg.inv(step))
            if other.name in made:
                arcs.append((there, apply(frame if down else moved, _arc(other, plan.thickness_mm))))
            pending.append((there, moved, flat and other.name not in made))


def _on(outline: Polygon, w: float) -> Matrix:
    ring = np.asarray(outline.exterior.coords)[:-1]
    return np.column_stack([ring, np.full(len(ring), w)])


def _rim(outline: Polygon) -> Matrix:
    ring = outline.exterior
    count = max(int(ring.length / FINE_MM), 8)
    even = shapely.line_interpolate_point(ring, np.arange(count) / count, normalized=True)
    return np.concatenate([shapely.get_coordinates(even), shapely.get_coordinates(ring)[:-1]])
