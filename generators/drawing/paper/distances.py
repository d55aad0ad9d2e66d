"""Distances between holes for a steel rule, which is right where the paper differs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generators.geometry.pinning import pinning_pairs
from generators.model.folds import Wrap
from generators.model.plan import PanelHole
from generators.model.words import NEW

Pair = tuple[PanelHole, PanelHole]


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One distance between two hole centres, in mm."""

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


def sides(holes: Sequence[PanelHole], wraps: Sequence[Wrap]) -> tuple[tuple[PanelHole, ...], ...]:
    """The holes by the flat they lie on: a steel rule does not go round a fold."""
    flats: dict[tuple[bool, ...], list[PanelHole]] = {}
    for hole in holes:
        flats.setdefault(tuple(wrap.beyond(hole.u_mm, hole.v_mm) for wrap in wraps), []).append(hole)
    return tuple(tuple(flat) for flat in flats.values())


def dimensioned(holes: Sequence[PanelHole], wraps: Sequence[Wrap] = ()) -> tuple[Pair, ...]:
    """Links drawn on the sheet: between new, reused and datum holes of different places on one flat."""
    return tuple(
        (a, b)
        for flat in sides([h for h in holes if h.status != "blank"], wraps)
        for a, b in spanning_tree(flat)
        if between(a, b) > 1e-6
    )


def checks(holes: Sequence[PanelHole], wraps: Sequence[Wrap] = ()) -> tuple[Check, ...]:
    """Existing holes from each other, the spanning tree, each new hole from the two farthest existing ones.

    Each flat of a sheet round a fold by itself.
    """
    return tuple(check for flat in sides(holes, wraps) for check in _flat_checks(flat))


def _flat_checks(holes: Sequence[PanelHole]) -> tuple[Check, ...]:
    # first of all what is on the metal already: it shows whether the panel is the one that was measured
    there = [h for h in holes if h.status not in NEW]
    pinned = pinning_pairs([(h.u_mm, h.v_mm) for h in there])
    pairs = [(there[i], there[j]) for i, j in pinned if between(there[i], there[j]) > 1e-6]
    out = [Check(a=a, b=b, mm=between(a, b)) for a, b in pairs]
    have = {frozenset((a.number, b.number)) for a, b in pairs}
    out += [
        Check(a=a, b=b, mm=between(a, b))
        for a, b in dimensioned(holes)
        if frozenset((a.number, b.number)) not in have
    ]
    seen = {frozenset((c.a.number, c.b.number)) for c in out}
    # a hole to be closed is still there to measure from where no other is
    old = [h for h in holes if h.status in {"datum", "reuse"}] or [h for h in holes if h.status == "blank"]
    ends = max(
        ((a, b) for i, a in enumerate(old) for b in old[i + 1 :]), key=lambda p: between(*p), default=None
    )
    for base in ends if ends is not None else old[:1]:
        for hole in holes:
            if hole.status in NEW and frozenset((base.number, hole.number)) not in seen:
                out.append(Check(a=base, b=hole, mm=between(base, hole)))
    return tuple(out)
