"""Distances between holes for a steel rule, which is right where the paper differs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice

from generators.geometry.determining import CROSS, crossing, determining_pair, pinning_pairs
from generators.geometry.rims import from_rim, rim_distance
from generators.geometry.sight import sides
from generators.model.folds import Wrap
from generators.model.plan import PanelHole
from generators.model.words import NEW

Pair = tuple[PanelHole, PanelHole]
Reaches = Callable[[PanelHole, PanelHole], bool]
"""Whether a rule lies straight between two holes."""

ENOUGH = 2
"""Distances that fix a point in a plane, with its side known."""

LEAST_MM = 1e-6
NO_PART = frozenset({"panel", "existing"})
"""Owners of a hole that are no part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One distance in mm: from the rim of a hole that is there, from the middle of a new one.

    A rule reaches a rim whatever sits in the hole.
    """

    a: PanelHole
    b: PanelHole
    mm: float


def between(a: PanelHole, b: PanelHole) -> float:
    """Centre distance in mm."""
    return math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm)


def spanning_tree(holes: Sequence[PanelHole]) -> tuple[Pair, ...]:
    """The shortest set of links that joins all holes (Prim's method); ties by the printed order."""
    if not holes:
        return ()
    pairs: list[Pair] = []
    reach = {i: (between(holes[0], holes[i]), 0) for i in range(1, len(holes))}
    while reach:
        i = min(reach, key=lambda k: (reach[k][0], k))
        pairs.append((holes[reach.pop(i)[1]], holes[i]))
        for k, (distance, _) in list(reach.items()):
            d = between(holes[i], holes[k])
            if d < distance:
                reach[k] = (d, i)
    return tuple(pairs)


def dimensioned(holes: Sequence[PanelHole], wraps: Sequence[Wrap] = ()) -> tuple[Pair, ...]:
    """Links drawn on the sheet: between new, reused and datum holes of different places on one flat."""
    return tuple(
        (a, b)
        for flat in sides([h for h in holes if h.status != "blank"], wraps)
        for a, b in spanning_tree(flat)
        if between(a, b) > 1e-6
    )


def at_rim(hole: PanelHole) -> bool:
    """True for a hole that is in the panel already: one measures from its rim, not from its middle."""
    return hole.status not in NEW


def checked(a: PanelHole, b: PanelHole) -> Check:
    """What a rule reads between two holes as they are when the new ones are marked."""
    if at_rim(a) and at_rim(b):
        mm = rim_distance(a, b)
    elif at_rim(a):
        mm = from_rim(b.u_mm, b.v_mm, a)
    else:
        mm = from_rim(a.u_mm, a.v_mm, b) if at_rim(b) else between(a, b)
    return Check(a=a, b=b, mm=mm)


def everywhere(_a: PanelHole, _b: PanelHole) -> bool:
    """Nothing stands on the panel."""
    return True


def checks(
    holes: Sequence[PanelHole], wraps: Sequence[Wrap] = (), reaches: Reaches = everywhere
) -> tuple[Check, ...]:
    """Existing holes from each other, those a part is bolted on with, each new hole from what determines it.

    The last are the two holes already there whose distances fix it best; where there are not two, the new
    holes nearest to it. Each flat of a sheet round a fold by itself. A pair something stands between, by
    ``reaches``, is left out, and another takes its place.
    """
    return _checks(tuple(holes), tuple(wraps), reaches)


def paper_alone(holes: Sequence[PanelHole], found: Sequence[Check], wraps: Sequence[Wrap] = ()) -> str:
    """In words the new holes that ``found`` does not fix, since something stands where a rule would lie.

    Empty where there are none. The number of holes on a flat limits how many distances there can be.
    """
    numbers = []
    have = Counter(_which(hole) for check in found for hole in (check.a, check.b))
    for flat in sides(holes, wraps):
        for hole in (h for h in flat if not at_rim(h)):
            others = (other for other in flat if checked(hole, other).mm > LEAST_MM)
            if have[_which(hole)] < sum(1 for _ in islice(others, ENOUGH)):
                numbers.append(hole.number)
    if not numbers:
        return ""
    which = f"{'Hole' if len(numbers) == 1 else 'Holes'} {', '.join(numbers)}"
    return f"{which}: something stands in the way of a rule; there the paper decides."


def _which(hole: PanelHole) -> tuple[str, float, float]:
    """What tells a hole from the others of a panel and of those joined to it."""
    return hole.number, hole.u_mm, hole.v_mm


# a table is laid out twice, and each panel has one in its templates of both faces and one in the pack
@lru_cache(maxsize=64)
def _checks(holes: tuple[PanelHole, ...], wraps: tuple[Wrap, ...], reaches: Reaches) -> tuple[Check, ...]:
    return tuple(check for flat in sides(holes, wraps) for check in _flat_checks(flat, reaches))


def _flat_checks(holes: Sequence[PanelHole], reaches: Reaches) -> tuple[Check, ...]:
    # first of all what is on the metal already: it shows whether the panel is the one that was measured
    there = [h for h in holes if at_rim(h)]
    new = [h for h in holes if not at_rim(h)]
    pairs: list[Pair] = [(there[i], there[j]) for i, j in pinning_pairs([(h.u_mm, h.v_mm) for h in there])]
    pairs += _of_parts(new)
    for hole in new:
        pairs += [(base, hole) for base in _bases(hole, there, reaches)]
    pairs = [pair for pair in pairs if reaches(*pair)]
    have = Counter(h.number for pair in pairs for h in pair)
    paired = {frozenset((a.number, b.number)) for a, b in pairs}
    for hole in new:
        lacks = max(0, ENOUGH - have[hole.number])
        if not lacks:
            continue
        apart = [h for h in new if between(h, hole) > LEAST_MM and reaches(h, hole)]
        near = sorted(apart, key=lambda h: between(h, hole))
        spare = [h for h in near if frozenset((h.number, hole.number)) not in paired]
        for other in spare[:lacks]:
            pairs.append((other, hole))
            have.update((other.number, hole.number))
            paired.add(frozenset((other.number, hole.number)))
    out: dict[frozenset[str], Check] = {}
    for a, b in pairs:
        check = checked(a, b)
        if check.mm > LEAST_MM:
            out.setdefault(frozenset((a.number, b.number)), check)
    return tuple(out.values())


def _bases(hole: PanelHole, there: Sequence[PanelHole], reaches: Reaches) -> tuple[PanelHole, ...]:
    """The two holes already there that fix a new one best.

    What stays open goes before what is closed, unless its distances cross too flat to fix anything. A hole
    that is made with its part or its hose comes after those of its panel are closed: it has none of them.
    """
    clear = [h for h in there if from_rim(hole.u_mm, hole.v_mm, h) > LEAST_MM and reaches(h, hole)]
    if hole.work.when == "last" and not hole.work.punched:
        clear = [h for h in clear if h.work.when != "close" or h.work.part]
    kept = [h for h in clear if h.status != "blank"]
    at = (hole.u_mm, hole.v_mm)
    for among in (kept, clear):
        places = [(h.u_mm, h.v_mm) for h in among]
        found = determining_pair(at, places)
        if found is None:
            continue
        if among is clear or crossing(at, places[found[0]], places[found[1]]) >= CROSS:
            return among[found[0]], among[found[1]]
    return tuple(clear[:ENOUGH])


def _of_parts(new: Sequence[PanelHole]) -> list[Pair]:
    """For each part the two it is bolted on with; where all go through the paper, its whole pattern."""
    pairs: list[Pair] = []
    for owner in dict.fromkeys(o for h in new for o in h.owners if o not in NO_PART):
        mine = [h for h in new if owner in h.owners]
        locating = [h for h in mine if owner in h.work.locates]
        if len(locating) > 1:
            pairs += [(a, b) for k, a in enumerate(locating) for b in locating[k + 1 :]]
        else:
            pairs += [p for p in spanning_tree([h for h in mine if h.work.punched]) if between(*p) > LEAST_MM]
    return pairs
