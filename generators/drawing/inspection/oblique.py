"""Lengths at bends that are not square, and heights of openings in flanges that lean.

No caliper closes on a corner between two leaning faces, so each such length is read as a height over the
outer face of the flange beside it. Limits stack what the drawing lets bent lengths and angles be off: a part
within these always reads within those, also where a sine has its top between two angles.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from generators.drawing.inspection.item import Item, Point, length, shown
from generators.drawing.part.profile import Leg, mould_line
from generators.geometry.frames import Matrix, apply, turned_about
from generators.model.plan import Bend, Hole, PartPlan, Slot
from generators.sheetmetal.folding import bends_above, folded_frames, past_limit

SQUARE_RAD = math.radians(0.01)
LEAST_SINE = 0.02
"""Flanges nearer to parallel than that, about a degree, have no height one over the other."""

ALIKE = 1e-6
ON_RIMS = "its lowest rim and its highest on the outer side, the mean of both"
RIMS = "height gauge, both rims"
LAID, EDGES = "height gauge, on parallels", "height gauge, straightedges"


def oblique(bends: Sequence[Bend]) -> bool:
    """True where one of them is not square."""
    return any(abs(b.angle_rad - math.pi / 2) > SQUARE_RAD for b in bends)


def leaning(normal_z: float) -> bool:
    """True for a flange whose normal has that share along the root's: one that openings have a height in."""
    return math.sqrt(max(0.0, 1 - normal_z**2)) >= LEAST_SINE


def oblique_length(plan: PartPlan, leg: Leg, key: str, at: Point) -> Item | None:
    """How a leg with a bend that is not square is measured, mm; None where nothing shows its length.

    A leg with one bend by its far end's highest edge, one between bends by where its outer face and the next
    flange's meet, over the outer face of a flange at a square bend of it, else of the one it is bent off.
    """
    datum, other = _ends(plan, leg)
    if datum is None or math.sin(datum.angle_rad) < LEAST_SINE:
        return None
    own, beside = (shown(n) for n in (leg.flange, _beside(datum, leg.flange)))
    if other is None:
        what = f"{own}, over the outer face of {beside} laid on parallels to the highest edge of its far end"
        using = LAID
    else:
        beyond = shown(_beside(other, leg.flange))
        what = (
            f"{own}, over the outer face of {beside} to where edges laid on the outer faces of {own} and "
            f"{beyond} cross"
        )
        using = EDGES
    t = plan.thickness_mm

    def height(long: float, angle: float) -> float:
        over = t * math.cos(angle)
        if other is None:
            over = max(0.0, over)
        elif other.direction == datum.direction:
            over = 0.0
        return long * math.sin(angle) + over

    angles = [datum.angle_rad - plan.bent_rad, datum.angle_rad, datum.angle_rad + past_limit(plan, datum)]
    if angles[0] < math.pi / 2 < angles[-1]:
        angles.append(math.pi / 2)
    nominal = height(leg.length, datum.angle_rad)
    found = [height(leg.length + by, a) for by in (-plan.bent_mm, plan.bent_mm) for a in angles]
    off = (min(found) - nominal, max(found) - nominal)
    return length(key, what, using, nominal, off, bent=True, at=(at,))


def _ends(plan: PartPlan, leg: Leg) -> tuple[Bend | None, Bend | None]:
    """The bend a leg is measured from, and the one at its other end; None for a free end.

    The first is None where all its bends are at one end and there are several.
    """
    if len(leg.bends) == 1:
        return leg.bends[0], None
    (u, v), (nu, nv) = mould_line(leg.bends[0], leg.flange, plan.thickness_mm)

    def away(bend: Bend) -> float:
        (x, y), _ = mould_line(bend, leg.flange, plan.thickness_mm)
        return (u - x) * nu + (v - y) * nv

    far = max(leg.bends[1:], key=away)
    if away(far) < ALIKE:
        return None, None
    both = sorted((leg.bends[0], far), key=lambda b: (oblique((b,)), b.child != leg.flange))
    return both[0], both[1]


