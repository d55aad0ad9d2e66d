"""The rules of a pedal on its computed answer."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from generators.checks.pedal.changes import (
    bores,
    larger_reservoir,
    rod_of,
    straighter_rod,
)
from generators.checks.pedal.travel import newton, stop
from generators.checks.rule import SAME_MM, Rule, finding, ordered
from generators.figures import fixed
from generators.hydraulics.linkage import Linkage, rod_for_play
from generators.hydraulics.result import ClutchResult
from generators.model.changes import Proposal
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.spec.hydraulics import Pedal
from generators.model.words import PedalKind

CLUTCH_CEILING_N = 578.2686
"""130 lbf: 14 CFR 27.397(a)(1), the pilot force on a foot control."""

BRAKE_CEILING_N = 667.2332
"""150 lbf: FMVSS 105 S5.1, from memory, sure."""

PLAY_IN_HAND_MM = 1.0
"""How much more play than wanted is let pass: ours."""

ROD_ANGLE = Rule(
    code="rod-angle",
    title="Pushrod at an angle to the cylinder",
    meaning=(
        "A rod out of line pushes the piston sideways, wears the bore and hits the circlip; jam nuts "
        "catch. The angle is the largest between rest and stop. No source gives a limit: these are ours."
    ),
    formula="rod angle <= rod_angle (3 deg); fail above rod_angle_fail (5 deg)",
    source="no published limit found; ours",
    trust="CP",
    mend="Move the master to the pin's mid-travel height, or take a longer rod.",
    limit_key="rod_angle_rad",
)

PEDAL_EFFORT = Rule(
    code="pedal-effort",
    title="Pedal too heavy",
    meaning=(
        "Largest pad force between rest and stop; of a brake, the force for the pressures wanted. Without "
        "friction and return spring, so the real pedal is heavier. Published: FMVSS 135 S7.5.2 and "
        "UN R13-H annex 3 65 to 500 N, FMVSS 105 S5.1 15 to 150 lbf (all from memory, sure); 14 CFR "
        "27.397(a)(1) 130 lbf for a foot control (R1, read in the document); Formula SAE 2019 T.5.1.10b "
        "asks a brake pedal to withstand 2000 N (R1), which is strength, not effort. Clutch 90 to 180 N "
        "is common practice, no source."
    ),
    formula="effort <= targets.effort (180 N clutch, 500 N brake); fail above 578 N clutch, 667 N brake",
    source="fail: 14 CFR 27.397(a)(1), 130 lbf (R1), for a clutch; FMVSS 105 S5.1, 150 lbf, for a brake",
    trust="M-high",
    mend="A smaller master, a larger slave or a longer pedal makes it lighter and longer.",
)

LINE_PRESSURE = Rule(
    code="line-pressure",
    title="Pressure over the weakest piece",
    meaning=(
        "Highest pressure up to a clutch's stop, or at the largest force a rule book reckons with on a "
        "brake pedal, against the lowest rating: the spec's, or the operating pressure of a table's hose. "
        "In fright a foot gives far more than it finds comfortable, so that targets.effort plays no part: "
        "500 N in a passenger car (category M1), else 700 N, which is more than the 150 lbf of FMVSS 105. A "
        "target above that counts as the largest. Pieces without a rating are not judged; a note names them."
    ),
    formula="pressure at the stop, or at the largest force, <= lowest rating",
    source="UN R13 annex 4, 2.2.3 (R2); FMVSS 105 S5.1 (M-high); ratings of the spec, AC 43.13-1B table 9-3",
    trust="R2",
    mend="Replace the piece named, or lower the pressure with a larger bore.",
)

RESERVOIR_VOLUME = Rule(
    code="reservoir-volume",
    title="Reservoir too small for the wear",
    meaning=(
        "As disc, pads or shoes wear, fluid moves between reservoir and slave or brakes. The reservoir "
        "must hold that and one whole stroke of the master (ours), or it runs dry or overflows. A brake's "
        "must at least fill its cylinders from new linings, let off, to worn ones, fully applied."
    ),
    formula="volume >= wear volume + master area x stroke; fail below the wear volume, of a brake below wear "
    "volume + what its brakes take until they grip",
    source="brakes: FMVSS 105 S5.4.2; volume balance; the stroke in hand is ours",
    trust="C",
    mend="Fit a larger reservoir.",
)

ROD_LENGTH = Rule(
    code="rod-length",
    title="Pushrod too long or too short",
    meaning=(
        "A rod that leaves no play holds the piston off its rest: the port stays closed, pressure builds "
        "as the fluid warms, and the clutch slips or the brakes drag. One that leaves too much play "
        "wastes pedal travel."
    ),
    formula="0 <= play at rest <= rod_play + 1 mm (ours)",
    source="some play is common practice, no source; the upper limit is ours",
    trust="CP",
    mend="Set the rod to the length the finding gives.",
)

RULES = (
    ROD_ANGLE,
    PEDAL_EFFORT,
    LINE_PRESSURE,
    RESERVOIR_VOLUME,
    ROD_LENGTH,
)


def check_clutch(
    pedal: Pedal, result: ClutchResult, limits: Limits, beside: Sequence[Pedal] = ()
) -> list[Finding]:
    """Findings on a clutch pedal, gravest first; ``beside`` are its hanger's other pedals. Raises nothing."""

    def found() -> Iterator[Finding]:
        where = f"pedal:{pedal.name}"
        yield from stop(pedal, result, where, beside)
        yield from rod_finding(
            pedal, result.linkage, result.peak_rod_angle_rad, result.at_stop.pad_mm, limits, where
        )
        target = result.effort_target_n
        lighter = partial(bores, pedal, result)
        yield from effort_finding(result.peak_effort_n, target, CLUTCH_CEILING_N, where, "clutch", lighter)
        yield from _pressure(pedal, result, where)
        reservoir = pedal.master.reservoir_mm3 if pedal.master is not None else None
        key = f"pedal[{pedal.name}].master.reservoir"
        yield from reservoir_finding(reservoir, result.wear_mm3, result.reservoir_needed_mm3, where, key)

    return ordered(found())


