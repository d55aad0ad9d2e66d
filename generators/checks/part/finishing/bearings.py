"""Rules on ball bearings in pivots: is the bore deep enough for the ring, and what may come on the balls?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.checks.rule import SAME_MM, Rule, finding, mm, short_of
from generators.figures import fixed
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.model.words import LoadCase

BEARING_SEAT = Rule(
    code="bearing-seat",
    title="Bearing has too little bore to sit in",
    meaning=(
        "The outer ring of a ball bearing is a thin hoop that its bore keeps round. A cheek that is narrower "
        "than the straight part of the ring, its width less both edges, holds it by less: under half of the "
        "width the ring tilts and works loose. A circlip's groove and the rim behind it hold nothing."
    ),
    formula="sheet + boss - groove and rim >= width - 2 x edge of the ring; fail below width / 2",
    source="ours, no source; widths of ISO 15, grooves of DIN 472",
    trust="CP",
    mend='`pivot_build = "welded_boss"`, a higher boss, or a narrower bearing (series 618, 619).',
)
LEAST_SHARE = 0.5

BEARING_LOAD = Rule(
    code="bearing-load",
    title="Balls of a pivot bearing may be dented",
    meaning=(
        "A pivot hardly turns, so what counts is the static load rating C0 its maker gives: a load of it "
        "leaves dents of a ten-thousandth of a ball's diameter, which are felt. The load on one bearing is "
        "the larger of what acts across the shaft, and of 0.6 times that and half of what acts along it, "
        "all of which one bearing takes; pedals on one shaft are taken together, each at its worst case of "
        "everyday effort, limit load and from the side. A foot comes with a shock: C0 is 1.5 times that "
        "load. At a brake's 2000 N (structure only) nothing must break: below 1 there "
        "is a warning. Without pivot_bearing_static_load a note says what C0 must be."
    ),
    formula="C0 / P0 >= 1.5, fail below 1; P0 = max(Fr, 0.6 Fr + 0.5 Fa)",
    source="ISO 76; its P0 and the guide values of C0 / P0 from memory",
    trust="M-high",
    mend="A bearing of a wider series (60, 62), or a larger one.",
)
SHOCK, DENTED = 1.5, 1.0
RADIAL_SHARE, AXIAL_SHARE = 0.6, 0.5
"""X0 and Y0 of a radial deep-groove ball bearing: ISO 76, from memory."""

RULES = (BEARING_SEAT, BEARING_LOAD)


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingLoad:
    """What a pedal puts on the bearing of a bore, N: across the shaft, and along it, in a load case."""

    hole: str
    pedal: str
    kind: LoadCase
    across_n: float
    along_n: float

    @property
    def static_n(self) -> float:
        """The static equivalent load P0, N. Source: ISO 76, from memory."""
        return max(self.across_n, RADIAL_SHARE * self.across_n + AXIAL_SHARE * self.along_n)


def check_bearing_seats(plan: PartPlan) -> Iterator[Finding]:
    """A finding for each bore that a pivot's bearing has too little of. Raises nothing."""
    bush = plan.bush
    if bush is None or bush.bearing is None:
        return
    bearing = bush.bearing
    wanted = bearing.width_mm - 2 * bearing.chamfer_mm
    for flange in plan.flanges:
        for hole in flange.holes:
            if hole.tolerance != bush.fit:
                continue
            ring = hole.finish.ring if hole.finish is not None else None
            boss = ring.height_mm if ring is not None else 0.0
            groove = bearing.deep_mm - bearing.width_mm
            seat = min(bearing.width_mm, max(0.0, plan.thickness_mm + boss - groove))
            floor = LEAST_SHARE * bearing.width_mm
            severity = short_of(seat, wanted, floor)
            if severity:
                lost = f" less {mm(groove)} of groove and rim" if groove else ""
                high = fixed(bearing.deep_mm - plan.thickness_mm, 2)
                yield finding(
                    BEARING_SEAT,
                    severity,
                    f"part:{plan.name} flange {flange.name}, hole {hole.name}",
                    value=seat,
                    limit=wanted,
                    floor=floor,
                    found=f"{mm(seat)} of bore ({mm(plan.thickness_mm + boss)} of sheet and boss{lost}) for "
                    f"ball bearing {bearing.number}",
                    wanted=f"{mm(wanted)}; fail below {mm(floor)}",
                    advice=f'give welded_boss_height = "{high} mm"'
                    + ("" if ring is not None else ' with pivot_build = "welded_boss"')
                    + ", carry it in two side plates that are as thick together, or take a narrower one",
                )


def check_bearing_loads(plan: PartPlan, loads: Sequence[BearingLoad]) -> Iterator[Finding]:
    """What the static rating of a pivot's bearings says of the loads on them. Raises nothing."""
    bush = plan.bush
    if bush is None or bush.bearing is None:
        return
    judged = [load for load in loads if load.kind != "structure"]
    most = max((_together(judged, hole) for hole in {load.hole for load in judged}), default=0.0)
    once = max((load.static_n for load in loads if load.kind == "structure"), default=0.0)
    rating, where = bush.bearing.static_n, f"part:{plan.name} ball bearing {bush.bearing.number}"
    # rounded up: what is printed must be enough when it is typed
    least = math.ceil(max(SHOCK * most, DENTED * once) - SAME_MM)
    if rating is None:
        yield finding(
            BEARING_LOAD,
            Severity.NOTE,
            where,
            found=f"a load of {most:.0f} N on one bearing at most, and no C0"
            if least
            else "no C0, and no pedal's load case on it",
            wanted=f"a C0 of {least} N or more" if least else "a C0 over 1.5 times what comes on it",
            advice="give pivot_bearing_static_load as the bearing's maker has it",
        )
        return
    severity = short_of(rating / most, SHOCK, DENTED) if most else None
    load = most
    if severity is None and once and rating < DENTED * once - SAME_MM:
        severity, load = Severity.WARN, once
    if severity:
        yield finding(
            BEARING_LOAD,
            severity,
            where,
            value=rating / load,
            limit=SHOCK if load == most else DENTED,
            unit="",
            found=f"C0 {rating:.0f} N over {load:.0f} N on one bearing: {fixed(rating / load, 2)}",
            wanted=f"{SHOCK:g}; fail below {DENTED:g}" if load == most else f"{DENTED:g}",
            advice=f"take a bearing with a C0 of {least} N or more",
        )


def _together(loads: Sequence[BearingLoad], hole: str) -> float:
    """The pedals of a shaft pressed together, each at its worst, on one bearing, N."""
    pedals = {load.pedal for load in loads}
    return sum(
        max((x.static_n for x in loads if (x.hole, x.pedal) == (hole, p)), default=0.0) for p in pedals
    )
