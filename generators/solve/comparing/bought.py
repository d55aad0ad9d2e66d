"""The numbers of what is bought for a job: cylinders, fittings and bolts, as plain data."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from generators.model.spec.brakes import Brake, BrakeCircuit
from generators.model.spec.hydraulics import Master, Slave
from generators.model.spec.job import Job
from generators.model.spec.lines import Component
from generators.solve.job import Prepared

FITTINGS = ("bulkhead", "tee", "line_end")


def cylinders_of(job: Job, places: int) -> dict[str, dict[str, Any]]:
    """Cylinders and reservoirs: bore and stroke by ``pedal/master``, body and ports by component; mm."""
    found = {
        f"{pedal.name}/{name}": {
            "bore": _rounded(cylinder.bore_mm, places),
            "stroke": _rounded(cylinder.stroke_mm, places),
        }
        for pedal in job.pedal
        for name, cylinder in _strokes(pedal.master, pedal.slave, *_circuits(pedal.brake))
    }
    return found | {
        c.name: {
            "body": None
            if c.diameter_mm is None or c.length_mm is None
            else [_rounded(c.diameter_mm, places), _rounded(c.length_mm, places)],
            "ports": _ports(c, places),
        }
        for c in job.component
        if c.kind not in FITTINGS
    }


def fittings_of(job: Job, places: int) -> dict[str, dict[str, Any]]:
    """Bulkhead fittings, tees and ends of lines: size, legs and ports; mm."""
    return {
        c.name: {
            "size": None if c.dash is None else f"-{c.dash}",
            "legs": [f"{leg.face} side {leg.toward}, {_rounded(leg.leg_mm, places):g}" for leg in c.elbows],
            "ports": _ports(c, places),
        }
        for c in job.component
        if c.kind in FITTINGS
    }


def bolts_of(prepared: Prepared) -> dict[str, dict[str, Any]]:
    """Bolts, screws and studs by the hole they go through, named and not numbered."""
    names = {(x.panel, h.number): f"{x.panel}/{h.name}" for x in prepared.layouts for h in x.holes}
    found: dict[str, list[str]] = defaultdict(list)
    for made in prepared.fasteners:
        at = names.get((made.panel, made.hole)) or (
            f"{made.part}/{made.opening}" if made.part else made.task.replace(":", "/")
        )
        long = f" x {made.length_text}" if made.length_text else ""
        grade = f" {made.grade}" if made.grade else ""
        found[at].append(f"{made.quantity} {made.form} {made.designation}{long}{grade}")
    return {name: {"size": sorted(sizes)} for name, sizes in found.items()}


def _rounded(value: float, places: int) -> float:
    return round(value, places) + 0.0


def _strokes(
    master: Master | None, slave: Slave | None, *circuits: tuple[str, BrakeCircuit | None]
) -> Iterator[tuple[str, Master | Slave | BrakeCircuit]]:
    for name, cylinder in (("master", master), ("slave", slave), *circuits):
        if cylinder is not None:
            yield name, cylinder


def _circuits(brake: Brake | None) -> tuple[tuple[str, BrakeCircuit | None], ...]:
    return () if brake is None else (("front", brake.front), ("rear", brake.rear))


def _ports(component: Component, places: int) -> list[str]:
    """``outlet at 126 out, 20 right, -6 up, -4``."""
    return sorted(
        f"{port.name} at "
        + ", ".join(
            f"{_rounded(x, places):g} {way}" for x, way in zip(port.at, ("out", "right", "up"), strict=True)
        )
        + (f", -{port.dash}" if port.dash else "")
        for port in component.port
    )
