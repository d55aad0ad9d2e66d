"""Two bores of a bent part that one shaft goes through: the thickest shaft that passes at worst.

A bore's centre may be off by the bent length along its flange and by the position across it; both bores
off the opposite way make ``e``, the worst offset of their centres. Every bend between a bore and the
metal half-way to the other leans it by its angle's tolerance. The shaft taken through both centres lies
at ``θ``, at most ``bends × lean + atan(e / W)`` from a bore's axis, W from mid-sheet to mid-sheet. A
round shaft at θ in a hole of diameter D in a sheet of thickness t has ``D cos θ - t sin θ`` of room: the
near edge of one face and the far edge of the other hold it (plane geometry in the plane of both axes).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from generators.figures import fixed, signed
from generators.geometry.frames import Matrix, apply
from generators.model.joints.ways import SheetSide
from generators.model.pedal_place import PressedBearing, PressedBush, Spacer
from generators.model.plan import Flange, Hole, PartPlan
from generators.sheetmetal.folding import folded_frames

PARALLEL = math.cos(math.radians(0.01))
COAXIAL_MM = 0.01
BORED = ("bore", "pivot")


@dataclass(frozen=True, slots=True, kw_only=True)
class BorePair:
    """Two pivot bores in line by plan; mm, rad.

    ``apart_mm`` from mid-sheet to mid-sheet, ``offset_mm`` the worst offset of their centres square to the
    line, ``lean_rad`` the worst angle of the shaft to a bore, ``passes_mm`` the thickest shaft that passes.
    ``reamed`` in line after bending, both are one bore: nothing leans. ``width_off_mm`` is how far the
    drawing lets the width between them be off, round the bores and either way (``cheeks``).
    """

    flanges: tuple[str, str]
    holes: tuple[str, str]
    bore_mm: float
    apart_mm: float
    offset_mm: float
    lean_rad: float
    passes_mm: float
    width_off_mm: float
    reamed: bool = False
    pivots: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cheeks:
    """Two cheeks with pivots in line, by their flanges and the numbers their bores have on paper.

    ``free_mm`` is what is free between them by plan, and may be off by ``off_mm`` either way once bent (and
    welded), at every place round the bores; with ``bosses`` it is between those, with ``bushes`` between the
    flanges of the bushes that are pressed in.
    """

    flanges: tuple[str, str]
    numbers: tuple[int, int]
    free_mm: float
    off_mm: float
    bosses: bool
    bushes: bool

    @property
    def state(self) -> str:
        """What stands between, and is measured with it, each after a comma."""
        return (", between their bosses" if self.bosses else "") + (", bushes in" if self.bushes else "")


def passing(bore_mm: float, thickness_mm: float, lean_rad: float) -> float:
    """The thickest round shaft through a bore at an angle to its axis, mm: D cos θ - t sin θ, not below 0."""
    return max(0.0, bore_mm * math.cos(lean_rad) - thickness_mm * math.sin(lean_rad))


def worst_across(position_mm: float) -> float:
    """How far two centres may be off one another along their folds, mm: each by its position."""
    return 2 * position_mm


def worst_offset(position_mm: float, bent_mm: float) -> float:
    """Both centres off the opposite way, mm: 2 hypot(bent length, position across)."""
    return math.hypot(2 * bent_mm, worst_across(position_mm))


def pivot_pairs(plan: PartPlan) -> tuple[BorePair, ...]:
    """Each two bores of different flanges that lie in line by plan. Raises nothing."""
    if plan.printed or not plan.bends:
        return ()
    frames = folded_frames(plan)
    bores = [(flange, hole) for flange in plan.flanges for hole in flange.holes if hole.fitting.kind in BORED]
    return tuple(_in_line(plan, frames, bores))


def _in_line(
    plan: PartPlan, frames: dict[str, Matrix], bores: list[tuple[Flange, Hole]]
) -> Iterator[BorePair]:
    for (one, first), (other, second) in itertools.combinations(bores, 2):
        if one.name == other.name:
            continue
        half = plan.thickness_mm / 2
        a, b = (
            apply(frames[f.name], np.array([[h.u_mm, h.v_mm, half]]))[0]
            for f, h in ((one, first), (other, second))
        )
        axis = frames[one.name][:3, 2]
        along = float((b - a) @ axis)
        aside = float(np.linalg.norm(b - a - along * axis))
        if abs(float(axis @ frames[other.name][:3, 2])) < PARALLEL or aside > COAXIAL_MM:
            continue
        reamed = all(h.finish is not None and h.finish.kind == "reamed" for h in (first, second))
        offset = 0.0 if reamed else worst_offset(plan.position_mm, plan.bent_mm)
        # both lean against the metal half-way between them
        bends = 0 if reamed else math.ceil(_bends_apart(plan, one.name, other.name) / 2)
        lean = bends * plan.bent_rad + math.atan2(offset, abs(along))
        bore, deep = min(first.diameter_mm, second.diameter_mm), plan.thickness_mm
        if plan.bush is not None:
            bore, deep = plan.bush.bore_mm, plan.bush.length_mm
        yield BorePair(
            flanges=(one.name, other.name),
            holes=(first.name, second.name),
            bore_mm=bore,
            apart_mm=abs(along),
            offset_mm=offset,
            lean_rad=lean,
            passes_mm=passing(bore, deep, lean),
            width_off_mm=plan.bent_mm,
            reamed=reamed,
            pivots=all(h.name.startswith("pivot") for h in (first, second)),
        )


def inner_sides(plan: PartPlan) -> dict[tuple[str, str], SheetSide]:
    """For each pivot bore, by flange and name, the side of its sheet that faces the other bore in line."""
    frames = folded_frames(plan)
    bores = [
        (
            flange,
            hole,
            apply(frames[flange.name], np.array([[hole.u_mm, hole.v_mm, plan.thickness_mm / 2]]))[0],
        )
        for flange in plan.flanges
        for hole in flange.holes
        if hole.fitting.kind in BORED
    ]
    out: dict[tuple[str, str], SheetSide] = {}
    for (one, first, a), (other, _, b) in itertools.permutations(bores, 2):
        axis = frames[one.name][:3, 2]
        along = float((b - a) @ axis)
        if one.name == other.name or np.linalg.norm(b - a - along * axis) > COAXIAL_MM:
            continue
        out[one.name, first.name] = "upper" if along > 0 else "lower"
    return out


def between_mm(plan: PartPlan, pair: BorePair) -> float:
    """What is free between the inner faces of two bores in line, mm: less bosses there, and bush flanges."""
    inner = inner_sides(plan)
    free = pair.apart_mm - plan.thickness_mm
    for flange in (plan.flange(name) for name in pair.flanges):
        for hole in flange.holes:
            finish = hole.finish
            toward = inner.get((flange.name, hole.name))
            if finish is not None and finish.ring is not None and finish.side == toward:
                free -= finish.ring.height_mm
    if plan.bush is not None:
        free -= 2 * plan.bush.flange_thick_mm
    return free


def cheeks(plan: PartPlan) -> Iterator[Cheeks]:
    """The cheeks at each pair of pivots, with the width that drawing, inspection sheet and rules go by.

    The angles of two bends alone would let them stand far more apart, or too near for what goes between:
    hub and spacers, or a tube, are faced to this width, which is a bent length like any other.
    """
    flanged = 0.0 if plan.bush is None else plan.bush.flange_thick_mm
    for pair in pivot_pairs(plan):
        free = between_mm(plan, pair)
        if not pair.pivots or free <= 0:
            continue
        yield Cheeks(
            flanges=pair.flanges,
            numbers=numbers(plan, pair),
            free_mm=free,
            off_mm=pair.width_off_mm,
            bosses=free < pair.apart_mm - plan.thickness_mm - 2 * flanged - COAXIAL_MM,
            bushes=flanged > 0,
        )


def numbers(plan: PartPlan, pair: BorePair) -> tuple[int, int]:
    """The numbers that a pair's bores have on the part's papers."""
    own = [(flange.name, hole.name) for flange in plan.flanges for hole in flange.holes]
    one, other = zip(pair.flanges, pair.holes, strict=True)
    return own.index(one) + 1, own.index(other) + 1


def _bends_apart(plan: PartPlan, one: str, other: str) -> int:
    """How many bends lead from one flange to the other."""
    parents = {bend.child: bend.parent for bend in plan.bends}

    def up(flange: str) -> list[str]:
        line = [flange]
        while line[-1] in parents:
            line.append(parents[line[-1]])
        return line

    first, second = up(one), up(other)
    shared = next(flange for flange in first if flange in second)
    return first.index(shared) + second.index(shared)


def pivot_note(plan: PartPlan) -> str:
    """What a drawing says of pivots in line; empty for a part without."""
    pairs = pivot_pairs(plan)
    if not pairs:
        return ""
    least = min(pairs, key=lambda pair: pair.passes_mm)
    most = math.floor(least.passes_mm * 100) / 100
    said = [] if not least.reamed else [_reamed_note(plan)]
    if plan.bush is not None and plan.bush.bearing is not None:
        said.append(_bearing_note(plan.bush, plan.bush.bearing))
    elif plan.bush is not None:
        said.append(_bush_note(plan, plan.bush, most, reamed=least.reamed))
    elif not least.reamed:
        said.append(
            f"Pivot bores {least.bore_mm:g} mm, cut to size in the flat: bent within these tolerances, a "
            f"shaft or bush of up to {fixed(most, 2)} mm goes through both at worst."
        )
    if plan.spacer is not None:
        said.append(_spacer_note(plan.spacer))
    return " ".join(said)


def _reamed_note(plan: PartPlan) -> str:
    """Pilot and finished size of bores that are reamed in line."""
    hole = next(h for f in plan.flanges for h in f.holes if h.finish is not None and h.finish.bent)
    finish = hole.finish
    cut, fit = (0.0, None) if finish is None else (finish.cut_mm, finish.tolerance)
    boss = "" if finish is None or finish.ring is None else " weld the bosses on, let them cool,"
    limits = "" if fit is None else f" {fit.name} ({fit.signed} mm)"
    return (
        f"Pivot bores: pilots of {cut:g} mm in the flat. After bending{boss} open both in line and ream "
        f"{hole.diameter_mm:g} mm{limits} in one pass through both."
    )


def _bush_note(plan: PartPlan, bush: PressedBush, most_mm: float, *, reamed: bool) -> str:
    """How tight a pressed bush sits, and what goes through two of them."""
    bore = next(h.diameter_mm for f in plan.flanges for h in f.holes if h.tolerance == bush.fit)
    low, high = bush.interference_mm(bore)
    size = f"{bush.inside_mm:g} x {bore:g} (ISO 3547): {low:.3f} to {high:.3f} mm of interference. "
    if reamed:
        said = f"Then press in bushes {size}A shaft of up to {fixed(most_mm, 2)} mm goes through both."
    else:
        said = (
            f"Pivot bores {bore:g} {bush.fit.name} ({bush.fit.signed} mm) for pressed bushes "
            f"{size}Bored apart, a shaft of up to {fixed(most_mm, 2)} mm goes through both bushes at worst."
        )
    return f"{said}{_flanges(bush)}"


def _bearing_note(bush: PressedBush, bearing: PressedBearing) -> str:
    """How tight ball bearings sit, what keeps them, and what goes through."""
    low, high = bush.interference_mm(bush.most_mm)
    size = f"{bush.inside_mm:g} x {bush.most_mm:g} x {bearing.width_mm:g}"
    clear = ", inside play of group C3 (ISO 5753-1)" if bearing.clear else ""
    if bearing.clip is not None:
        kept = f" Outside each a circlip {bearing.clip.bore_mm:g} (DIN 472) keeps it."
    elif bearing.kept == "shoulder":
        kept = (
            " Outside each a shoulder laid over its outer ring keeps it, which does not touch the inner ring."
        )
    else:
        kept = " The press alone keeps them."
    return (
        f"Then press in ball bearings {bearing.number} ({size}, ISO 15{clear}) by their outer rings, flush "
        f"with the inner faces: {signed(low, 3)} to {signed(high, 3)} mm of interference.{kept} Shaft Ø "
        f"{bush.inside_mm:g} {bearing.shaft.name} ({bearing.shaft.signed} mm): the hub stands between the "
        "inner rings alone, with shims to the width measured there, and the shaft's nut clamps them on it."
    )


def proud_mm(plan: PartPlan, hole: Hole) -> float:
    """How far a ball bearing that is flush inside stands out of its bore outside, mm; 0 for none."""
    bush = plan.bush
    if bush is None or bush.bearing is None or hole.tolerance != bush.fit:
        return 0.0
    ring = hole.finish.ring if hole.finish is not None else None
    deep = plan.thickness_mm + (ring.height_mm if ring is not None and ring.welded else 0.0)
    return max(0.0, bush.bearing.width_mm - deep)


def _flanges(bush: PressedBush) -> str:
    """Which way round a bush with a flange goes in."""
    if not bush.flange_mm:
        return ""
    return (
        f" From inside, the flange (Ø {bush.flange_mm:g} x {bush.flange_thick_mm:g} mm) against the inner "
        "face of its cheek or boss."
    )


def _spacer_note(spacer: Spacer) -> str:
    """What the tube between the cheeks is cut to."""
    return (
        f"Spacer tube between the cheeks: Ø {spacer.outside_mm:g} outside, Ø {spacer.inside_mm:g} or more "
        f"inside, {fixed(spacer.length_mm, 2)} mm by the drawing; measure the bent part between its cheeks "
        "and face both ends square to that, 0/-0.1. The pivot bolt clamps them on it."
    )
