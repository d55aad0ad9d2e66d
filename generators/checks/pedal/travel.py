"""Rules on how far a pedal goes: its stop, what it meets on the way, and the floor."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.checks.pedal.changes import bores, brake_bores, longer_stroke, stop_at
from generators.checks.pedal.ratios import opened
from generators.checks.rule import SAME_MM, Rule, finding
from generators.figures import fixed
from generators.hydraulics.brake import BrakeResult
from generators.hydraulics.clutch import bearing_of_pad, slave_stroke_for
from generators.hydraulics.result import ClutchResult
from generators.hydraulics.window import StopWindow
from generators.model.changes import Proposal
from generators.model.findings import Finding, Severity
from generators.model.spec.hydraulics import Pedal

INSPECTION_SHARE = 0.8
"""Share of the pedal travel a brake may use at 50 lbf: 49 CFR 570.55(c)."""

STOP_MARGIN_SHARE = 0.1
"""Of the stop window's width, what lies beside a stop at least (ours)."""

PEDAL_NO_RELEASE = Rule(
    code="pedal-no-release",
    title="Pedal stops before the clutch is released",
    meaning=(
        "At the stop set in the spec the bearing has not gone far enough past contact: the clutch drags "
        "and gears grind. Dead stroke, free play, hose swell, fluid and panel flex are already taken off."
    ),
    formula="stop >= pad travel at release_travel + release_margin; fail below release_travel",
    source="release travel of the spec; margin ours",
    trust="C",
    mend="Move the stop to the recommended place.",
)

STOP_WINDOW_EMPTY = Rule(
    code="stop-window-empty",
    title="No stop is right for this pedal",
    meaning=(
        "The pedal meets a limit (master, slave, release fingers or floor) before the clutch is released "
        "with its margin, so wherever the stop is put something is wrong. The changes named were tried "
        "one at a time by computing everything again: another ratio, the nearest common master or slave "
        "bore, the pin radius, the floor."
    ),
    formula="earliest stop <= min(master bottoms, slave runs out, fingers over-travel, floor)",
    source="exact linkage and volume balance",
    trust="C",
    mend="Make the one change the finding names.",
)

PEDAL_OVER_TRAVEL = Rule(
    code="pedal-over-travel",
    title="Pedal can push the release fingers too far",
    meaning=(
        "At the stop the bearing has gone further past contact than the fingers allow: they strike the "
        "disc or go past centre. The stop and its bracket must take the foot's force instead."
    ),
    formula="stop <= pad travel at over_travel",
    source="over-travel of the spec",
    trust="C",
    mend="Move the stop to the recommended place.",
)

MASTER_BOTTOMS = Rule(
    code="master-bottoms",
    title="Master cylinder bottoms before the stop",
    meaning=(
        "The piston reaches the end of its barrel first and takes the foot's whole force through the rod: "
        "rods bend and circlips break. For a brake: the master is at its end before the target effort."
    ),
    formula="stop <= pad travel at the master's stroke; brake: piston travel <= stroke at the target effort",
    source="exact linkage and volume balance",
    trust="C",
    mend="Move the stop, or take a larger bore or a longer stroke.",
)

SLAVE_RUNS_OUT = Rule(
    code="slave-runs-out",
    title="Slave cylinder runs out before the stop",
    meaning=(
        "The slave's piston reaches the end of its stroke, less what is kept free for wear. Past that it "
        "meets its circlip or leaves its bore, and the fluid is lost."
    ),
    formula="stop <= pad travel at slave stroke - wear x fork ratio",
    source="exact linkage and volume balance; wear allowance of the spec",
    trust="C",
    mend="Move the stop, or take a slave with the stroke the finding names, or a larger bore.",
)

PEDAL_TRAVEL = Rule(
    code="pedal-travel",
    title="Pedal travels too far for a foot",
    meaning=(
        "Pad travel to the stop over the target; or a brake pedal that meets the floor before the target "
        "effort, or uses more than 80 % of its travel at 50 lbf (49 CFR 570.55(c), R1). 100 to 150 mm is "
        "common practice, no source; leg travel up to 180 mm, MIL-STD-1472F 5.4.2, from memory, unsure."
    ),
    formula="stop <= targets.travel (150 mm); brake: travel at 50 lbf <= 80 % of travel, fail at the floor",
    source="49 CFR 570.55(c) for a brake (R1); pad travel: common practice, no source",
    trust="CP",
    mend="A larger master, a smaller slave or a shorter pedal makes it shorter and heavier.",
)

