"""How far a flange reaches from its bends and what it hides, from its outline: for readers of bent parts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from scipy.spatial import cKDTree
from shapely import contains_xy, get_coordinates, segmentize
from shapely.geometry import Polygon

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, Flange, PartPlan
from generators.sheetmetal.folding import folded_frames

Point = tuple[float, float]

CHORD_MM = 0.001
OPPOSITE = 1e-6
STEP_MM, BESIDE_MM, NEAR_MM = 0.5, 0.6, 0.4


def tangent(flange: Flange, bend: Bend) -> tuple[Point, Point]:
    """Both ends of a bend's tangent line on one of its flanges, the flange on the left."""
    if flange.name == bend.child:
        return (0.0, 0.0), (math.dist(bend.start, bend.end), 0.0)
    return bend.start, bend.end


def reach(flange: Flange, bend: Bend) -> float:
    """From a bend's tangent line to the farthest point of the flange, mm."""
    line = tangent(flange, bend)
    return max(_off(line, point) for point in polyline(flange.contour, CHORD_MM))


def span(flange: Flange, own: Sequence[Bend]) -> float | None:
    """Flat length of a flange from its only bend, or between two on opposite sides; else ``None``."""
    if len(own) == 1:
        return reach(flange, own[0])
    if len(own) != 2:
        return None
    one, other = tangent(flange, own[0]), tangent(flange, own[1])
    first, second = _heading(one), _heading(other)
    if math.dist(first, (-second[0], -second[1])) > OPPOSITE:
        return None
    return _off(one, ((other[0][0] + other[1][0]) / 2, (other[0][1] + other[1][1]) / 2))


def outside(flange: Flange, own: Sequence[Bend], thickness_mm: float) -> float | None:
    """The same to where the outside faces meet: (R + t) tan(A/2) more at each bend (AC 43.13-1B 4-56)."""
    flat = span(flange, own)
    if flat is None:
        return None
    return flat + sum((b.inside_radius_mm + thickness_mm) * math.tan(b.angle_rad / 2) for b in own)


def _heading(line: tuple[Point, Point]) -> Point:
    length = math.dist(*line)
    return (line[1][0] - line[0][0]) / length, (line[1][1] - line[0][1]) / length


def _off(line: tuple[Point, Point], point: Point) -> float:
    (eu, ev), (u, v) = _heading(line), line[0]
    return eu * (point[1] - v) - ev * (point[0] - u)


def hidden(plan: PartPlan, bends: Sequence[Bend]) -> Iterator[tuple[str, float]]:
    """Each other flange with how much of the line beside the profile lies under its metal: by points."""
    frames, t = folded_frames(plan), plan.thickness_mm
    onto: Matrix = frames[bends[0].child][:3, 1:3]
    own = {n for b in bends for n in (b.parent, b.child)}

    def seen(flange: str, points: Sequence[tuple[float, float, float]]) -> Matrix:
        out: Matrix = apply(frames[flange], np.array(points)) @ onto
        return out

    beside = []
    for name in sorted(own):
        mine = [b for b in bends if name in (b.parent, b.child)]
        (u0, v0), (u1, v1) = tangent(plan.flange(name), mine[0])
        long = math.dist((u0, v0), (u1, v1))
        steps = np.arange(STEP_MM / 2, span(plan.flange(name), mine) or 0.0, STEP_MM)
        for w in (-BESIDE_MM, t + BESIDE_MM):
            beside.append(
                seen(name, [(u0 - (v1 - v0) / long * d, v0 + (u1 - u0) / long * d, w) for d in steps])
            )
    line = np.vstack(beside)
    for flange in plan.flanges:
        if flange.name in own:
            continue
        area = Polygon(polyline(flange.contour, 0.05))
        # no place of the metal is farther from one of these than half their diagonal, which is near enough
        u, v = (
            np.arange(low, high + STEP_MM, STEP_MM)
            for low, high in zip(area.bounds[:2], area.bounds[2:], strict=True)
        )
        grid = np.array([(x, y) for x in u for y in v])
        rim = get_coordinates(segmentize(area.exterior, STEP_MM))
        grid = np.vstack([grid[contains_xy(area, grid[:, 0], grid[:, 1])], rim])
        cover = [
            apply(frames[flange.name], np.column_stack([grid, np.full(len(grid), w)])) @ onto
            for w in (0.0, t)
        ]
        for bend in (b for b in plan.bends if flange.name in (b.parent, b.child)):
            axis, sign = (
                (t + bend.inside_radius_mm, -1.0) if bend.direction == "up" else (-bend.inside_radius_mm, 1.0)
            )
            cover.append(
                seen(
                    bend.child,
                    [
                        (x, -r * math.sin(a), axis + sign * r * math.cos(a))
                        for x in np.arange(0.0, math.dist(bend.start, bend.end), STEP_MM)
                        for r in np.arange(bend.inside_radius_mm, bend.inside_radius_mm + t + 1e-6, STEP_MM)
                        for a in np.arange(0.0, bend.angle_rad, STEP_MM / (bend.inside_radius_mm + t))
                    ],
                )
            )
        near, _ = cKDTree(np.vstack(cover)).query(line, distance_upper_bound=NEAR_MM)
        yield flange.name, float(np.isfinite(near).sum()) * STEP_MM
