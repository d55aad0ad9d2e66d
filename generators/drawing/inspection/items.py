"""What is measured on a finished part: every hole, where it lies, every bend and outside length.

Nominal sizes come from the plan, limits from where the drawing's come from: the tolerance of a hole, else
that of holes as cut; the shop's position, bent length and angle; half the step to the next stock thickness
for the sheet, or what the gap of a weld leaves of it; the general tolerance for the rest, slots' lengths too.

A position of ``p`` across and ``p`` up makes the distance of two holes at an angle ``a`` to the axes differ
by ``2 p (|cos a| + |sin a|)`` at worst, and read over the far rims both radii come to it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.drawing.inspection.between import between
from generators.drawing.inspection.central import central
from generators.drawing.inspection.facing import CLAMPED, from_the_edge, near_edge, stood_on
from generators.drawing.inspection.finishes import finished, welded
from generators.drawing.inspection.item import Item, Point, bore, caliper, length, outer_faces, shown, tried
from generators.drawing.inspection.oblique import heights_of, oblique_length
from generators.drawing.inspection.ties import tied
from generators.drawing.inspection.welded import in_turn, staged
from generators.drawing.part.heights import oblique
from generators.drawing.part.profile import outside_legs
from generators.drawing.part.tables.datums import find_datums
from generators.drawing.part.tables.feet import feet_limit
from generators.drawing.part.tables.openings import number_openings
from generators.drawing.part.tables.welds import BETWEEN, held_by_sheet, rolled_text
from generators.geometry.contours import bounds
from generators.model.plan import Bend, Hole, PartPlan, Slot
from generators.sheetmetal.folding import (
    FlatPattern,
    bend_axis,
    between_limits,
    flat_pattern,
    folded_frames,
)
from generators.sheetmetal.in_line import numbers, pivot_pairs
from generators.sheetmetal.lying import lying
from generators.sheetmetal.seams import thickness_limits
from generators.standards import CUT_HOLE, general_deviation_mm, general_hole_tolerance

SQUARE_RAD = math.radians(0.01)
ALIKE = 1e-6
PULLED = "again, narrowest: was over the V; dress up to most"
NEAR = "close to the bends"
"""Further out the angles' tolerance comes to what lies over two flanges."""

