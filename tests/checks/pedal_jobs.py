"""Pedals just outside and just inside each rule's limit, for the register's test and the limits' own."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from generators.checks.pedal.brakes import check_brake
from generators.checks.pedal.hydraulics import check_clutch
from generators.hydraulics.brake import solve_brake
from generators.hydraulics.linkage import PedalFrame
from generators.hydraulics.result import solve_clutch
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.spec.brakes import Brake
from generators.model.spec.hydraulics import Pedal, Targets

sys.path.insert(0, str(Path(__file__).parents[1] / "hydraulics"))

from pedal_samples import FRAME, FRONT, HOSE, brake_pedal, clutch_pedal

Case = Callable[[], list[Finding]]
GOOD = solve_clutch(clutch_pedal(), FRAME)
WINDOW = GOOD.window
TENTH_MM = (WINDOW.latest_mm - WINDOW.earliest_mm) / 10
LOST_MM = max(lost.pad_mm for lost in solve_brake(brake_pedal(), FRAME).lost)


def clutch(pedal: Pedal, frame: PedalFrame = FRAME, limits: Limits | None = None) -> list[Finding]:
    return check_clutch(pedal, solve_clutch(pedal, frame), limits or Limits())


def brake(pedal: Pedal, frame: PedalFrame = FRAME, limits: Limits | None = None) -> list[Finding]:
    return check_brake(pedal, solve_brake(pedal, frame), limits or Limits())


def stopped(stop_mm: float, **changes: object) -> list[Finding]:
    """The clutch pedal with a stop, and a travel target that does not mind it."""
    return clutch(clutch_pedal(stop=stop_mm, targets=Targets(travel_mm=400.0), **changes))


def limit_pad(key: str, **changes: object) -> float:
    window = solve_clutch(clutch_pedal(**changes), FRAME).window
    return next(limit.pad_mm for limit in window.limits if limit.key == key)


# changes that make each of these the first limit
SHORT_MASTER = {"master_stroke_mm": 27.0}
SHORT_SLAVE = {"slave_stroke_mm": 22.0}
LOW = replace(FRAME, seat=(-8.0, 0.0, -5.0))

PEDAL_CASES: dict[str, tuple[Case, Case]] = {
    "pedal-no-release": (
        lambda: stopped(WINDOW.earliest_mm - 0.01),
        lambda: stopped(WINDOW.earliest_mm + 0.01),
    ),
    "stop-window-empty": (
        lambda: clutch(clutch_pedal(travel_mm=WINDOW.earliest_mm - 0.01)),
        lambda: clutch(clutch_pedal(travel_mm=WINDOW.earliest_mm + 0.01)),
    ),
    "pedal-over-travel": (
        lambda: stopped(WINDOW.latest_mm + 0.01),
        lambda: stopped(WINDOW.latest_mm - 0.01),
    ),
    "master-bottoms": (
        lambda: stopped(limit_pad("master", **SHORT_MASTER) + 0.01, **SHORT_MASTER),
        lambda: stopped(limit_pad("master", **SHORT_MASTER) - 0.01, **SHORT_MASTER),
    ),
    "slave-runs-out": (
        lambda: stopped(limit_pad("slave", **SHORT_SLAVE) + 0.01, **SHORT_SLAVE),
        lambda: stopped(limit_pad("slave", **SHORT_SLAVE) - 0.01, **SHORT_SLAVE),
    ),
    "stop-margin": (
        lambda: stopped(WINDOW.earliest_mm + TENTH_MM - 0.01),
        lambda: stopped(WINDOW.earliest_mm + TENTH_MM + 0.01),
    ),
    "rod-angle": (
        lambda: clutch(clutch_pedal(), LOW),
        lambda: clutch(clutch_pedal()),
    ),
    "pedal-effort": (
        lambda: clutch(clutch_pedal(targets=Targets(effort_n=GOOD.peak_effort_n - 0.1))),
        lambda: clutch(clutch_pedal(targets=Targets(effort_n=GOOD.peak_effort_n + 0.1))),
    ),
    "line-pressure": (
        lambda: clutch(clutch_pedal(slave_rating_mpa=GOOD.peak_pressure_mpa - 0.001)),
        lambda: clutch(clutch_pedal(slave_rating_mpa=GOOD.peak_pressure_mpa + 0.001)),
    ),
    "no-rating": (
        lambda: brake(brake_pedal(front=replace(FRONT, rating_mpa=None))),
        lambda: brake(brake_pedal()),
    ),
    "one-circuit": (
        lambda: brake(replace(brake_pedal(), brake=Brake(front=FRONT))),
        lambda: brake(replace(brake_pedal(), brake=Brake(front=FRONT, tandem=True))),
    ),
    "circuit-lost": (
        lambda: brake(brake_pedal(travel_mm=LOST_MM - 0.1)),
        lambda: brake(brake_pedal(travel_mm=LOST_MM + 0.1)),
    ),
    "reservoir-volume": (
        lambda: clutch(clutch_pedal(master_reservoir_mm3=GOOD.reservoir_needed_mm3 - 1)),
        lambda: clutch(clutch_pedal(master_reservoir_mm3=GOOD.reservoir_needed_mm3 + 1)),
    ),
    "lining-wear": (
        lambda: brake(brake_pedal(front=replace(FRONT, wear_mm3=None))),
        lambda: brake(brake_pedal()),
    ),
    "pedal-travel": (
        lambda: clutch(clutch_pedal(targets=Targets(travel_mm=WINDOW.stop_mm - 0.01))),
        lambda: clutch(clutch_pedal(targets=Targets(travel_mm=WINDOW.stop_mm + 0.01))),
    ),
    "rod-length": (
        lambda: clutch(clutch_pedal(rod_length_mm=GOOD.rod_length_mm + 0.51)),
        lambda: clutch(clutch_pedal(rod_length_mm=GOOD.rod_length_mm + 0.49)),
    ),
}

__all__ = ["FRAME", "GOOD", "HOSE", "PEDAL_CASES", "WINDOW", "brake", "brake_pedal", "clutch", "clutch_pedal"]
