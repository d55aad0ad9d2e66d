"""Where two flanges stand on the web between them: a bend line off to one side shows in no outside length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.drawing.inspection.item import Item, length, outer_faces, shown
from generators.drawing.inspection.oblique import LAID
from generators.drawing.part.heights import oblique
from generators.drawing.part.profile import Frames, Leg, mould_line
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import FlatPattern
from generators.standards import CUT_HOLE

ALIKE = 1e-6


def central(
    plan: PartPlan, flat: FlatPattern, frames: Frames, legs: Sequence[Leg], count: int
) -> Iterator[Item]:
    """From the outer face of each of two flanges on one web to the near rim of one hole of the web, mm.

    ``count`` lengths have numbers already. The hole is the web's first that stays as cut; nothing
    without one. The rim may be off by the bent length, the hole's position and half its diameter's limits.
    """
    numbers = {id(h): n for n, h in enumerate((h for f in plan.flanges for h in f.holes), 1)}
    for leg in legs:
        hole = next((h for h in plan.flange(leg.flange).holes if h.finish is None), None)
        way = {b.direction for b in leg.bends}
        if len(leg.bends) != 2 or oblique(leg.bends) or len(way) > 1 or hole is None or leg.length < ALIKE:
            continue
        by = plan.bent_mm + plan.position_mm
        tolerance = hole.tolerance or CUT_HOLE
        off = (-by - tolerance.upper_mm / 2, by - tolerance.lower_mm / 2)
        for bend in leg.bends:
            (u, v), (nu, nv) = mould_line(bend, leg.flange, plan.thickness_mm)
            long = (u - hole.u_mm) * nu + (v - hole.v_mm) * nv - hole.diameter_mm / 2
            half = (long + hole.diameter_mm) / 2
            middle = flat.placements[leg.flange].apply(hole.u_mm + nu * half, hole.v_mm + nv * half)
            own = shown(leg.flange)
            face = outer_faces(plan, (bend.child if bend.parent == leg.flange else bend.parent, bend))
            count += 1
            what = f"{own}, from {face} to the near rim of hole {numbers[id(hole)]}"
            yield length(f"L{count}", what, LAID, long, off, bent=True, at=(middle,))