def _beside(bend: Bend, flange: str) -> str:
    return bend.child if bend.parent == flange else bend.parent


def height_off(plan: PartPlan, flange: str, item: Hole | Slot) -> tuple[float, float]:
    """How far an opening's height over the root may be off on the outer side of its flange, mm.

    Each angle on the way may be off, and each outside length up to the opening. With outside lengths as they
    are a bend farther turns what is beyond about the line where its outer faces meet.
    """
    bends, frames = bends_above(plan, flange)[::-1], folded_frames(plan)
    side = 0.0 if bends[-1].direction == "up" else plan.thickness_mm
    centre = apply(frames[flange], np.array([[item.u_mm, item.v_mm, side]]))[0]
    lines = [_mould(plan, frames, b) for b in bends]
    outward = [frames[b.parent][:3, :3] @ np.array([*_normal(b), 0.0]) for b in bends[1:]]
    outward.append(frames[flange][:3, 1])
    heights: list[float] = []
    for turns in itertools.product(*((-plan.bent_rad, 0.0, past_limit(plan, b)) for b in bends)):
        turned = [turned_about(np.eye(3), axis, by).T for (_, axis), by in zip(lines, turns, strict=True)]
        at = centre
        for (point, _), turn in reversed(list(zip(lines, turned, strict=True))):
            at = point + turn @ (at - point)
        play, whole = 0.0, np.eye(3)
        for turn, way in zip(turned, outward, strict=True):
            whole = whole @ turn
            play += abs(float((whole @ way)[2])) * plan.bent_mm
        heights += [float(at[2]) - play, float(at[2]) + play]
    return min(heights) - float(centre[2]), max(heights) - float(centre[2])


def _normal(bend: Bend) -> Point:
    """Out of the parent, square to the bend, in its frame."""
    long = math.dist(bend.start, bend.end)
    return (bend.end[1] - bend.start[1]) / long, (bend.start[0] - bend.end[0]) / long


def _mould(plan: PartPlan, frames: dict[str, Matrix], bend: Bend) -> tuple[Matrix, Matrix]:
    """A point of the line where a bend's outer faces meet, and its direction: about it one bends on."""
    (u, v), (nu, nv) = mould_line(bend, bend.parent, plan.thickness_mm)
    up = bend.direction == "up"
    point = apply(frames[bend.parent], np.array([[u, v, 0.0 if up else plan.thickness_mm]]))[0]
    # a turn about this axis takes the way out of the parent to where the bend goes
    axis = np.array([nv, -nu, 0.0]) if up else np.array([-nv, nu, 0.0])
    return point, frames[bend.parent][:3, :3] @ axis


def heights_of(plan: PartPlan, openings: Iterable[tuple[str, str, str, float | None]]) -> Iterator[Item]:
    """Heights over the root of openings: number, name and flange of each, and its height once bent, mm.

    Upright flanges on square bends have the drawing's bent length; in others angles and lengths stack.
    """
    frames, root = folded_frames(plan), shown(plan.flanges[0].name)
    for number, name, flange, high in openings:
        if high is None or not leaning(float(frames[flange][2, 2])):
            continue
        item = next(o for o in plan.flange(flange).openings if o.name == name)
        slot = isinstance(item, Slot)
        what = f"centre of {'slot' if slot else 'hole'} {number} above the lower side of {root}"
        off, using = (-plan.bent_mm, plan.bent_mm), "height gauge, pin in hole"
        if oblique(bends_above(plan, flange)):
            off, what, using = height_off(plan, flange, item), f"{what}: {ON_RIMS}", RIMS
        elif slot:
            # a pin goes up and down in a slot that stands
            what, using = f"{what}: its lowest rim and its highest, the mean of both", RIMS
        yield length(f"H{number}", what, using, high, off, bent=True, holes=(item.name,))
