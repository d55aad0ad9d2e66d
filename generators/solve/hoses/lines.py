"""The hoses of a job: their ends and supports found, routed, measured and put in an order of work."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from generators.errors import Fault, GeometryFault, SpecError
from generators.layout.mounting import PlacedPart
from generators.layout.spots import (
    PlacedPort,
    Sheets,
    place,
    ports_of,
    sheets_of,
)
from generators.model.hose_path import HosePath, HoseRun, Obstacle3, Panel3, Point3, Port3, Waypoint
from generators.model.hose_results import Clearance, HoseLength, HoseSag, PlaneChange, RiseProfile, Routing
from generators.model.install import InstallOrder
from generators.model.limits import Limits
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job
from generators.model.spec.lines import Component, Hose
from generators.model.spec.shop import Shop
from generators.reading import JobFile
from generators.reading.keys.lines import split_port
from generators.routing.around.apart import hose_gaps
from generators.routing.around.detour import Surroundings, route, surroundings, unmet
from generators.routing.lengths import SHORTENING, hose_length, plane_changes
from generators.routing.rise import rise_profile
from generators.routing.sag import hang_all
from generators.solve.bodies.draft import Draft
from generators.solve.bodies.standing import standing
from generators.solve.hoses.aside import out_of_zones
from generators.solve.hoses.ends import ENDS, hose_seats, run_from, with_elbows
from generators.solve.hoses.order import Decision, decisions, job_order, task_titles
from generators.solve.hoses.waypoints import held_by, waypoint
from generators.solve.pedals import PedalAnswer
from generators.solve.scene import clearance_limits, flange_word, obstacles_to_hoses, panels_to_hoses
from generators.space.motion import Mover
from generators.standards import flare_takes_mm, hose_size
from generators.units import DASH_MM

PLANE_TURN_RAD = math.radians(15)
"""Planes of two bends nearer to each other than this are one plane: ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseAnswer:
    """One hose with its run and the path found; ``path`` is None where no curve joins its ends.

    ``seats`` are those its end fittings are screwed to; the path begins past their elbows.
    """

    spec: Hose
    run: HoseRun
    start: PlacedPort
    end: PlacedPort
    path: HosePath | None
    length: HoseLength | None
    clearances: tuple[Clearance, ...] = ()
    planes: tuple[PlaneChange, ...] = ()
    sag: HoseSag | None = None
    avoids: tuple[str, ...] = ()
    tried: str = ""
    measure_why: str = ""
    seats: tuple[Point3, Point3] = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesAnswer:
    """All lines of a job. ``chains`` are names of hoses from a slave to its reservoir.

    ``standing`` are the bodies they were led round, ``panels`` and ``obstacles`` those as routing has them.
    """

    hoses: tuple[HoseAnswer, ...]
    standing: Draft
    panels: tuple[Panel3, ...]
    obstacles: tuple[Obstacle3, ...]
    chains: tuple[tuple[str, ...], ...]
    decided: tuple[Decision, ...]
    order: InstallOrder
    sheets: Sheets
    ports: Mapping[str, PlacedPort]
    profiles: Mapping[tuple[str, ...], RiseProfile]
    titles: Mapping[str, str]


def hose_outside(hose: Hose) -> float:
    """Outside diameter, mm: the spec's, the tube's of a rigid line, or the table's of a hose."""
    if hose.outside_mm is not None:
        return hose.outside_mm
    return hose.dash * DASH_MM if hose.kind == "rigid" else hose_size(hose.dash).outside_mm


def hose_radius(hose: Hose) -> float:
    """Least bend radius to the centre line, mm: the spec's or the table's."""
    return hose.radius_mm if hose.radius_mm is not None else hose_size(hose.dash).bend_radius_mm


def straight_run(hose: Hose, limits: Limits) -> float:
    """Straight run wanted beyond the hose end, mm."""
    if hose.straight_mm is not None:
        return hose.straight_mm
    return limits.hose_straight_ratio * hose_outside(hose)


