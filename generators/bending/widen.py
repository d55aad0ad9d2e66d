"""A part with a flange made wider between two of its bends, to see whether it can then be bent."""

from __future__ import annotations

import math
from dataclasses import replace

from generators.geometry.contours import Point
from generators.model.contour import Contour, Vertex
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import bend_length

ALONG = 1e-6


def between(plan: PartPlan, one: Bend, two: Bend) -> str:
    """The flange both bends are on, running alike; empty where there is none."""
    shared = {one.parent, one.child} & {two.parent, two.child}
    for name in sorted(shared):
        a, b = _line(one, name), _line(two, name)
        du, dv = a[1][0] - a[0][0], a[1][1] - a[0][1]
        eu, ev = b[1][0] - b[0][0], b[1][1] - b[0][1]
        if abs(du * ev - dv * eu) <= ALONG * math.hypot(du, dv) * math.hypot(eu, ev):
            return name
    return ""


def widened(plan: PartPlan, name: str, one: Bend, two: Bend, by_mm: float) -> PartPlan:
    """The plan with that flange stretched square to its two bends, half-way between them.

    What lies beyond the middle moves with all that hangs on it; a bend across the middle moves by half and
    stays as long as it is; the line the flange itself hangs on stays.
    """
    a, b = _line(one, name), _line(two, name)
    if _hangs(two, name):
        a, b = b, a
    length = math.dist(*a)
    nu, nv = -(a[1][1] - a[0][1]) / length, (a[1][0] - a[0][0]) / length
    far = (b[0][0] - a[0][0]) * nu + (b[0][1] - a[0][1]) * nv
    if far < 0:
        nu, nv, far = -nu, -nv, -far

    def share(u: float, v: float) -> float:
        return float((u - a[0][0]) * nu + (v - a[0][1]) * nv > far / 2)

    def moved(u: float, v: float, part: float | None = None) -> Point:
        by = by_mm * (share(u, v) if part is None else part)
        return u + by * nu, v + by * nv

    flanges = []
    for flange in plan.flanges:
        if flange.name != name:
            flanges.append(flange)
            continue
        corners = tuple(Vertex(*moved(p.u, p.v), p.bulge) for p in flange.contour.vertices)
        flanges.append(replace(flange, contour=Contour(corners)))
    bends = []
    for bend in plan.bends:
        if bend.parent != name:
            bends.append(bend)
            continue
        part = (share(*bend.start) + share(*bend.end)) / 2
        bends.append(replace(bend, start=moved(*bend.start, part), end=moved(*bend.end, part)))
    return replace(plan, flanges=tuple(flanges), bends=tuple(bends))


def _hangs(bend: Bend, name: str) -> bool:
    return bend.child == name


def _line(bend: Bend, name: str) -> tuple[Point, Point]:
    """The tangent line of a bend in the frame of one of its flanges."""
    if _hangs(bend, name):
        return (0.0, 0.0), (bend_length(bend), 0.0)
    return bend.start, bend.end
