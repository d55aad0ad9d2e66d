"""Lengths at bends that are not square, and heights of openings in flanges that lean.

No caliper closes on a corner between two leaning faces, so each such length is read as a height over the
outer face of the flange beside it. Limits stack what the drawing lets bent lengths and angles be off: a part
within these always reads within those, also where a sine has its top between two angles.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from generators.drawing.inspection.item import Item, Point, length, outer_faces, shown
from generators.drawing.part.heights import LEAST_SINE, height_off, leaning, oblique
from generators.drawing.part.profile import Leg, mould_line
from generators.model.plan import Bend, PartPlan, Slot
from generators.sheetmetal.folding import bends_above, folded_frames, past_limit

ALIKE = 1e-6
ON_RIMS = "its lowest rim and its highest on the outer side, the mean of both"
RIMS = "height gauge, both rims"
LAID, EDGES = "height gauge, on parallels", "height gauge, straightedges"


def oblique_length(plan: PartPlan, leg: Leg, key: str, at: Point) -> Item | None:
    """How a leg with a bend that is not square is measured, mm; None where nothing shows its length.

    A leg with one bend by its far end's highest edge, one between bends by where its outer face and the next
    flange's meet, over the outer face of a flange at a square bend of it, else of the one it is bent off.
    """
    datum, other = _ends(plan, leg)
    if datum is None or math.sin(datum.angle_rad) < LEAST_SINE:
        return None
    own, face = shown(leg.flange), outer_faces(plan, (_beside(datum, leg.flange), datum))
    if other is None:
        what = f"{own}, over {face} laid on parallels to the highest edge of its far end"
        using = LAID
    else:
        faces = outer_faces(plan, (leg.flange, other), (_beside(other, leg.flange), other))
        what = f"{own}, over {face} to where edges laid on {faces} cross"
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
        off, using = height_off(plan, flange, item), "height gauge, pin in hole"
        if oblique(bends_above(plan, flange)):
            what, using = f"{what}: {ON_RIMS}", RIMS
        elif slot:
            # a pin goes up and down in a slot that stands
            what, using = f"{what}: its lowest rim and its highest, the mean of both", RIMS
        yield length(f"H{number}", what, using, high, off, bent=True, holes=(item.name,))
