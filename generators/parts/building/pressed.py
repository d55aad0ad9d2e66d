"""Pivot bores as they are made: cut to size, or a pilot that is reamed in line, with or without a bush.

A pilot must lie whole within the finished bore, or the reamer leaves some of its rim. At worst its centre is
half the offset ``e`` of the two bores off their line, and its axis leans by ``a`` (``in_line``): over a sheet
of ``t`` it then reaches ``e / 2 + t / 2 tan a + d / (2 cos a)`` from the line, which is at most ``D / 2``.
"""

from __future__ import annotations

import math
from dataclasses import replace

from generators.errors import GeometryFault, LookupFault
from generators.model.joints.hole_finish import HoleFinish
from generators.model.pedal_place import PressedBush
from generators.model.plan import PartPlan
from generators.sheetmetal.in_line import pivot_pairs
from generators.standards import press_tolerance, reamed_tolerance, wrapped_bush

SAME_MM = 1e-6
PIVOT = "pivot"
PILOT_STEP_MM = 0.5
"""Pilots come in steps of this, rounded down: nobody measures a pilot. Ours."""

LEAST_PILOT_MM = 2.0
"""Below, a pilot guides nothing. Ours."""


def with_pivots(plan: PartPlan, parameters: object) -> PartPlan:
    """The plan with its pivot bores as ``pivot_build`` and ``pivot_bush`` ask; as it is without pivots.

    Raises ``GeometryFault`` for a bush in bores that are only cut, a bore too small for a pilot, and as
    ``with_bush`` does.
    """
    plan = with_bush(plan, parameters)
    build = getattr(parameters, "pivot_build", "plain")
    if build == "plain" and plan.bush is not None:
        raise GeometryFault("plain bores for a bush: as cut they hold none, they are reamed", "pivot_build")
    if not build:
        build = "plain" if plan.bush is None else "reamed"
    return plan if build == "plain" else _reamed(plan, parameters)


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
        f"Ø {bore:g} {tolerance.name} (+{tolerance.upper_mm:.3f}/0)"
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


def pilot_mm(plan: PartPlan, bore_mm: float) -> float:
    """The largest pilot that a bore reamed in line cleans up at worst, mm, in steps; 1 mm under if alone.

    Source: plane geometry, as above; 1 mm for a single bore is common practice.
    """
    most = bore_mm - 1.0
    for pair in pivot_pairs(plan):
        room = bore_mm - pair.offset_mm - plan.thickness_mm * math.tan(pair.lean_rad)
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
    bore = getattr(parameters, "pivot_bore_mm", row.outside_mm)
    if abs(bore - row.outside_mm) > SAME_MM:
        raise GeometryFault(
            f"a pivot bore of {bore:g} mm for a bush of {inside:g} mm, which goes into {row.outside_mm:g} mm",
            "pivot_bore",
        )
    given = getattr(parameters, "pivot_bush_outside_mm", None)
    least, most = given or (row.least_mm, row.most_mm)
    if least > most:
        raise GeometryFault(f"a bush of {least:g} mm at least and {most:g} mm at most", "pivot_bush_outside")
    fit = press_tolerance(row.outside_mm)
    bush = PressedBush(
        inside_mm=inside,
        bore_mm=row.bore_mm,
        least_mm=least,
        most_mm=most,
        length_mm=max(getattr(parameters, "pivot_bush_length_mm", None) or 0.0, plan.thickness_mm),
        fit=fit,
        source="pivot_bush_outside" if given else f"{row.outside_source} ({row.outside_trust})",
    )
    flanges = tuple(
        replace(
            flange,
            holes=tuple(
                replace(h, tolerance=fit) if h.name.startswith(PIVOT) and h.diameter_mm == bore else h
                for h in flange.holes
            ),
        )
        for flange in plan.flanges
    )
    return replace(plan, flanges=flanges, bush=bush)
