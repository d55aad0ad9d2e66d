"""What a sweep looks at in a solved job: numbers by path, each with its unit."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.sheetmetal.volume import mass_kg
from generators.solve.job import Prepared
from generators.solve.pedals import PedalAnswer

DIGITS = 6
COUNTS = ("fails", "warns", "notes")


def measures(prepared: Prepared) -> dict[str, tuple[float, str]]:
    """Numbers of a job and their units, by path: ``pedal[clutch].peak_effort``. What has none is left out."""
    found = dict(_all(prepared))
    return {
        path: (float(f"{value:.{DIGITS}g}") + 0.0, unit)
        for path, (value, unit) in found.items()
        if math.isfinite(value)
    }


def _all(prepared: Prepared) -> Iterator[tuple[str, tuple[float, str]]]:
    severities = [f.severity.value for f in prepared.findings if not f.waived]
    for name, word in zip(COUNTS, ("fail", "warn", "note"), strict=True):
        yield name, (float(severities.count(word)), "")
    for pedal in prepared.pedals:
        for name, measured in _pedal(pedal):
            yield f"pedal[{pedal.spec.name}].{name}", measured
    for hose in prepared.lines.hoses:
        if hose.length is not None:
            yield f"hose[{hose.spec.name}].length", (hose.length.made_up_mm, "mm")
    for part in prepared.parts:
        yield f"part[{part.plan.name}].mass", (mass_kg(part.plan), "kg")
    yield "holes", (float(sum(h.status == "drill" for x in prepared.layouts for h in x.holes)), "")


def _pedal(pedal: PedalAnswer) -> Iterator[tuple[str, tuple[float, str]]]:
    if pedal.clutch is not None:
        answer, window = pedal.clutch, pedal.clutch.window
        yield "peak_effort", (answer.peak_effort_n, "N")
        yield "effort_at_stop", (answer.at_stop.effort_n, "N")
        yield "peak_pressure", (answer.peak_pressure_mpa, "MPa")
        yield "release_at_stop", (answer.at_stop.release_mm, "mm")
        yield "stop_window", (window.latest_mm - window.earliest_mm, "mm")
        yield "stop", (window.stop_mm, "mm")
        yield "ratio", (answer.rest_ratio, "")
        yield "rod_angle", (math.degrees(answer.peak_rod_angle_rad), "deg")
        yield "side_load", (answer.peak_side_load_n, "N")
    if pedal.brake is not None:
        brake = pedal.brake
        yield "travel_at_effort", (brake.at_effort_mm, "mm")
        yield "ratio", (brake.ratio, "")
        yield "rod_angle", (math.degrees(brake.peak_rod_angle_rad), "deg")
        yield "side_load", (brake.peak_side_load_n, "N")
        for circuit in brake.circuits:
            yield f"{circuit.name}.pressure", (circuit.pressure_mpa, "MPa")
            yield f"{circuit.name}.stroke_left", (circuit.margin_mm, "mm")
