"""How a hose hangs that is longer than its path: lowest place and shape, between what holds it.

The hose is taken limp but for its least bend radius: of all curves of its length that leave and arrive in the
given directions and bend no tighter, the one whose centre of gravity lies lowest. Without bounds on bend and
directions that is the catenary (Jakob Bernoulli, Leibniz and Huygens 1691; principle of least potential
energy). Stiffness only lifts the centre of gravity. Where the slack lies is the fitter's doing; it is
shared out here in proportion to the hose between what holds it.

The curve is a chain of equal links. Stretch and a bend beyond the radius cost energy, ever more of it,
and each least energy is found by Newton steps; what is left of either is far below a percent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from generators.model.hose_path import HosePath, HoseRun, Point3, Segment, Straight, Support
from generators.model.hose_results import HoseLength, HoseSag, SagSpan
from generators.routing.paths.curves import Array, at_station, pieces, places, point3, unit
from generators.routing.rise import rise_profile

_LINKS = 40
_STRETCH = (1e2, 1e3, 1e4, 1e5)
_BEND = (1e-2, 1e-1, 1.0, 10.0)
_LIMP = 1e-7
_STEPS = 60
_SETTLED = 1e-9
_SHORTEST_STEP = 1e-6
_SLACK_MM = 0.5
_SAME_MM = 1e-6
_UP = 2
# three places of three coordinates
_BLOCK = 9


@dataclass(frozen=True, slots=True)
class _Part:
    """A stretch of the path between two held places, from station to station, mm; hung or kept as it is."""

    start: str
    end: str
    begin_mm: float
    end_mm: float
    hangs: bool


def hang(path: HosePath, run: HoseRun, length: HoseLength) -> HoseSag | None:
    """How the hose hangs; None where it has no slack to speak of (half a millimetre between two supports).

    The hose is straight where a fitting or a support holds it straight. Raises nothing.
    """
    parts = _parts(path, run)
    free = math.fsum(p.end_mm - p.begin_mm for p in parts if p.hangs)
    slack = length.made_up_mm - path.length_mm
    if free <= 0 or slack <= _SLACK_MM:
        return None
    points: list[Array] = []
    stations: dict[str, float] = {}
    spans: list[SagSpan] = []
    gone = 0.0
    for part in parts:
        span = part.end_mm - part.begin_mm
        more = slack * span / free if part.hangs else 0.0
        curve = _taut(path, part)
        if more > _SLACK_MM:
            ends = at_station(path, part.begin_mm)[1], at_station(path, part.end_mm)[1]
            curve = hanging(curve, np.array(ends[0]), np.array(ends[1]), span + more, path.bend_radius_mm)
            spans.append(_span(path, part, curve, more))
        stations.setdefault(part.start, gone)
        gone += float(np.linalg.norm(np.diff(curve, axis=0), axis=1).sum())
        stations[part.end] = gone
        points.append(curve)
    if not spans:
        return None
    hung = _hung_path(path, np.vstack(points), stations, gone)
    return HoseSag(hose=path.name, path=hung, spans=tuple(spans))


def lowest_place(path: HosePath) -> Point3:
    """The lowest place of a path's centre line, exact."""
    profile = rise_profile([(path, False)])
    return min((point.at for point in profile.points), key=lambda at: at[_UP])


def _parts(path: HosePath, run: HoseRun) -> list[_Part]:
    """What is kept straight at each held place, and what hangs between."""
    kept = {way.name: (way.straight_mm, way.straight_mm) for way in run.via}
    kept |= {run.start.name: (0.0, run.start.straight_mm), run.end.name: (run.end.straight_mm, 0.0)}
    held = [s for s in path.supports if s.kind != "guide"]
    out = []
    for a, b in pairwise(held):
        begin, end = a.station_mm + kept[a.name][1], b.station_mm - kept[b.name][0]
        out += [
            _Part(a.name, a.name, a.station_mm, begin, hangs=False),
            _Part(a.name, b.name, begin, end, hangs=True),
            _Part(b.name, b.name, end, b.station_mm, hangs=False),
        ]
    return [part for part in out if part.end_mm > part.begin_mm]