CHECKED_FROM = 4
"""So many holes get one distance more than they need: only that shows a slip of the pen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Opening:
    """An opening on the blank with its number and the flange it is in."""

    number: str
    item: Hole | Slot
    flange: str
    height_mm: float | None

    @property
    def width_mm(self) -> float:
        """Diameter, or width of a slot."""
        return self.item.diameter_mm if isinstance(self.item, Hole) else self.item.width_mm

    @property
    def off_mm(self) -> tuple[float, float]:
        """How far the width may be off."""
        tolerance = self.item.tolerance or CUT_HOLE
        return tolerance.lower_mm, tolerance.upper_mm

    @property
    def place(self) -> Point:
        """Its middle on the blank."""
        return self.item.u_mm, self.item.v_mm


def inspected(plan: PartPlan, pulled: Sequence[str] = ()) -> tuple[Item, ...]:
    """Every item of a cut part in the order of work: on the blank, on the bent part, once it is welded.

    ``pulled`` are numbers of the openings that lay over the open V of a die (``bending.words.pulled``).
    Raises ``GeometryFault`` when the plan has no flat pattern.
    """
    flat = flat_pattern(plan)
    openings = _openings(plan, flat)
    items = [*_blank(plan, flat), *_sizes(plan, openings), *_edges(plan, flat, openings)]
    items += [
        *_pulled(openings, pulled),
        *_distances(plan, openings),
        *_angles(plan, flat),
        *_lengths(plan, flat),
        *_feet(plan),
    ]
    heights = heights_of(plan, ((o.number, o.item.name, o.flange, o.height_mm) for o in openings))
    items += [*finished(plan), *welded(plan), *heights, *tied(plan), *between(plan), *_pivots(plan)]
    return tuple(sorted(staged(plan, items), key=in_turn))


def _openings(plan: PartPlan, flat: FlatPattern) -> tuple[_Opening, ...]:
    flanges = [f.name for f in plan.flanges for _ in f.holes] + [
        f.name for f in plan.flanges for _ in f.slots
    ]
    numbered = number_openings(plan, flat, 0.0)
    return tuple(
        _Opening(number=o.number, item=o.item, flange=flange, height_mm=o.height_mm)
        for o, flange in zip(numbered, flanges, strict=True)
    )


def _general(plan: PartPlan, length_mm: float) -> tuple[float, float] | None:
    row = general_hole_tolerance(length_mm, plan.tolerance)
    return None if row is None else (row.lower_mm, row.upper_mm)


def _blank(plan: PartPlan, flat: FlatPattern) -> Iterator[Item]:
    """Thickness, and the blank's size over all: of one that is bent as near as its holes lie.

    The stops of its bends are against some edges, so what the blank is off goes into the legs on the other
    side.
    """
    u0, v0, u1, v1 = bounds(flat.contour)
    held = held_by_sheet(plan)
    limits = f"that hold {held}" if held else "half way to the next stock sheet"
    rolled = f": ask, be it within {rolled}" if held and (rolled := rolled_text(plan)) else ""
    what = (
        f"thickness, before it is cut; limits {limits}; do not cut this part of a sheet outside them{rolled}"
    )
    yield length("T", what, "caliper", plan.thickness_mm, thickness_limits(plan))
    what = "blank" if plan.bends else "plate"
    for key, way, long in (("S1", "across", u1 - u0), ("S2", "up", v1 - v0)):
        off = (-plan.position_mm, plan.position_mm) if plan.bends else _general(plan, long)
        yield length(key, f"{what} over all, {way}", caliper(long, off), long, off)


def _sizes(plan: PartPlan, openings: Sequence[_Opening]) -> Iterator[Item]:
    """Diameters, and width and length of slots."""
    for o in openings:
        using = bore(o.width_mm, o.off_mm)
        slot = isinstance(o.item, Slot)
        what = f"{'width of slot' if slot else 'Ø of hole'} {o.number}: {o.item.purpose}"
        yield length(o.number, what, using, o.width_mm, o.off_mm, at=(o.place,), holes=(o.item.name,))
        if isinstance(o.item, Slot):
            long = o.item.width_mm + o.item.travel_mm
            what = f"length of slot {o.number} over all"
            off = _general(plan, long)
            yield length(f"{o.number}L", what, caliper(long, off), long, off)


def _pulled(openings: Sequence[_Opening], pulled: Sequence[str]) -> Iterator[Item]:
    """What lay over the open V of a die, measured again once bent, to the same limits."""
    for o in openings:
        if o.number in pulled:
            slot = isinstance(o.item, Slot)
            what = f"{'width of slot' if slot else 'Ø of hole'} {o.number} {PULLED}"
            using, names = bore(o.width_mm, o.off_mm), (o.item.name,)
            yield length(f"R{o.number}", what, using, o.width_mm, o.off_mm, bent=True, holes=names)


def _base(plan: PartPlan, openings: Sequence[_Opening]) -> tuple[_Opening, _Opening] | None:
    """The two holes furthest apart of the flange on the panel, else of any flange, else of the blank; None
    without two.
    """
    groups: list[list[_Opening]] = []
    for flange in plan.flanges:
        groups.append([o for o in openings if o.flange == flange.name and isinstance(o.item, Hole)])
    groups.append([o for o in openings if isinstance(o.item, Hole)])
    pairs = next((g for g in groups if len(g) > 1), [])
    if not pairs:
        return None
    return max(itertools.combinations(pairs, 2), key=lambda p: round(math.dist(p[0].place, p[1].place), 6))


def _edges(plan: PartPlan, flat: FlatPattern, openings: Sequence[_Opening]) -> Iterator[Item]:
    """Where the openings lie from the blank's straight edges: both base holes, or the only one; each slot."""
    holes = [o for o in openings if isinstance(o.item, Hole)]
    slots = [o for o in openings if isinstance(o.item, Slot)]
    datums = find_datums(flat)
    sides = (
        (0, datums.u_words, "the left edge", datums.u_mm),
        (1, datums.v_words, "the lower edge", datums.v_mm),
    )
    straight = [(axis, own, at) for axis, words, own, at in sides if words == own]
    count = 0
    for o in (*(_base(plan, openings) or holes[:1]), *slots):
        for axis, words, at in straight:
            count += 1
            yield _from_edge(plan, flat, o, f"E{count}", (axis, words, at))