STOP_MARGIN = Rule(
    code="stop-margin",
    title="Stop with little of its window beside it",
    meaning=(
        "The stop is right, but nearly the whole window lies on one side of it: a bolt set by hand, a worn "
        "covering or disc, air that stays in the line or a bracket that gives takes it out. release_margin, "
        "0.5 mm at the bearing where the spec sets none, is kept already; this asks for pad travel beside "
        "it. Of a floor that is the stop, the pad on its covering is looked at for the release, on the bare "
        "floor for master, slave and fingers."
    ),
    formula="distance of the stop from either end of its window >= 10 % of the window",
    source="no published limit found; ours",
    trust="CP",
    mend="Set the stop where the finding says: the middle of what a stop bolt has.",
)

RULES = (
    STOP_MARGIN,
    PEDAL_NO_RELEASE,
    STOP_WINDOW_EMPTY,
    PEDAL_OVER_TRAVEL,
    MASTER_BOTTOMS,
    SLAVE_RUNS_OUT,
    PEDAL_TRAVEL,
)


_PAST = {
    "fingers": PEDAL_OVER_TRAVEL,
    "master": MASTER_BOTTOMS,
    "slave": SLAVE_RUNS_OUT,
}


def _mm(value: float) -> str:
    return f"{fixed(value, 1)} mm" if math.isfinite(value) else "never"


def newton(value: float) -> str:
    """A force for people; ``no force`` where none does it."""
    return f"{value:.0f} N" if math.isfinite(value) else "no force"


def stop(pedal: Pedal, result: ClutchResult, where: str, beside: Sequence[Pedal] = ()) -> Iterator[Finding]:
    """The stop of a clutch pedal in its window; ``beside`` are the other pedals of its hanger."""
    window = result.window
    first = window.limits[0]
    if window.empty:
        advice = (
            "no single change of bore, stroke, ratio or floor opens it: change two, or ask for less release"
        )
        if result.openers:
            change = result.openers[0]
            advice = (
                f"take {change.text}: the pedal may then stop from {change.earliest_mm:.0f} to "
                f"{change.latest_mm:.0f} mm and asks {change.effort_n:.0f} N"
            )
        yield finding(
            STOP_WINDOW_EMPTY,
            Severity.FAIL,
            where,
            value=window.earliest_mm,
            limit=first.pad_mm,
            found=f"released with margin at {_mm(window.earliest_mm)} of pad travel"
            if math.isfinite(window.earliest_mm)
            else "never released with margin: the linkage does not give this much stroke",
            wanted=f"{first.label} at {_mm(first.pad_mm)}",
            advice=advice,
            proposals=opened(pedal, result, beside),
        )
        return
    moved = () if window.recommended_mm is None else (stop_at(pedal, window.recommended_mm),)
    early, late = "stop", "stop"
    advice = f"set the stop at {fixed(window.recommended_mm or 0.0, 1)} mm of pad travel"
    if window.by_floor:
        early, late = floor_names(result)
        advice = floor_advice(window)
    if window.stop_mm < window.earliest_mm - SAME_MM:
        yield finding(
            PEDAL_NO_RELEASE,
            Severity.FAIL if window.stop_mm < window.releases_mm - SAME_MM else Severity.WARN,
            where,
            value=window.stop_mm,
            limit=window.earliest_mm,
            found=f"{early} at {_mm(window.stop_mm)}, {result.at_stop.release_mm:.2f} mm at the bearing",
            wanted=f"{_mm(window.earliest_mm)} (fail below {_mm(window.releases_mm)})",
            advice=advice,
            # no bolt lets a pedal past the floor
            proposals=moved,
        )
    for limit in window.limits:
        if limit.key in _PAST and limit.margin_mm < -SAME_MM:
            yield finding(
                _PAST[limit.key],
                Severity.FAIL,
                where,
                value=window.gone_mm,
                limit=limit.pad_mm,
                found=f"{late} at {_mm(window.gone_mm)} of pad travel",
                wanted=f"{limit.label} at {_mm(limit.pad_mm)}",
                advice=advice + _longer_slave(result) * (limit.key == "slave"),
                proposals=(
                    *moved,
                    *(longer_stroke(pedal, result, limit.key) if limit.key != "fingers" else ()),
                    *bores(pedal, result),
                ),
            )
    yield from narrow(pedal, result, where, moved, advice)
    if window.stop_mm > result.travel_target_mm + SAME_MM:
        yield finding(
            PEDAL_TRAVEL,
            Severity.WARN,
            where,
            value=window.stop_mm,
            limit=result.travel_target_mm,
            found=f"{_mm(window.stop_mm)} to the stop",
            wanted=_mm(result.travel_target_mm),
            advice="take the next larger master bore, which shortens the travel and adds effort"
            if window.earliest_mm > result.travel_target_mm
            else f"set the stop nearer {window.earliest_mm:.1f} mm, where the clutch is released with margin",
            proposals=_sooner(pedal, result),
        )


def floor_names(result: ClutchResult) -> tuple[str, str]:
    """What a floor that is the stop is called, with its covering and bare; a wall where the spec has none."""
    floor = result.linkage.frame.floor
    if floor is not None and floor.wall:
        return (
            f"{floor.what}, as no floor is in the spec,",
            f"the bare {floor.what}, as no floor is in the spec,",
        )
    return "the floor with its covering", "the bare floor"