def rod_finding(
    pedal: Pedal, link: Linkage, angle_rad: float, pad_mm: float, limits: Limits, where: str
) -> Iterator[Finding]:
    """Findings on the rod of a pedal pressed to ``pad_mm``: its largest angle, and its length at rest."""
    if angle_rad > limits.rod_angle_rad + 1e-9:
        yield finding(
            ROD_ANGLE,
            Severity.FAIL if angle_rad > limits.rod_angle_fail_rad + 1e-9 else Severity.WARN,
            where,
            value=math.degrees(angle_rad),
            limit=math.degrees(limits.rod_angle_rad),
            unit="deg",
            found=f"{math.degrees(angle_rad):.2f} deg",
            wanted=f"{math.degrees(limits.rod_angle_rad):g} deg "
            f"(fail above {math.degrees(limits.rod_angle_fail_rad):g} deg)",
            advice="move the pin or the cylinder so that the pin swings about the cylinder's axis",
            proposals=straighter_rod(pedal, link, min(pad_mm, link.travel_mm), limits.rod_angle_rad),
        )
    play, most = -link.rest_mm, pedal.rod_play_mm + PLAY_IN_HAND_MM
    if -SAME_MM <= play <= most + SAME_MM:
        return
    right = rod_for_play(link, pedal.rod_play_mm)
    yield finding(
        ROD_LENGTH,
        Severity.FAIL if play < 0 else Severity.WARN,
        where,
        value=play,
        limit=0.0 if play < 0 else most,
        found=f"the rod holds the piston {fixed(-play, 2)} mm off its rest"
        if play < 0
        else f"{fixed(play, 2)} mm of play before the piston moves",
        wanted=f"play from 0 to {fixed(most, 2)} mm",
        advice=f"{'shorten' if play < 0 else 'lengthen'} the rod by "
        f"{fixed(abs(link.rod_length_mm - right), 2)} mm to {fixed(right, 2)} mm",
        proposals=rod_of(pedal, right),
    )


def effort_finding(
    effort_n: float,
    target_n: float,
    ceiling_n: float,
    where: str,
    kind: PedalKind,
    lighter: Callable[[], tuple[Proposal, ...]],
) -> Iterator[Finding]:
    """Findings on a pad force above its target, N; ``lighter`` proposes what makes it less."""
    if effort_n <= target_n * (1 + 1e-9) and effort_n <= ceiling_n:
        return
    yield finding(
        PEDAL_EFFORT,
        Severity.FAIL if effort_n > ceiling_n else Severity.WARN,
        where,
        value=effort_n,
        limit=min(target_n, ceiling_n),
        unit="N",
        found=newton(effort_n) if math.isfinite(effort_n) else "no force within the pedal's travel does it",
        wanted=f"{newton(target_n)} (fail above {newton(ceiling_n)})",
        source="14 CFR 27.397(a)(1), 130 lbf (R1)"
        if kind == "clutch"
        else "FMVSS 105 S5.1, 150 lbf (M-high)",
        advice="take the next smaller master bore, which lightens the pedal and lengthens its travel",
        proposals=lighter(),
    )


def _pressure(pedal: Pedal, result: ClutchResult, where: str) -> Iterator[Finding]:
    for found in _pressed(result.peak_pressure_mpa, result.weakest, where):
        most = result.weakest[1] if result.weakest is not None else math.inf
        yield replace(found, proposals=bores(pedal, result, most_mpa=most))


def _pressed(pressure_mpa: float, weakest: tuple[str, float] | None, where: str) -> Iterator[Finding]:
    if weakest is None or pressure_mpa <= weakest[1] * (1 + 1e-9):
        return
    yield finding(
        LINE_PRESSURE,
        Severity.FAIL,
        where,
        value=pressure_mpa,
        limit=weakest[1],
        unit="MPa",
        found=f"{pressure_mpa:.2f} MPa",
        wanted=f"{weakest[1]:g} MPa, the {weakest[0]}",
        advice=f"replace the {weakest[0]} by one for at least {pressure_mpa:.2f} MPa",
    )


def reservoir_finding(
    given_mm3: float | None, least_mm3: float, needed_mm3: float, where: str, key: str
) -> Iterator[Finding]:
    """Findings on a reservoir that does not hold what is needed, mm3; ``key`` is where the spec says it.

    ``least_mm3`` is what it must hold before it fails.
    """
    if given_mm3 is None or given_mm3 >= needed_mm3 * (1 - 1e-9):
        return
    yield finding(
        RESERVOIR_VOLUME,
        Severity.FAIL if given_mm3 < least_mm3 * (1 - 1e-9) else Severity.WARN,
        where,
        value=given_mm3,
        limit=needed_mm3,
        unit="mm3",
        found=f"{fixed(given_mm3 / 1000, 1)} cc",
        wanted=f"{fixed(needed_mm3 / 1000, 1)} cc (fail below {fixed(least_mm3 / 1000, 1)} cc)",
        advice=f"fit a reservoir of at least {math.ceil(needed_mm3 / 1000)} cc",
        proposals=larger_reservoir(key, needed_mm3),
    )
