"""What is measured and tried on holes that are finished after they were cut, and on welds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from generators.drawing.inspection.item import Item, bore, caliper, length, tried
from generators.drawing.part.tables.corners import corners_of
from generators.drawing.part.tables.welds import edge_named, fits_mm, leg_text, made_welds, over_text
from generators.figures import fixed
from generators.model.joints.hole_finish import HoleFinish
from generators.model.plan import Hole, PartPlan
from generators.sheetmetal.folding import flat_pattern, flat_placements
from generators.sheetmetal.seams import Seam, cut_from
from generators.standards import WIDEST_GAP_MM

FEELERS = "feeler gauge"
WELD_GAUGE = "fillet weld gauge"
LOOKED_AT = "full length, no crack, pore or undercut seen"
BOSS_OFF_MM = 0.5
"""How much higher or lower a welded boss may stand. Ours."""

COLLAR_SHARE = 0.2
"""A collar may be so much of its height higher or lower than the same volume would have it. Ours."""


def finished(plan: PartPlan) -> Iterator[Item]:
    """Holes that have their size only once they are finished."""
    number = 0
    for flange in plan.flanges:
        for hole in flange.holes:
            number += 1
            if hole.finish is not None:
                yield from _more(number, hole, hole.finish, plan.thickness_mm)
            if hole.finish is not None and hole.finish.thread:
                what = f"thread {hole.finish.thread} of hole {number}: goes in by hand, all through"
                using = "thread gauge or new screw"
                yield tried(f"G{number}", what, using, hole.fitting.shank_mm, bent=False)
            if hole.finish is None or hole.finish.tolerance is None:
                continue
            fit = hole.finish.tolerance
            what = f"Ø of hole {number} {hole.finish.kind}: {hole.purpose}"
            off = (fit.lower_mm, fit.upper_mm)
            yield length(
                f"F{number}", what, bore(hole.diameter_mm, off), hole.diameter_mm, off, bent=hole.finish.bent
            )
            yield from _bearing(number, hole, plan)


def _bearing(number: int, hole: Hole, plan: PartPlan) -> Iterator[Item]:
    """The groove of a bearing's circlip, and the bearing once it is in."""
    bush = plan.bush
    if bush is None or bush.bearing is None or hole.tolerance != bush.fit:
        return
    if (clip := bush.bearing.clip) is not None:
        what = f"Ø of the groove of the circlip in hole {number}, {clip.wide_mm:g} wide"
        off = (0.0, clip.over_mm)
        yield length(f"Q{number}", what, "groove gauge or caliper", clip.groove_mm, off, bent=True)
    what = f"ball bearing {bush.bearing.number} in hole {number}: flush inside, turns smoothly by hand"
    yield tried(f"J{number}", what, "shaft, by hand", bush.inside_mm, bent=True)


def welded(plan: PartPlan) -> Iterator[Item]:
    """The fillets of flanges and bosses: never smaller than drawn, larger does no harm."""
    for number, seam in made_welds(plan):
        yield from _cut(plan, number, seam)
        yield _gap(number, seam)
        sides = " and ".join(seam.sides) or "either"
        what = f"leg of WELD {number}, {sides} side of {seam.edge.replace('_', ' ')}: {LOOKED_AT}"
        yield length(f"Z{number}", what, WELD_GAUGE, float(leg_text(seam)), (0.0, None), bent=True)
    for number, hole in enumerate((h for f in plan.flanges for h in f.holes), 1):
        ring = hole.finish.ring if hole.finish is not None else None
        if ring is not None and ring.welded:
            what = f"throat of the weld round the boss of hole {number}: {LOOKED_AT}"
            yield length(f"A{number}", what, WELD_GAUGE, ring.weld_mm, (0.0, None), bent=True)


def _cut(plan: PartPlan, number: int, seam: Seam) -> Iterator[Item]:
    """How the welded edge was cut, where its gap hangs on that: the blank is too late once it is bent."""
    if (held := cut_from(plan, seam)) is not None:
        (one, other), long, by = held
        placed = flat_placements(plan)[seam.edge]
        four = (one, other, *(placed.apply(*end) for end in seam.ends))
        middle = (sum(p[0] for p in four) / 4, sum(p[1] for p in four) / 4)
        side = edge_named(corners_of(flat_pattern(plan).contour), (one, other))
        what = f"edge of WELD {number} from {side}, by the drawing's letters"
        yield length(f"W{number}", what, caliper(long, (-by, by)), long, (-by, by), at=(middle,))


def _gap(number: int, seam: Seam) -> Item:
    """The gap before it is tacked: feelers, along all of the edge; which passes, and which with what leg.

    Faces that touch are as good as any: they are brought as near as practicable (AWS D1.1).
    """
    over = over_text(seam)
    passes = (
        f"passes from least to most; {over} (Z{number}); all else fails" if over else "least to most passes"
    )
    what = f"gap at WELD {number} before it is tacked, clamped square, all along: {passes}"
    # as printed, so that the drawing's two figures are those of the row
    nominal = float(fixed(seam.most_mm, 2))
    off = (-nominal, fits_mm(seam) - nominal)
    gap = length(f"V{number}", what, FEELERS, nominal, off, bent=True)
    return replace(gap, passes=WIDEST_GAP_MM) if over else gap


def _more(number: int, hole: Hole, finish: HoleFinish, thickness_mm: float) -> Iterator[Item]:
    """A countersink, a collar, and what was fitted into the hole."""
    if (sink := finish.sink) is not None:
        what = f"Ø of the countersink of hole {number} at the {finish.side} face"
        yield length(f"C{number}", what, "caliper", sink.head_mm, (0.0, sink.over_mm))
    if (ring := finish.ring) is not None and not ring.welded:
        what = f"collar of hole {number}: height with the sheet, on the {finish.side} side"
        off = COLLAR_SHARE * ring.height_mm
        yield length(f"K{number}", what, "depth gauge", thickness_mm + ring.height_mm, (-off, off))
    if ring is not None and ring.welded:
        what = f"boss of hole {number}: height with the cheek, on the {finish.side} side"
        high = thickness_mm + ring.height_mm
        yield length(f"K{number}", what, "caliper", high, (-BOSS_OFF_MM, BOSS_OFF_MM), bent=True)
    if (fitted := finish.fitted) is not None:
        what = f"{fitted.item} in hole {number}, on the {finish.side} side: sits flat, does not turn by hand"
        using = "new nut, by hand" if finish.kind == "press_stud" else "new screw, by hand"
        yield tried(f"N{number}", what, using, hole.fitting.shank_mm, bent=finish.bent)