def solve_lines(
    file: JobFile,
    parts: Sequence[PlacedPart],
    layouts: Sequence[PanelLayout],
    pedals: Sequence[PedalAnswer],
    movers: Sequence[Mover],
) -> LinesAnswer:
    """The answer for all lines; ``movers`` are the pedals on their way.

    Raises ``SpecError`` with the fault of every place that is not there.
    """
    job = file.job
    sheets = sheets_of(job.panel, layouts, parts)
    runs, ports = hose_runs(file, sheets)
    stands = standing(job, sheets)
    panels = panels_to_hoses(stands.bodies, layouts)
    obstacles = obstacles_to_hoses(stands.bodies, movers)
    around = surroundings(obstacles, panels, clearance_limits(job.limits))
    answers = out_of_zones(job, runs, route(runs, around), (obstacles, panels))
    near = _near_each_other(job, runs, [found.path for found in answers])
    decided = decisions(job, sheets)
    runs_up = chains(job.hose)
    lengths = [
        None if found.path is None else _length(hose, found.path, run, job, file.shop)
        for hose, run, found in zip(job.hose, runs, answers, strict=True)
    ]
    hung = _hung(job.hose, runs, answers, lengths, around)
    seats: dict[str, tuple[Point3, Point3]] = {}
    for hose in job.hose:
        first, last = hose_seats(hose, ports)
        seats[hose.name] = first.position, last.position
    filled = {a.path.name: with_elbows(a.path, seats[a.path.name]) for a in answers if a.path is not None}
    return LinesAnswer(
        hoses=tuple(
            HoseAnswer(
                spec=hose,
                run=run,
                start=ports[hose.from_],
                end=ports[hose.to],
                path=found.path,
                length=length,
                clearances=(*(() if found.clear else found.blocked_by), *near.get(hose.name, ())),
                # rigid tube does not twist
                planes=plane_changes(found.path, PLANE_TURN_RAD)
                if found.path is not None and hose.kind == "hose"
                else (),
                sag=hung.get(hose.name),
                avoids=found.avoids,
                tried=found.tried,
                measure_why=_measure_why(hose, job),
                seats=seats[hose.name],
            )
            for hose, run, found, length in zip(job.hose, runs, answers, lengths, strict=True)
        ),
        standing=stands,
        panels=panels,
        obstacles=obstacles,
        chains=runs_up,
        decided=decided,
        order=job_order(job, layouts, sheets, pedals, decided),
        sheets=sheets,
        ports=ports,
        profiles=_profiles(runs_up, filled),
        titles=task_titles(job, layouts, sheets, pedals, decided),
    )


def _hung(
    hoses: Sequence[Hose],
    runs: Sequence[HoseRun],
    answers: Sequence[Routing],
    lengths: Sequence[HoseLength | None],
    around: Surroundings,
) -> dict[str, HoseSag]:
    """How hoses with slack hang, by name, and what they come too near only then."""
    slack = [
        (hose, found, (found.path, run, length))
        for hose, run, found, length in zip(hoses, runs, answers, lengths, strict=True)
        if hose.kind == "hose" and found.path is not None and length is not None
    ]
    out: dict[str, HoseSag] = {}
    for (hose, found, _), sag in zip(slack, hang_all([each for _, _, each in slack]), strict=True):
        if sag is not None:
            out[hose.name] = with_meets(sag, () if found.clear else found.blocked_by, around)
    return out


def with_meets(sag: HoseSag, on_path: Sequence[Clearance], around: Surroundings) -> HoseSag:
    """What a hanging hose comes too near beside what its path does already."""
    met = {gap.body for gap in on_path}
    return replace(sag, meets=tuple(gap for gap in unmet([sag.path], around)[0] if gap.body not in met))


def _near_each_other(
    job: Job, runs: Sequence[HoseRun], found: Sequence[HosePath | None]
) -> dict[str, list[Clearance]]:
    """Gaps between hoses that are too small, by the hose that comes first in the spec.

    Two hoses on one component are measured from where both straight runs have ended and a hose has turned
    off: a hose's diameter further.
    """
    routed = [(hose, run, path) for hose, run, path in zip(job.hose, runs, found, strict=True) if path]
    joined: dict[tuple[int, int], float] = {}
    for b, (hose, run, path) in enumerate(routed):
        mine = {split_port(hose.from_)[0], split_port(hose.to)[0]}
        for a, (other, near, beside) in enumerate(routed[:b]):
            if not mine.isdisjoint({split_port(other.from_)[0], split_port(other.to)[0]}):
                straight = max(p.straight_mm for p in (run.start, run.end, near.start, near.end))
                joined[a, b] = straight + max(path.outside_dia_mm, beside.outside_dia_mm)
    out: dict[str, list[Clearance]] = {}
    for gap in hose_gaps([path for _, _, path in routed], job.limits.hose_apart_mm, joined):
        out.setdefault(gap.hose, []).append(gap)
    return out


def hose_runs(file: JobFile, sheets: Sheets) -> tuple[list[HoseRun], dict[str, PlacedPort]]:
    """Runs of all hoses, and the ports by ``component.port``. Raises ``SpecError`` with every fault."""
    ports, clamps = _places(file, sheets)
    faults = []
    for index, hose in enumerate(file.job.hose):
        for key, seat in zip(ENDS, hose_seats(hose, ports), strict=True):
            try:
                run_from(seat, hose.from_end if key == "from_end" else hose.to_end)
            except GeometryFault as fault:
                at = f"hose[{index}].{key}.{fault.parameter}"
                faults.append(file.fault_at(at, str(fault), "a way square to the port, or nearly so"))
    if faults:
        raise SpecError(faults)
    return [_run(hose, file.job, sheets, ports, clamps) for hose in file.job.hose], ports


def _profiles(
    runs_up: Sequence[tuple[str, ...]], paths: Mapping[str, HosePath]
) -> dict[tuple[str, ...], RiseProfile]:
    return {
        names: rise_profile([(paths[name], False) for name in names])
        for names in runs_up
        if all(name in paths for name in names)
    }


