"""Flanges that need the same piece of sheet when flat, or the same place when folded.

Flat: every flange and bend strip is a polygon on the blank; no two may share area. Folded: every flange
is a plate, every bend a fan of thin plates inscribed in its ring sector. Two plates run into each other
when an edge of one passes through the inside of the other, or the middle of one lies in the other.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

from generators.checks.measure import shape_of
from generators.checks.rule import Rule, finding, mm
from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply, plane_move
from generators.model.findings import Finding, Severity
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import (
    FlatPattern,
    bend_length,
    flat_placements,
    fold_step,
    folded_frames,
)

OUTLINE_MM = 0.05
TOUCH_MM = 0.01
"""Pieces that touch, or share no more than this, do not clash: chords and rounding."""

SHARED_MM2 = 0.01
GRID_MM = 1e-6
FAN_RAD = math.radians(10)


BLANK_OVERLAP = Rule(
    code="blank-overlap",
    title="The flat blank runs into itself",
    meaning="Unfolded, two flanges would need the same piece of sheet, so the part cannot be cut in one.",
    formula="the blank's outline does not cross or touch itself",
    source="geometry",
    trust="C",
    mend="Shorten a flange, or make the part of two pieces.",
)

FOLDED_CLASH = Rule(
    code="folded-clash",
    title="The folded part runs into itself",
    meaning="Once bent, two flanges would be in the same place: the last bend cannot be made.",
    formula="no edge of a flange or bend passes through another flange or bend",
    source="geometry",
    trust="C",
    mend="Shorten a flange, cut it back where the other comes to lie, or bend one of them less.",
)

RULES = (
    BLANK_OVERLAP,
    FOLDED_CLASH,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """A flat plate between w = 0 and its thickness; ``frame`` puts it into the root's frame.

    ``inner`` is its outline less what may touch, in its own frame; ``edges`` in space, shape (n, 2, 3), are
    those of the plate less twice that: where two plates of the same width cross, their edges meet rims.
    A plate of a bend has the names of both its flanges.
    """

    names: tuple[str, ...]
    frame: Matrix
    thickness: float
    outline: Polygon
    inner: Polygon
    edges: Matrix
    low: Matrix
    high: Matrix


def _plate(names: tuple[str, ...], frame: Matrix, thickness: float, outline: Polygon) -> Plate:
    margin = 2 * TOUCH_MM
    core = outline.buffer(-margin, join_style="mitre")
    if not isinstance(core, Polygon) or core.is_empty:
        core = outline  # too slim, or it falls apart: a notch with a neck
    corners = np.array(core.exterior.coords)[:-1]
    sides = []
    for w in (margin, thickness - margin):
        ring = np.column_stack([corners, np.full(len(corners), w)])
        sides.append(apply(frame, ring))
    low, high = sides
    edges = np.concatenate(
        [
            np.stack([low, np.roll(low, -1, axis=0)], axis=1),
            np.stack([high, np.roll(high, -1, axis=0)], axis=1),
            np.stack([low, high], axis=1),
        ]
    )
    inner = outline.buffer(-TOUCH_MM)
    shapely.prepare(inner)
    return Plate(
        names=names,
        frame=frame,
        thickness=thickness,
        outline=outline,
        inner=inner,
        edges=edges,
        low=edges.min(axis=(0, 1)),
        high=edges.max(axis=(0, 1)),
    )


def plates(plan: PartPlan) -> list[Plate]:
    """The folded part as plates: one for each flange, several for each bend."""
    frames = folded_frames(plan)
    t = plan.thickness_mm
    out = [
        _plate((f.name,), frames[f.name], t, Polygon(polyline(f.contour, OUTLINE_MM))) for f in plan.flanges
    ]
    for bend in plan.bends:
        out.extend(_fan(plan, bend, frames[bend.parent]))
    return out


def _fan(plan: PartPlan, bend: Bend, parent: Matrix) -> Iterator[Plate]:
    """Plates inside a ring sector, each as wide as the inside chord of its layer and its share of the angle.

    Where the outside radius is more than twice the inside one, layers of their own fill it better.
    """
    t, r, length = plan.thickness_mm, bend.inside_radius_mm, bend_length(bend)
    radii = [max(r, t / 4)]
    while radii[-1] < r + t:
        radii.append(min(2 * radii[-1], r + t))
    count = max(1, math.ceil(bend.angle_rad / FAN_RAD))
    share = bend.angle_rad / count / 2
    for inside, outside in itertools.pairwise(radii):
        half, chord = inside * math.sin(share), inside * math.cos(share)
        if half < TOUCH_MM:
            continue
        strip = Polygon([(0.0, -half), (length, -half), (length, half), (0.0, half)])
        # the chord lies nearer to the axis than the arc; an outer corner would reach past the outside
        high = math.sqrt(outside**2 - half**2)
        for i in range(count):
            # w of the lower face of the plate: from the axis outward is down for an up bend
            low = t + r - high if bend.direction == "up" else chord - r
            lift = np.eye(4)
            lift[2, 3] = low
            frame = parent @ fold_step(bend, t, (i + 0.5) / count) @ lift
            yield _plate((bend.parent, bend.child), frame, high - chord, strip)


def clashes(plan: PartPlan) -> Iterator[tuple[str, str]]:
    """Pairs of flanges that run into each other once folded; a bend counts as both its flanges."""
    order = [f.name for f in plan.flanges].index
    seen: set[tuple[str, str]] = set()
    for one, two in itertools.combinations(plates(plan), 2):
        if one.names == two.names or not _boxes_meet(one, two):
            continue  # two plates of one bend only touch
        first, second = sorted(_pair(one.names, two.names), key=order)
        if (first, second) in seen:
            continue
        if _pierces(one, two) or _pierces(two, one):
            seen.add((first, second))
            yield first, second


def _pair(one: tuple[str, ...], two: tuple[str, ...]) -> tuple[str, str]:
    """A name for each of two pieces: the later flange of a bend, but not one that both share."""
    shared = set(one) & set(two)
    a = next((n for n in reversed(one) if n not in shared), one[-1])
    b = next((n for n in reversed(two) if n not in shared), two[-1])
    return a, b


def _boxes_meet(one: Plate, two: Plate) -> bool:
    return bool(np.all(one.low < two.high - TOUCH_MM) and np.all(two.low < one.high - TOUCH_MM))


def _pierces(edged: Plate, plate: Plate) -> bool:
    """True when an edge of the one, or its middle, lies inside the other."""
    into = np.asarray(np.linalg.inv(plate.frame), dtype=np.float64)
    local = apply(into, edged.edges.reshape(-1, 3)).reshape(-1, 2, 3)
    middle = edged.outline.representative_point()
    inside = apply(into, apply(edged.frame, np.array([[middle.x, middle.y, edged.thickness / 2]])))[0]
    inner = plate.inner
    if inner.is_empty:
        return False
    low, high = TOUCH_MM, plate.thickness - TOUCH_MM
    if low < inside[2] < high and inner.contains(Point(inside[0], inside[1])):
        return True
    for start, end in local:
        rise = end[2] - start[2]
        if abs(rise) < 1e-12:
            if not low < start[2] < high:
                continue
            first, last = 0.0, 1.0
        else:
            first, last = sorted(((low - start[2]) / rise, (high - start[2]) / rise))
            first, last = max(0.0, first), min(1.0, last)
            if first >= last:
                continue
        a, b = start + first * (end - start), start + last * (end - start)
        shape = LineString([a[:2], b[:2]]) if math.dist(a[:2], b[:2]) > 1e-9 else Point(a[:2])
        if inner.intersects(shape):
            return True
    return False


def blank_pieces(plan: PartPlan, flat: FlatPattern) -> list[tuple[tuple[str, ...], Polygon]]:
    """Flanges and bend strips as polygons on the blank, with the flanges each belongs to."""
    places = flat_placements(plan)
    out: list[tuple[tuple[str, ...], Polygon]] = []
    for flange in plan.flanges:
        place = places[flange.name]
        points = np.array([(u, v, 0.0) for u, v in polyline(flange.contour, OUTLINE_MM)])
        laid = apply(plane_move(place.du, place.dv, place.angle), points)
        out.append(((flange.name,), Polygon(laid[:, :2])))
    for strip in flat.bends:
        out.append(((strip.bend.parent, strip.bend.child), Polygon([*strip.near, *reversed(strip.far)])))
    return out


def overlaps(plan: PartPlan, flat: FlatPattern) -> Iterator[tuple[str, str, float]]:
    """Pairs of flanges that need the same piece of sheet, each pair once, and how much of it, mm²."""
    order = [f.name for f in plan.flanges].index
    seen: dict[tuple[str, str], float] = {}
    for (names_a, a), (names_b, b) in itertools.combinations(blank_pieces(plan, flat), 2):
        # on a grid: with free coordinates GEOS has returned an area for two pieces that share only an edge
        both = shapely.intersection(shapely.make_valid(a), shapely.make_valid(b), grid_size=GRID_MM)
        shared = float(both.area)
        if shared < SHARED_MM2:
            continue
        one, two = sorted(_pair(names_a, names_b), key=order)
        pair = one, two
        seen[pair] = seen.get(pair, 0.0) + shared
    for (one, two), shared in seen.items():
        yield one, two, shared


def check_room(plan: PartPlan, flat: FlatPattern) -> Iterator[Finding]:
    """Findings of overlapping flanges on the blank, and of flanges that clash when folded."""
    doubled = list(overlaps(plan, flat))
    if not doubled and not shape_of(flat.contour).is_valid:
        yield finding(
            BLANK_OVERLAP,
            Severity.FAIL,
            f"part:{plan.name}",
            found="outline crosses or touches itself",
            wanted="a simple outline",
            advice="shorten a flange or widen a relief until no two flanges need the same piece of sheet",
        )
    for one, two, shared in doubled:
        yield finding(
            BLANK_OVERLAP,
            Severity.FAIL,
            f"part:{plan.name} flanges {one} and {two}",
            value=shared,
            unit="mm2",
            found=f"{shared:.1f} mm2 of sheet needed twice",
            wanted="a piece of sheet for each",
            advice=f"shorten flange {two} or flange {one}, or widen the relief between them",
        )
    for one, two in clashes(plan):
        yield finding(
            FOLDED_CLASH,
            Severity.FAIL,
            f"part:{plan.name} flanges {one} and {two}",
            found="run into each other when folded",
            wanted=f"apart, or touching within {mm(TOUCH_MM)}",
            advice=f"shorten flange {two} or flange {one}, or bend one of them less",
        )
