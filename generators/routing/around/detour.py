"""A way for every hose: the shortest one, or where that comes too near something, one round it.

Where the shortest path is blocked, guide points are set beside the worst place, on rays square to the hose
just as far out as the body asks for, in sixteen directions; up to three guides are set one after the
other, and the three least bad ways are carried on at each stage. If that fails, a corridor is looked
for on a lattice (``lattice``) and its corners become the guides. A way found is then drawn tight. The search
is no proof: that nothing was found does not mean that nothing exists, and the answer says what was tried.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from generators.model.hose_path import ClearanceLimits, HosePath, HoseRun, Obstacle3, Panel3, Waypoint
from generators.model.hose_results import Clearance, Routing
from generators.routing.around.bodies import Bodies, collect, distances
from generators.routing.around.clearance import gaps
from generators.routing.around.crossings import crossings
from generators.routing.around.lattice import corridor
from generators.routing.paths.chains import shortest_paths
from generators.routing.paths.curves import Array, at_station, point3, square_to, unit

_STAGES = 3
_KEPT = 3
_DIRECTIONS = 16
_SPARE_MM = 1.0
_MARCH_MM = 1500.0
_MARCH_STEPS = 60
_FIRST_STEP_MM = 32.0
_LAST_STEP_MM = 5.0
_MISS_MM = 1e-6
_REMEMBERED = 32
"""Surroundings whose ways are kept: a job is tried with some two dozen changes, many of them of no hose."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Everything a way is measured against; ``bodies`` are what ``collect`` makes of the rest."""

    obstacles: tuple[Obstacle3, ...]
    panels: tuple[Panel3, ...]
    limits: ClearanceLimits
    bodies: Bodies = field(compare=False)


@dataclass(frozen=True, slots=True)
class _Way:
    """A run with guides set, its path and what is too near it."""

    run: HoseRun
    path: HosePath
    unmet: tuple[Clearance, ...]

    @property
    def badness(self) -> tuple[float, float]:
        """How far the limits are missed in all, then the length, mm."""
        return math.fsum(c.limit_mm - c.gap_mm for c in self.unmet), self.path.length_mm


def surroundings(
    obstacles: Sequence[Obstacle3], panels: Sequence[Panel3], limits: ClearanceLimits
) -> Surroundings:
    """Gathered once for any number of runs."""
    return Surroundings(tuple(obstacles), tuple(panels), limits, collect(obstacles, panels, limits))


def unmet(paths: Sequence[HosePath], around: Surroundings) -> list[tuple[Clearance, ...]]:
    """What each path comes too near to or goes through, the nearest first."""
    found: list[list[Clearance]] = [[] for _ in paths]
    for owner, gap in gaps(paths, around.bodies):
        if gap.gap_mm < gap.limit_mm - _MISS_MM:
            found[owner].append(gap)
    for owner, path in enumerate(paths):
        found[owner] += [c for c in crossings(path, around.panels) if c.gap_mm < 0]
    return [tuple(sorted(each, key=lambda c: c.gap_mm - c.limit_mm)) for each in found]


def route(runs: Sequence[HoseRun], around: Surroundings) -> tuple[Routing, ...]:
    """A way for each run, in order; see the module's text for how. Raises nothing.

    What was found in equal surroundings for an equal run is not looked for again.
    """
    known = _known(around)
    new = [run for run in dict.fromkeys(runs) if run not in known]
    known.update(zip(new, _routed(new, around), strict=True))
    return tuple(known[run] for run in runs)


@lru_cache(maxsize=_REMEMBERED)
def _known(_around: Surroundings) -> dict[HoseRun, Routing]:
    return {}


