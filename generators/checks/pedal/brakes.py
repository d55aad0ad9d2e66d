"""Rules on a brake pedal: what its circuits give, hold, and still give when one is lost."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from generators.checks.pedal.changes import (
    brake_bores,
    larger_master,
    longer_brake_stroke,
    stronger_piece,
    tandem_master,
)
from generators.checks.pedal.hydraulics import (
    BRAKE_CEILING_N,
    LINE_PRESSURE,
    effort_finding,
    reservoir_finding,
    rod_finding,
)
from generators.checks.pedal.linings import lining_findings
from generators.checks.pedal.travel import MASTER_BOTTOMS, brake_travel, newton
from generators.checks.rule import SAME_MM, Rule, finding, ordered
from generators.figures import fixed
from generators.hydraulics.brake import BrakeResult, CircuitResult
from generators.hydraulics.circuit_lost import CircuitLost
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.spec.hydraulics import Pedal

NO_RATING = Rule(
    code="no-rating",
    title="A brake piece without a pressure rating",
    meaning=(
        "Nobody said what pressure the piece named bears, so nothing tells whether it bears what this pedal "
        "can make at the largest force that may come."
    ),
    formula="every piece of a brake circuit has a rating",
    source="follows from the rule on line pressure",
    trust="C",
    mend="Read the rating off the piece or its maker's sheet, and give it as rating.",
)

ONE_CIRCUIT = Rule(
    code="one-circuit",
    title="One circuit alone brakes both axles",
    meaning=(
        "A burst hose or a worn seal then leaves no brake at all. Rule books ask that a "
        "part of the brakes be left when a line bursts. Old vehicles were built with one circuit; some "
        "places let them stay so. Whoever keeps it so says why in single_circuit: the words then stand "
        "on every sheet."
    ),
    formula="two circuits, a tandem master, or a pedal that brakes one axle",
    source="UN R13 annex 4, 2.2: what is left when a part fails must brake",
    trust="R2",
    mend="Fit a tandem master (tandem = true) or a second master with a balance bar (brake.rear).",
)

CIRCUIT_LOST = Rule(
    code="circuit-lost",
    title="No brake left when one circuit is lost",
    meaning=(
        "Without pressure a master runs to the end of its stroke and the pedal goes down that much further. "
        "If the pad meets the floor, or the linkage its end, before the circuit that is left takes the "
        "largest force, there is no brake in the worst moment. What that circuit must then give is a "
        "deceleration (2.9 m/s² in category M1, 2.5 and 2.2 in others), which brakes and load decide: it has "
        "to be shown on the road, by whoever is licensed to."
    ),
    formula="pad travel with one master at the end of its stroke, at the largest force, <= the floor",
    source="UN R13 annex 4, 2.2.1, 2.2.3 and 2.2.5",
    trust="R2",
    mend="Larger masters, masters of shorter stroke, a bounded balance bar, or a lower floor.",
)

RULES = (NO_RATING, ONE_CIRCUIT, CIRCUIT_LOST)


def check_brake(pedal: Pedal, result: BrakeResult, limits: Limits) -> list[Finding]:
    """Findings on a brake pedal, gravest first. Raises nothing."""

    def found() -> Iterator[Finding]:
        where = f"pedal:{pedal.name}"
        link = result.linkage
        yield from rod_finding(pedal, link, result.peak_rod_angle_rad, result.at_effort_mm, limits, where)
        needed = [c.needed_effort_n for c in result.circuits if c.needed_effort_n is not None]
        if needed:
            worst = max(math.inf if math.isnan(n) else n for n in needed)
            lighter = partial(brake_bores, pedal, result.circuits, larger=False)
            yield from effort_finding(worst, result.target_effort_n, BRAKE_CEILING_N, where, "brake", lighter)
        yield from brake_travel(pedal, result, where)
        for circuit in result.circuits:
            yield from _circuit(pedal, result, circuit, f"{where} {circuit.name}")
        yield from _single(pedal, result, where)
        if result.travel_share <= 1 + 1e-9:  # else the floor is said already
            for lost in result.lost:
                yield from _lost(pedal, result, lost, f"{where} {lost.lost}")

    return ordered(found())


def _circuit(pedal: Pedal, result: BrakeResult, circuit: CircuitResult, where: str) -> Iterator[Finding]:
    if circuit.margin_mm < -SAME_MM:
        yield finding(
            MASTER_BOTTOMS,
            Severity.FAIL,
            where,
            value=circuit.piston_mm,
            limit=circuit.stroke_mm,
            found=f"{fixed(circuit.piston_mm, 1)} mm of piston travel at the target effort",
            wanted=f"{fixed(circuit.stroke_mm, 1)} mm of stroke",
            advice=f"take a master of more than {fixed(circuit.bore_mm, 1)} mm bore, or of more than "
            f"{fixed(circuit.piston_mm, 1)} mm stroke",
            proposals=(*longer_brake_stroke(pedal, circuit), *brake_bores(pedal, [circuit], larger=True)),
        )
    yield from _pressure(pedal, result, circuit, where)
    needed = circuit.reservoir_needed_mm3
    path = f"pedal[{pedal.name}].brake.{circuit.name}"
    key = f"{path}.reservoir"
    yield from reservoir_finding(circuit.reservoir_mm3, circuit.reservoir_least_mm3, needed, where, key)
    yield from lining_findings(circuit, where, path)


def _pressure(pedal: Pedal, result: BrakeResult, circuit: CircuitResult, where: str) -> Iterator[Finding]:
    if circuit.weakest is not None and circuit.most_mpa > circuit.weakest[1] * (1 + 1e-9):
        name, rating = circuit.weakest
        force = result.most_force
        yield finding(
            LINE_PRESSURE,
            Severity.FAIL,
            where,
            value=circuit.most_mpa,
            limit=rating,
            unit="MPa",
            found=f"{circuit.most_mpa:.2f} MPa at {newton(result.most_n)} on the pad, the most that may come",
            wanted=f"{rating:g} MPa, the {name}",
            source=f"{force.source} ({force.trust})" if result.most_n == force.force_n else "targets.effort",
            advice=f"replace the {name} by one for at least {circuit.most_mpa:.2f} MPa",
            proposals=(*stronger_piece(pedal, circuit, name), *larger_master(pedal, circuit, rating)),
        )
    if circuit.unrated:
        yield finding(
            NO_RATING,
            Severity.NOTE,
            where,
            found=f"no rating of {', '.join(circuit.unrated)}",
            wanted=f"{circuit.most_mpa:.2f} MPa or more, the pressure at {newton(result.most_n)} on the pad",
            advice="read it off the piece or its maker's sheet",
        )


def _single(pedal: Pedal, result: BrakeResult, where: str) -> Iterator[Finding]:
    brake = pedal.brake
    if brake is None or brake.rear is not None or brake.tandem or brake.axles != "both":
        return
    alone = finding(
        ONE_CIRCUIT,
        Severity.FAIL,
        f"{where} {result.circuits[0].name}",
        found="one circuit for both axles",
        wanted="two circuits, so that one is left when the other bursts",
        advice='say tandem = true for a tandem master, axles = "one" for a pedal that brakes one axle, or '
        "give the second master as brake.rear",
        proposals=tandem_master(pedal),
    )
    yield replace(alone, waived=brake.single_circuit.strip())


def _lost(pedal: Pedal, result: BrakeResult, lost: CircuitLost, where: str) -> Iterator[Finding]:
    floor = result.linkage.travel_mm
    if lost.pad_mm <= floor + SAME_MM:
        return
    reached = (
        f"{lost.pad_mm:.1f} mm of pad travel with the {lost.lost} circuit lost"
        if math.isfinite(lost.pad_mm)
        else f"no pad travel does it with the {lost.lost} circuit lost"
    )
    yield finding(
        CIRCUIT_LOST,
        Severity.FAIL,
        where,
        value=lost.pad_mm if math.isfinite(lost.pad_mm) else None,
        limit=floor,
        found=f"{reached}, before the {lost.left} one takes {newton(result.most_n)}",
        wanted=f"the floor at {fixed(floor, 1)} mm",
        advice=f"a larger {lost.left} master moves less, a {lost.lost} master of shorter stroke ends sooner",
        proposals=brake_bores(pedal, result.circuits, larger=True),
    )