def floor_advice(window: StopWindow) -> str:
    """What to do about a floor that is the stop and comes too early, too late or with little to spare."""
    if window.recommended_mm is None:
        return (
            f"the floor comes at {_mm(window.stop_mm)}, before any stop that is right: move the pad away "
            "from it, or thin its covering"
        )
    return (
        f"fit a stop bolt between {fixed(window.earliest_mm, 1)} and {_mm(window.bolt_latest_mm)} of pad "
        f"travel, at {_mm(window.recommended_mm)}, so that the floor is not the stop"
    )


def narrow(
    pedal: Pedal, result: ClutchResult, where: str, moved: tuple[Proposal, ...], advice: str
) -> Iterator[Finding]:
    """A stop that is right with little of the window beside it."""
    window = result.window
    wanted = STOP_MARGIN_SHARE * (window.latest_mm - window.earliest_mm)
    beside, at = window.beside_mm, window.gone_mm
    if not window.given or not -SAME_MM <= beside < wanted - SAME_MM:
        return
    kept = result.setup.clutch.release_margin_mm
    low = beside >= window.release_margin_mm - SAME_MM
    name = floor_names(result)[0 if low else 1] if window.by_floor else "stop"
    if low:
        at = window.stop_mm
        said = f"past where the clutch is released with its margin of {fixed(kept, 2)} mm at the bearing"
    else:
        first = next(limit for limit in window.limits if limit.key != "floor")
        said = f"before {first.label}"
    more_room = window.recommended_mm is not None and window.bolt_latest_mm - window.earliest_mm >= 2 * wanted
    if not more_room:
        advice = (
            "no stop bolt has more: the covering of the floor comes too soon; move the pad away from it, "
            "thin the covering, or take a cylinder that releases sooner"
        )
    yield finding(
        STOP_MARGIN,
        Severity.WARN,
        where,
        value=beside,
        limit=wanted,
        found=f"{name} at {_mm(at)} of pad travel, {_mm(beside)} {said}",
        wanted=f"{_mm(wanted)}, {STOP_MARGIN_SHARE:.0%} of the stop window",
        advice=advice,
        proposals=(*(moved if more_room else ()), *bores(pedal, result)),
    )


def _sooner(pedal: Pedal, result: ClutchResult) -> tuple[Proposal, ...]:
    """A stop within the travel wanted, if one is right; else bores that release sooner."""
    window = result.window
    latest = min(result.travel_target_mm, window.bolt_latest_mm)
    if window.earliest_mm <= latest:
        return (stop_at(pedal, (window.earliest_mm + latest) / 2), *bores(pedal, result))
    return bores(pedal, result)


def _longer_slave(result: ClutchResult) -> str:
    """The slave stroke with which the stop may stay where it is, in whole millimetres."""
    setup = result.setup
    stroke = slave_stroke_for(setup, bearing_of_pad(setup, result.window.stop_mm))
    return f", or take a slave with {math.ceil(stroke - SAME_MM)} mm of stroke"


def brake_travel(pedal: Pedal, result: BrakeResult, where: str) -> Iterator[Finding]:
    """How far a brake pedal goes at its target effort."""
    floor = result.linkage.travel_mm
    larger = brake_bores(pedal, result.circuits, larger=True)
    if result.travel_share > 1 + 1e-9:
        yield finding(
            PEDAL_TRAVEL,
            Severity.FAIL,
            where,
            value=result.at_effort_mm,
            limit=floor,
            found=f"{_mm(result.at_effort_mm)} of pad travel at {newton(result.target_effort_n)}",
            wanted=f"the floor at {_mm(floor)}",
            advice="take larger master bores, which need less travel and more effort",
            proposals=larger,
        )
    elif result.inspection_share > INSPECTION_SHARE + 1e-9:
        yield finding(
            PEDAL_TRAVEL,
            Severity.WARN,
            where,
            value=result.inspection_share,
            limit=INSPECTION_SHARE,
            unit="",
            found=f"{result.inspection_share:.0%} of the travel at 50 lbf",
            wanted=f"{INSPECTION_SHARE:.0%}",
            source="49 CFR 570.55(c) (R1)",
            advice="take larger master bores, which need less travel and more effort",
            proposals=larger,
        )
    elif result.at_effort_mm > result.travel_target_mm + SAME_MM:
        yield finding(
            PEDAL_TRAVEL,
            Severity.WARN,
            where,
            value=result.at_effort_mm,
            limit=result.travel_target_mm,
            found=f"{_mm(result.at_effort_mm)} of pad travel at {newton(result.target_effort_n)}",
            wanted=_mm(result.travel_target_mm),
            advice="take larger master bores, which need less travel and more effort",
            proposals=larger,
        )
