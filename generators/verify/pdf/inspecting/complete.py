"""Nothing may be missing on an inspection sheet: what must be on one, worked out from the plan alone."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from generators.geometry.contours import bounds, segments
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import FlatPattern
from generators.sheetmetal.in_line import pivot_pairs
from generators.verify.pdf.inspecting.edges import edge_problems, side_of
from generators.verify.pdf.inspecting.finishes import missing_finishes
from generators.verify.pdf.inspecting.leaning import leaning_rows, leans
from generators.verify.pdf.inspecting.rows import BETWEEN, DISTANCE, EDGE, NEAR, SLOT_EDGE, Row, outside
from generators.verify.pdf.inspecting.welded import stage_problems

EDGE_MM = 5.0
"""An edge shorter than this is none to measure from."""

ALIKE = 1e-6
SQUARE_RAD = math.radians(0.01)


def missing(rows: Sequence[Row], plan: PartPlan, flat: FlatPattern) -> Iterator[str]:
    """Nothing may be missing: every opening, bend, pivot, and enough distances to fix the holes."""
    keys = [row.key for row in rows]
    for key in {k for k in keys if keys.count(k) > 1}:
        yield f"item {key} stands on the sheet {keys.count(key)} times"
    for number in range(1, len(flat.holes) + len(flat.slots) + 1):
        if str(number) not in keys:
            yield f"no item measures hole {number}"
    yield from (
        f"no item gives the length of slot {n}"
        for n in range(len(flat.holes) + 1, len(flat.holes) + len(flat.slots) + 1)
        if f"{n}L" not in keys
    )
    yield from _unfinished(keys, plan)
    yield from missing_finishes(keys, plan)
    yield from _unplaced(rows, plan, flat)
    yield from _unbent(rows, plan)
    for want in ("T", "S1", "S2"):
        if want not in keys:
            yield f"no item {want}"
    said = [row.what for row in rows]
    yield from stage_problems(rows, plan)
    yield from edge_problems(rows, flat)
    angles = sum(1 for row in rows if BETWEEN.fullmatch(row.what) and not row.key.endswith("W"))
    if angles != len(plan.bends):
        yield f"{angles} angles for {len(plan.bends)} bends"
    # a balance bar's tube in the same cheeks is another bar than the shaft
    pairs = sum(p.pivots for p in pivot_pairs(plan)) if plan.shaft_mm is not None else 0
    tried = sum(1 for k in keys if k.startswith("P"))
    if tried != pairs:
        yield f"the shaft is tried {tried} times, for {pairs} pairs of pivots"
    ties = [(int(m[1]), int(m[2])) for what in said if (m := DISTANCE.fullmatch(what))]
    count = len(flat.holes)
    if count < 2:
        return
    if len(set(map(frozenset, ties))) < 2 * count - 3:
        yield f"{len(ties)} distances do not fix {count} holes"
    loose = [n for n in range(1, count + 1) if sum(n in t for t in ties) < min(2, count - 1)]
    for n in loose:
        yield f"hole {n} is not tied by two distances"


def _unfinished(keys: Sequence[str], plan: PartPlan) -> Iterator[str]:
    """Holes that are finished after they are cut, and are not looked at then."""
    made = [h for f in plan.flanges for h in f.holes]
    for number, hole in enumerate(made, 1):
        if hole.finish is not None and hole.finish.tolerance is not None and f"F{number}" not in keys:
            yield f"no item measures hole {number} as finished"
        if hole.fitting.kind == "tapped" and f"G{number}" not in keys:
            yield f"no item tries the thread of hole {number}"


def _unplaced(rows: Sequence[Row], plan: PartPlan, flat: FlatPattern) -> Iterator[str]:
    """The pattern of holes is fixed on the blank by two of them, from its straight edges at left and foot.

    Where no flange has two holes one of them is.
    """
    beside = [(m[1], m[2], side_of(row.what, flat)) for row in rows if (m := NEAR.fullmatch(row.what))]
    for number in range(len(flat.holes) + 1, len(flat.holes) + len(flat.slots) + 1):
        placed = {m[2] for row in rows if (m := SLOT_EDGE.fullmatch(row.what)) and int(m[1]) == number}
        placed |= {side for kind, n, side in beside if (kind, n) == ("slot", str(number))}
        for edge in _straight_edges(flat):
            if edge not in placed:
                yield f"slot {number} is not measured from the {edge} edge"
    if not flat.holes:
        return
    wanted = 2 if any(len(f.holes) > 1 for f in plan.flanges) else 1
    found = {
        edge: {m[1] for row in rows if (m := EDGE.fullmatch(row.what)) and m[2] == edge}
        | {n for kind, n, side in beside if (kind, side) == ("hole", edge)}
        for edge in _straight_edges(flat)
    }
    for edge, holes in found.items():
        if len(holes) < wanted:
            yield f"{len(holes)} holes are measured from the {edge} edge, {wanted} are wanted"
    if len(set(map(frozenset, found.values()))) > 1:
        yield "holes measured from one edge are not those measured from the other"


def _straight_edges(flat: FlatPattern) -> Iterator[str]:
    u0, v0, _, _ = bounds(flat.contour)
    sides = [
        (a, b)
        for a, b in segments(flat.contour)
        if a.bulge == 0 and math.dist((a.u, a.v), (b.u, b.v)) >= EDGE_MM
    ]
    if any(max(abs(a.u - u0), abs(b.u - u0)) < ALIKE for a, b in sides):
        yield "left"
    if any(max(abs(a.v - v0), abs(b.v - v0)) < ALIKE for a, b in sides):
        yield "lower"


def _unbent(rows: Sequence[Row], plan: PartPlan) -> Iterator[str]:
    """Outside lengths of flanges, and heights of openings in flanges that stand or lean."""
    said = {row.what for row in rows}
    for flange in plan.flanges:
        shown = flange.name.replace("_", " ")
        for own in _parallel(plan, flange.name):
            if any(abs(b.angle_rad - math.pi / 2) > SQUARE_RAD for b in own):
                continue
            others = [(b.child if b.parent == flange.name else b.parent, b) for b in own]
            if len(others) == 1:
                ways = {f"{shown}, from {outside(plan, *others)} to its far end"}
            else:
                orders = itertools.permutations(others)
                ways = {f"{shown}, over {outside(plan, *order)}, close to the bends" for order in orders}
            if not ways & said:
                yield f"no item gives the outside length of {shown} at {outside(plan, *others)}"
    yield from (f"no item {words!r}" for words in leaning_rows(plan) if words not in said)
    owners = [f.name for f in plan.flanges for _ in f.holes] + [f.name for f in plan.flanges for _ in f.slots]
    keys = {row.key for row in rows}
    for number, owner in enumerate(owners, 1):
        if leans(plan, owner) and f"H{number}" not in keys:
            yield f"no item gives the height of opening {number} once bent"


def _parallel(plan: PartPlan, flange: str) -> list[list[Bend]]:
    """The bends of a flange, those along one line together; hems are left out."""
    groups: list[tuple[float, list[Bend]]] = []
    for b in plan.bends:
        if flange not in (b.parent, b.child) or b.angle_rad > math.pi - ALIKE:
            continue
        way = 0.0
        if flange == b.parent:
            way = math.atan2(b.end[1] - b.start[1], b.end[0] - b.start[0])
        own = next((g for turn, g in groups if abs(math.sin(turn - way)) < ALIKE), None)
        if own is None:
            groups.append((way, [b]))
        else:
            own.append(b)
    return [g for _, g in groups]
