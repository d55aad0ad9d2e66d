"""The rules of a pedal on its computed answer."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.checks.pedal import rules_hydraulics as rules
from generators.checks.rule import SAME_MM, finding, ordered
from generators.hydraulics.brake import BrakeResult, CircuitResult
from generators.hydraulics.linkage import Linkage, rod_for_play
from generators.hydraulics.result import ClutchResult
from generators.model.findings import Finding, Severity
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.job import Limits

_PAST = {
    "fingers": rules.PEDAL_OVER_TRAVEL,
    "master": rules.MASTER_BOTTOMS,
    "slave": rules.SLAVE_RUNS_OUT,
}


def check_clutch(pedal: Pedal, result: ClutchResult, limits: Limits) -> list[Finding]:
    """Findings on a clutch pedal, gravest first. Raises nothing."""

    def found() -> Iterator[Finding]:
        where = f"pedal:{pedal.name}"
        yield from _stop(result, where)
        yield from _rod(pedal, result.linkage, result.peak_rod_angle_rad, limits, where)
        yield from _effort(
            result.peak_effort_n, result.effort_target_n, rules.CLUTCH_CEILING_N, where, "clutch"
        )
        yield from _pressure(result.peak_pressure_mpa, result.weakest, where)
        reservoir = pedal.master.reservoir_mm3 if pedal.master is not None else None
        yield from _reservoir(reservoir, result.wear_mm3, result.reservoir_needed_mm3, where)

    return ordered(found())


def check_brake(pedal: Pedal, result: BrakeResult, limits: Limits) -> list[Finding]:
    """Findings on a brake pedal, gravest first. Raises nothing."""

    def found() -> Iterator[Finding]:
        where = f"pedal:{pedal.name}"
        yield from _rod(pedal, result.linkage, result.peak_rod_angle_rad, limits, where)
        needed = [c.needed_effort_n for c in result.circuits if c.needed_effort_n is not None]
        if needed:
            worst = max(math.inf if math.isnan(n) else n for n in needed)
            yield from _effort(worst, result.target_effort_n, rules.BRAKE_CEILING_N, where, "brake")
        yield from _brake_travel(result, where)
        for circuit in result.circuits:
            yield from _circuit(circuit, f"{where} {circuit.name}")

    return ordered(found())


def _mm(value: float) -> str:
    return f"{value:.1f} mm" if math.isfinite(value) else "never"


def _newton(value: float) -> str:
    return f"{value:.0f} N" if math.isfinite(value) else "no force"


def _stop(result: ClutchResult, where: str) -> Iterator[Finding]:
    window = result.window
    first = window.limits[0]
    if window.recommended_mm is None:
        advice = "no single change of bore, ratio or floor opens it: change two, or ask less release travel"
        if result.openers:
            change = result.openers[0]
            advice = (
                f"take {change.text}: the pedal may then stop from {change.earliest_mm:.0f} to "
                f"{change.latest_mm:.0f} mm and asks {change.effort_n:.0f} N"
            )
        yield finding(
            rules.STOP_WINDOW_EMPTY,
            Severity.FAIL,
            where,
            value=f"released with margin at {_mm(window.earliest_mm)} of pad travel"
            if math.isfinite(window.earliest_mm)
            else "never released with margin: the linkage does not give this much stroke",
            limit=f"{first.label} at {_mm(first.pad_mm)}",
            advice=advice,
        )
        return
    advice = f"set the stop at {window.recommended_mm:.1f} mm of pad travel"
    if window.stop_mm < window.earliest_mm - SAME_MM:
        yield finding(
            rules.PEDAL_NO_RELEASE,
            Severity.FAIL if window.stop_mm < window.releases_mm - SAME_MM else Severity.WARN,
            where,
            value=f"stop at {_mm(window.stop_mm)}, {result.at_stop.release_mm:.2f} mm at the bearing",
            limit=f"{_mm(window.earliest_mm)} (fail below {_mm(window.releases_mm)})",
            advice=advice,
        )
    for limit in window.limits:
        if limit.key in _PAST and limit.margin_mm < -SAME_MM:
            yield finding(
                _PAST[limit.key],
                Severity.FAIL,
                where,
                value=f"stop at {_mm(window.stop_mm)} of pad travel",
                limit=f"{limit.label} at {_mm(limit.pad_mm)}",
                advice=advice,
            )
    if window.stop_mm > result.travel_target_mm + SAME_MM:
        yield finding(
            rules.PEDAL_TRAVEL,
            Severity.WARN,
            where,
            value=f"{_mm(window.stop_mm)} to the stop",
            limit=_mm(result.travel_target_mm),
            advice="take the next larger master bore, which shortens the travel and adds effort"
            if window.earliest_mm > result.travel_target_mm
            else f"set the stop nearer {window.earliest_mm:.1f} mm, where the clutch is released with margin",
        )


def _rod(pedal: Pedal, link: Linkage, angle_rad: float, limits: Limits, where: str) -> Iterator[Finding]:
    if angle_rad > limits.rod_angle_rad + 1e-9:
        yield finding(
            rules.ROD_ANGLE,
            Severity.FAIL if angle_rad > limits.rod_angle_fail_rad + 1e-9 else Severity.WARN,
            where,
            value=f"{math.degrees(angle_rad):.2f} deg",
            limit=f"{math.degrees(limits.rod_angle_rad):g} deg "
            f"(fail above {math.degrees(limits.rod_angle_fail_rad):g} deg)",
            advice="move the pin or the cylinder so that the pin swings about the cylinder's axis",
        )
    play, most = -link.rest_mm, pedal.rod_play_mm + rules.PLAY_IN_HAND_MM
    if -SAME_MM <= play <= most + SAME_MM:
        return
    right = rod_for_play(link, pedal.rod_play_mm)
    yield finding(
        rules.ROD_LENGTH,
        Severity.FAIL if play < 0 else Severity.WARN,
        where,
        value=f"the rod holds the piston {-play:.2f} mm off its rest"
        if play < 0
        else f"{play:.2f} mm of play before the piston moves",
        limit=f"play from 0 to {most:.2f} mm",
        advice=f"{'shorten' if play < 0 else 'lengthen'} the rod by {abs(link.rod_length_mm - right):.2f} mm "
        f"to {right:.2f} mm",
    )


def _effort(effort_n: float, target_n: float, ceiling_n: float, where: str, kind: str) -> Iterator[Finding]:
    if effort_n <= target_n * (1 + 1e-9) and effort_n <= ceiling_n:
        return
    yield finding(
        rules.PEDAL_EFFORT,
        Severity.FAIL if effort_n > ceiling_n else Severity.WARN,
        where,
        value=_newton(effort_n) if math.isfinite(effort_n) else "no force within the pedal's travel does it",
        limit=f"{_newton(target_n)} (fail above {_newton(ceiling_n)})",
        source="14 CFR 27.397(a)(1), 130 lbf (R1)"
        if kind == "clutch"
        else "FMVSS 105 S5.1, 150 lbf (M-high)",
        advice="take the next smaller master bore, which lightens the pedal and lengthens its travel",
    )


def _pressure(pressure_mpa: float, weakest: tuple[str, float] | None, where: str) -> Iterator[Finding]:
    if weakest is None or pressure_mpa <= weakest[1] * (1 + 1e-9):
        return
    yield finding(
        rules.LINE_PRESSURE,
        Severity.FAIL,
        where,
        value=f"{pressure_mpa:.2f} MPa",
        limit=f"{weakest[1]:g} MPa, the {weakest[0]}",
        advice=f"replace the {weakest[0]} by one for at least {pressure_mpa:.2f} MPa",
    )


def _reservoir(given_mm3: float | None, wear_mm3: float, needed_mm3: float, where: str) -> Iterator[Finding]:
    if given_mm3 is None or given_mm3 >= needed_mm3 * (1 - 1e-9):
        return
    yield finding(
        rules.RESERVOIR_VOLUME,
        Severity.FAIL if given_mm3 < wear_mm3 else Severity.WARN,
        where,
        value=f"{given_mm3 / 1000:.1f} cc",
        limit=f"{needed_mm3 / 1000:.1f} cc (fail below {wear_mm3 / 1000:.1f} cc)",
        advice=f"fit a reservoir of at least {math.ceil(needed_mm3 / 1000)} cc",
    )


def _brake_travel(result: BrakeResult, where: str) -> Iterator[Finding]:
    floor = result.linkage.travel_mm
    if result.travel_share > 1 + 1e-9:
        yield finding(
            rules.PEDAL_TRAVEL,
            Severity.FAIL,
            where,
            value=f"{_mm(result.at_effort_mm)} of pad travel at {_newton(result.target_effort_n)}",
            limit=f"the floor at {_mm(floor)}",
            advice="take larger master bores, which need less travel and more effort",
        )
    elif result.inspection_share > rules.INSPECTION_SHARE + 1e-9:
        yield finding(
            rules.PEDAL_TRAVEL,
            Severity.WARN,
            where,
            value=f"{result.inspection_share:.0%} of the travel at 50 lbf",
            limit=f"{rules.INSPECTION_SHARE:.0%}",
            source="49 CFR 570.55(c) (R1)",
            advice="take larger master bores, which need less travel and more effort",
        )
    elif result.at_effort_mm > result.travel_target_mm + SAME_MM:
        yield finding(
            rules.PEDAL_TRAVEL,
            Severity.WARN,
            where,
            value=f"{_mm(result.at_effort_mm)} of pad travel at {_newton(result.target_effort_n)}",
            limit=_mm(result.travel_target_mm),
            advice="take larger master bores, which need less travel and more effort",
        )


def _circuit(circuit: CircuitResult, where: str) -> Iterator[Finding]:
    if circuit.margin_mm < -SAME_MM:
        yield finding(
            rules.MASTER_BOTTOMS,
            Severity.FAIL,
            where,
            value=f"{circuit.piston_mm:.1f} mm of piston travel at the target effort",
            limit=f"{circuit.stroke_mm:.1f} mm of stroke",
            advice=f"take a master of more than {circuit.bore_mm:.1f} mm bore, or of more than "
            f"{circuit.piston_mm:.1f} mm stroke",
        )
    yield from _pressure(circuit.pressure_mpa, circuit.weakest, where)
    needed = circuit.reservoir_needed_mm3
    yield from _reservoir(circuit.reservoir_mm3, circuit.wear_mm3, needed, where)
