"""What each hose asks of the places of its ends: how its path's length follows them.

The path is the one that was found, with the points that led it round things as free supports. Ends and clamps
are moved a little each way, and turned, and the shortest path is solved again: so a length's gradient is that
of the real route. For a straight between two bends it is the straight's own direction (envelope theorem).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from generators.geometry.frames import cross
from generators.layout.spots import point3
from generators.measure.equations import Array
from generators.model.hose_path import HosePath, HoseRun, Port3, Waypoint
from generators.reading.keys.lines import split_port
from generators.routing.lengths import SHORTENING
from generators.routing.paths.chains import shortest_paths
from generators.routing.paths.curves import at_station
from generators.solve.hoses.lines import HoseAnswer, end_moves
from generators.solve.spread.columns import Sparse, Wanted
from generators.solve.spread.moves import Motion, Moves

STEP_MM, STEP_RAD = 1.0, 0.01
ARM_MM = 100.0
STEEPEST = 1.5
"""A length cannot follow an end faster than it moves; more is another way round, and is not used."""


def found_run(answer: HoseAnswer, path: HosePath) -> HoseRun:
    """The run with the guides of the path that was found set as free supports."""
    via = []
    known = {way.name: way for way in answer.run.via}
    for support in path.supports[1:-1]:
        if support.name in known:
            via.append(known[support.name])
        elif support.kind == "guide":
            at, _ = at_station(path, support.station_mm)
            via.append(Waypoint(name=support.name, kind="guide", position=at))
    return replace(answer.run, via=tuple(via))


def _shifted(port: Port3, by: Array) -> Port3:
    return replace(port, position=point3(np.array(port.position) + by))


def _turned(port: Port3, about: Array, by: float) -> Port3:
    way = np.array(port.direction)
    new = way + by * cross(about, way)
    return replace(port, direction=point3(new / np.linalg.norm(new)))


def _variants(run: HoseRun) -> Iterator[tuple[str, int, HoseRun]]:
    """What is moved (start, end, start turn, end turn, clamp:NAME), along which axis, and the run then."""
    for sign in (1.0, -1.0):
        for axis in range(3):
            step = sign * STEP_MM * np.eye(3)[axis]
            turn = np.eye(3)[axis]
            yield "start", axis, replace(run, start=_shifted(run.start, step))
            yield "end", axis, replace(run, end=_shifted(run.end, step))
            yield "start turn", axis, replace(run, start=_turned(run.start, turn, sign * STEP_RAD))
            yield "end turn", axis, replace(run, end=_turned(run.end, turn, sign * STEP_RAD))
            for number, way in enumerate(run.via):
                if way.kind != "guide":
                    moved = replace(way, position=point3(np.array(way.position) + step))
                    via = (*run.via[:number], moved, *run.via[number + 1 :])
                    yield way.name, axis, replace(run, via=via)


def gradients(answer: HoseAnswer, path: HosePath) -> Mapping[str, Array]:
    """How the path's length follows each end and clamp, mm per mm, and each turn of an end, mm per rad."""
    tried = list(_variants(found_run(answer, path)))
    half = len(tried) // 2
    lengths = [None if p is None else p.length_mm for p in shortest_paths([run for *_, run in tried])]
    out: dict[str, Array] = {}
    for k, (what, axis, _) in enumerate(tried[:half]):
        more, less = lengths[k], lengths[half + k]
        turn = what.endswith(" turn")
        step = STEP_RAD if turn else STEP_MM
        slope = 0.0 if more is None or less is None else (more - less) / (2 * step)
        if not turn and abs(slope) > STEEPEST:
            slope = 0.0
        out.setdefault(what, np.zeros(3))[axis] = slope
    return out


def _turn_of(motion: Motion, port: Port3) -> Sparse:
    """The turn of a port, as the cross product of its direction with the change of it."""
    at, way = np.array(port.position), np.array(port.direction)
    moved = motion(at + ARM_MM * way).plus(motion(at), -1.0)
    return Sparse({c: cross(way, v / ARM_MM) for c, v in moved.items()})


def longer(answer: HoseAnswer, path: HosePath, moves: Moves) -> Sparse:
    """How much longer the path gets, by columns (vectors of one number)."""
    slopes = gradients(answer, path)
    job = moves.prepared.file.job
    out = Sparse()
    for end, text, port in (
        ("start", answer.spec.from_, answer.run.start),
        ("end", answer.spec.to, answer.run.end),
    ):
        motion = _end_motion(moves, text)
        out = out.plus(motion(np.array(port.position)), slopes[end][None, :])
        out = out.plus(_turn_of(motion, port), slopes[f"{end} turn"][None, :])
    for clamp in job.clamp:
        if clamp.name in slopes:
            at = next(np.array(w.position) for w in answer.run.via if w.name == clamp.name)
            out = out.plus(moves.spot(clamp.on, clamp.name)(at), slopes[clamp.name][None, :])
    return out


def _end_motion(moves: Moves, text: str) -> Motion:
    component = next(c for c in moves.prepared.file.job.component if c.name == split_port(text)[0])
    return moves.spot(component.on, component.name)


def hose_gauges(
    answer: HoseAnswer, moves: Moves, *, sold: HoseAnswer, measured: bool, sprung_mm: float
) -> Iterator[Wanted]:
    """What must hold for one hose; ``measured`` when its length is taken on the vehicle with both ends on.

    It is as long as ``sold`` has it; a rigid line is bent to the ends that has.
    """
    spec, path, length = answer.spec, answer.path, sold.length
    title = (spec.title or spec.name.replace("_", " ")).lower()
    if path is None or length is None:
        return
    task = f"hose:{spec.name}"
    if spec.kind == "rigid":
        if not measured:
            start, end = (_end_motion(moves, text) for text in (spec.from_, spec.to))
            at = (np.array(answer.run.start.position), np.array(answer.run.end.position))
            off = end(at[1]).plus(start(at[0]), -1.0)
            was = (np.array(sold.run.start.position), np.array(sold.run.end.position))
            by = (at[1] - was[1]) - (at[0] - was[0])
            yield Wanted(
                key=task,
                name=f"{title} meets its seats",
                kind="line",
                task=task,
                title=title,
                rest_mm=sprung_mm,
                off=off,
                size=3,
                hose=spec.name,
                off_mm=(float(by[0]), float(by[1]), float(by[2])),
            )
        return
    grown = longer(answer, path, moves)
    shrink = 0.0 if spec.service == "feed" else SHORTENING
    moved = 0.0 if spec.service == "feed" else end_moves(spec, moves.prepared.file.job)
    made = Sparse({c: np.array([1.0 - shrink]) for c in moves.columns.of("hose_length", spec.name)})
    spare = length.made_up_mm - shrink * length.cut_mm - path.length_mm - moved
    yield Wanted(
        key=task,
        name=f"{title} reaches",
        kind="reach",
        task=task,
        title=title,
        rest_mm=spare,
        off=made if measured else made.plus(grown, -1.0),
        hose=spec.name,
    )
