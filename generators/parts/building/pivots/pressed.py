"""Pivot bores as they are made: cut to size, or a pilot reamed in line, with a bush, a bearing or none.

A pilot must lie whole within the finished bore, or the reamer leaves some of its rim. At worst its centre is
half the offset ``e`` of the two bores off their line, and its axis leans by ``a`` (``in_line``): over a sheet
of ``t`` it then reaches ``e / 2 + t / 2 tan a + d / (2 cos a)`` from the line, which is at most ``D / 2``.
"""

from __future__ import annotations

import math
from dataclasses import replace

from generators.errors import GeometryFault, LookupFault
from generators.figures import fixed
from generators.model.joints.hole_finish import HoleFinish, Ring
from generators.model.joints.ways import SheetSide
from generators.model.pedal_place import PressedBush, Spacer
from generators.model.plan import PartPlan
from generators.parts.building.pivots.bearing import pressed_words, with_bearing
from generators.parts.building.pivots.seated import PIVOT, SAME_MM, bore_for, seated
from generators.sheetmetal.in_line import between_mm, inner_sides, pivot_pairs
from generators.standards import press_tolerance, reamed_tolerance, wrapped_bush

PILOT_STEP_MM = 0.5
"""Pilots come in steps of this, rounded down: nobody measures a pilot. Ours."""

LEAST_PILOT_MM = 2.0
"""Below, a pilot guides nothing. Ours."""

LEAST_BOSS_MM = 6.0
"""A boss is at least so high. Ours."""

BOSS_WALL_MM, LEAST_WALL_MM = 5.0, 2.0
"""Wall of a boss where nobody says, and the least. Ours."""

WELD_RATIO, LEAST_WELD_MM = 0.7, 1.5
"""Throat of a fillet over the thinner of the two: common practice, no source. No fillet is thinner; ours."""

SPACER_PLAY_MM, SPACER_WALL_MM = 0.2, 1.0
"""How much wider a spacer tube is than its shaft, at least, and its least wall. Ours."""


def with_pivots(plan: PartPlan, parameters: object) -> PartPlan:
    """The plan with its pivot bores as ``pivot_build``, ``pivot_bush`` and ``pivot_bearing`` ask; as it is
    without pivots.

    Raises ``GeometryFault`` for a bush or bearing in bores that are only cut, a bore too small for a pilot,
    and as ``with_bush`` and ``with_bearing`` do.
    """
    plan = with_bearing(with_bush(plan, parameters), parameters)
    build = getattr(parameters, "pivot_build", "plain")
    if build == "plain" and plan.bush is not None:
        raise GeometryFault(
            f"plain bores for a {plan.bush.what}: as cut they hold none, they are reamed", "pivot_build"
        )
    if not build:
        build = "plain" if plan.bush is None else "reamed"
    if build == "reamed":
        plan = _reamed(plan, parameters)
    elif build == "welded_boss":
        plan = bossed(plan, parameters)
    return with_spacer(plan, parameters)


def _reamed(plan: PartPlan, parameters: object) -> PartPlan:
    bore = getattr(parameters, "pivot_bore_mm", 0.0)
    wanted = getattr(parameters, "pivot_class", "H7")
    tolerance = plan.bush.fit if plan.bush is not None else reamed_tolerance(bore, wanted)
    pilot = pilot_mm(plan, bore)
    if pilot < LEAST_PILOT_MM:
        raise GeometryFault(
            f"a bore of {bore:g} mm leaves no pilot that cleans up: bent, it may be that far off",
            "pivot_build",
        )
    words = (
        f"pilot, cut Ø {pilot:g}; after bending open in line with the other and ream "
        f"Ø {bore:g} {tolerance.name} ({tolerance.signed}){pressed_words(plan.bush, bore)}"
    )
    finish = HoleFinish(kind="reamed", cut_mm=pilot, words=words, tolerance=tolerance, bent=True)
    flanges = tuple(
        replace(
            flange,
            holes=tuple(
                replace(h, tolerance=tolerance, finish=finish)
                if h.name.startswith(PIVOT) and abs(h.diameter_mm - bore) < SAME_MM
                else h
                for h in flange.holes
            ),
        )
        for flange in plan.flanges
    )
    return replace(plan, flanges=flanges)