def _taut(path: HosePath, part: _Part) -> Array:
    count = _LINKS + 1 if part.hangs else 2
    of = pieces([path])
    stations = np.linspace(part.begin_mm, part.end_mm, count)
    which = np.clip(np.searchsorted(of.station, stations, side="right") - 1, 0, len(of.station) - 1)
    return places(of, which, stations - of.station[which])


def _span(path: HosePath, part: _Part, curve: Array, more_mm: float) -> SagSpan:
    lowest = curve[int(np.argmin(curve[:, _UP]))]
    held = [at_station(path, s.station_mm)[0][_UP] for s in path.supports if s.name in (part.start, part.end)]
    return SagSpan(
        start=part.start,
        end=part.end,
        slack_mm=more_mm,
        lowest=point3(lowest),
        below_mm=max(min(held) - float(lowest[_UP]), 0.0),
    )


def _hung_path(path: HosePath, points: Array, stations: dict[str, float], length_mm: float) -> HosePath:
    apart = np.linalg.norm(np.diff(points, axis=0), axis=1) > _SAME_MM
    segments: list[Segment] = [
        Straight(start=point3(a), end=point3(b))
        for a, b in zip(points[:-1][apart], points[1:][apart], strict=True)
    ]
    more = length_mm - path.length_mm
    held = [s for s in path.supports if s.kind != "guide"]
    now = {s.station_mm: stations[s.name] for s in held}
    return HosePath(
        name=path.name,
        segments=tuple(segments),
        supports=tuple(Support(name=s.name, kind=s.kind, station_mm=stations[s.name]) for s in held),
        outside_dia_mm=path.outside_dia_mm,
        bend_radius_mm=path.bend_radius_mm,
        own=tuple(
            (b, first, last) if first <= 0 else (b, first + more, last + more) for b, first, last in path.own
        ),
        passes=tuple((panel, opening, now.get(at, at)) for panel, opening, at in path.passes),
    )


def hanging(taut: Array, leave: Array, arrive: Array, length_mm: float, radius_mm: float) -> Array:
    """The chain that hangs from both ends of ``taut`` (n, 3), leaving and arriving in unit directions, mm.

    ``length_mm`` long, longer than ``taut``, of n - 1 equal links. Raises nothing.
    """
    links = len(taut) - 1
    scale = 1.0 / length_mm
    share = np.linspace(0.0, 1.0, links + 1)
    chain = _Chain(links, taut[[0, -1]] * scale, np.array([leave, arrive]), radius_mm * scale)
    gone = float(np.linalg.norm(np.diff(taut, axis=0), axis=1).sum()) * scale
    # a bow of that much more length than a straight one, 16/3 of its rise squared
    low = np.zeros(3)
    low[_UP] = math.sqrt(3.0 / 16.0 * max(1.0 - gone, 0.0))
    x = taut * scale - (np.sin(math.pi * share) ** 2)[:, None] * low
    for stretch, bend in zip(_STRETCH, _BEND, strict=True):
        x = chain.settled(x, stretch, bend)
    return x * length_mm


