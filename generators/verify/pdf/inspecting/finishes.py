"""Rows of what holes have beside their width (countersinks, collars, nuts, studs), and of welds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from generators.model.pedal_place import PressedBush
from generators.model.plan import Hole, PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.seams import Seam, seams
from generators.standards import ball_bearing, circlip
from generators.verify.pdf.inspecting.cheeks import wanted_widths
from generators.verify.pdf.inspecting.edges import Side, lettered_sides
from generators.verify.pdf.inspecting.feet import feet_of
from generators.verify.pdf.inspecting.ties import wanted_ties
from generators.verify.pdf.inspecting.welded import flat_side
from generators.verify.pdf.rebuild.weld_gaps import cut_limits, gap_limits, taken_gap

SOUND = "full length, no crack, pore or undercut seen"
BOSS_OFF_MM = 0.5
COLLAR_SHARE = 0.2
"""How much a collar's height may be off, of that height. Ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A row as the plan has it: lengths in mm; ``tried`` is what is tried in it, None where one measures.

    ``using`` is empty for a length that is measured with what any other is.
    """

    words: str
    using: str
    nominal: float = 0.0
    least: float = 0.0
    most: float = 0.0
    tried: float | None = None
    bent: bool = False


def _collar_mm(hole: Hole, thickness_mm: float) -> float:
    """Height of a collar by its volume: what was round the pilot stands round the bore, mm."""
    finish = hole.finish
    if finish is None or finish.ring is None:
        return 0.0
    inside, outside = hole.diameter_mm**2, finish.ring.outside_mm**2
    return thickness_mm * (inside - finish.cut_mm**2) / (outside - inside)


@lru_cache(maxsize=64)
def wanted_rows(plan: PartPlan) -> Mapping[str, Wanted]:
    """Every such row by its key."""
    out: dict[str, Wanted] = {}
    for number, hole in enumerate((h for f in plan.flanges for h in f.holes), 1):
        out.update(_of_hole(number, hole, plan))
        if plan.bush is not None and hole.finish is not None and hole.tolerance == plan.bush.fit:
            out.update(_bearing(number, plan.bush))
        ring = hole.finish.ring if hole.finish is not None else None
        if ring is not None and ring.welded:
            words = f"throat of the weld round the boss of hole {number}: {SOUND}"
            out[f"A{number}"] = _fillet(words, ring.weld_mm)
    met = [seam for _, seam in seams(plan) if seam is not None]
    for number, seam in enumerate(met, 1):
        # legs are drawn in halves of a millimetre, none below what is asked
        leg = math.ceil(seam.leg_mm * 2 - 1e-6) / 2
        sides = " and ".join(seam.sides) or "either"
        words = f"leg of WELD {number}, {sides} side of {seam.edge.replace('_', ' ')}: {SOUND}"
        out[f"Z{number}"] = _fillet(words, leg)
        out.update(_cut(plan, number, seam))
        out[f"V{number}"] = _gap(plan, number, seam)
    feet = feet_of(plan)
    if (flat := flat_side(plan, feet)) is not None:
        out["Y1"] = Wanted(
            words=f"lower side of {flat[0]}: widest gap under an edge laid across it, along and crosswise",
            using="straightedge and feelers",
            most=flat[1],
            bent=True,
        )
    if feet is not None:
        names, within = feet
        out["Y1"] = Wanted(
            words=f"lower sides of {' and '.join(names)} on one plane: widest gap under an edge across them",
            using="straightedge and feelers",
            most=within,
            bent=True,
        )
    for key, words, using, nominal, least, most in (*wanted_ties(plan), *wanted_widths(plan)):
        out[key] = Wanted(words=words, using=using, nominal=nominal, least=least, most=most, bent=True)
    return out


def _bearing(number: int, bush: PressedBush) -> Iterator[tuple[str, Wanted]]:
    """The groove of a bearing's circlip as the standard's table has it, and the bearing that is tried."""
    if bush.bearing is None:
        return
    bearing = ball_bearing(bush.bearing.number)
    if bush.bearing.kept == "circlip":
        clip = circlip(bearing.outside_mm)
        yield (
            f"Q{number}",
            _at_least(
                f"Ø of the groove of the circlip in hole {number}, {clip.wide_mm:g} wide",
                "groove gauge or caliper",
                clip.groove_mm,
                clip.over_mm,
            ),
        )
    yield (
        f"J{number}",
        Wanted(
            words=f"ball bearing {bearing.number} in hole {number}: flush inside, turns smoothly by hand",
            using="shaft, by hand",
            tried=bearing.bore_mm,
            bent=True,
        ),
    )


def _at_least(words: str, using: str, size_mm: float, over_mm: float, *, bent: bool = True) -> Wanted:
    """What may be larger than its size, by nan any amount, and never smaller."""
    most = size_mm + over_mm
    return Wanted(words=words, using=using, nominal=size_mm, least=size_mm, most=most, bent=bent)


def _fillet(words: str, size_mm: float) -> Wanted:
    return _at_least(words, "fillet weld gauge", size_mm, math.nan)


def _cut(plan: PartPlan, number: int, seam: Seam) -> Iterator[tuple[str, Wanted]]:
    """How the welded edge was cut on the blank, where the drawing gives it limits."""
    if (limits := cut_limits(plan, seam.edge, seam.onto)) is not None:
        low, high = limits
        letters = " to ".join(_far_side(plan, seam, (low + high) / 2))
        words = f"edge of WELD {number} from edge {letters}, by the drawing's letters"
        wanted = Wanted(words=words, using="", nominal=(low + high) / 2, least=low, most=high)
        yield f"W{number}", wanted


def _far_side(plan: PartPlan, seam: Seam, off_mm: float) -> tuple[str, str]:
    """The corners of the side of the blank, along a welded edge, that it is so far from."""
    flat = flat_pattern(plan)
    at = [flat.placements[seam.edge].apply(*end) for end in seam.ends]

    def out_by(side: Side) -> float:
        (pu, pv), (qu, qv) = side
        long = math.hypot(qu - pu, qv - pv)
        away = [abs((qu - pu) * (v - pv) - (qv - pv) * (u - pu)) / long for u, v in at]
        return max(abs(far - off_mm) for far in away)

    sides = lettered_sides(flat)
    return min(sides, key=lambda letters: round(out_by(sides[letters]), 3))


def _gap(plan: PartPlan, number: int, seam: Seam) -> Wanted:
    """The gap before it is tacked: what it may be is folded anew at every limit."""
    limits = gap_limits(plan, seam.edge, seam.onto)
    most, over = taken_gap(plan, limits.worst)
    passes = (
        f"passes from least to most; {over} (Z{number}); all else fails" if over else "least to most passes"
    )
    return Wanted(
        words=f"gap at WELD {number} before it is tacked, clamped square, all along: {passes}",
        using="feeler gauge",
        nominal=seam.most_mm,
        least=0.0,
        most=most,
        bent=True,
    )


def _of_hole(number: int, hole: Hole, plan: PartPlan) -> Iterator[tuple[str, Wanted]]:
    finish, t = hole.finish, plan.thickness_mm
    if finish is None:
        return
    if (sink := finish.sink) is not None:
        yield (
            f"C{number}",
            _at_least(
                f"Ø of the countersink of hole {number} at the {finish.side} face",
                "caliper",
                sink.head_mm,
                sink.over_mm,
                bent=False,
            ),
        )
    if finish.ring is not None and not finish.ring.welded:
        high = _collar_mm(hole, t)
        yield (
            f"K{number}",
            Wanted(
                words=f"collar of hole {number}: height with the sheet, on the {finish.side} side",
                using="depth gauge",
                nominal=t + high,
                least=t + (1 - COLLAR_SHARE) * high,
                most=t + (1 + COLLAR_SHARE) * high,
            ),
        )
    if finish.ring is not None and finish.ring.welded:
        high = t + finish.ring.height_mm
        yield (
            f"K{number}",
            Wanted(
                words=f"boss of hole {number}: height with the cheek, on the {finish.side} side",
                using="caliper",
                nominal=high,
                least=high - BOSS_OFF_MM,
                most=high + BOSS_OFF_MM,
                bent=True,
            ),
        )
    if (fitted := finish.fitted) is not None:
        yield (
            f"N{number}",
            Wanted(
                words=f"{fitted.item} in hole {number}, on the {finish.side} side: sits flat, does not turn "
                "by hand",
                using=f"new {'nut' if hole.fitting.kind == 'stud' else 'screw'}, by hand",
                tried=hole.fitting.shank_mm,
                bent=bool(plan.bends) and hole.fitting.kind == "weld_nut",
            ),
        )


def missing_finishes(keys: Sequence[str], plan: PartPlan) -> Iterator[str]:
    """Countersinks, collars and fitted things that no row looks at."""
    for key, wanted in wanted_rows(plan).items():
        if key not in keys:
            yield f"no item {key}: {wanted.words}"
