"""What lies before what in a step's picture: flanges beyond the tools under them, those before them over."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LinearRing, LineString, MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from generators.model.plan import PartPlan
from generators.model.spec.tools.press import Die
from generators.verify.pdf.bending.blank import shown
from generators.verify.pdf.bending.instead import orders_of
from generators.verify.pdf.bending.machine import depth_mm
from generators.verify.pdf.bending.pictures.seen_from import standing
from generators.verify.pdf.content import Content

RATIO, NEAR_MM, DOTTED_MM, SPECK_MM2 = 0.005, 0.3, 5.0, 1.0
EVERYWHERE = (-math.inf, math.inf)

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """An outline or a line of a picture, mm on paper, y up."""

    points: Points
    filled: bool
    dashed: bool


def page_problems(
    page: Content,
    steps: Sequence[re.Match[str]],
    boxes: Sequence[tuple[float, float]],
    plan: PartPlan,
    dies: Sequence[Die],
    made: Mapping[str, Set[str]],
) -> Iterator[str]:
    """What is wrong so in the pictures of a page, each between two heights of it, mm."""
    shapes = sorted(page.shapes, key=lambda s: s.order)
    drawn = [Drawn(points=s.points, filled=s.filled, dashed=s.dashed) for s in shapes]
    for match, here in zip(steps, boxes, strict=True):
        yield from pictured(match, drawn, plan, dies, made, here)


def pictured(
    match: re.Match[str],
    drawn: Sequence[Drawn],
    plan: PartPlan,
    dies: Sequence[Die],
    made: Mapping[str, Set[str]],
    heights: tuple[float, float] = EVERYWHERE,
) -> Iterator[str]:
    """What is wrong so in the picture of a step on the brake, in the order it is drawn."""
    die = next((d for d in dies if d.name == match.groupdict().get("die")), None)
    if die is not None:
        before = {b.name for b in plan.bends if shown(b.name) in made[match["number"]]}
        yield from layer_problems(match, before, plan, die, drawn, heights)


def befores(steps: Sequence[re.Match[str]]) -> dict[str, Set[str]]:
    """Of each step, by its number, the bends its order has made before it, as the sheet writes them."""
    return {
        match["number"]: {m["bend"] for m in order[:index]}
        for order in orders_of(steps)
        for index, match in enumerate(order)
    }


def layer_problems(
    match: re.Match[str],
    before: Iterable[str],
    plan: PartPlan,
    die: Die,
    drawn: Sequence[Drawn],
    heights: tuple[float, float],
) -> Iterator[str]:
    """Flanges drawn over tools that are nearer or under tools that are farther, and dots that hide nothing.

    ``drawn`` is a page in the order it is drawn, its picture between two ``heights``, ``before`` the bends
    made by then. A picture with a flange past both ends of the bend is not judged.
    """
    bend = next((b for b in plan.bends if shown(b.name) == match["bend"]), None)
    if bend is None:
        return
    where, from_left = f"step {match['number']}", bool(match["left"])
    fills = [(i, d.points, Polygon(d.points).buffer(0)) for i, d in enumerate(drawn) if _is_area(d)]
    low, high = heights
    dies = [(i, ring) for i, ring, area in fills if _is_die(area, die) and low <= area.bounds[3] <= high]
    if not dies:
        yield f"{where}: the picture shows no die of {die.width_mm:g} by {die.height_mm:g} mm"
        return
    die_at, die_ring = dies[-1]
    middle, top = (min(x for x, _ in die_ring) + max(x for x, _ in die_ring)) / 2, max(y for _, y in die_ring)
    scale = 2 * (max(x for x, _ in die_ring) - middle) / die.width_mm
    pressed = math.radians(float(match["pressed"])) if match["pressed"] else bend.angle_rad
    r, t, h = bend.inside_radius_mm, plan.thickness_mm, pressed / 2
    inside = t - depth_mm(die, pressed, r, t)
    # the tip is where the bend is inside; of tools the punch alone ends there
    tip = (middle, top + scale * inside)
    punches = [i for i, ring, _ in fills if math.dist(_foot(ring), tip) < NEAR_MM]
    if not punches:
        yield f"{where}: the picture shows no punch whose tip ends {inside:.2f} mm over the die's top"
        return
    tools = (die_at, punches[-1])
    bent = scale * (2 * max(b.inside_radius_mm + t for b in plan.bends)) + NEAR_MM
    near: list[BaseGeometry] = []
    for one in standing(match, bend, before, plan):
        ahead, beyond = (one.left, one.right) if from_left else (one.right, one.left)
        if ahead and beyond:
            return
        if not ahead and not beyond:
            continue
        off, up = one.points[:, 1] - h * (r + bend.k_factor * t), one.points[:, 2] - (r + t)
        y = math.cos(h) * off - math.sin(h) * up
        z = math.sin(h) * off + math.cos(h) * up + inside + r
        side = 1.0 if one.rear != from_left else -1.0
        place = MultiPoint(np.column_stack([middle + scale * side * y, top + scale * z]))
        round_it = shapely.box(*place.bounds).buffer(bent)
        here = [
            (i, area)
            for i, _, area in fills
            if i not in tools and round_it.covers(area) and area.buffer(NEAR_MM).covers(place)
        ]
        name = shown(one.name)
        if not here:
            yield f"{where}: the picture does not show {name}"
        elif beyond and min(i for i, _ in here) > min(tools):
            yield f"{where}: {name} stands beyond the tools and is drawn over them"
        elif ahead and max(i for i, _ in here) < max(tools):
            yield f"{where}: {name} stands before the tools and is drawn under them"
        elif ahead:
            near += [area for i, area in here if i > max(tools)]
    cover = shapely.union_all(near)
    # the next picture begins with outlines that lie below this one
    last = next((i for i, ring, _ in fills if i > max(tools) and max(y for _, y in ring) < low), len(drawn))
    dots = [LineString(d.points) for d in drawn[max(tools) : last] if d.dashed and not d.filled]
    if any(not cover.buffer(NEAR_MM).covers(line) for line in dots):
        yield f"{where}: tools are dotted where no flange stands before them"
    rims = [LinearRing(ring) for i, ring, _ in fills if i in tools]
    if not dots and sum(rim.intersection(cover).length for rim in rims) > DOTTED_MM:
        yield f"{where}: tools behind a flange are not dotted"


def _foot(ring: Points) -> tuple[float, float]:
    return min(ring, key=lambda p: p[1])


def _is_area(drawn: Drawn) -> bool:
    return drawn.filled and len(drawn.points) >= 4


def _is_die(area: BaseGeometry, die: Die) -> bool:
    """As wide for its height as the die, and open at the top."""
    if area.area < SPECK_MM2:
        return False
    x0, y0, x1, y1 = area.bounds
    alike = abs((x1 - x0) * die.height_mm / ((y1 - y0) * die.width_mm) - 1) < RATIO
    return alike and not area.covers(shapely.Point((x0 + x1) / 2, y1 - 0.02 * (y1 - y0)))
