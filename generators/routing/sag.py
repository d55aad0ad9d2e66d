"""How a hose hangs that is longer than its path: lowest place and shape, between what holds it.

The hose is taken limp but for its least bend radius: of all curves of its length that leave and arrive in the
given directions and bend no tighter, the one whose centre of gravity lies lowest. Without bounds on bend and
directions that is the catenary (Jakob Bernoulli, Leibniz and Huygens 1691; principle of least potential
energy). Stiffness only lifts the centre of gravity. Where the slack lies is the fitter's doing; it is
shared out here in proportion to the hose between what holds it.

The curve is a chain of equal links (`limp`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from generators.model.hose_path import HosePath, HoseRun, Point3, Segment, Straight, Support
from generators.model.hose_results import HoseLength, HoseSag, SagSpan
from generators.routing.limp import LINKS, Held, hanging
from generators.routing.paths.curves import Array, at_station, pieces, places, point3
from generators.routing.rise import rise_profile

_SLACK_MM = 0.5
_SAME_MM = 1e-6
_UP = 2


@dataclass(frozen=True, slots=True)
class _Part:
    """A stretch of the path between two held places, from station to station, mm; hung or kept as it is."""

    start: str
    end: str
    begin_mm: float
    end_mm: float
    hangs: bool


@dataclass(frozen=True, slots=True)
class _Slack:
    """A path in parts, each with how much longer its hose is there; none without slack to speak of."""

    path: HosePath
    parts: tuple[tuple[_Part, float], ...] = ()

    def held(self) -> list[Held]:
        """The parts that hang, as chains."""
        out = []
        for part, more in self.parts:
            if more > _SLACK_MM:
                ends = [at_station(self.path, at)[1] for at in (part.begin_mm, part.end_mm)]
                out.append(
                    Held(
                        taut=_taut(self.path, part),
                        leave=np.array(ends[0]),
                        arrive=np.array(ends[1]),
                        length_mm=part.end_mm - part.begin_mm + more,
                        radius_mm=self.path.bend_radius_mm,
                    )
                )
        return out


def hang(path: HosePath, run: HoseRun, length: HoseLength) -> HoseSag | None:
    """How one hose hangs: ``hang_all`` of it alone."""
    return hang_all([(path, run, length)])[0]


def hang_all(hoses: Sequence[tuple[HosePath, HoseRun, HoseLength]]) -> list[HoseSag | None]:
    """How the hoses hang; None where one has no slack to speak of (half a millimetre between two supports).

    A hose is straight where a fitting or a support holds it straight. Raises nothing.
    """
    return list(_hung(tuple(hoses)))


@lru_cache(maxsize=64)
def _hung(hoses: tuple[tuple[HosePath, HoseRun, HoseLength], ...]) -> tuple[HoseSag | None, ...]:
    """The same; a job with a change to be tried most often has the same hoses."""
    slack = [_slack(*hose) for hose in hoses]
    held = [each.held() for each in slack]
    curves = iter(hanging([chain for chains in held for chain in chains]))
    return tuple(_sag(each, [next(curves) for _ in chains]) for each, chains in zip(slack, held, strict=True))


def _slack(path: HosePath, run: HoseRun, length: HoseLength) -> _Slack:
    parts = _parts(path, run)
    free = math.fsum(p.end_mm - p.begin_mm for p in parts if p.hangs)
    slack = length.made_up_mm - path.length_mm
    if free <= 0 or slack <= _SLACK_MM:
        return _Slack(path)
    shares = [slack * (p.end_mm - p.begin_mm) / free if p.hangs else 0.0 for p in parts]
    return _Slack(path, tuple(zip(parts, shares, strict=True)))


def _sag(slack: _Slack, curves: Sequence[Array]) -> HoseSag | None:
    """The path with the curves in it, where it hangs."""
    if not curves:
        return None
    path, hung = slack.path, iter(curves)
    points: list[Array] = []
    stations: dict[str, float] = {}
    spans: list[SagSpan] = []
    gone = 0.0
    for part, more in slack.parts:
        curve = next(hung) if more > _SLACK_MM else _taut(path, part)
        if more > _SLACK_MM:
            spans.append(_span(path, part, curve, more))
        stations.setdefault(part.start, gone)
        gone += float(np.linalg.norm(np.diff(curve, axis=0), axis=1).sum())
        stations[part.end] = gone
        points.append(curve)
    laid = _hung_path(path, np.vstack(points), stations, gone)
    return HoseSag(hose=path.name, path=laid, spans=tuple(spans))


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
    count = LINKS + 1 if part.hangs else 2
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
