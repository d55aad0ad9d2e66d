"""What lies flat beside a bend, past its line, swings down as its own leg rises: into a die that is there.

Found from the flat blank alone: flanges that are still in one plane with either leg, in the blank's places.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Set

from shapely.geometry import Polygon, box

from generators.geometry.contours import polyline
from generators.model.plan import Bend, Hole, PartPlan, Slot
from generators.model.spec.tools.press import Die
from generators.sheetmetal.folding import FlatPattern, bend_length
from generators.verify.pdf.bending.beside import SAME_MM, limit_mm
from generators.verify.pdf.bending.gauged import laid_points

Point = tuple[float, float]
FAR_MM, RIM, OFF_MM = 1e5, 360, 0.1
BESIDE = re.compile(
    r"flanges? (?P<names>[a-z0-9 ]+?) (?P<does>hangs?(?: or swings? down)?|stands?|swings? down) beside it"
)


def flat_beside(
    where: str,
    most: str | None,
    bend: Bend,
    before: Iterable[str],
    flat: FlatPattern,
    die: Die,
    plan: PartPlan,
) -> Iterator[str]:
    """Flat metal past the bend's ends that reaches over the other side's edge of the V.

    Only what the sheet says stands against the blank; ``before``: names of the bends made earlier.
    """
    long, made = bend_length(bend), {*before, bend.name}
    ends = {-1: math.inf, 1: math.inf}
    for flange in (bend.parent, bend.child):
        # the leg's own side of the line; what is beyond the V on the other side is over the die
        place = _seen_from(bend, flat, 1.0 if flange == bend.child else -1.0)
        zone = box(-FAR_MM, -FAR_MM, FAR_MM, -die.opening_mm / 2)
        for name in one_plane(flange, made, plan):
            ring = [flat.placements[name].apply(*p) for p in polyline(plan.flange(name).contour, SAME_MM)]
            over = Polygon([place(p) for p in ring]).intersection(zone)
            for piece in getattr(over, "geoms", [over]):
                if piece.area < SAME_MM:
                    continue
                low, _, high, _ = piece.bounds
                if high <= SAME_MM:
                    ends[-1] = min(ends[-1], -high)
                elif low >= long - SAME_MM:
                    ends[1] = min(ends[1], low - long)
                else:
                    yield f"{where}: flange {name} lies over the die and swings down into it"
    if all(math.isinf(end) for end in ends.values()):
        return
    free = long + sum(end for end in ends.values() if not math.isinf(end))
    limit = limit_mm(most or "", long)
    if limit is None or limit > free + SAME_MM:
        said = f"{limit:.1f} mm" if limit is not None else "nothing of it"
        yield (
            f"{where}: flat metal beside the bend swings down, {free:.1f} mm are free for the die, "
            f"and the sheet says {said}"
        )


def open_problems(
    where: str,
    said: str | None,
    bend: Bend,
    before: Iterable[str],
    flat: FlatPattern,
    die: Die,
    plan: PartPlan,
) -> Iterator[str]:
    """Openings over the open V, by points of their rims on the blank: each must be named, and no other."""
    named = set((said or "").replace(" ", "").split(",")) - {""}
    made, place = {*before, bend.name}, _seen_from(bend, flat, 1.0)
    plane, long = {*one_plane(bend.parent, made, plan), *one_plane(bend.child, made, plan)}, bend_length(bend)
    owners = [f.name for f in plan.flanges for _ in f.holes] + [f.name for f in plan.flanges for _ in f.slots]
    items: list[Hole | Slot] = [*flat.holes, *flat.slots]
    # a round between the top and a side that leaves it at 90 degrees less half the V's angle begins there
    carried = die.opening_mm / 2 + die.shoulder_radius_mm * math.tan(math.pi / 4 - die.angle_rad / 4)
    for number, (owner, item) in enumerate(zip(owners, items, strict=True), 1):
        rim = [place(p) for p in _rim(item)] if owner in plane else []
        nearest = min((abs(y) for x, y in rim if 0.0 < x < long), default=math.inf)
        if nearest < carried - SAME_MM and str(number) not in named:
            yield f"{where}: hole {number} is over the open V, {nearest:.1f} mm from its middle, not named"
        if nearest > carried + SAME_MM and str(number) in named:
            yield f"{where}: hole {number} is named as over the open V and does not reach over it"


def _rim(item: Hole | Slot) -> Iterator[Point]:
    """Points of an opening's rim, and within a slot between its ends."""
    slot = isinstance(item, Slot)
    wide, half = (item.width_mm, item.travel_mm / 2) if isinstance(item, Slot) else (item.diameter_mm, 0.0)
    du, dv = (f(item.angle_rad) * half if isinstance(item, Slot) else 0.0 for f in (math.cos, math.sin))
    for share in [k / 10 for k in range(-10, 11)] if slot else [0.0]:
        for turn in range(RIM):
            a = math.tau * turn / RIM
            yield (
                item.u_mm + share * du + wide / 2 * math.cos(a),
                item.v_mm + share * dv + wide / 2 * math.sin(a),
            )


def one_plane(flange: str, made: Set[str], plan: PartPlan) -> list[str]:
    """That flange and all that no bend made, nor the one being made, parts from it."""
    found = [flange]
    for name in found:
        for bend in plan.bends:
            if bend.name not in made and name in (bend.parent, bend.child):
                other = bend.child if bend.parent == name else bend.parent
                if other not in found:
                    found.append(other)
    return found


def _seen_from(bend: Bend, flat: FlatPattern, side: float) -> Callable[[Point], Point]:
    """Points of the blank as along the bend's middle line and off it, toward the side of one leg."""
    this = next(b for b in flat.bends if b.bend.name == bend.name)
    (au, av), (bu, bv) = this.middle
    long = math.dist((au, av), (bu, bv))
    eu, ev = (bu - au) / long, (bv - av) / long
    (nu, nv), (fu, fv) = this.near[0], this.far[0]
    toward = math.copysign(side, side * ((fu - nu) * ev - (fv - nv) * eu))

    def place(p: Point) -> Point:
        du, dv = p[0] - au, p[1] - av
        return du * eu + dv * ev, toward * (du * ev - dv * eu)

    return place


def does_problems(
    where: str, match: re.Match[str], bend: Bend, before: Set[str], plan: PartPlan
) -> Iterator[str]:
    """What is said to hang, to stand or to swing down beside a tool, held against how it lies as laid in."""
    heights = {
        name: (float(points[:, 2].min()) < -OFF_MM, float(points[:, 2].max()) > plan.thickness_mm + OFF_MM)
        for name, points in laid_points(match, bend, before, plan).items()
    }
    for said in (match["punch_most"], match["die_most"]):
        found = BESIDE.search(said or "")
        if found is None:
            continue
        names = [n for n in heights if re.search(rf"\b{n}\b", found["names"])]
        hangs, stands = ([n for n in names if heights[n][i]] for i in (0, 1))
        does = found["does"]
        if does.startswith("stand") and stands != names:
            yield f"{where}: {found['names']} is said to stand beside it, and does not as laid in"
        if does.startswith("hang") and (hangs != names if " or " not in does else not hangs):
            yield f"{where}: {found['names']} is said to hang beside it, and does not as laid in"
        if does.startswith("swing") and hangs:
            yield f"{where}: {', '.join(hangs)} hangs beside it as laid in, and is said to swing down"
