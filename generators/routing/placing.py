"""The best place of a bulkhead or a clamp row: the shortest hoses that keep every rule, and what held them.

A grid over the region within the bounds gives beginnings; from the best of them steps in 12 directions,
cut down when none helps, go to a quarter of a millimetre, every step drawn back into the region. At the
end small steps out of the region tell which bounds a shorter hose would break.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from generators.model.hose_path import HosePath, HoseRun, Point2
from generators.model.hose_results import Binding, Placement
from generators.routing.around.detour import Surroundings, unmet
from generators.routing.lengths import spans
from generators.routing.paths.chains import shortest_paths
from generators.routing.regions import Bound, polygon, within

_GRID = 10
_BEGINNINGS = 3
_DIRECTIONS = 12
_LAST_STEP_MM = 0.25
_SHRINK = 0.35
_PROBE_MM = 1.0
_SAVES = 0.0015

Runs = Callable[[Point2], tuple[HoseRun, ...]]


@dataclass(frozen=True, slots=True)
class _Try:
    """A place with its hoses; ``broken`` names what is not met, ``missed_mm`` how far in all."""

    place: Point2
    length_mm: float
    paths: tuple[HosePath, ...]
    broken: tuple[str, ...]
    missed_mm: float

    @property
    def rank(self) -> tuple[float, float]:
        """Rules first, then length."""
        return self.missed_mm, self.length_mm


def best_place(
    at: Runs, bounds: Sequence[Bound], around: Surroundings, longest_span_mm: float = math.inf
) -> Placement:
    """The place (two numbers, mm) within ``bounds`` with the shortest hoses that are clear and held.

    ``at`` gives the hoses for a place. ``found`` is False when no place tried meets every rule. The search
    is local, from the best of a 10 × 10 grid. Raises ``ValueError`` when the bounds leave no room at all.
    """
    region = within(bounds)
    if region.is_empty:
        raise ValueError("the bounds leave no room for a place")
    low_u, low_v, high_u, high_v = region.bounds
    step_u, step_v = (high_u - low_u) / _GRID, (high_v - low_v) / _GRID
    grid = [
        (low_u + (i + 0.5) * step_u, low_v + (j + 0.5) * step_v) for i in range(_GRID) for j in range(_GRID)
    ]
    grid = [place for place in grid if region.covers(Point(place))] or [_drawn_in((low_u, low_v), region)]
    tries = sorted(_tried(at, grid, around, longest_span_mm), key=lambda t: t.rank)
    count = len(tries)
    found: list[_Try] = []
    for begin in tries[:_BEGINNINGS]:
        here, step = begin, max(step_u, step_v) / 2.0
        while step >= _LAST_STEP_MM:
            around_here = [_drawn_in(place, region) for place in _circle(here.place, step)]
            new = [p for p in dict.fromkeys(around_here) if p != here.place]
            more = _tried(at, new, around, longest_span_mm)
            count += len(more)
            best = min(more, key=lambda t: t.rank, default=here)
            if best.rank < (here.missed_mm, here.length_mm - 1e-6):
                here = best
            else:
                step *= _SHRINK
        found.append(here)
    at_best = [best.place for best in found]
    best = min(_tried(at, at_best, around, longest_span_mm, turn_free=True), key=lambda t: t.rank)
    binding = _bindings(best, at, bounds, around, longest_span_mm) if not best.broken else _broken(best)
    return Placement(
        found=not best.broken,
        at=best.place,
        length_mm=best.length_mm,
        paths=best.paths,
        bound_by=binding,
        tried=count,
    )


def whole_mm(
    found: Placement, at: Runs, bounds: Sequence[Bound], around: Surroundings, longest_span_mm: float
) -> Placement:
    """The same at whole millimetres: the best of the four corners round it, or as it was if none will do.

    Raises nothing.
    """
    if not found.found:
        return found
    a, b = found.at
    corners = [
        (float(x), float(y)) for x in (math.floor(a), math.ceil(a)) for y in (math.floor(b), math.ceil(b))
    ]
    region = within(bounds)
    inside = [place for place in dict.fromkeys(corners) if region.covers(Point(place))]
    tries = [t for t in _tried(at, inside, around, longest_span_mm, turn_free=True) if not t.broken]
    if not tries:
        return found
    best = min(tries, key=lambda t: t.rank)
    return replace(found, at=best.place, length_mm=best.length_mm, paths=best.paths)


def _circle(place: Point2, step_mm: float) -> list[Point2]:
    angles = np.arange(_DIRECTIONS) * 2.0 * math.pi / _DIRECTIONS
    return [(place[0] + step_mm * math.cos(a), place[1] + step_mm * math.sin(a)) for a in map(float, angles)]


def _drawn_in(place: Point2, region: BaseGeometry) -> Point2:
    point = Point(place)
    if not region.covers(point):
        point = nearest_points(region, point)[0]
    return float(point.x), float(point.y)


def _tried(
    at: Runs,
    places: Sequence[Point2],
    around: Surroundings,
    longest_span_mm: float,
    turn_free: bool = False,
) -> list[_Try]:
    """Every place with its shortest hoses and what they break."""
    runs = [at(place) for place in places]
    paths = shortest_paths([run for each in runs for run in each], turn_free)
    misses = iter(unmet([path for path in paths if path is not None], around))
    rest = iter(paths)
    out = []
    for place, each in zip(places, runs, strict=True):
        mine: list[HosePath] = []
        broken: list[str] = []
        missed = 0.0
        for run in each:
            path = next(rest)
            if path is None:
                broken.append(f"bend radius of {run.name}")
                missed = math.inf
                continue
            mine.append(path)
            for gap in next(misses):
                broken.append(f"{path.name}: {gap.what} {gap.body}")
                missed += gap.limit_mm - gap.gap_mm
            for span in spans(path):
                if span.length_mm > longest_span_mm:
                    broken.append(f"{path.name}: support spacing {span.start} to {span.end}")
                    missed += span.length_mm - longest_span_mm
        length = math.fsum(path.length_mm for path in mine) if len(mine) == len(each) else math.inf
        out.append(_Try(place, length, tuple(mine), tuple(dict.fromkeys(broken)), missed))
    return out


def _bindings(
    best: _Try, at: Runs, bounds: Sequence[Bound], around: Surroundings, longest_span_mm: float
) -> tuple[Binding, ...]:
    """What steps of 1 mm to shorter hoses would break, the costliest first."""
    saves: dict[str, float] = {}
    for near in _tried(at, _circle(best.place, _PROBE_MM), around, longest_span_mm, turn_free=True):
        saved = (best.length_mm - near.length_mm) / _PROBE_MM
        if saved > _SAVES:
            for name in (*_outside(near.place, bounds), *near.broken):
                saves[name] = max(saves.get(name, 0.0), saved)
    return tuple(
        Binding(name=name, saves_mm=saved)
        for name, saved in sorted(saves.items(), key=lambda s: (-s[1], s[0]))
    )


def _outside(place: Point2, bounds: Sequence[Bound]) -> list[str]:
    """Names of the bounds a place breaks."""
    point = Point(place)
    inside = {b.name for b in bounds if b.inside}
    held = {b.name for b in bounds if b.inside and polygon(b.ring).covers(point)}
    return [
        *sorted(inside - held),
        *(b.name for b in bounds if not b.inside and polygon(b.ring).contains(point)),
    ]


def _broken(best: _Try) -> tuple[Binding, ...]:
    return tuple(Binding(name=name, saves_mm=0.0) for name in best.broken)