def _measure_why(hose: Hose, job: Job) -> str:
    """Why the length of a hose is not released, or an empty text."""
    if hose.made_up_mm is not None:
        return ""
    if hose.measure:
        return "the spec asks to measure it"
    for component in job.component:
        if component.estimated and component.name in {split_port(hose.from_)[0], split_port(hose.to)[0]}:
            return f"the place of {component.name.replace('_', ' ')} is an estimate"
    return ""


def end_moves(hose: Hose, job: Job) -> float:
    """How far the ends of a hose move with what they are on, together, mm."""
    ends = {split_port(hose.from_)[0], split_port(hose.to)[0]}
    return sum(component.moves_mm for component in job.component if component.name in ends)


def _length(hose: Hose, path: HosePath, run: HoseRun, job: Job, shop: Shop) -> HoseLength:
    """Lengths of a hose along its path, mm: as given when made up; a rigid line is bent to its path.

    A line that is flared on the job is cut longer by what its two flares take.
    """
    if hose.made_up_mm is None and hose.kind == "hose":
        moves = None if hose.service == "feed" else end_moves(hose, job)
        return hose_length(path, run, shop.hose_step_mm, job.limits.hose_slack_ratio, moves)
    least = path.length_mm
    made = least if hose.made_up_mm is None else hose.made_up_mm
    rigid = hose.kind == "rigid"
    bare = hose.made_up_mm is None
    cut = made + (2 * flare_takes_mm(hose.dash) if bare else 0.0) if rigid else made - 2 * hose.end_mm
    return HoseLength(
        path_mm=least,
        made_up_mm=made,
        cut_mm=cut,
        slack_ratio=made / least - 1.0,
        spare_mm=made - least - (0.0 if rigid else SHORTENING * cut),
    )


def _places(file: JobFile, sheets: Sheets) -> tuple[dict[str, PlacedPort], dict[str, Waypoint]]:
    """Ports by ``component.port`` and clamps by name. Raises ``SpecError`` with every fault."""
    ports: dict[str, PlacedPort] = {}
    clamps: dict[str, Waypoint] = {}
    faults: list[Fault] = []
    expected = "a place that is there"
    for index, component in enumerate(file.job.component):
        try:
            ports.update({f"{p.component}.{p.name}": p for p in ports_of(component, sheets)})
        except GeometryFault as fault:
            faults.append(file.fault_at(f"component[{index}].{fault.parameter}", str(fault), expected))
    for index, clamp in enumerate(file.job.clamp):
        try:
            clamps[clamp.name] = waypoint(clamp, sheets)
        except GeometryFault as fault:
            faults.append(file.fault_at(f"clamp[{index}].{fault.parameter}", str(fault), expected))
    if faults:
        raise SpecError(faults)
    return ports, clamps


def _port3(port: PlacedPort, body: str, hose: Hose, straight_mm: float) -> Port3:
    return Port3(
        name=f"{port.component}.{port.name}",
        position=port.position,
        direction=port.direction,
        straight_mm=hose.end_mm + straight_mm,
        cutoff_mm=hose.end_mm,
        body=body,
    )


def _run(
    hose: Hose,
    job: Job,
    sheets: Sheets,
    ports: Mapping[str, PlacedPort],
    clamps: Mapping[str, Waypoint],
) -> HoseRun:
    straight = straight_run(hose, job.limits)
    ends = []
    for text, end, seat in zip((hose.from_, hose.to), ENDS, hose_seats(hose, ports), strict=True):
        component = next(c for c in job.component if c.name == split_port(text)[0])
        begins = run_from(seat, hose.from_end if end == "from_end" else hose.to_end)
        ends.append(_port3(begins, _own_body(component, sheets), hose, straight))
    return HoseRun(
        name=hose.name,
        start=ends[0],
        end=ends[1],
        via=tuple(held_by(clamps[name], hose) for name in hose.clamps),
        bend_radius_mm=hose_radius(hose),
        outside_dia_mm=hose_outside(hose),
    )


def _own_body(component: Component, sheets: Sheets) -> str:
    """The obstacle a port belongs to: the component's own body, or the sheet it stands on."""
    if component.diameter_mm is not None:
        return component.name
    if component.on.at is not None:
        return ""
    where = place(component.on, sheets)
    if where.panel:
        return where.panel
    root = sheets.parts[where.part].plan.flanges[0].name
    return flange_word(where.part, "" if where.flange == root else where.flange)


def chains(hoses: Sequence[Hose]) -> tuple[tuple[str, ...], ...]:
    """Names of the hoses from each lowest end up to the reservoir, through bulkheads, tees and masters.

    A chain begins at a hose whose ``from`` component is no other hose's ``to``.
    """
    upper = {split_port(h.to)[0] for h in hoses}
    by_lower: dict[str, list[Hose]] = {}
    for hose in hoses:
        by_lower.setdefault(split_port(hose.from_)[0], []).append(hose)
    found = []
    for first in hoses:
        if split_port(first.from_)[0] in upper:
            continue
        chain, here = [first.name], split_port(first.to)[0]
        while here in by_lower and by_lower[here][0].name not in chain:
            nxt = by_lower[here][0]
            chain.append(nxt.name)
            here = split_port(nxt.to)[0]
        found.append(tuple(chain))
    return tuple(found)