def bossed(plan: PartPlan, parameters: object) -> PartPlan:
    """The plan with a boss welded round each pivot bore.

    Raises ``GeometryFault`` for a boss with no wall to weld to or too small a bore, and without pivots.
    """
    bore = getattr(parameters, "pivot_bore_mm", 0.0)
    tolerance = (
        plan.bush.fit
        if plan.bush is not None
        else reamed_tolerance(bore, getattr(parameters, "pivot_class", "H7"))
    )
    bearing = plan.bush.bearing if plan.bush is not None else None
    deep = bore if bearing is None else bearing.deep_mm
    height = getattr(parameters, "welded_boss_height_mm", None) or max(
        LEAST_BOSS_MM, deep - plan.thickness_mm
    )
    outside = getattr(parameters, "welded_boss_outside_mm", None) or bore + 2 * BOSS_WALL_MM
    if outside < bore + 2 * LEAST_WALL_MM:
        raise GeometryFault(
            f"a boss of {outside:g} mm outside round a bore of {bore:g} mm: the wall is less than "
            f"{LEAST_WALL_MM:g} mm",
            "welded_boss_outside",
        )
    if (
        bearing is not None
        and bearing.clip is not None
        and outside < bearing.clip.groove_mm + 2 * LEAST_WALL_MM
    ):
        raise GeometryFault(
            f"a boss of {outside:g} mm outside round a groove of {bearing.clip.groove_mm:g} mm: the wall is "
            f"less than {LEAST_WALL_MM:g} mm",
            "welded_boss_outside",
        )
    pilot = pilot_mm(plan, bore, plan.thickness_mm + height)
    if pilot < LEAST_PILOT_MM:
        raise GeometryFault(
            f"a bore of {bore:g} mm, {plan.thickness_mm + height:g} mm deep, leaves no pilot that cleans up",
            "pivot_build",
        )
    weld = weld_mm(plan.thickness_mm, (outside - pilot) / 2)
    inner = inner_sides(plan)
    wanted = getattr(parameters, "welded_boss_side", "outside")
    ring = Ring(outside_mm=outside, height_mm=height, welded=True, weld_mm=weld)
    flanges = []
    for flange in plan.flanges:
        holes = []
        for hole in flange.holes:
            toward = inner.get((flange.name, hole.name))
            if not hole.name.startswith(PIVOT) or abs(hole.diameter_mm - bore) > SAME_MM or toward is None:
                holes.append(hole)
                continue
            away: SheetSide = "lower" if toward == "upper" else "upper"
            side = toward if wanted == "inside" else away
            words = (
                f"pilot, cut Ø {pilot:g}; after bending weld on a boss {fixed(height, 2)} high and "
                f"Ø {fixed(outside, 2)} outside, bored Ø {pilot:g}, on the {side} side, fillet a{weld:g} all "
                f"round (ISO 2553); when cold open in line with the other and ream Ø {bore:g} "
                f"{tolerance.name} ({tolerance.signed}){pressed_words(plan.bush, bore)}"
            )
            finish = HoleFinish(
                kind="reamed",
                cut_mm=pilot,
                words=words,
                tolerance=tolerance,
                bent=True,
                side=side,
                ring=ring,
            )
            holes.append(replace(hole, tolerance=tolerance, finish=finish))
        flanges.append(replace(flange, holes=tuple(holes)))
    if plan.bush is not None and bearing is None:
        longer = replace(plan.bush, length_mm=max(plan.bush.length_mm, plan.thickness_mm + height))
        plan = replace(plan, bush=longer)
    return replace(plan, flanges=tuple(flanges))


def weld_mm(one_mm: float, other_mm: float) -> float:
    """Throat of a fillet weld between two thicknesses, mm, in halves, rounded down.

    0.7 of the thinner: common practice, no source.
    """
    return max(LEAST_WELD_MM, math.floor(WELD_RATIO * min(one_mm, other_mm) * 2 + SAME_MM) / 2)