def _routed(runs: Sequence[HoseRun], around: Surroundings) -> tuple[Routing, ...]:
    direct = _ways(list(runs), around, direct=True)
    out: list[Routing | None] = []
    todo: list[int] = []
    for number, way in enumerate(direct):
        if way is None:
            out.append(_none(runs[number]))
        elif not way.unmet:
            out.append(
                Routing(path=way.path, clear=True, detour=False, blocked_by=(), tried="the shortest way")
            )
        else:
            out.append(None)
            todo.append(number)
    blocked = [way for number in todo if (way := direct[number]) is not None]
    for number, answer in zip(todo, _round(blocked, around), strict=True):
        out[number] = answer
    return tuple(answer for answer in out if answer is not None)


def _none(run: HoseRun) -> Routing:
    words = f"no curve of {run.bend_radius_mm:g} mm radius joins its ends and supports in their order"
    return Routing(path=None, clear=False, detour=False, blocked_by=(), tried=words)


def _ways(runs: list[HoseRun], around: Surroundings, direct: bool = False) -> list[_Way | None]:
    paths = shortest_paths(runs, direct)
    there = [path for path in paths if path is not None]
    misses = iter(unmet(there, around))
    return [
        None if path is None else _Way(run, path, next(misses)) for run, path in zip(runs, paths, strict=True)
    ]


def _round(direct: list[_Way], around: Surroundings) -> list[Routing]:
    """Ways round for runs whose direct way is blocked."""
    fronts = [[way] for way in direct]
    best: list[_Way | None] = [None] * len(direct)
    counts = [1] * len(direct)
    for _ in range(_STAGES):
        tries: list[HoseRun] = []
        owners: list[int] = []
        for k, front in enumerate(fronts):
            if best[k] is None:
                more = [run for way in front for run in _guided(way, around)]
                tries += more
                owners += [k] * len(more)
                counts[k] += len(more)
        found: list[list[_Way]] = [[] for _ in direct]
        for k, way in zip(owners, _ways(tries, around), strict=True):
            if way is not None:
                found[k].append(way)
        for k, ways in enumerate(found):
            ways.sort(key=lambda way: way.badness)
            if ways and not ways[0].unmet:
                best[k] = ways[0]
            fronts[k] = ways[:_KEPT]
    out = []
    for k, way in enumerate(direct):
        clear, words = best[k], ""
        if clear is None:
            clear, words = _by_corridor(way, around)
        if clear is not None:
            tight = _tightened(clear, around)
            words = f"the shortest way is blocked; {counts[k]} ways round tried{words}"
            out.append(
                Routing(
                    path=tight.path,
                    clear=True,
                    detour=True,
                    blocked_by=way.unmet,
                    tried=words,
                    avoids=_names(way),
                )
            )
            continue
        least = min([way, *fronts[k]], key=lambda w: w.badness)
        words = f"the shortest way and {counts[k] - 1} ways round it tried{words}: none keeps every gap"
        out.append(
            Routing(
                path=least.path,
                clear=False,
                detour=least is not way,
                blocked_by=least.unmet,
                tried=words,
                avoids=_names(way) if least is not way else (),
            )
        )
    return out


def _names(way: _Way) -> tuple[str, ...]:
    """The bodies in the way, the worst first, each once."""
    return tuple(dict.fromkeys(gap.body for gap in way.unmet))


def _guided(way: _Way, around: Surroundings) -> list[HoseRun]:
    """Runs with one more guide, beside the place where the way is worst."""
    worst = way.unmet[0]
    place, along = (np.array(v) for v in at_station(way.path, worst.station_mm))
    e = square_to(along)
    f = np.cross(along, e)
    angle = np.arange(_DIRECTIONS) * 2.0 * math.pi / _DIRECTIONS
    rays = np.cos(angle)[:, None] * e + np.sin(angle)[:, None] * f
    out = []
    for ray, far in zip(
        rays,
        _marched(place, rays, worst.body, way.path.outside_dia_mm / 2.0 + _SPARE_MM, around),
        strict=True,
    ):
        if math.isfinite(far):
            out += [
                _with_guide(way, worst.station_mm, place + (far + more) * ray)
                for more in (0.0, 0.4 * way.run.bend_radius_mm)
            ]
    return out