def _from_edge(
    plan: PartPlan, flat: FlatPattern, o: _Opening, key: str, side: tuple[int, str, float]
) -> Item:
    """How far an opening is from a side of the blank, or from an edge beside it where none stands on that."""
    axis, words, at = side
    kind = f"{'slot' if isinstance(o.item, Slot) else 'hole'} {o.number}"
    off = o.place[axis] - at
    if isinstance(o.item, Slot):
        along = abs((math.cos if axis == 0 else math.sin)(o.item.angle_rad))
        reach, within = _slot_reach(plan, o, o.item, along)
    else:
        reach = o.width_mm / 2
        within = (o.off_mm[0] / 2 - plan.position_mm, o.off_mm[1] / 2 + plan.position_mm)
    stands = stood_on(flat, axis)
    near = None if stands else near_edge(flat, o.place, axis)
    if near is not None:
        what = (
            f"near rim of {kind} from edge {near.letters[0]} to {near.letters[1]}, by the drawing's letters"
        )
        # places are counted from the side; the edge may lie off that
        edge = plan.position_mm if plan.bends else general_deviation_mm(plan.tolerance, near.at_mm)
        by = edge if near.at_mm > ALIKE else 0.0
        limits = (-within[1] - by, -within[0] + by)
        long = near.off_mm - reach
        way = math.copysign(1.0, near.at_mm + at - o.place[axis])
        ends = tuple(_along(o.place, axis, o.place[axis] + way * far) for far in (near.off_mm, reach))
        return length(key, what, caliper(long, limits), long, limits, at=ends)
    what = f"far rim of {kind} from {words} of the {'blank' if plan.bends else 'plate'}"
    using = from_the_edge(off + reach) if stands else CLAMPED
    ends = _along(o.place, axis, at), _along(o.place, axis, o.place[axis] + reach)
    return length(key, what, using, off + reach, within, at=ends)


def _along(place: Point, axis: int, at: float) -> Point:
    """A place on the blank moved along an axis to where that is ``at``."""
    return (at, place[1]) if axis == 0 else (place[0], at)


def _slot_reach(plan: PartPlan, o: _Opening, slot: Slot, along: float) -> tuple[float, tuple[float, float]]:
    """From a slot's middle to its far rim, mm, and how far that rim may be off.

    ``along`` is the share of its length that lies that way. Its ends are half its width round; what its
    length over all may be off counts as far as that lies that way, and its width for the rest.
    """
    reach = slot.travel_mm / 2 * along + slot.width_mm / 2
    general = _general(plan, slot.width_mm + slot.travel_mm) or o.off_mm
    low, high = (along * g / 2 + (1 - along) * w / 2 for g, w in zip(general, o.off_mm, strict=True))
    return reach, (low - plan.position_mm, high + plan.position_mm)


def _distances(plan: PartPlan, openings: Sequence[_Opening]) -> Iterator[Item]:
    """Each round hole from two others, over the far rims."""
    base = _base(plan, openings)
    if base is None:
        return
    holes = [o for o in openings if isinstance(o.item, Hole)]
    flat_on_panel = {flange.name for flange, _ in lying(plan)} - {plan.flanges[0].name}
    one, two = base
    pairs = [(one, two)]
    for o in holes:
        if o not in base:
            pairs += [(one, o), (two, o)]
    same = [o for o in holes if o.flange == one.flange and o not in base]
    if len(same) + 2 >= CHECKED_FROM:
        far = max(itertools.combinations(same, 2), key=lambda p: round(math.dist(p[0].place, p[1].place), 6))
        pairs.append(far)
    for count, (a, b) in enumerate(pairs, 1):
        # ears lie in the root's plane only once they are bent
        bent = bool({a.flange, b.flange} & flat_on_panel) and a.flange != b.flange
        du, dv = (y - x for x, y in zip(a.place, b.place, strict=True))
        far_off = 0.0
        if bent:
            du, dv = _folded_step(plan, a, b)
            far_off = plan.bent_mm
        d = math.hypot(du, dv)
        worst = (2 * plan.position_mm + far_off) * (abs(du) + abs(dv)) / d
        outer = d + (a.width_mm + b.width_mm) / 2
        off = (
            -worst + (a.off_mm[0] + b.off_mm[0]) / 2,
            worst + (a.off_mm[1] + b.off_mm[1]) / 2,
        )
        what = f"hole {a.number} to hole {b.number}, over the far rims"
        names = (a.item.name, b.item.name)
        yield length(
            f"D{count}", what, caliper(outer, off), outer, off, bent=bent, at=(a.place, b.place), holes=names
        )