def with_spacer(plan: PartPlan, parameters: object) -> PartPlan:
    """The plan with the spacer tube of ``pivot_spacer`` between its cheeks, as long as they are apart.

    Raises ``GeometryFault`` for a tube that the shaft does not go through, and between ball bearings.
    """
    outside = getattr(parameters, "pivot_spacer_mm", None)
    if outside is None:
        return plan
    if plan.bush is not None and plan.bush.bearing is not None:
        raise GeometryFault(
            "a spacer tube between ball bearings would clamp the cheeks: the hub stands there",
            "pivot_spacer",
        )
    pairs = [p for p in pivot_pairs(plan) if abs(p.bore_mm - _through_mm(plan, parameters)) < SAME_MM]
    if not pairs:
        raise GeometryFault("a spacer tube, but no two pivot bores in line to stand between", "pivot_spacer")
    shaft = plan.shaft_mm or pairs[0].passes_mm
    inside = math.ceil((shaft + SPACER_PLAY_MM) * 10 - SAME_MM) / 10
    if outside < inside + 2 * SPACER_WALL_MM:
        raise GeometryFault(
            f"a spacer tube of {outside:g} mm outside over a shaft of {fixed(shaft, 2)} mm: its wall is less "
            f"than {SPACER_WALL_MM:g} mm",
            "pivot_spacer",
        )
    length = between_mm(plan, pairs[0])
    return replace(plan, spacer=Spacer(outside_mm=outside, inside_mm=inside, length_mm=length))


def _through_mm(plan: PartPlan, parameters: object) -> float:
    """The bore a pair of pivots is known by: the bush's, else its own."""
    return plan.bush.bore_mm if plan.bush is not None else getattr(parameters, "pivot_bore_mm", 0.0)


def pilot_mm(plan: PartPlan, bore_mm: float, deep_mm: float | None = None) -> float:
    """The largest pilot that a bore reamed in line cleans up at worst, mm, in steps; 1 mm under if alone.

    ``deep_mm`` is how deep the bore is, if not the sheet.

    Source: plane geometry, as above; 1 mm for a single bore is common practice.
    """
    most = bore_mm - 1.0
    for pair in pivot_pairs(plan):
        deep = plan.thickness_mm if deep_mm is None else deep_mm
        room = bore_mm - pair.offset_mm - deep * math.tan(pair.lean_rad)
        most = min(most, room * math.cos(pair.lean_rad))
    return math.floor(most / PILOT_STEP_MM + SAME_MM) * PILOT_STEP_MM


def with_bush(plan: PartPlan, parameters: object) -> PartPlan:
    """The plan with the bush of ``pivot_bush`` in its pivot bores; as it is where the kind or spec has none.

    Raises ``GeometryFault`` for a size that ISO 3547 does not have, and for a bore it does not go into.
    """
    inside = getattr(parameters, "pivot_bush_mm", None)
    if inside is None:
        return plan
    try:
        row = wrapped_bush(inside)
    except LookupFault as fault:
        raise GeometryFault(str(fault), "pivot_bush") from fault
    bore = bore_for(parameters, row.outside_mm, f"a bush of {inside:g} mm")
    given = getattr(parameters, "pivot_bush_outside_mm", None)
    least, most = given or (row.least_mm, row.most_mm)
    if least > most:
        raise GeometryFault(f"a bush of {least:g} mm at least and {most:g} mm at most", "pivot_bush_outside")
    flange = getattr(parameters, "pivot_bush_flange_mm", None)
    if flange is not None and flange <= row.outside_mm:
        raise GeometryFault(
            f"a flange of {flange:g} mm on a bush of {row.outside_mm:g} mm outside", "pivot_bush_flange"
        )
    bush = PressedBush(
        inside_mm=inside,
        bore_mm=row.bore_mm,
        least_mm=least,
        most_mm=most,
        length_mm=max(getattr(parameters, "pivot_bush_length_mm", None) or 0.0, plan.thickness_mm),
        fit=press_tolerance(row.outside_mm),
        flange_mm=flange or 0.0,
        # the flange is the strip itself, bent over
        flange_thick_mm=row.wall_most_mm if flange else 0.0,
        source="pivot_bush_outside" if given else f"{row.outside_source} ({row.outside_trust})",
    )
    return seated(plan, bush, bore)
