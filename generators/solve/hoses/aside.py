"""Hoses and zones: led round where a way is found, and what is hot in its own hot air."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from generators.model.hose_path import ClearanceLimits, HoseRun, Obstacle3, Panel3, Point3
from generators.model.hose_results import Clearance, Routing
from generators.model.spec.job import Job
from generators.model.spec.lines import Hose
from generators.model.words import ZoneKind
from generators.routing.around.bodies import distances
from generators.routing.around.detour import route, surroundings, unmet
from generators.solve.scene import clearance_limits, zone_obstacles

HARMS_HOSE: frozenset[ZoneKind] = frozenset({"heat", "stones", "covering"})
"""Zones whose rules speak of a hose; spray is nothing to one."""


def out_of_zones(
    job: Job,
    runs: Sequence[HoseRun],
    answers: Sequence[Routing],
    there: tuple[Sequence[Obstacle3], Sequence[Panel3]],
) -> list[Routing]:
    """The ways of the hoses, those through a zone that harms them led round it where a clear way is found.

    A rigid line stays as it is laid, and so does a hose that begins, ends or is held in the zone.
    """
    limits = clearance_limits(job.limits)
    out = list(answers)
    for k, (hose, run, found) in enumerate(zip(job.hose, runs, answers, strict=True)):
        if hose.kind != "hose" or found.path is None:
            continue
        kinds = HARMS_HOSE - {"stones"} if hose.guarded else HARMS_HOSE
        held = [run.start.position, *(way.position for way in run.via), run.end.position]
        zones = [zone for zone in zone_obstacles(job, kinds) if not _holds(zone, held, limits)]
        if zones and unmet([found.path], surroundings(zones, (), limits))[0]:
            (aside,) = route([run], surroundings([*there[0], *zones], there[1], limits))
            out[k] = aside if aside.clear else found
    return out


def in_its_own_air(job: Job, hose: Hose, clearances: Sequence[Clearance]) -> tuple[Clearance, ...]:
    """What is hot and too near a hose at a place in a zone of heat: one cause, told once, of the hot air.

    Of a rigid line the hot air is the lesser of the two, so both are told.
    """
    limits = clearance_limits(job.limits)
    zones = [*zone_obstacles(job, {"heat"})] if hose.kind == "hose" else []
    return tuple(
        gap
        for gap in clearances
        if gap.kind == "hot" and not gap.met and any(_holds(zone, [gap.at], limits) for zone in zones)
    )


def _holds(zone: Obstacle3, places: Sequence[Point3], limits: ClearanceLimits) -> bool:
    """True where one of the places lies in the zone."""
    rows = surroundings([zone], (), limits).bodies
    return bool((distances(rows, np.array(places), np.zeros(len(places), dtype=np.intp)) < 0).any())