def _folded_step(plan: PartPlan, a: _Opening, b: _Opening) -> Point:
    """From one hole to another in the root's plane, once bent."""
    by_flange = {flange.name: place for flange, place in lying(plan)}
    places = []
    for o in (a, b):
        own = next(x for x in plan.flange(o.flange).openings if x.name == o.item.name)
        places.append(by_flange[o.flange].apply(own.u_mm, own.v_mm))
    return places[1][0] - places[0][0], places[1][1] - places[0][1]


def _angles(plan: PartPlan, flat: FlatPattern) -> Iterator[Item]:
    """The angle between the faces of each bend's two flanges."""
    for count, strip in enumerate(flat.bends, 1):
        bend = strip.bend
        between = math.pi - bend.angle_rad
        least, most = between_limits(plan, bend)
        square = abs(between - math.pi / 2) < SQUARE_RAD
        (au, av), (bu, bv) = strip.middle
        yield Item(
            key=f"B{count}",
            what=f"angle {BETWEEN} of {shown(bend.parent)} and {shown(bend.child)}",
            using="protractor or square" if square else "protractor",
            unit="angle",
            nominal=between,
            least=least,
            most=most,
            bent=True,
            at=(((au + bu) / 2, (av + bv) / 2),),
            flanges=(bend.parent, bend.child),
        )


def _lengths(plan: PartPlan, flat: FlatPattern) -> Iterator[Item]:
    """Outside lengths: those on square bends, then the others, then how the outer ones stand on a web."""
    frames = folded_frames(plan)
    groups: list[list[Bend]] = []
    for bend in plan.bends:
        axis = bend_axis(frames, bend)
        group = next((g for g in groups if abs(abs(float(bend_axis(frames, g[0]) @ axis)) - 1) < ALIKE), None)
        if group is None:
            groups.append([bend])
        else:
            group.append(bend)
    legs = [leg for group in groups for leg in outside_legs(plan, frames, group)]
    count = 0
    for leg in sorted(legs, key=lambda leg: oblique(leg.bends)):
        others = [(b.child if leg.flange == b.parent else b.parent, b) for b in leg.bends]
        faces = outer_faces(plan, *others)
        if len(others) > 1:
            what = f"{shown(leg.flange)}, over {faces}, {NEAR}"
        else:
            what = f"{shown(leg.flange)}, from {faces} to its far end"
        share = 0.82 if len(others) == 1 else 0.5 if oblique(leg.bends) else 0.3
        u, v, _, _ = np.linalg.solve(
            frames[leg.flange], np.append(leg.start + share * (leg.end - leg.start), 1.0)
        ).tolist()
        middle = flat.placements[leg.flange].apply(u, v)
        if oblique(leg.bends):
            if (item := oblique_length(plan, leg, f"L{count + 1}", middle)) is not None:
                count += 1
                yield item
            continue
        count += 1
        off = (-plan.bent_mm, plan.bent_mm)
        yield length(
            f"L{count}",
            what,
            caliper(leg.length, off),
            leg.length,
            off,
            bent=True,
            at=(middle,),
            flanges=(leg.flange,),
        )
    yield from central(plan, flat, frames, legs, count)


def _feet(plan: PartPlan) -> Iterator[Item]:
    """Feet that stand on one panel: on one plane, or its bolts bend the part."""
    if (found := feet_limit(plan)) is not None:
        names, within = found
        what = f"lower sides of {' and '.join(names)} on one plane: widest gap under an edge across them"
        yield length("Y1", what, "straightedge and feelers", 0.0, (0.0, within), bent=True)


def _pivots(plan: PartPlan) -> Iterator[Item]:
    """Whether the shaft goes through each pair of pivots in line."""
    if plan.shaft_mm is None:
        return
    for count, pair in enumerate((p for p in pivot_pairs(plan) if p.pivots), 1):
        one, other = numbers(plan, pair)
        what = f"shaft through bores {one} and {other}, by hand, turns freely"
        yield tried(f"P{count}", what, "the shaft, or a bar of its Ø", plan.shaft_mm, bent=True)
