"""What lies before what in a step's picture: flanges beyond the tools under them, those before them over."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import scale as stretched
from shapely.affinity import translate
from shapely.geometry import LinearRing, LineString, MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.frames import Matrix
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.press import Die
from generators.verify.pdf.bending.blank import shown
from generators.verify.pdf.bending.instead import in_turn
from generators.verify.pdf.bending.machine import depth_mm
from generators.verify.pdf.bending.pictures.seen_from import Standing, standing
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import Content

RATIO, ALIKE, NEAR_MM, DOTTED_MM, SPECK_MM2 = 0.005, 0.03, 0.3, 5.0, 1.0
EVERYWHERE = (-math.inf, math.inf)

Points = Sequence[tuple[float, float]]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """An outline or a line of a picture, mm on paper, y up."""

    points: Points
    filled: bool
    dashed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """The machine in a step's picture: which of its fills are tools, and where flanges come to lie on paper.

    ``place`` takes a flange as it is folded anew, before the step, to its points at the end of it.
    """

    tools: tuple[int, ...]
    scale: float
    place: Callable[[Standing], Matrix]


Fills = Sequence[tuple[int, Points, Polygon]]
Found = Scene | str
"""The scene, or what the picture does not show."""


def page_problems(
    page: Content,
    steps: Sequence[re.Match[str]],
    boxes: Sequence[tuple[float, float]],
    plan: PartPlan,
    tools: Tools,
    made: Mapping[str, Set[str]],
) -> Iterator[str]:
    """What is wrong so in the pictures of a page, each between two heights of it, mm."""
    shapes = sorted(page.shapes, key=lambda s: s.order)
    drawn = [Drawn(points=s.points, filled=s.filled, dashed=s.dashed) for s in shapes]
    for match, here in zip(steps, boxes, strict=True):
        yield from pictured(match, drawn, plan, tools, made, here)


def befores(steps: Sequence[re.Match[str]], plan: PartPlan) -> dict[str, Set[str]]:
    """Of each step, by its number, the bends its order has made before it."""
    return {match["number"]: before for match, _, before in in_turn(steps, plan)}


def pictured(
    match: re.Match[str],
    drawn: Sequence[Drawn],
    plan: PartPlan,
    tools: Tools,
    made: Mapping[str, Set[str]],
    heights: tuple[float, float] = EVERYWHERE,
) -> Iterator[str]:
    """Flanges drawn over tools that are nearer or under tools that are farther, and dots that hide nothing.

    ``drawn`` is a page in the order it is drawn, the step's picture between two ``heights``. A picture with a
    flange past both ends of the bend is not judged.
    """
    bend = next((b for b in plan.bends if shown(b.name) == match["bend"]), None)
    if bend is None:
        return
    fills = [(i, d.points, Polygon(d.points).buffer(0)) for i, d in enumerate(drawn) if _is_area(d)]
    if "front" in match.groupdict():
        scene: Found = _on_folder(match, bend, plan, tools.folder, fills, heights)
    else:
        die = next((d for d in tools.dies if d.name == match["die"]), None)
        if die is None:
            return
        scene = _on_brake(match, bend, plan, die, fills, heights)
    if isinstance(scene, str):
        yield f"step {match['number']}: the picture shows {scene}"
        return
    yield from _judged(match, bend, plan, made[match["number"]], scene, fills, drawn, heights)


def _on_brake(
    match: re.Match[str],
    bend: Bend,
    plan: PartPlan,
    die: Die,
    fills: Fills,
    heights: tuple[float, float],
) -> Found:
    """Die and punch: the die by its shape, the punch by where its tip ends over it."""
    low, high = heights
    dies = [(i, ring) for i, ring, area in fills if _is_die(area, die) and low <= area.bounds[3] <= high]
    if not dies:
        return f"no die of {die.width_mm:g} by {die.height_mm:g} mm"
    loaded = match["pressed"] or match["loaded"]
    pressed = math.radians(float(loaded)) if loaded else bend.angle_rad
    r, t, h = bend.inside_radius_mm, plan.thickness_mm, pressed / 2
    inside = t - depth_mm(die, pressed, r, t)
    # the tip is where the bend is inside; of tools the punch alone ends there. What is seen from above may
    # have the proportions of a die, and no punch ends in it
    for at, die_ring in reversed(dies):
        left, right = min(x for x, _ in die_ring), max(x for x, _ in die_ring)
        middle, top = (left + right) / 2, max(y for _, y in die_ring)
        scale = (right - left) / die.width_mm
        tip = (middle, top + scale * inside)
        punches = [i for i, ring, _ in fills if math.dist(_foot(ring), tip) < NEAR_MM]
        if punches:
            die_at = at
            break
    else:
        return f"no punch whose tip ends {inside:.2f} mm over the die's top"
    from_left = bool(match["left"])

    def place(one: Standing) -> Matrix:
        off, up = one.points[:, 1] - h * (r + bend.k_factor * t), one.points[:, 2] - (r + t)
        y = math.cos(h) * off - math.sin(h) * up
        z = math.sin(h) * off + math.cos(h) * up + inside + r
        side = 1.0 if one.rear != from_left else -1.0
        return np.column_stack([middle + scale * side * y, top + scale * z])

    return Scene(tools=(die_at, punches[-1]), scale=scale, place=place)


def _on_folder(
    match: re.Match[str],
    bend: Bend,
    plan: PartPlan,
    folder: Folder,
    fills: Fills,
    heights: tuple[float, float],
) -> Found:
    """Bed, beam, fingers and leaf where the folder has them; y = 0 where the bend begins under the nose."""
    low, high = heights
    whole = Polygon(folder.bed)
    beds = [(i, area) for i, _, area in fills if low <= area.bounds[3] <= high and _alike(area, whole)]
    if not beds:
        return "no bed of the folder's form"
    # a leg may have the bed's form by chance: the bed is the largest so formed
    bed_at, bed = max(beds, key=lambda b: b[1].area)
    scale = (bed.bounds[2] - bed.bounds[0]) / (whole.bounds[2] - whole.bounds[0])
    left, level = bed.bounds[0] - scale * whole.bounds[0], bed.bounds[3] - scale * whole.bounds[3]
    r, t, angle = bend.inside_radius_mm, plan.thickness_mm, math.radians(float(match["pressed"]))
    c, s = math.cos(angle), math.sin(angle)

    def page(y: Floats, z: Floats) -> Matrix:
        return np.column_stack([left + scale * y, level + scale * z])

    def turned(y: Floats, z: Floats) -> tuple[Floats, Floats]:
        """About the axis of the bend, the front up and over."""
        return c * y + s * (z - r - t), -s * y + c * (z - r - t) + r + t

    lifted = t + folder.finger_height_mm
    beam = np.array(folder.beam, dtype=float)
    deep, thick = folder.leaf_depth_mm, folder.leaf_thickness_mm
    leaf = turned(np.array([0.0, -deep, -deep, 0.0]), np.array([0.0, 0.0, -thick, -thick]))
    # nose and front lean as they may: a finger is known by its foot on the sheet, its back and its top
    x, y = page(np.array([0.0, folder.finger_depth_mm]), np.array([t, lifted])).T
    fingers = [
        i
        for i, _, area in fills
        if not area.is_empty
        and all(
            abs(has - wanted) < NEAR_MM
            for has, wanted in zip(area.bounds[1:], (y[0], x[1], y[1]), strict=True)
        )
        and area.bounds[0] < x[0] + NEAR_MM
    ]
    found = [("fingers", fingers)]
    for name, ring in (("beam", page(beam[:, 0], beam[:, 1] + lifted)), ("leaf", page(*leaf))):
        wanted = Polygon(ring)
        found.append(
            (name, [i for i, _, a in fills if a.symmetric_difference(wanted).area < ALIKE * wanted.area])
        )
    if missing := [name for name, at in found if not at]:
        return f"no {' and no '.join(missing)} where the folder has them"
    start = bend.angle_rad * (r + bend.k_factor * t) / 2

    def place(one: Standing) -> Matrix:
        off, up = one.points[:, 1] - start, one.points[:, 2]
        if one.rear:
            return page(off, up)
        # it has slid up the leaf by what the arc has taken
        return page(*turned(angle * (r + bend.k_factor * t) - off - start, up))

    return Scene(tools=(bed_at, *(at[-1] for _, at in found)), scale=scale, place=place)


def _judged(
    match: re.Match[str],
    bend: Bend,
    plan: PartPlan,
    before: Iterable[str],
    scene: Scene,
    fills: Fills,
    drawn: Sequence[Drawn],
    heights: tuple[float, float],
) -> Iterator[str]:
    """Each flange beyond either end of the bend, found in the picture, against the tools."""
    where, from_left, tools = f"step {match['number']}", bool(match.groupdict().get("left")), scene.tools
    bent = scene.scale * (2 * max(b.inside_radius_mm + plan.thickness_mm for b in plan.bends)) + NEAR_MM
    near: list[BaseGeometry] = []
    for one in standing(match, bend, before, plan):
        ahead, beyond = (one.left, one.right) if from_left else (one.right, one.left)
        if ahead and beyond:
            return
        if not ahead and not beyond:
            continue
        place = MultiPoint(scene.place(one))
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
    low = heights[0]
    last = next((i for i, ring, _ in fills if i > max(tools) and max(y for _, y in ring) < low), len(drawn))
    dots = [LineString(d.points) for d in drawn[max(tools) : last] if d.dashed and not d.filled]
    if any(not cover.buffer(NEAR_MM).covers(line) for line in dots):
        yield f"{where}: tools are dotted where no flange stands before them"
    rims = [LinearRing(ring) for i, ring, _ in fills if i in tools]
    if not dots and sum(rim.intersection(cover).length for rim in rims) > DOTTED_MM:
        yield f"{where}: tools behind a flange are not dotted"


def _alike(area: BaseGeometry, form: Polygon) -> bool:
    """True for an outline of that form in whatever size."""
    if area.area < SPECK_MM2:
        return False
    by = (area.bounds[2] - area.bounds[0]) / (form.bounds[2] - form.bounds[0])
    large = stretched(form, by, by)
    there = translate(large, area.bounds[0] - large.bounds[0], area.bounds[3] - large.bounds[3])
    return bool(there.symmetric_difference(area).area < RATIO * area.area)


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
