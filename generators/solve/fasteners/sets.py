"""The fastener sets of a whole job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from generators.layout.mounting import PlacedPart
from generators.layout.spots import Sheets
from generators.model.install import InstallOrder
from generators.model.joints.fasteners import FastenerSet
from generators.model.spec.job import Job
from generators.solve.fasteners.choose import fastener_set
from generators.solve.fasteners.pivots import pivot_sets
from generators.solve.fasteners.places import Places
from generators.standards import choose_tools, clearance_hole, hole_tolerance
from generators.units import UnitSystem

RAIL_MM = 4.0
"""Metal of a frame rail, for the choice of its drill (ours)."""


def fastener_sets(
    job: Job,
    parts: Sequence[PlacedPart],
    sheets: Sheets,
    order: InstallOrder,
    units: UnitSystem = "metric",
) -> tuple[FastenerSet, ...]:
    """Every fastener of a job with its step, its bag, its length and its torque.

    Raises ``GeometryFault`` for a place that is not there.
    """
    out = []
    for joint in Places(job, parts, sheets, order).joints():
        made = fastener_set(joint)
        if not made.panel and not made.part:
            made = _drilled(made, units)
        out.append(made)
    return (*out, *pivot_sets(job, parts, order))


def _drilled(made: FastenerSet, units: UnitSystem) -> FastenerSet:
    """With the hole in the vehicle's own metal that no panel of the job has, and the drill for it."""
    wide = clearance_hole(made.thread, "normal").diameter_mm
    limits = hole_tolerance("bolt", wide, fit="normal")
    least, most = (wide, wide) if limits is None else limits.limits_mm(wide)
    making = choose_tools(wide, least, most, sheet_mm=RAIL_MM, units=units)
    return replace(made, hole_mm=making.final_mm, hole_drill=making.words)
