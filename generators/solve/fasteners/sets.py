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
from generators.standards import clearance_hole


def fastener_sets(
    job: Job, parts: Sequence[PlacedPart], sheets: Sheets, order: InstallOrder
) -> tuple[FastenerSet, ...]:
    """Every fastener of a job with its step, its bag, its length and its torque.

    Raises ``GeometryFault`` for a place that is not there.
    """
    out = []
    for joint in Places(job, parts, sheets, order).joints():
        made = fastener_set(joint)
        if not made.panel and not made.part:
            hole = clearance_hole(made.thread, "normal")
            made = replace(made, hole_mm=hole.diameter_mm, hole_drill=hole.drill)
        out.append(made)
    return (*out, *pivot_sets(job, parts, order))