class _Chain:
    """A chain of unit length and weight: the energy of its places (links + 1, 3), the ends held."""

    def __init__(self, links: int, ends: Array, directions: Array, radius: float) -> None:
        self.links, self.h = links, 1.0 / links
        self.ends, self.directions = ends, directions
        # the second difference of three places on an arc, h apart
        turn = np.full(links + 1, self.h / radius)
        # at the ends only half a link bends
        turn[[0, -1]] /= 2.0
        self.most = 2.0 * self.h * np.sin(np.minimum(turn, math.pi) / 2.0)

    def settled(self, x: Array, stretch: float, bend: float) -> Array:
        """The places of least energy next to ``x``."""
        energy = self.energy(x, stretch, bend)
        for _ in range(_STEPS):
            force, stiff = self.slope(x, stretch, bend)
            step = -_solved(stiff, force)
            move = np.zeros_like(x)
            move[1:-1] = step.reshape(-1, 3)
            along = float(force @ step)
            part = 1.0
            while part > _SHORTEST_STEP:
                there = x + part * move
                less = self.energy(there, stretch, bend)
                if less <= energy + 1e-4 * part * along:
                    break
                part /= 2.0
            else:
                break
            x, energy = there, less
            if part * float(np.abs(step).max()) < _SETTLED:
                break
        return x

    def _bends(self, x: Array) -> tuple[Array, Array]:
        """Second differences at every place, the straight run beyond each end among them, and their sizes."""
        before, after = x[:1] - self.h * self.directions[:1], x[-1:] + self.h * self.directions[1:]
        bends = np.diff(np.vstack([before, x, after]), n=2, axis=0)
        return bends, np.sqrt(np.einsum("ij,ij->i", bends, bends))

    def energy(self, x: Array, stretch: float, bend: float) -> float:
        """Height of the centre of gravity, and what stretch and bend cost."""
        links = np.diff(x, axis=0)
        long = np.sqrt(np.einsum("ij,ij->i", links, links)) - self.h
        bends, sizes = self._bends(x)
        over = np.maximum(sizes - self.most, 0.0)
        out = self.h * x[1:-1, _UP].sum() + stretch / (2.0 * self.h) * (long @ long)
        out += bend / (2.0 * self.h**3) * (over @ over) + _LIMP / (2.0 * self.h**3) * float(
            (bends * bends).sum()
        )
        return float(out)

    def slope(self, x: Array, stretch: float, bend: float) -> tuple[Array, Array]:
        """Its gradient, and a positive matrix like its second derivative, of the free places."""
        h, eye = self.h, np.eye(3)
        links = np.diff(x, axis=0)
        size = np.sqrt(np.einsum("ij,ij->i", links, links))
        along = unit(links)
        pull = stretch / h * (size - h)[:, None] * along
        outer = along[:, :, None] * along[:, None, :]
        # what pushes is left out across the link: there the true matrix is not positive
        across = np.maximum(1.0 - h / np.maximum(size, h * h), 0.0)[:, None, None]
        links2 = stretch / h * (outer + across * (eye - outer))
        bends, sizes = self._bends(x)
        turned = unit(bends)
        over = np.maximum(sizes - self.most, 0.0)
        moment = ((bend * over)[:, None] * turned + _LIMP * bends) / h**3
        outer = turned[:, :, None] * turned[:, None, :]
        share = (over / np.maximum(sizes, h * h * h))[:, None, None]
        bent = (sizes > self.most)[:, None, None]
        bends2 = (bend * np.where(bent, outer + share * (eye - outer), 0.0) + _LIMP * eye) / h**3
        force = pull[:-1] - pull[1:] + moment[:-2] - 2.0 * moment[1:-1] + moment[2:]
        force[:, _UP] += h
        # each free place with itself, with the next, and with the one after
        blocks = (
            links2[:-1] + links2[1:] + bends2[:-2] + 4.0 * bends2[1:-1] + bends2[2:],
            -links2[1:-1] - 2.0 * (bends2[1:-2] + bends2[2:-1]),
            bends2[2:-2],
        )
        free = self.links - 1
        stiff = np.zeros((free, 3, free, 3))
        for apart, block in enumerate(blocks):
            at = np.arange(free - apart)
            stiff[at, :, at + apart, :] = block
            stiff[at + apart, :, at, :] = block
        return force.ravel(), stiff.reshape(3 * free, 3 * free)


def _solved(stiff: Array, force: Array) -> Array:
    """Solution for a matrix in which no place but the next two is coupled, block by block.

    Small blocks stay on one core, where a whole matrix would wait for all of them.
    """
    blocks = [slice(k, min(k + _BLOCK, len(force))) for k in range(0, len(force), _BLOCK)]
    pivot, rest = stiff[blocks[0], blocks[0]], force[blocks[0]]
    done: list[Array] = []
    for here, after in pairwise(blocks):
        both = np.linalg.solve(pivot, np.column_stack([stiff[here, after], rest]))
        done.append(np.asarray(both, dtype=np.float64))
        pivot = stiff[after, after] - stiff[after, here] @ both[:, :-1]
        rest = force[after] - stiff[after, here] @ both[:, -1]
    out = [np.asarray(np.linalg.solve(pivot, rest), dtype=np.float64)]
    for both in reversed(done):
        out.append(np.asarray(both[:, -1] - both[:, :-1] @ out[-1], dtype=np.float64))
    return np.concatenate(out[::-1])