def _marched(place: Array, rays: Array, name: str, half_mm: float, around: Surroundings) -> Array:
    """How far along each ray the body is left by its limits: a distance says how far a step is safe."""
    code = np.array([n for n, body in enumerate(around.bodies.rows) if body.name == name], dtype=np.intp)
    need = half_mm + np.array([around.bodies.rows[n].limit_mm for n in code])
    at = np.zeros(len(rays))
    for _ in range(_MARCH_STEPS):
        points = np.repeat(place + at[:, None] * rays, len(code), axis=0)
        gap = distances(around.bodies, points, np.tile(code, len(rays))).reshape(len(rays), -1)
        short = np.where(at <= _MARCH_MM, (need - gap).max(axis=1), 0.0)
        if bool((short <= 0).all()):
            break
        at += np.where(short > 0, np.maximum(short, 1.0), 0.0)
    return np.where(at <= _MARCH_MM, at, math.inf)


def _with_guide(way: _Way, station_mm: float, place: Array) -> HoseRun:
    """The way's run with a guide put in where it comes in the order of the supports."""
    before = sum(support.station_mm < station_mm for support in way.path.supports[1:-1])
    guide = Waypoint(name=f"guide {len(way.run.via) + 1}", kind="guide", position=point3(place))
    return replace(way.run, via=(*way.run.via[:before], guide, *way.run.via[before:]))


def _by_corridor(way: _Way, around: Surroundings) -> tuple[_Way | None, str]:
    """A way along the corners of a corridor through the lattice, one leg after the other."""
    keeps = [way.run.start.straight_mm, *(w.straight_mm for w in way.run.via), way.run.end.straight_mm]
    via: list[Waypoint] = []
    width = way.path.outside_dia_mm / 2.0 + _SPARE_MM
    for k, (a, b) in enumerate(zip(way.path.supports, way.path.supports[1:], strict=False)):
        leave = at_station(way.path, min(a.station_mm + keeps[k], b.station_mm))[0]
        arrive = at_station(way.path, max(b.station_mm - keeps[k + 1], a.station_mm))[0]
        corners = corridor(np.array(leave), np.array(arrive), around.bodies, width, way.run.bend_radius_mm)
        if corners is None:
            return None, f"; on a lattice no corridor wide enough leads from {a.name} to {b.name}"
        via += [
            Waypoint(name=f"guide {k + 1}.{n + 1}", kind="guide", position=point3(c))
            for n, c in enumerate(corners)
        ]
        if k < len(way.run.via):
            via.append(way.run.via[k])
    found = _ways([replace(way.run, via=tuple(via))], around, direct=True)[0]
    if found is not None and not found.unmet:
        return found, ", then a corridor on a lattice"
    return None, f"; a corridor exists, but no curve of {way.run.bend_radius_mm:g} mm radius was found in it"


def _tightened(way: _Way, around: Surroundings) -> _Way:
    """Guides moved and directions turned while the hose gets shorter and stays clear."""
    step = _FIRST_STEP_MM
    while step >= _LAST_STEP_MM:
        tries = [way.run] + [
            replace(way.run, via=tuple(moved if n == k else old for n, old in enumerate(way.run.via)))
            for k, guide in enumerate(way.run.via)
            if guide.kind == "guide"
            for moved in _moves(guide, step)
        ]
        tries += [
            replace(way.run, via=tuple(old for n, old in enumerate(way.run.via) if n != k))
            for k, guide in enumerate(way.run.via)
            if guide.kind == "guide"
        ]
        ways = [w for w in _ways(tries, around) if w is not None and not w.unmet]
        best = min(ways, key=lambda w: w.path.length_mm, default=way)
        if best.path.length_mm < way.path.length_mm - _MISS_MM:
            way = best
        else:
            step /= 2.0
    return way


def _moves(guide: Waypoint, step_mm: float) -> list[Waypoint]:
    here = np.array(guide.position)
    return [
        replace(guide, position=point3(here + sign * step_mm * unit(axis)))
        for axis in np.eye(3)
        for sign in (1, -1)
    ]
